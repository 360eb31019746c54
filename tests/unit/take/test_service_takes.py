"""Takes as they come out of a service or a practice hour: interludes, an amen, keys struck by
the way, a beginning or an end inside a line, written rests, several channels."""

from __future__ import annotations

import random
from dataclasses import replace
from fractions import Fraction
from functools import cache
from pathlib import Path

import pytest

from suspirium.desk.planning import plan_file
from suspirium.plan.model import LeadingPlan
from suspirium.take.listen import listen
from suspirium.take.model import Take, TakeNote
from suspirium.take.report import TakeReport
from tests.conftest import PARISH
from tests.playing import Played, Playing, play

NAMES = ("fallowmere", "netherwick", "osmerley", "quillerby")


@cache
def plan_of(name: str) -> LeadingPlan:
    return plan_file(PARISH / f"{name}.abc")


def heard(plan: LeadingPlan, notes: list[TakeNote]) -> TakeReport:
    return listen(plan, Take(tuple(sorted(notes, key=lambda note: (note.onset_s, note.midi)))))


def of_stanza(played: Played, stanza: int) -> list[TakeNote]:
    return [
        note
        for note, name in zip(played.notes, played.names, strict=True)
        if name is not None and name[0] == stanza
    ]


def moved(notes: list[TakeNote], by_s: float) -> list[TakeNote]:
    return [replace(n, onset_s=n.onset_s + by_s, release_s=n.release_s + by_s) for n in notes]


def with_interlude(played: Played, interlude: list[TakeNote]) -> list[TakeNote]:
    """The take with some seconds of music between its first and its second stanza."""
    opens_s = min(note.onset_s for note in of_stanza(played, 1))
    begins_s = min(note.onset_s for note in interlude)
    lasts_s = max(note.release_s for note in interlude) - begins_s + 2.0
    before = [note for note in played.notes if note.onset_s < opens_s]
    after = [note for note in played.notes if note.onset_s >= opens_s]
    return [*before, *moved(interlude, opens_s - begins_s), *moved(after, lasts_s)]


@pytest.mark.parametrize("name", NAMES)
def test_an_interlude_is_no_stanza_no_restart_and_no_gap(name: str) -> None:
    plan = plan_of(name)
    played = play(plan, Playing(seed=2))
    first = of_stanza(played, 0)
    chance = random.Random(5)
    foreign = [replace(n, midi=n.midi + chance.choice((-3, -2, -1, 1, 2, 3))) for n in first[:40]]
    last_q = plan.phrases[-1].first_onset_q
    last_line = [
        note
        for note, key in zip(played.notes, played.names, strict=True)
        if key is not None and key[0] == 0 and Fraction(str(key[1])) >= last_q
    ]
    for interlude in (foreign, last_line):
        report = heard(plan, with_interlude(played, interlude))
        assert report.stanzas_found == len(plan.stanza_numbers)
        assert not report.introduction_found
        assert report.restarts == ()
        assert report.faults == ()
        assert 1 not in [gap.after_stanza for gap in report.gaps]
        assert any("gap after stanza 1" in text for text in report.not_measured)


@pytest.mark.parametrize("name", NAMES)
def test_an_amen_is_no_part_of_the_hymn(name: str) -> None:
    plan = plan_of(name)
    notes = list(play(plan, Playing(seed=3)).notes)
    end_s = max(note.release_s for note in notes)
    closing_s = max(note.onset_s for note in notes) - 0.05
    final = sorted({note.midi for note in notes if note.onset_s >= closing_s})
    fourth = [final[0] + step for step in (5, 17, 21, 24)]
    amen = [TakeNote(end_s + 1.0, end_s + 2.5, midi) for midi in fourth]
    amen += [TakeNote(end_s + 2.5, end_s + 5.0, midi) for midi in final]
    report = heard(plan, [*notes, *amen])
    assert report.stanzas_found == len(plan.stanza_numbers)
    assert report.faults == ()


@pytest.mark.parametrize("name", NAMES)
def test_a_take_may_begin_and_end_inside_a_line(name: str) -> None:
    plan = plan_of(name)
    played = play(plan, Playing(seed=4))
    first, last = of_stanza(played, 0), of_stanza(played, len(plan.stanza_numbers) - 1)
    from_s = first[len(first) // 3].onset_s - 0.02
    until_s = last[2 * len(last) // 3].onset_s - 0.02
    report = heard(plan, [note for note in played.notes if from_s < note.onset_s < until_s])
    assert report.stanzas_found == len(plan.stanza_numbers)
    assert not report.introduction_found
    assert len(report.faults) <= 3  # of the chords that were cut through


@pytest.mark.parametrize("name", NAMES)
def test_an_introduction_of_first_and_last_line_misses_nothing_between(name: str) -> None:
    plan = plan_of(name)
    lines = len(plan.phrases)
    report = heard(plan, list(play(plan, Playing(seed=1, introduction=(0, lines - 1))).notes))
    assert report.introduction_found
    assert report.faults == ()


def test_channels_and_doubled_keys_make_no_difference() -> None:
    plan = plan_of("quillerby")
    notes = list(play(plan, Playing(seed=6)).notes)
    coupled = [replace(note, channel=3, onset_s=note.onset_s + 0.004) for note in notes]
    scattered = [replace(note, channel=index % 4) for index, note in enumerate(notes)]
    plain = heard(plan, notes)
    for take in (scattered, [*notes, *coupled]):
        report = heard(plan, take)
        assert report.faults == ()
        assert (report.stanzas_found, report.matched) == (plain.stanzas_found, plain.matched)


def test_a_line_practised_many_times_is_still_this_hymn() -> None:
    plan = plan_of("fallowmere")
    report = heard(plan, list(play(plan, Playing(seed=7, stanzas=1, again={(0, 1): 6})).notes))
    assert report.stanzas_found == 1
    assert len(report.restarts) == 6


def test_rests_written_at_line_ends_are_silence_and_no_added_beats(tmp_path: Path) -> None:
    score = tmp_path / "rests.abc"
    score.write_text((PARISH / "fallowmere.abc").read_text("utf-8").replace("3\n", "2 z\n"))
    plan = plan_file(score)
    assert [phrase.rest_q for phrase in plan.phrases[:-1]] == [1, 1, 1]
    report = heard(plan, list(play(plan, Playing(seed=8, added={(0, 0): 1.0})).notes))
    assert report.faults == ()
    for end in report.line_ends:
        true_q = 1.0 if (end.stanza, end.phrase) == (1, 1) else 0.0
        assert end.added_q == pytest.approx(true_q, abs=0.15)
        assert end.planned_silence_s > 0.4


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("by", [(12,), (-12, 12)], ids=["4 foot", "16 and 4 foot"])
def test_octave_couplers_double_keys_and_add_none(name: str, by: tuple[int, ...]) -> None:
    plan = plan_of(name)
    played = play(plan, Playing(seed=2))
    manual = [note for note in played.notes if note.channel == 0]
    coupled = [replace(note, midi=note.midi + b, channel=5) for note in manual for b in by]
    report = heard(plan, [*played.notes, *coupled])
    assert report.stanzas_found == len(plan.stanza_numbers)
    assert report.transposed_semitones == 0
    assert report.faults == ()


def test_an_octave_alone_is_still_a_wrong_note() -> None:
    plan = plan_of("fallowmere")
    played = play(plan, Playing(seed=2))
    there = [i for i, name in enumerate(played.names) if name and name[:2] == (0, Fraction(5))]
    slip = max(there, key=lambda index: played.notes[index].midi)
    notes = list(played.notes)
    notes[slip] = replace(notes[slip], midi=notes[slip].midi + 12)
    (fault,) = heard(plan, notes).faults
    assert (fault.kind, fault.played_midi) == ("wrong", notes[slip].midi)


@pytest.mark.parametrize("name", NAMES)
def test_a_stop_inside_a_line_is_no_beat_added_at_its_end(name: str) -> None:
    plan = plan_of(name)
    played = play(plan, Playing(seed=2))
    named = [
        (n, Fraction(str(k[1])))
        for n, k in zip(played.notes, played.names, strict=True)
        if k is not None and k[0] == 0
    ]
    places = sorted({q for _, q in named})
    stopped = next(i for i, q in enumerate(places) if q > places[-1] * Fraction(2, 5))
    until_s = max(note.onset_s for note, q in named if q == places[stopped])
    from_s = min(note.onset_s for note, q in named if q == places[stopped - 3])
    first = [note for note in played.notes if note.onset_s <= until_s]
    again = [note for note in played.notes if note.onset_s >= from_s]
    report = heard(plan, [*first, *moved(again, until_s - from_s + 2.0)])
    assert report.stanzas_found == len(plan.stanza_numbers)
    assert len(report.restarts) == 1
    assert all(abs(end.added_q) < 0.25 for end in report.line_ends)
