"""What is said of recordings of which only a part can be told."""

from __future__ import annotations

from dataclasses import replace
from math import isfinite, nan
from statistics import median

import numpy as np
import pytest

from suspirium.desk.planning import plan_file
from suspirium.render.take_json import take_values
from suspirium.render.take_plots import gap_plot, pulse_plot
from suspirium.render.take_text import take_text
from suspirium.render.take_words import together
from suspirium.take.advice import Measures, praise
from suspirium.take.expected import ways
from suspirium.take.pace import Beat
from suspirium.take.path import Chords
from suspirium.take.report import Gap
from suspirium.take.sound.bands import FRAME_S, RATE
from suspirium.take.sound.follow import OUTSIDE, SILENCE, Segment
from suspirium.take.sound.hear import of_the_hymn, surely_of_the_hymn
from suspirium.take.sound.listen import listen
from suspirium.take.tempo import pulse_points
from tests.conftest import PARISH
from tests.playing import Playing, play
from tests.sounding import Hall, sound

PLAN = plan_file(PARISH / "fallowmere.abc")


def test_a_pause_between_two_lines_is_no_end_of_the_hymn() -> None:
    chords = Chords(ways(PLAN))
    count = int(chords.last.argmax()) + 1
    steps = np.append(np.diff(chords.onset_q[:count]), 2.0)
    segments, at = [], 0
    for turn in range(2):
        for chord in range(count):
            if chord == count - 4:  # a cough before the last four chords
                segments.append(Segment(at, at + 30, OUTSIDE))
                at += 30
            jumped = chord in (0, count - 4)
            stop = at + round(0.5 * float(steps[chord]) / FRAME_S)
            segments.append(Segment(at, stop, chord, jumped))
            at = stop
        segments.append(Segment(at, at + 100, SILENCE if turn else OUTSIDE))
        at += 100
    kept = of_the_hymn(chords, segments, 0.5)
    assert [s.chord for s in kept if s.chord >= 0] == 2 * list(range(count))
    assert sum(s.jumped for s in kept) == 2


def test_praise_of_breaths_says_how_many_could_be_told() -> None:
    played = play(PLAN, Playing(seed=2, stanzas=2))
    report = listen(PLAN, sound(played.notes, Hall(rt_s=1.0)).astype(np.float32))
    ends = [end for end in report.line_ends if end.planned_silence_s > 0]
    assert len(ends) > 2
    assert all(isfinite(end.silence_s) for end in ends)
    whole = praise(Measures(PLAN, report.tempos, ends, report.gaps, ()))
    assert any(text.startswith("Every planned breath was there") for text in whole)
    untold = [replace(end, silence_s=nan, hold_s=nan) for end in ends[1:]]
    one = praise(Measures(PLAN, report.tempos, [ends[0], *untold], report.gaps, ()))
    assert any(f"Of {len(ends)} planned breaths 1 could be told" in text for text in one)
    assert not any("Every planned breath" in text for text in one)
    unsure = [replace(end, confidence=0.6) for end in ends]
    assert any("No beat was added" in text for text in whole)
    assert not any(
        "No beat was added" in text
        for text in praise(Measures(PLAN, report.tempos, unsure, report.gaps, ()))
    )


def test_a_silence_that_is_not_heard_is_left_out_everywhere() -> None:
    played = play(PLAN, Playing(seed=2, stanzas=3))
    report = listen(PLAN, sound(played.notes, Hall(rt_s=1.0)).astype(np.float32))
    assert all(gap.silence_error_s > 0 for gap in report.gaps)
    first = replace(report.gaps[0], silence_s=nan, silence_error_s=nan)
    covered = replace(report, gaps=(first, *report.gaps[1:]))
    told = take_values(covered, "take.wav")["gaps"]
    assert told[0]["silence_s"] is None
    assert told[1]["silence_s"] == pytest.approx(report.gaps[1].silence_s, abs=0.001)
    lines = " ".join(take_text(covered).split())
    assert lines.count("of silence") == len(report.gaps) - 1
    assert "nan" not in lines
    assert gap_plot(covered) is not None


def test_loud_noise_hides_the_silence_of_a_gap() -> None:
    played = play(PLAN, Playing(seed=2, stanzas=2))
    clear, noisy = (
        listen(PLAN, sound(played.notes, Hall(rt_s=1.0, noise_db=db), RATE).astype(np.float32))
        for db in (-50.0, -3.0)
    )
    assert isfinite(clear.gaps[0].silence_s)
    gap: Gap = noisy.gaps[0]
    if isfinite(gap.silence_s):
        assert abs(gap.silence_s - clear.gaps[0].silence_s) < 4 * gap.silence_error_s
    else:
        assert any("silence before stanza 2" in text for text in noisy.not_measured)


def test_an_echo_of_the_last_chord_is_no_other_stanza() -> None:
    chords = Chords(ways(PLAN))
    count = int(chords.last.argmax()) + 1
    steps = np.append(np.diff(chords.onset_q[:count]), 2.0)
    segments, at = [], 0
    for chord in range(count):
        stop = at + round(0.5 * float(steps[chord]) / FRAME_S)
        segments.append(Segment(at, stop, chord, chord == 0))
        at = stop
    segments.append(Segment(at, at + 20, SILENCE))
    segments.append(Segment(at + 20, at + 50, count - 1, True))
    segments.append(Segment(at + 50, at + 150, SILENCE))
    kept = of_the_hymn(chords, segments, 0.5)
    assert [s.chord for s in kept if s.chord >= 0] == list(range(count))


def test_lifts_left_out_for_one_reason_are_one_sentence() -> None:
    texts = [
        "notes: voices melt",
        *(f"the lift of line {line} in stanza {n}: covered" for n in (1, 2) for line in (1, 3)),
        "the lift of line 4 in stanza 2: covered",
        "the lift of line 2 in stanza 1: its last key is held",
        "the silence before stanza 3: covered",
    ]
    assert list(together(texts)) == [
        "notes: voices melt",
        "the lifts of lines 1, 3 in stanzas 1, 2, of line 4 in stanza 2: covered",
        "the lift of line 2 in stanza 1: its last key is held",
        "the silence before stanza 3: covered",
    ]


def test_a_beat_that_is_hardly_heard_has_no_dot_and_pulls_no_other() -> None:
    played = play(PLAN, Playing(seed=2, stanzas=1))
    way = ways(PLAN)[0]
    report = listen(PLAN, sound(played.notes, Hall(rt_s=0.5)).astype(np.float32))
    assert all(isfinite(point.late_s) for point in report.pulse)
    row = [
        Beat(index, float(chord.onset_q), chord.phrase, 0.7 * float(chord.onset_q), 0.003)
        for index, chord in enumerate(way.chords)
    ]
    pulse = pulse_points(PLAN, way, row, (), 1)
    astray = next(i for i, beat in enumerate(row) if beat.played_q == pulse[5].played_q)
    row[astray] = replace(row[astray], onset_s=row[astray].onset_s + 0.4, error_s=0.1, sure=0.3)
    points = pulse_points(PLAN, way, row, (), 1)
    told = [point for point in points if isfinite(point.late_s)]
    assert len(told) == len(points) - 1
    assert pulse_plot(replace(report, pulse=points)) is not None
    plain = pulse_points(PLAN, way, [replace(beat, sure=1.0, error_s=0.003) for beat in row], (), 1)
    middle = [abs(point.late_s) for point in told]
    assert median(middle) <= median(abs(point.late_s) for point in plain)


def test_other_music_between_two_stanzas_is_no_gap() -> None:
    played = play(PLAN, Playing(seed=2, stanzas=2))
    pairs = list(zip(played.notes, played.names, strict=True))
    second = [note for note, name in pairs if name is not None and name[0] == 1]
    first = [note for note, name in pairs if name is not None and name[0] == 0]
    from_s = max(note.release_s for note in first) + 0.5
    chance = np.random.default_rng(1)
    other = [
        replace(first[0], midi=int(key), onset_s=at_s, release_s=at_s + 0.28)
        for at_s in from_s + 0.3 * np.arange(30)
        for key in chance.integers(50, 75, 3)
    ]
    later_s = max(note.release_s for note in other) + 1.0 - min(note.onset_s for note in second)
    moved = [
        replace(n, onset_s=n.onset_s + later_s, release_s=n.release_s + later_s) for n in second
    ]
    notes = sorted([*first, *other, *moved], key=lambda note: note.onset_s)
    report = listen(PLAN, sound(notes, Hall(rt_s=1.0)).astype(np.float32))
    assert report.stanzas_found == 2
    assert not report.gaps
    assert any("something was played there" in text for text in report.not_measured)


def test_in_a_long_recording_what_surely_goes_the_hymns_way_is_the_hymn() -> None:
    chords = Chords(ways(PLAN))
    count = int(chords.last.argmax()) + 1
    steps = np.append(np.diff(chords.onset_q[:count]), 2.0)
    chance = np.random.default_rng(4)
    at = 0

    def part(first: int, quarter_s: float, uneven: float) -> list[Segment]:
        nonlocal at
        found = []
        for chord in range(first, count):
            long_s = quarter_s * float(steps[chord]) * 2 ** chance.normal(0, uneven)
            found.append(Segment(at, at + max(1, round(long_s / FRAME_S)), chord, chord == first))
            at = found[-1].stop
        return found

    other = [*part(count // 2, 0.4, 0.5), *part(count // 2, 0.4, 0.5)]
    at += round(40 / FRAME_S)
    own = part(0, 0.6, 0.02)
    assert surely_of_the_hymn(chords, (*other, *own)) == tuple(own)
    assert surely_of_the_hymn(chords, tuple(own)) == tuple(own)
    assert surely_of_the_hymn(chords, tuple(other)) == tuple(other)
