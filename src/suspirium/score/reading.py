"""Reading a score of any known format from its bytes."""

from __future__ import annotations

from suspirium.errors import ScoreError
from suspirium.score.checks import checked
from suspirium.score.decoding import decoded
from suspirium.score.model import Hymn

ABC, MIDI, ENGRAVED = "abc", "midi", "engraved"

_BY_ENDING = {
    "abc": ABC,
    "mid": MIDI,
    "midi": MIDI,
    "musicxml": ENGRAVED,
    "xml": ENGRAVED,
    "mxl": ENGRAVED,
    "mei": ENGRAVED,
    "krn": ENGRAVED,
    "kern": ENGRAVED,
}
_BY_OPENING = (
    (b"MThd", MIDI),
    (b"PK\x03\x04", ENGRAVED),
    (b"<", ENGRAVED),
    (b"**", ENGRAVED),
    (b"!!", ENGRAVED),
    (b"%abc", ABC),
    (b"X:", ABC),
)


# What files of scores are called; the content decides what they are.
ENDINGS = (".abc", ".musicxml", ".xml", ".mxl", ".mei", ".krn", ".mid", ".midi")


def read(data: bytes, name: str) -> Hymn:
    """The hymn in a score file, checked; its content tells the format, else its name.

    Reads ABC, Standard MIDI files, MusicXML (also compressed), MEI and Humdrum kern.
    Raises `ScoreError` for anything that is no score with notes.
    """
    short_name = name.replace("\\", "/").rpartition("/")[2]
    if not data.strip():
        raise ScoreError(f"{short_name} is empty: there is no hymn in it.")
    kind = _format(data, short_name)
    if kind == ABC:
        return checked(_read_abc(data))
    if kind == MIDI:
        return checked(_read_midi(data))
    return checked(_read_engraved(data, short_name))


def _format(data: bytes, name: str) -> str:
    opening = data.removeprefix(b"\xef\xbb\xbf").lstrip()
    for mark, kind in _BY_OPENING:
        if opening.startswith(mark):
            return kind
    kind_by_name = _BY_ENDING.get(name.rpartition(".")[2].lower())
    if kind_by_name is None:
        raise ScoreError(
            f"{name} is in no format that can be read; a score may be ABC (.abc), "
            "MusicXML (.musicxml, .mxl), MEI (.mei), kern (.krn) or MIDI (.mid)."
        )
    return kind_by_name


# The readers are imported when they are needed: their libraries are slow to load.


def _read_abc(data: bytes) -> Hymn:
    from suspirium.score.abc import read_abc

    return read_abc(decoded(data))


def _read_midi(data: bytes) -> Hymn:
    from suspirium.score.midi import read_midi

    return read_midi(data)


def _read_engraved(data: bytes, name: str) -> Hymn:
    from suspirium.score.mei import read_score

    return read_score(data, name)
