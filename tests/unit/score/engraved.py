"""Small MusicXML scores for tests, put together from notes."""

from __future__ import annotations

DIVISIONS = 12
_TYPES = {
    48: "<type>whole</type>",
    36: "<type>half</type><dot/>",
    24: "<type>half</type>",
    18: "<type>quarter</type><dot/>",
    12: "<type>quarter</type>",
    6: "<type>eighth</type>",
    3: "<type>16th</type>",
}


def note(
    pitch: str,
    quarters: float = 1,
    *,
    voice: int = 1,
    staff: int = 1,
    chord: bool = False,
    stem: str = "",
    notations: str = "",
    lyrics: str = "",
    tie: str = "",
) -> str:
    """A note such as "C5" or "F#4", a rest "r" or a hidden rest "x"."""
    length = round(quarters * DIVISIONS)
    hidden = ' print-object="no"' if pitch == "x" else ""
    alter = f"<alter>{pitch.count('#') - pitch.count('b')}</alter>"
    what = (
        "<rest/>"
        if pitch in "rx"
        else f"<pitch><step>{pitch[0]}</step>{alter}<octave>{pitch[-1]}</octave></pitch>"
    )
    tied = "".join(f'<tied type="{kind}"/>' for kind in tie.split())
    return (
        f"<note{hidden}>{'<chord/>' if chord else ''}{what}<duration>{length}</duration>"
        + "".join(f'<tie type="{kind}"/>' for kind in tie.split())
        + f"<voice>{voice}</voice>{_TYPES[length]}"
        + (f"<stem>{stem}</stem>" if stem else "")
        + f"<staff>{staff}</staff><notations>{tied}{notations}</notations>{lyrics}</note>"
    )


def notes(text: str, quarters: float = 1, *, voice: int = 1, staff: int = 1) -> str:
    """Notes of one length, parted by spaces; "E4+C5" is a chord."""
    found = []
    for group in text.split():
        for place, pitch in enumerate(group.split("+")):
            found.append(note(pitch, quarters, voice=voice, staff=staff, chord=place > 0))
    return "".join(found)


def back(quarters: float) -> str:
    """A step back in time, to write another voice."""
    return f"<backup><duration>{round(quarters * DIVISIONS)}</duration></backup>"


def lyric(text: str, number: int = 1, syllabic: str = "single", extra: str = "") -> str:
    """One syllable of a stanza."""
    said = f"<syllabic>{syllabic}</syllabic><text>{text}</text>{extra}"
    return f'<lyric number="{number}">{said}</lyric>'


def opening(staves: int = 1, time: str = "4/4", fifths: int = 0, clefs: str = "GFF") -> str:
    """The attributes of a first measure; clefs by their sign, from the top."""
    beats, unit = time.split("/")
    placed = "".join(
        f'<clef number="{n + 1}"><sign>{sign}</sign><line>{2 if sign == "G" else 4}</line></clef>'
        for n, sign in enumerate(clefs[:staves])
    )
    return (
        f"<attributes><divisions>{DIVISIONS}</divisions><key><fifths>{fifths}</fifths></key>"
        f"<time><beats>{beats}</beats><beat-type>{unit}</beat-type></time>"
        f"<staves>{staves}</staves>{placed}</attributes>"
    )


def measure(content: str, number: str = "1", implicit: bool = False) -> str:
    """A measure."""
    said = ' implicit="yes"' if implicit else ""
    return f'<measure number="{number}"{said}>{content}</measure>'


def score(*parts: str, names: tuple[str, ...] = (), header: str = "") -> bytes:
    """A score of parts, each given as its measures."""
    listed = "".join(
        f'<score-part id="P{n}"><part-name>{name}</part-name></score-part>'
        for n, name in enumerate(names or [""] * len(parts), start=1)
    )
    written = "".join(f'<part id="P{n}">{part}</part>' for n, part in enumerate(parts, start=1))
    return (
        f'<score-partwise version="4.0">{header}<part-list>{listed}</part-list>{written}'
        "</score-partwise>"
    ).encode()
