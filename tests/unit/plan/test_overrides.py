from __future__ import annotations

import re
from dataclasses import replace
from fractions import Fraction

import pytest

from suspirium.errors import OverrideError
from suspirium.plan.build import plan_hymn
from suspirium.plan.overrides import NONE, read_overrides
from suspirium.plan.performance import perform
from suspirium.score.reading import read
from tests.conftest import PARISH, ROOT

FALLOWMERE = read((PARISH / "fallowmere.abc").read_bytes(), "fallowmere.abc")


def _planned(text: str):
    return plan_hymn(FALLOWMERE, overrides=read_overrides(text))


def test_nothing_set_is_nothing_overridden() -> None:
    assert read_overrides("") == NONE
    plan = plan_hymn(FALLOWMERE)
    assert not plan.tempo.overridden
    assert not any(phrase.overridden for phrase in plan.phrases)


def test_the_example_of_the_documentation_is_read() -> None:
    text = (ROOT / "docs" / "overrides.md").read_text("utf-8")
    example = re.search(r"```toml\n(.*?)```", text, re.DOTALL)
    assert example
    own = read_overrides(example[1])
    assert own.phrase_ends_q == (9, 21, 33)
    assert own.phrases[2].stretch_q == Fraction(1, 10)
    plan_hymn(FALLOWMERE, overrides=own)


def test_tempo_and_pulse_are_kept() -> None:
    plan = _planned("pulse_q = 1\npulse_bpm = 72\n")
    assert plan.tempo.value.quarter_bpm == 72
    assert plan.pulse.value.unit_q == 1
    assert plan.tempo.overridden
    assert plan.pulse.overridden


def test_lines_lifts_and_breaths_are_kept() -> None:
    plan = _planned(
        'phrase_ends_q = [9, 21, 33]\n[phrases.2]\nlift_q = 2\nbreath = {3 = "carry"}\n'
    )
    assert [phrase.last_onset_q for phrase in plan.phrases] == [9, 21, 33, 45]
    second = plan.phrases[1]
    assert (second.hold_q, second.lift_q) == (1, 2)
    assert second.breath(3) == "carry"
    assert second.breath(1) != "carry"


def test_the_gap_and_the_ending_are_kept() -> None:
    plan = _planned("[gap]\nhold_q = 6\nsilence_q = 1\n[ending]\nhold_q = 9\nbroaden = 0.1\n")
    assert plan.gap.value.onset_to_onset_q == 7
    assert plan.ending.value.hold_q == 9
    plain = _planned("[gap]\nhold_q = 6\nsilence_q = 1\n[ending]\nhold_q = 9\nbroaden = 0\n")
    assert perform(plan).duration_s > perform(plain).duration_s


def test_a_touch_is_kept() -> None:
    plan = _planned('[[touches]]\nonset_q = 13\nvoice = "soprano"\ngives_up_q = 0.5\n')
    press = next(k for k in perform(plan).keys if k.written_q == 13 and "soprano" in k.voices)
    assert press.release_q == 15 + Fraction(1, 2)


def test_the_same_breath_in_every_stanza() -> None:
    plan = _planned("same_breath_every_stanza = true\n")
    for phrase in plan.phrases:
        assert len({breath.kind for breath in phrase.breaths}) == 1


def test_fermatas_hold_only_if_the_organist_says_so() -> None:
    notes = list(FALLOWMERE.melody.notes)
    index = next(i for i, note in enumerate(notes) if note.onset_q == 9)
    notes[index] = replace(notes[index], fermata=True)
    voices = (replace(FALLOWMERE.melody, notes=tuple(notes)), *FALLOWMERE.voices[1:])
    hymn = replace(FALLOWMERE, voices=voices)
    ends = "phrase_ends_q = [9, 21, 33]\n"
    plain = plan_hymn(hymn, overrides=read_overrides(ends))
    held = plan_hymn(hymn, overrides=read_overrides(ends + "fermatas_hold = true\n"))
    assert plain.phrases[0].added_q == 0
    added_q = held.phrases[0].added_q
    assert added_q == held.pulse.value.unit_q
    one, other = perform(plain, stanzas=[1]), perform(held, stanzas=[1])
    later_s = added_q * 60 / held.tempo.value.quarter_bpm
    assert other.keys[-1].onset_s - one.keys[-1].onset_s == pytest.approx(float(later_s))


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("tempo = 96", "tempo"),
        ("quarter_bpm = 9000", "9000"),
        ("pulse_q = 0", "pulse_q"),
        ("[phrases.9]\nlift_q = 1", "phrase 9"),
        ("[phrases.first]\nlift_q = 1", "first"),
        ('[phrases.1]\nbreath = "deep"', "deep"),
        ("[phrases.1]\nlift_q = 8", "gives up 8"),
        ("phrase_ends_q = [9.5]", "9.5|19/2"),
        ('[[touches]]\nonset_q = 1\nvoice = "descant"\ngives_up_q = 0', "descant"),
        ("[[touches]]\nonset_q = 1", "voice"),
        ("gap = 3", "gap"),
        ("= 3", "TOML"),
        ('pulse_q = "wide"', "wide"),
    ],
)
def test_what_is_not_understood_is_said(text: str, said: str) -> None:
    with pytest.raises(OverrideError, match=said):
        _planned(text)


@pytest.mark.parametrize(
    "text",
    [
        "phrases = 3",
        "phrases.1 = 3",
        "phrases.1.breath = 5",
        "touches = 5",
        "touches = [3]",
        "phrase_ends_q = 5",
        "pulse_q = 0",
        "pulse_q = 100",
        "gap.hold_q = 0",
        "gap.hold_q = 1000",
        "ending.hold_q = 0",
        "[[touches]]\nonset_q = 1\nvoice = 'soprano'\ngives_up_q = -1",
    ],
)
def test_what_cannot_be_played_is_told_in_one_sentence(text) -> None:
    with pytest.raises(OverrideError, match="override"):
        read_overrides(text)
