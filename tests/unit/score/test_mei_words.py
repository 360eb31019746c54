"""Words under the notes of a MusicXML score."""

from __future__ import annotations

from fractions import Fraction

from suspirium.score.mei import read_score
from suspirium.score.model import Hymn, Stanza
from tests.unit.score.engraved import back, lyric, measure, note, notes, opening, score


def read(*measures: str) -> Hymn:
    return read_score(score("".join(measures)), "hymn.musicxml")


def one(content: str) -> Hymn:
    return read(measure(opening() + content))


def reach(stanza: Stanza) -> list[tuple[str, Fraction, Fraction]]:
    return [(s.text, s.onset_q, s.end_q) for s in stanza.syllables]


def test_stanzas_by_number_and_words_by_hyphens():
    first = lyric("Morn", 1, "begin") + lyric("Day", 2)
    second = lyric("ing", 1, "end") + lyric("light", 2)
    hymn = one(note("C5", 2, lyrics=first) + note("D5", 2, lyrics=second))
    assert [s.number for s in hymn.stanzas] == [1, 2]
    assert [(s.text, s.joins_next) for s in hymn.stanzas[0].syllables] == [
        ("Morn", True),
        ("ing", False),
    ]
    assert [(s.text, s.joins_next) for s in hymn.stanzas[1].syllables] == [
        ("Day", False),
        ("light", False),
    ]


def test_a_printed_number_is_the_stanza_s():
    hymn = one(note("C5", lyrics=lyric("2. Oh", 1) + lyric("3. My", 2)) + notes("D5 E5 F5"))
    assert [(s.number, s.syllables[0].text) for s in hymn.stanzas] == [(2, "Oh"), (3, "My")]


def test_clashing_numbers_count_the_lines_and_say_so():
    lyrics = lyric("1. Oh", 1) + lyric("and", 2) + lyric("2. My", 3) + lyric("with", 4)
    hymn = one(note("C5", lyrics=lyrics) + notes("D5 E5 F5"))
    assert [s.number for s in hymn.stanzas] == [1, 2, 3, 4]
    assert any("printed as number 2" in remark.text for remark in hymn.remarks)


def test_two_words_on_one_note():
    elided = (
        '<lyric number="1"><syllabic>single</syllabic><text>the</text><elision> </elision>'
        "<syllabic>begin</syllabic><text>e</text></lyric>"
    )
    syllable = one(note("C5", lyrics=elided) + notes("D5 E5 F5")).stanzas[0].syllables[0]
    assert (syllable.text, syllable.joins_next) == ("the e", True)


def test_a_syllable_reaches_over_ties_slurs_and_hyphens():
    hymn = one(
        note("C5", 0.5, tie="start", lyrics=lyric("Long"))
        + note("C5", 0.5, tie="stop")
        + note("D5", 0.5, lyrics=lyric("way"), notations='<slur type="start"/>')
        + note("E5", 0.5, notations='<slur type="stop"/>')
        + note("F5", 0.5, lyrics=lyric("ho", syllabic="begin"))
        + note("E5", 0.5)
        + note("D5", lyrics=lyric("me", syllabic="end"))
    )
    assert reach(hymn.stanzas[0]) == [("Long", 0, 1), ("way", 1, 2), ("ho", 2, 3), ("me", 3, 4)]


def test_a_melisma_ends_at_a_rest():
    drawn = lyric("sing", extra='<extend type="start"/>')
    hymn = one(note("C5", lyrics=drawn) + notes("D5 r E5"))
    assert reach(hymn.stanzas[0]) == [("sing", 0, 2)]


def test_a_refrain_printed_once_is_found():
    verse = [lyric(text, 1) + lyric(text, 2) for text in ("we", "go", "to", "work")]
    chorus = [lyric(text, 1) for text in ("sing", "all", "day", "long")]
    hymn = read(
        measure(opening() + "".join(note("C5", lyrics=words) for words in verse)),
        measure("".join(note("D5", lyrics=words) for words in chorus), "2"),
    )
    assert [(span.start_q, span.end_q) for span in hymn.refrains] == [(4, 8)]
    assert [len(stanza.syllables) for stanza in hymn.stanzas] == [8, 4]


def test_words_under_another_voice_are_kept_apart():
    alto = note("A4", voice=2, lyrics=lyric("low")) + notes("A4 A4 A4", voice=2)
    hymn = one(note("C5", lyrics=lyric("high")) + notes("D5 E5 F5") + back(4) + alto)
    assert [(s.voice, s.syllables[0].text) for s in hymn.stanzas] == [("soprano", "high")]
    assert [(s.voice, s.syllables[0].text) for s in hymn.other_words] == [("alto", "low")]


def test_words_under_a_chord_are_the_upper_voice_s():
    chord = note("E4", 4, lyrics=lyric("all")) + note("C5", 4, chord=True)
    hymn = one(chord)
    assert [s.voice for s in (*hymn.stanzas, *hymn.other_words)] == ["soprano"]


def test_words_only_under_a_lower_voice_are_told():
    alto = note("A4", voice=2, lyrics=lyric("low")) + notes("A4 A4 A4", voice=2)
    hymn = one(notes("C5 D5 E5 F5") + back(4) + alto)
    assert hymn.stanzas == ()
    assert any("alto" in remark.text for remark in hymn.remarks)
