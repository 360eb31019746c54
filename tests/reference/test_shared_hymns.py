"""All real hymns of the shared folder read right.

Source: Open Hymnal Project, 2013 edition (public repository mzealey/openhymnal, commit
d35811b), files whose header places them in the public domain, with labels counted from
the same files. Skipped where the folder is absent.
"""

from __future__ import annotations

import json
import unicodedata
from fractions import Fraction
from functools import cache
from itertools import pairwise
from typing import Any

import pytest

from suspirium.score.model import Hymn, Note
from suspirium.score.reading import read
from suspirium.score.sounding import notes_only
from suspirium.score.words import stretches, sung
from tests.conftest import HYMNS

LABELS: dict[str, dict[str, Any]] = (
    json.loads((HYMNS / "labels.json").read_text("utf-8")) if HYMNS.is_dir() else {}
)
pytestmark = pytest.mark.skipif(not LABELS, reason="the folder of real hymns is absent")
STEMS = sorted(LABELS)

# What is odd in the files themselves, each looked at: a 6/8 that counts six quarters in
# every bar, three barlines left out in one voice, grace notes that lead back to a refrain.
ODD_METRE = {"in-his-temple-now-behold-him-westminster-abbey"}
LOST_BARLINE = {
    "baptized-into-your-name-most-holy-o-dass-ich-tausend-zungen-hatte-dretzel",
    "of-the-fathers-love-begotten-divinum-mysterium-corde-natus",
    "the-strife-is-oer-the-battle-done-victory-palestrina",
}
OTHER_TUNE_NAME = {"o-lord-i-am-not-worthy-o-lord-i-am-not-worthy"}  # labelled by first line
LOST_GRACES = {"lift-high-the-cross-crucifier"}
REPEATED_FOR_STANZAS = {"the-strife-is-oer-the-battle-done-victory-palestrina"}


@cache
def hymn(stem: str) -> Hymn:
    path = HYMNS / f"{stem}.abc"
    return read(path.read_bytes(), path.name)


def melody(stem: str) -> tuple[Note, ...]:
    return notes_only(hymn(stem).melody)


def test_there_are_104_hymns():
    assert len(STEMS) == 104


@pytest.mark.parametrize("stem", STEMS)
def test_four_voices_of_equal_length(stem: str):
    found = hymn(stem)
    assert [voice.name for voice in found.voices] == ["soprano", "alto", "tenor", "bass"]
    assert {voice.notes[-1].end_q for voice in found.voices} == {found.end_q}


@pytest.mark.parametrize("stem", STEMS)
def test_the_melody_has_the_labelled_number_of_notes(stem: str):
    assert len(melody(stem)) == LABELS[stem]["notes"]


@pytest.mark.parametrize("stem", [s for s in STEMS if "line_end_onsets_q" in LABELS[s]])
def test_line_ends_are_at_their_labelled_onsets(stem: str):
    notes = melody(stem)
    onsets = [[notes[i].onset_q for i in span] for span in LABELS[stem]["line_ends"]]
    labelled = [[Fraction(q) for q in span] for span in LABELS[stem]["line_end_onsets_q"]]
    assert onsets == labelled


@pytest.mark.parametrize("stem", STEMS)
def test_nothing_is_remarked_but_what_is_odd_in_the_file(stem: str):
    texts = [remark.text for remark in hymn(stem).remarks]
    expected = [
        ("time signature", stem in ODD_METRE),
        ("a barline of the other voices is missing", stem in LOST_BARLINE),
        ("grace notes after the last note", stem in LOST_GRACES),
        ("leads to the next stanza", stem in REPEATED_FOR_STANZAS),
    ]
    for part, odd in expected:
        assert any(part in text for text in texts) == odd
    assert all(any(part in text for part, _ in expected) for text in texts)


@pytest.mark.parametrize("stem", STEMS)
def test_every_syllable_stands_on_a_note_and_covers_notes(stem: str):
    found = hymn(stem)
    starts = {note.onset_q for note in melody(stem)}
    ends = {note.end_q for note in melody(stem)}
    for stanza in found.stanzas:
        syllables = sung(found, stanza.number)
        assert {s.onset_q for s in syllables} <= starts
        assert {s.end_q for s in syllables} <= ends
        assert all(a.end_q <= b.onset_q for a, b in pairwise(syllables))


@pytest.mark.parametrize("stem", [s for s in STEMS if "line_ends" in LABELS[s]])
def test_the_last_syllable_of_each_line_covers_its_labelled_notes(stem: str):
    found, notes = hymn(stem), melody(stem)
    spans = {(s.onset_q, s.end_q) for stanza in found.stanzas for s in stanza.syllables}
    for first, last in LABELS[stem]["line_ends"]:
        assert (notes[first].onset_q, notes[last].end_q) in spans


@pytest.mark.parametrize("stem", STEMS)
def test_titles_and_tunes(stem: str):
    found = hymn(stem)
    assert found.title
    plain = unicodedata.normalize("NFKD", found.tune).encode("ascii", "ignore").decode().lower()
    assert plain[:2].replace(" ", "-") == LABELS[stem]["tune"][:2] or stem in OTHER_TUNE_NAME


def test_repeats_refrains_and_stanzas_in_turn_over_the_whole_folder():
    # Counted by looking at the files: refrains printed once, words under another voice,
    # stanzas apart from the music, and two hymns whose stanzas have strains of their own.
    assert sum(bool(hymn(stem).refrains) for stem in STEMS) == 20
    assert sum(bool(hymn(stem).other_words) for stem in STEMS) == 1
    assert sum(len(hymn(stem).plain_stanzas) > 0 for stem in STEMS) == 25
    in_turn = {s for s in STEMS if len({stretches(hymn(s), x.number) for x in hymn(s).stanzas}) > 1}
    assert len(in_turn) == 2
