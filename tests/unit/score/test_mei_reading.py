"""What a MusicXML score says on and beside its notes is kept."""

from __future__ import annotations

from fractions import Fraction

from suspirium.score.mei import read_score
from suspirium.score.model import Annotation, Credit, Hymn, KeyChange, Note, TimeSignature
from suspirium.score.pitch import Pitch
from tests.unit.score.engraved import back, measure, note, notes, opening, score

Q = Fraction


def read(*measures: str, header: str = "") -> Hymn:
    return read_score(score("".join(measures), header=header), "hymn.musicxml")


def one(content: str) -> Hymn:
    """A hymn of one 4/4 measure on one staff."""
    return read(measure(opening() + content))


def test_pitches_keep_their_spelling():
    melody = one(notes("F#4 Gb4 B4 Cb5")).melody
    assert [str(note.pitches[0]) for note in melody.notes] == ["F♯4", "G♭4", "B4", "C♭5"]


def test_a_tie_belongs_to_the_note_it_starts_at():
    melody = one(note("C5", 2, tie="start") + note("C5", 2, tie="stop")).melody
    assert [note.tied for note in melody.notes] == [True, False]


def test_slurs_count_at_both_ends():
    start, stop = '<slur type="start" number="1"/>', '<slur type="stop" number="1"/>'
    found = one(
        note("C5", notations=start) + notes("D5") + note("E5", notations=stop) + notes("F5")
    )
    assert [(n.slurs_begin, n.slurs_end) for n in found.melody.notes] == [
        (1, 0),
        (0, 0),
        (0, 1),
        (0, 0),
    ]


def test_signs_on_a_note():
    signs = (
        "<ornaments><trill-mark/></ornaments>"
        "<technical><fingering>5-4</fingering></technical>"
        "<articulations><accent/><breath-mark/></articulations><fermata/>"
    )
    first, second = one(note("C5", 2, notations=signs) + note("D5", 2)).melody.notes
    assert (first.fermata, first.breath) == (True, True)
    assert first.fingering == ("5-4",)
    assert first.decorations == ("accent", "trill")
    assert second == Note(Q(2), Q(2), (Pitch("D", 0, 5),))


def test_a_caesura_is_a_breath():
    mark = "<articulations><caesura/></articulations>"
    assert one(notes("C5 D5") + note("E5", 2, notations=mark)).melody.notes[2].breath


def test_a_breath_below_the_staff_is_the_lower_voice_s():
    marks = "<articulations><breath-mark placement='{}'/></articulations>"
    upper = note("C5", 2, notations=marks.format("above")) + note("D5", 2)
    lower = note("A4", 2, voice=2) + note("F4", 2, voice=2, notations=marks.format("below"))
    soprano, alto = one(upper + back(4) + lower).voices
    assert [n.breath for n in soprano.notes] == [True, False]
    assert [n.breath for n in alto.notes] == [False, True]


def test_grace_notes_stand_before_their_note():
    grace = "<note><grace/><pitch><step>D</step><octave>5</octave></pitch><voice>1</voice></note>"
    found = one(notes("C5 C5") + grace + notes("C5 C5")).melody.notes
    assert [n.graces for n in found] == [(), (), (Pitch("D", 0, 5),), ()]


def test_triplets_last_exactly_two_in_three():
    third = note("C5", 0.5).replace("<duration>6<", "<duration>4<")
    ratio = (
        "<time-modification><actual-notes>3</actual-notes><normal-notes>2</normal-notes>"
        "</time-modification><staff>"
    )
    melody = one(third.replace("<staff>", ratio) * 3 + notes("D5 E5 F5")).melody
    assert [n.duration_q for n in melody.notes[:3]] == [Q(1, 3)] * 3
    assert melody.notes[0].tuplet == (3, 2)
    assert melody.notes[3].onset_q == 1


def test_beams_join_to_the_note_before():
    begin, end = '<beam number="1">begin</beam>', '<beam number="1">end</beam>'
    eighth = note("C5", 0.5)
    first = eighth.replace("<notations>", f"{begin}<notations>")
    last = eighth.replace("<notations>", f"{end}<notations>")
    melody = one(first + last + eighth + eighth + notes("D5 E5")).melody
    assert [n.beamed for n in melody.notes] == [False, True, False, False, False, False]


def test_rests_are_seen_or_hidden():
    melody = one(notes("C5 r x D5")).melody
    assert [(n.is_rest, n.hidden) for n in melody.notes] == [
        (False, False),
        (True, False),
        (True, True),
        (False, False),
    ]


def test_a_pickup_is_number_0():
    found = read(
        measure(opening() + notes("G4"), "0", implicit=True),
        measure(notes("C5 D5 E5 F5"), "1"),
        measure(notes("G5", 2) + notes("C5"), "2"),
    )
    assert found.pickup_q == 1
    assert [m.number for m in found.measures] == [0, 1, 2]


def test_a_bar_that_a_double_bar_splits_is_one_bar():
    double = '<barline location="right"><bar-style>light-light</bar-style></barline>'
    found = read(
        measure(opening() + notes("C5 D5 E5 F5"), "1"),
        measure(notes("C5 D5 E5") + double, "2"),
        measure(notes("F5"), "X1", implicit=True),
        measure(notes("C5 D5 E5 F5"), "3"),
    )
    assert [(m.number, m.continues) for m in found.measures] == [
        (1, False),
        (2, False),
        (2, True),
        (3, False),
    ]
    assert found.measures[1].right == "double"


def test_a_barline_inside_a_measure_splits_it():
    middle = '<barline location="middle"><bar-style>light-light</bar-style></barline>'
    found = one(notes("C5 D5 E5") + middle + notes("F5"))
    assert [(m.onset_q, m.duration_q, m.right, m.continues) for m in found.measures] == [
        (0, 3, "double", False),
        (3, 1, "single", True),
    ]


def test_repeats_and_endings():
    def bar(number: str, left: str = "", right: str = "") -> str:
        opened = f'<barline location="left">{left}</barline>' if left else ""
        closed = f'<barline location="right">{right}</barline>' if right else ""
        attributes = opening() if number == "1" else ""
        return measure(opened + attributes + notes("C5", 4) + closed, number)

    found = read(
        bar("1"),
        bar("2", left='<repeat direction="forward"/>'),
        bar(
            "3",
            left='<ending number="1, 3" type="start"/>',
            right='<ending number="1, 3" type="stop"/><repeat direction="backward"/>',
        ),
        bar(
            "4",
            left='<ending number="2" type="start"/>',
            right='<bar-style>light-heavy</bar-style><ending number="2" type="discontinue"/>',
        ),
    )
    assert [m.endings for m in found.measures] == [(), (), (1, 3), (2,)]
    assert [m.repeat_start for m in found.measures] == [False, True, False, False]
    assert [m.repeat_end for m in found.measures] == [False, False, True, False]
    assert [m.right for m in found.measures] == ["double", "single", "final", "final"]


def test_signatures_change():
    change = (
        "<attributes><key><fifths>-1</fifths><mode>minor</mode></key>"
        '<time symbol="cut"><beats>2</beats><beat-type>2</beat-type></time></attributes>'
    )
    free = "<attributes><time><senza-misura/></time></attributes>"
    found = read(
        measure(opening(time="3/4", fifths=2) + notes("C5 D5 E5")),
        measure(change + notes("F5 G5 A5 B5"), "2"),
        measure(free + notes("F5 G5 A5 B5 C6"), "3"),
    )
    assert [(c.onset_q, c.time) for c in found.times] == [
        (0, TimeSignature(3, 4)),
        (3, TimeSignature(2, 2, "¢")),
        (7, None),
    ]
    assert found.keys == (KeyChange(Q(0), 2), KeyChange(Q(3), -1, "minor"))
    assert found.measures[-1].duration_q == 5


def test_measures_that_do_not_add_up_stay_as_written():
    found = read(measure(opening() + notes("C5 D5 E5 F5")), measure(notes("C5 D5 E5 F5 G5"), "2"))
    assert [m.duration_q for m in found.measures] == [4, 5]


def test_a_repeat_that_is_not_followed_is_told():
    jump = '<direction><direction-type><words>D.C. al Fine</words></direction-type><sound dacapo="yes"/></direction>'  # noqa: E501
    found = one(notes("C5 D5 E5 F5") + jump)
    assert any("D.C. al Fine" in said.text for said in (*found.annotations, *found.remarks))


def test_texts_over_the_music_and_tempo():
    text = "<direction><direction-type><words>{}</words></direction-type>{}</direction>"
    found = one(
        text.format("Brightly", '<sound tempo="92.5"/>')
        + notes("C5 D5")
        + text.format("Refrain", "")
        + notes("E5 F5")
    )
    assert found.annotations == (Annotation(Q(0), "Brightly"), Annotation(Q(2), "Refrain"))
    assert found.quarter_bpm == 92.5


def test_titles_and_credits():
    header = (
        "<work><work-title>hymn.mxl</work-title></work>"
        "<movement-title>Morning Field</movement-title><identification>"
        '<creator type="composer">Ben Sample</creator>'
        '<creator type="lyricist">Ann Example</creator>'
        '<creator type="arranger">Cy Model</creator>'
        "<rights>Public domain</rights><source>First Book\nSecond Book</source>"
        "</identification>"
    )
    found = read(measure(opening() + notes("C5", 4)), header=header)
    assert found.title == "Morning Field"
    assert found.credits == (
        Credit("music", "Ben Sample"),
        Credit("words", "Ann Example"),
        Credit("setting", "Cy Model"),
        Credit("copyright", "Public domain"),
        Credit("source", "First Book"),
        Credit("source", "Second Book"),
    )


def test_without_a_title_the_file_gives_its_name():
    header = "<work><work-title>draft.musicxml</work-title></work>"
    assert read(measure(opening() + notes("C5", 4)), header=header).title == "hymn"


def test_parts_of_measures_are_read_as_measures_of_parts():
    timewise = (
        '<score-timewise version="4.0"><part-list><score-part id="P1"><part-name/></score-part>'
        f'</part-list><measure number="1"><part id="P1">{opening()}{notes("C5", 4)}</part>'
        f'</measure><measure number="2"><part id="P1">{notes("D5", 4)}</part></measure>'
        "</score-timewise>"
    ).encode()
    melody = read_score(timewise, "hymn.xml").melody
    assert [str(n.pitches[0]) for n in melody.notes] == ["C5", "D5"]


def test_reading_twice_gives_the_same():
    data = score(measure(opening() + notes("C5 D5 E5 F5")))
    assert read_score(data, "hymn.musicxml") == read_score(data, "hymn.musicxml")
