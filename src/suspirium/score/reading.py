"""Reading a score of any known format from its bytes."""

from __future__ import annotations

from suspirium.errors import ScoreError
from suspirium.score.model import Hymn

ABC, MIDI, SCORE = "abc", "midi", "score"
_FORMATS = {
    "abc": ABC,
    "mid": MIDI,
    "midi": MIDI,
    "musicxml": SCORE,
    "xml": SCORE,
    "mxl": SCORE,
    "mei": SCORE,
    "krn": SCORE,
    "kern": SCORE,
}


def read(data: bytes, name: str) -> Hymn:
    """The hymn in a score file; `name` (of the file) tells the format with the content.

    Reads ABC, MIDI, MusicXML, MEI and Humdrum kern. Raises `ScoreError`.
    """
    if not data.strip():
        raise ScoreError(f"{name} is empty: there is no hymn in it.")
    kind = _format(data, name)
    if kind == ABC:
        from suspirium.score.abc import read_abc

        return read_abc(_text(data))
    if kind == MIDI:
        raise ScoreError("MIDI files can't be read yet.")
    from suspirium.score.mei import read_score  # verovio is slow to import

    return read_score(data, name)


def _format(data: bytes, name: str) -> str:
    if data.startswith(b"MThd"):
        return MIDI
    ending = name.rpartition(".")[2].lower()
    kind = _FORMATS.get(ending)
    if kind is None:
        raise ScoreError(
            f"{name} is in no format that can be read (ABC, MIDI, MusicXML, MEI, kern)."
        )
    return kind


def _text(data: bytes) -> str:
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError:
        return data.decode("latin-1")
