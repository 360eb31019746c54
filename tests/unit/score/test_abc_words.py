"""Words under the notes of ABC music (ABC standard 2.1, section 5)."""

from __future__ import annotations

import pytest

from suspirium.score.abc import read_abc
from suspirium.score.abc.words import HOLD, SYLLABLE, plain_stanzas, read_words
from suspirium.score.model import Hymn
from suspirium.score.words import plain_text
from tests.build import four_part, hymn

HEADER = "X:1\nT:Test\nM:4/4\nL:1/4\nK:C\n"


def syllables(tune: Hymn, place: int = 0) -> list[tuple[int, int, str]]:
    return [(s.onset_q, s.end_q, s.text) for s in tune.stanzas[place].syllables]  # type: ignore[misc]


@pytest.mark.parametrize(
    ("text", "count"),
    [("syll-a-ble", 3), ("syll-a--ble", 4), ("syll-a -ble", 4), ("syll-a - -ble", 5),
     ("syll-a-- ble", 4), ("time__", 3), ("of~the~day", 1), ("A- bide with me", 4)],
)  # fmt: skip
def test_examples_of_the_standard(text: str, count: int):
    # ABC 2.1, 5.1: how many notes each example takes; the last from common practice.
    _, words = read_words(text)
    assert sum(word.kind in (SYLLABLE, HOLD) for word in words) == count


def test_hyphens_join_syllables():
    _, words = read_words("A-bide with com- fort")
    assert [(w.text, w.joins_next) for w in words] == [
        ("A", True), ("bide", False), ("with", False), ("com", True), ("fort", False)]  # fmt: skip


def test_a_joining_tilde_is_a_space_and_an_escaped_hyphen_a_hyphen():
    _, words = read_words(r"of~the day life\-im-part-ing")
    assert [word.text for word in words] == ["of the", "day", "life-im", "part", "ing"]


@pytest.mark.parametrize(
    ("text", "number", "first"),
    [("1.~Come now", 1, "Come"), ("12.~Come", 12, "Come"), ("2. Come", 2, "Come"),
     ("3)~Come", 3, "Come"), ("3,~Come", 3, "Come"), ("4~Come", 4, "Come"), ("Come", None, "Come"),
     ("10,000 sing", 10, "000")],
)  # fmt: skip
def test_stanza_numbers(text: str, number: int | None, first: str):
    found, words = read_words(text)
    assert found == number
    assert words[0].text == first


def test_each_syllable_covers_its_melisma():
    tune = hymn("(c d) e/f/ g | a4 |]", words=("Al- * le- * lu- ia",))
    assert syllables(tune) == [(0, 2, "Al"), (2, 3, "le"), (3, 4, "lu"), (4, 8, "ia")]


def test_a_hold_covers_notes_that_no_slur_joins():
    tune = hymn("c d e f |]", words=("time__ flies",))
    assert syllables(tune) == [(0, 3, "time"), (3, 4, "flies")]


def test_a_tied_note_needs_its_star_and_is_covered():
    tune = hymn("c2- c d |]", words=("Lord, * hear",))
    assert syllables(tune) == [(0, 3, "Lord,"), (3, 4, "hear")]


def test_rests_and_graces_take_no_syllable():
    tune = hymn("c z {e}d x |]", words=("one two",))
    assert syllables(tune) == [(0, 1, "one"), (2, 3, "two")]


def test_a_blank_after_a_rest_is_silence():
    tune = hymn("c z d e |]", words=("one * two", "one more two"))
    assert syllables(tune) == [(0, 1, "one"), (3, 4, "two")]


def test_a_bar_in_the_words_goes_to_the_next_bar():
    tune = hymn("c d e f | g4 |]", words=("one two | three",))
    assert syllables(tune)[-1] == (4, 8, "three")


def test_a_bar_after_a_full_bar_changes_nothing():
    tune = hymn("c d | e f |]", metre="2/4", words=("one two | three four",))
    assert [text for _, _, text in syllables(tune)] == ["one", "two", "three", "four"]


def test_an_unslurred_blank_inside_a_line_is_a_melisma():
    tune = hymn("c d e f |]", words=("hea- ven is near", "skies * are near"))
    assert syllables(tune, 1)[0] == (0, 2, "skies")


def test_blanks_up_to_the_end_of_a_stanza_are_silence():
    tune = hymn("c d e f | g a b c' |]", words=("one two and it is well now * ", "one two * * * *"))
    assert syllables(tune, 1) == [(0, 1, "one"), (1, 2, "two")]


def test_too_many_syllables_are_told_and_left_out():
    tune = hymn("c d e f |]", words=("1.~a b c d e f",))
    remark = next(r for r in tune.remarks if "more syllables than notes" in r.text)
    assert remark.text.startswith("2 more")
    assert '"e f"' in remark.text
    assert (remark.place.measure, remark.place.stanza) == (1, 1)


def test_stanzas_keep_their_numbers_over_systems():
    tune = read_abc(HEADER + "c d e f |\nw: 1.~a b c d\nw: 2.~e f g h\ng a b c' |]\n"
                    "w: i j k l\nw: m n o p\n")  # fmt: skip
    assert [stanza.number for stanza in tune.stanzas] == [1, 2]
    assert plain_text(tune.stanzas[1].syllables) == "e f g h m n o p"


def test_numbers_named_later_hold_for_the_lines_before():
    tune = read_abc(HEADER + "c d e f |\nw: O sing with joy\ng a b c' |]\n"
                    "w: 4.~a b c d\nw: 5.~e f g h\n")  # fmt: skip
    assert [stanza.number for stanza in tune.stanzas] == [4, 5]
    assert len(tune.stanzas[0].syllables) == 8


def test_a_stanza_number_may_change_between_strains():
    tune = read_abc(HEADER + "c d e f ||\nw: 1.~a b c d\nw: 3.~e f g h\ng a b c' |]\n"
                    "w: 2.~i j k l\nw: 4.~m n o p\n")  # fmt: skip
    assert [stanza.number for stanza in tune.stanzas] == [1, 2, 3, 4]
    assert syllables(tune, 1)[0] == (4, 5, "i")


def test_a_refrain_printed_once():
    tune = read_abc(HEADER + "c d e f |\nw: 1.~a b c d\nw: 2.~e f g h\ng a b c' |]\n"
                    "w: O praise the Lord\n")  # fmt: skip
    assert [(span.start_q, span.end_q) for span in tune.refrains] == [(4, 8)]


def test_words_under_another_voice():
    tune = read_abc(HEADER + "[V:1] c d e f |]\nw: one two three four\n"
                    "[V:2] E4 |]\nw: one\n")  # fmt: skip
    assert [stanza.voice for stanza in tune.stanzas] == ["soprano"]
    assert [(stanza.voice, len(stanza.syllables)) for stanza in tune.other_words] == [("alto", 1)]


def test_words_follow_the_music_line_just_before():
    tune = read_abc(HEADER + "c d e f |\ng a b c' |]\nw: one two three four\n")
    assert syllables(tune)[0] == (4, 5, "one")


def test_words_go_on_with_a_plus_field_or_a_backslash():
    for joint in ("\n+: three four", "\\\nw: three four"):
        tune = read_abc(HEADER + f"c d e f |]\nw: one two{joint}\n")
        assert len(tune.stanzas[0].syllables) == 4


def test_chords_on_one_staff_take_one_syllable_each():
    tune = read_abc(HEADER + "[Ec] [Fd] [Ge] [Fd] |]\nw: one two three four\n")
    assert [voice.name for voice in tune.voices] == ["soprano", "alto"]
    assert len(tune.stanzas[0].syllables) == 4


def test_four_part_words_stand_under_the_soprano():
    tune = four_part("c d e f |]", "G4 |]", "E4 |]", "C4 |]", words=("1.~a b c d",))
    assert tune.stanzas[0].voice == "soprano"
    assert tune.other_words == ()


def test_accents_written_as_codes():
    tune = hymn("c d e f |]", words=(r"bless- \`ed f\"ur &eacute;t\'e",))
    assert [s.text for s in tune.stanzas[0].syllables] == ["bless", "èd", "für", "été"]


def test_plain_stanzas():
    numbers, stanzas = plain_stanzas(
        ["6.I need thee", "every hour", "", "7. In joy", "or pain", "8. Third", "line two"]
    )
    assert numbers == [6, 7, 8]
    assert stanzas == (("I need thee", "every hour"), ("In joy", "or pain"), ("Third", "line two"))


def test_plain_stanzas_without_numbers_are_parted_by_blank_lines():
    assert plain_stanzas(["one", "two", "", "", "three"]) == (
        [None, None], (("one", "two"), ("three",)))  # fmt: skip


def test_a_printed_number_out_of_order_is_told():
    tune = read_abc(HEADER + "c d e f |]\nw: 1.~a b c d\nW: 5. Far away\n")
    assert tune.plain_stanzas == (("Far away",),)
    assert any("number 5" in remark.text and "stanza 2" in remark.text for remark in tune.remarks)
