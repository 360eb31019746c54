"""However the voices are laid out on staves, they are found."""

from __future__ import annotations

from suspirium.score.mei import read_score
from suspirium.score.model import Hymn, Voice
from tests.unit.score.engraved import back, lyric, measure, note, notes, opening, score

SATB = ["soprano", "alto", "tenor", "bass"]
SOPRANO, ALTO, TENOR, BASS = "C5 D5 E5 D5", "G4 G4 G4 F4", "E3 D3 C3 D3", "C3 B2 C3 D3"


def read(*parts: str, names: tuple[str, ...] = ()) -> Hymn:
    return read_score(score(*parts, names=names), "hymn.musicxml")


def sung(voice: Voice) -> str:
    """A voice's notes as text: chords joined by +, rests as r or x."""
    return " ".join(
        "+".join(str(pitch) for pitch in note.pitches) or ("x" if note.hidden else "r")
        for note in voice.notes
    )


def names_of(hymn: Hymn) -> list[str]:
    return [voice.name for voice in hymn.voices]


def test_two_staves_of_two_voices():
    hymn = read(
        measure(
            opening(2)
            + notes(SOPRANO)
            + back(4)
            + notes(ALTO, voice=2)
            + back(4)
            + notes(TENOR, voice=5, staff=2)
            + back(4)
            + notes(BASS, voice=6, staff=2)
        )
    )
    assert names_of(hymn) == SATB
    assert [sung(voice) for voice in hymn.voices] == [SOPRANO, ALTO, TENOR, BASS]
    assert [(voice.staff, voice.clef) for voice in hymn.voices] == [
        (0, "treble"),
        (0, "treble"),
        (1, "bass"),
        (1, "bass"),
    ]


def test_two_staves_of_chords():
    hymn = read(
        measure(
            opening(2)
            + notes("G4+C5 G4+D5 E5 F4+D5")
            + back(4)
            + notes("C3+E3 B2+D3 C3 D3", staff=2, voice=5)
        )
    )
    assert names_of(hymn) == SATB
    assert [sung(voice) for voice in hymn.voices] == [
        "C5 D5 E5 D5",
        "G4 G4 E5 F4",
        "E3 D3 C3 D3",
        "C3 B2 C3 D3",
    ]


def test_a_chord_s_fermata_and_breath_are_both_voices():
    signs = "<fermata/><articulations><breath-mark/></articulations>"
    last = note("E4", 2, notations=signs) + note("C5", 2, chord=True)
    hymn = read(measure(opening() + notes("E4+C5 D4+B4") + last))
    assert [voice.notes[-1].fermata for voice in hymn.voices] == [True, True]
    assert [voice.notes[-1].breath for voice in hymn.voices] == [True, True]


def test_an_alto_that_moves_under_a_held_soprano():
    held = note("E4") + note("C5", chord=True, tie="start")
    moved = note("F4") + note("C5", chord=True, tie="stop")
    hymn = read(measure(opening() + held + moved + notes("E4+C5 E4+C5")))
    soprano, alto = hymn.voices
    assert [n.tied for n in soprano.notes] == [True, False, False, False]
    assert [n.tied for n in alto.notes] == [False] * 4
    assert sung(alto) == "E4 F4 E4 E4"


def test_chords_in_some_bars_and_voices_in_others():
    hymn = read(
        measure(opening() + notes("G4+C5 G4+D5 G4+E5 F4+D5"))
        + measure(
            notes("C5 D5") + notes("C5", 2) + back(4) + notes("G4", 2, voice=2)
            + notes("A4 G4", voice=2), "2",
        )
        + measure(notes("G4+C5 G4+D5 G4+E5 F4+D5"), "3")
    )  # fmt: skip
    soprano, alto = hymn.voices
    assert sung(soprano) == "C5 D5 E5 D5 C5 D5 C5 C5 D5 E5 D5"
    assert sung(alto) == "G4 G4 G4 F4 G4 A4 G4 G4 G4 G4 F4"


def test_a_divided_soprano_stays_one_voice():
    bar = notes("G4+C5 D5 E5 D5") + back(4) + notes("E4 E4 E4 E4", voice=2)
    soprano, alto = read(measure(opening() + bar)).voices
    assert sung(soprano) == "G4+C5 D5 E5 D5"
    assert sung(alto) == "E4 E4 E4 E4"


def test_a_voice_that_is_absent_for_a_bar_rests_unseen():
    full = notes(SOPRANO) + back(4) + notes(ALTO, voice=2)
    hymn = read(measure(opening() + full) + measure(notes(SOPRANO), "2") + measure(full, "3"))
    assert sung(hymn.voices[1]) == f"{ALTO} x {ALTO}"
    assert hymn.voices[1].notes[4].duration_q == 4


def test_stems_tell_which_voice_is_the_upper():
    upper = "".join(note(p, stem="up", voice=2) for p in SOPRANO.split())
    lower = "".join(note(p, stem="down", voice=1) for p in ALTO.split())
    hymn = read(measure(opening() + lower + back(4) + upper))
    assert [sung(voice) for voice in hymn.voices] == [SOPRANO, ALTO]


def test_four_staves():
    clefs = ("G", "G", "G", "F")
    parts = [
        measure(opening(clefs=clef) + notes(line))
        for clef, line in zip(clefs, (SOPRANO, ALTO, TENOR, BASS), strict=True)
    ]
    hymn = read(*parts)
    assert names_of(hymn) == SATB
    assert [voice.staff for voice in hymn.voices] == [0, 1, 2, 3]


def test_three_staves_for_two_hands_and_pedal():
    hymn = read(
        measure(
            opening(3)
            + notes("G4+C5 G4+D5 G4+E5 F4+D5")
            + back(4)
            + notes(TENOR, voice=5, staff=2)
            + back(4)
            + notes(BASS, voice=9, staff=3)
        )
    )
    assert names_of(hymn) == SATB
    assert [sung(voice) for voice in hymn.voices] == [SOPRANO, ALTO, TENOR, BASS]


def test_a_pedal_that_doubles_the_left_hand_is_no_fifth_voice():
    hymn = read(
        measure(
            opening(3)
            + notes("G4+C5 G4+D5 G4+E5 F4+D5")
            + back(4)
            + notes("C3+E3 B2+D3 C3+C4 D3+D4", voice=5, staff=2)
            + back(4)
            + notes("C2 B1 C2 D2", voice=9, staff=3)
        )
    )
    assert names_of(hymn) == SATB
    assert sung(hymn.voices[0]) == SOPRANO
    assert sung(hymn.voices[3]) == "C2 B1 C2 D2"
    assert any("5 voices" in remark.text for remark in hymn.remarks)


def test_a_melody_over_its_accompaniment_gives_its_words():
    melody = "".join(
        note(pitch, lyrics=lyric(text))
        for pitch, text in zip(SOPRANO.split(), ["we", "sing", "at", "dawn"], strict=True)
    )
    hymn = read(
        measure(opening() + melody),
        measure(
            opening(2)
            + notes("G4+C5 G4+D5 G4+E5 F4+D5")
            + back(4)
            + notes("C3+E3 B2+D3 C3+C4 D3+D4", voice=5, staff=2)
        ),
    )
    assert names_of(hymn) == SATB
    assert [s.text for s in hymn.stanzas[0].syllables] == ["we", "sing", "at", "dawn"]


def test_labelled_voices_are_chosen_among_instruments():
    hymn = read(
        measure(opening() + notes("E5 F5 G5 F5")),
        *(measure(opening() + notes(line)) for line in (SOPRANO, ALTO, TENOR, BASS)),
        measure(opening(clefs="F") + notes("C2 C2 C2 C2")),
        names=("Flute", "Soprano", "Alto", "Tenor", "Bass", "Drone"),
    )
    assert names_of(hymn) == SATB
    assert [sung(voice) for voice in hymn.voices] == [SOPRANO, ALTO, TENOR, BASS]
    assert any("6 voices" in remark.text for remark in hymn.remarks)


def test_five_voices_without_labels_divide_an_inner_one():
    lines = ("E5 F5 G5 F5", SOPRANO, ALTO, TENOR, BASS)
    hymn = read(*(measure(opening() + notes(line)) for line in lines))
    assert names_of(hymn) == SATB
    assert sung(hymn.voices[0]) == "E5 F5 G5 F5"
    assert sung(hymn.voices[1]) == "G4+C5 G4+D5 G4+E5 F4+D5"
    assert sung(hymn.voices[3]) == BASS


def test_a_melody_alone_with_chord_symbols():
    symbol = "<harmony><root><root-step>C</root-step></root><kind>major</kind></harmony>"
    hymn = read(measure(opening() + symbol + notes(SOPRANO)))
    assert names_of(hymn) == ["soprano"]
    assert sung(hymn.melody) == SOPRANO
    assert hymn.annotations == ()


def test_a_single_chord_does_not_make_a_melody_two_voices():
    hymn = read(measure(opening() + notes("C5 D5 E5 E4+C5")))
    assert names_of(hymn) == ["soprano"]
    assert sung(hymn.melody) == "C5 D5 E5 E4+C5"


def test_a_voice_that_moves_over_a_transposed_staff_sounds_where_it_should():
    shift = "<transpose><diatonic>-7</diatonic><chromatic>-12</chromatic></transpose></attributes>"
    hymn = read(
        measure(opening() + notes(SOPRANO)),
        measure(opening().replace("</attributes>", shift) + notes("C5 D5 E5 F5")),
    )
    assert sung(hymn.voices[1]) == "C4 D4 E4 F4"


def test_a_staff_that_is_short_is_told():
    hymn = read(
        measure(opening() + notes(SOPRANO)), measure(opening(clefs="F") + notes("C3 C3 C3"))
    )
    assert sung(hymn.voices[1]) == "C3 C3 C3 x"
    assert any("1 quarter short" in str(remark) for remark in hymn.remarks)


def test_a_staff_in_another_key_is_told():
    hymn = read(*(measure(opening(fifths=fifths) + notes(SOPRANO)) for fifths in (4, 2, 2, 2)))
    assert hymn.keys[0].fifths == 2
    assert [r.place.voice for r in hymn.remarks if "key signature" in r.text] == ["soprano"]
