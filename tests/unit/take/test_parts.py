"""Takes of a voice, a hand, the pedal or a pair alone: measured as what they are."""

from __future__ import annotations

import json
from dataclasses import replace
from fractions import Fraction
from functools import cache
from itertools import combinations

import jsonschema
import pytest

from suspirium.desk.planning import plan_file
from suspirium.errors import TakeError
from suspirium.plan.model import LeadingPlan
from suspirium.render.take_json import take_values
from suspirium.render.take_text import take_text
from suspirium.take.listen import listen
from suspirium.take.model import Take
from suspirium.take.report import TakeReport
from tests.conftest import PARISH, ROOT
from tests.playing import Playing, play


@cache
def plan_of(name: str) -> LeadingPlan:
    return plan_file(PARISH / f"{name}.abc")


def heard(name: str, part: tuple[str, ...], how: Playing | None = None) -> TakeReport:
    how = replace(how or Playing(seed=5), voices=frozenset(part))
    return listen(plan_of(name), Take(tuple(play(plan_of(name), how).notes)))


VOICES = tuple(voice.name for voice in plan_of("fallowmere").hymn.voices)
PARTS = [part for count in (1, 2, 3, 4) for part in combinations(VOICES, count)]


@pytest.mark.parametrize("part", PARTS, ids=" ".join)
def test_any_part_is_told_and_no_other_voice_is_missed(part: tuple[str, ...]) -> None:
    report = heard("fallowmere", part)
    assert report.voices_played == part
    assert set(report.voices_left_out) == set(VOICES) - set(part)
    assert report.stanzas_found == 3
    assert report.faults == ()
    assert report.tempos
    told = " ".join(report.not_measured)
    assert all((f"{voice}" in told) for voice in report.voices_left_out)
    assert bool(report.not_measured) == (len(part) < len(VOICES))


def test_the_pedal_alone_has_its_added_beat_but_no_lifts() -> None:
    report = heard("fallowmere", VOICES[-1:], Playing(seed=2, added={(1, 1): 1.0}))
    added = {
        (end.stanza, end.phrase): end.added_q for end in report.line_ends if end.added_q > 0.25
    }
    assert added == {(2, 2): pytest.approx(1.0, abs=0.1)}
    values = take_values(report, "pedal.mid")
    jsonschema.validate(values, json.loads((ROOT / "docs" / "take.schema.json").read_text("utf-8")))
    assert {end["silence_s"] for end in values["phrase_ends"]} == {None}
    assert values["voices_played"] == [VOICES[-1]]
    assert "lifts at the ends of lines" in " ".join(values["not_measured"])
    assert f"the {VOICES[-1]} alone" in take_text(report)


def test_the_melody_alone_has_its_lifts_and_gaps() -> None:
    plan = plan_of("fallowmere")
    how = Playing(seed=3, voices=frozenset(VOICES[:1]), gap_added_s={0: 0.4})
    played = play(plan, how)
    report = listen(plan, Take(tuple(played.notes)))
    for end in report.line_ends:
        true = played.ends[end.stanza - 1, end.phrase - 1]
        assert end.hold_s == pytest.approx(true.hold_s, abs=1e-9)
    assert [gap.after_stanza for gap in report.gaps] == [1, 2]


def test_wrong_notes_of_a_part_are_still_wrong() -> None:
    played = play(plan_of("quillerby"), Playing(seed=8, errors=0.06, voices=frozenset(VOICES[:2])))
    report = listen(plan_of("quillerby"), Take(tuple(played.notes)))
    assert report.voices_played == VOICES[:2]
    assert report.faults
    assert {fault.voice for fault in report.faults} <= set(VOICES[:2])


def test_a_transposed_part_is_told_with_its_distance() -> None:
    report = heard("fallowmere", VOICES[:1], Playing(seed=1, transposed=-3))
    assert (report.voices_played, report.transposed_semitones) == (VOICES[:1], -3)


@pytest.mark.parametrize("part", [VOICES[:1], VOICES[-1:], VOICES[:2]], ids=" ".join)
def test_a_part_of_another_hymn_is_refused(part: tuple[str, ...]) -> None:
    how = Playing(seed=6, voices=frozenset(part))
    notes = tuple(play(plan_of("quillerby"), how).notes)
    for other in ("fallowmere", "netherwick", "osmerley"):
        with pytest.raises(TakeError, match="is not"):
            listen(plan_of(other), Take(notes))


def test_the_first_line_as_introduction_is_no_restart() -> None:
    plan = plan_of("fallowmere")
    report = listen(plan, Take(tuple(play(plan, Playing(seed=1, introduction=(0,))).notes)))
    assert report.introduction_found
    assert report.restarts == ()
    assert {point.stanza for point in report.pulse} == {1, 2, 3}


def test_a_line_of_one_voice_practised_three_times() -> None:
    plan = plan_of("fallowmere")
    played = play(plan, Playing(seed=3, stanzas=1, voices=frozenset(VOICES[:1])))
    first, last = plan.phrases[2].first_onset_q, plan.phrases[2].end_q
    line = [
        note
        for note, name in zip(played.notes, played.names, strict=True)
        if name is not None and first <= Fraction(str(name[1])) < last
    ]
    lasts_s = line[-1].release_s - line[0].onset_s + 1.5
    take = [
        replace(n, onset_s=n.onset_s + by, release_s=n.release_s + by)
        for by in (0.0, lasts_s, 2 * lasts_s)
        for n in line
    ]
    report = listen(plan, Take(tuple(take)))
    assert (report.voices_played, report.transposed_semitones) == (VOICES[:1], 0)
    assert report.faults == ()
    assert len(report.restarts) == 2


def test_a_few_keys_are_no_hymn() -> None:
    plan = plan_of("fallowmere")
    take = play(plan, Playing(seed=3, voices=frozenset(VOICES[1:2]))).notes[5:8]
    with pytest.raises(TakeError, match="play a whole line"):
        listen(plan, Take(tuple(take)))


@pytest.mark.parametrize("alone", [{0}, {1}, {0, 1}], ids=str)
def test_a_stanza_of_the_melody_alone_among_whole_ones(alone: set[int]) -> None:
    plan = plan_of("fallowmere")
    whole = play(plan, Playing(seed=1))
    melody = play(plan, Playing(seed=1, voices=frozenset(VOICES[:1])))
    notes = [
        note
        for played, wanted in ((whole, False), (melody, True))
        for note, name in zip(played.notes, played.names, strict=True)
        if name is not None and (name[0] in alone) is wanted
    ]
    report = listen(plan, Take(tuple(sorted(notes, key=lambda n: (n.onset_s, n.midi)))))
    assert (report.stanzas_found, report.introduction_found) == (3, False)
    assert report.faults == ()
    assert report.voices_played == VOICES
    assert [gap.after_stanza for gap in report.gaps] == [1, 2]
    told = [text for text in report.not_measured if f"only the {VOICES[0]} was" in text]
    assert len(told) == len(alone)
    assert all(f"stanza {stanza + 1}" in " ".join(told) for stanza in alone)
