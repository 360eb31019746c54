"""Lengths and seconds against music21, an independent reader of the MusicXML written here."""

from __future__ import annotations

from fractions import Fraction

import pytest

from suspirium.plan.build import plan_hymn
from suspirium.plan.performance import perform
from suspirium.score.musicxml import write_musicxml
from suspirium.score.reading import read
from suspirium.score.sounding import tones
from suspirium.units import quarters_to_seconds
from tests.conftest import PARISH

music21 = pytest.importorskip("music21")


@pytest.mark.parametrize("path", sorted(PARISH.glob("*.abc")), ids=lambda path: path.stem)
def test_lengths_and_seconds(path) -> None:
    hymn = read(path.read_bytes(), path.name)
    plan = plan_hymn(hymn)
    score = music21.converter.parseData(write_musicxml(hymn).decode(), format="musicxml")
    assert Fraction(score.highestTime).limit_denominator(96) == hymn.end_q

    bpm = plan.tempo.value.quarter_bpm
    mark = music21.tempo.MetronomeMark(number=bpm, referent=music21.duration.Duration(1))
    seconds = mark.durationToSeconds(score.highestTime)
    assert quarters_to_seconds(hymn.end_q, bpm) == pytest.approx(seconds)

    melody = [
        (Fraction(n.getOffsetInHierarchy(score)).limit_denominator(96), n.pitch.midi)
        for n in score.parts[0].recurse().notes
        if n.isNote and (n.tie is None or n.tie.type == "start")
    ]
    for tone in tones(hymn.melody):
        assert (tone.onset_q, tone.pitch.midi) in melody


@pytest.mark.parametrize("path", sorted(PARISH.glob("*.abc")), ids=lambda path: path.stem)
def test_a_stanza_lasts_its_written_beats(path) -> None:
    """Last onset + gap, at the plan's tempo, to the stretches (arithmetic)."""
    plan = plan_hymn(read(path.read_bytes(), path.name))
    starts = perform(plan).stanza_starts_s
    bpm = plan.tempo.value.quarter_bpm
    plain_s = float(plan.phrases[-1].last_onset_q + plan.gap.value.onset_to_onset_q) * 60 / bpm
    stretch_s = float(sum(p.stretch_q for p in plan.phrases)) * 60 / bpm
    assert plain_s - 1e-6 <= starts[1] - starts[0] <= plain_s + stretch_s + 1e-6
