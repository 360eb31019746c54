"""Words laid under the notes as JSON values."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from suspirium.render.numbers import number
from suspirium.score.model import Hymn
from suspirium.verse.underlay import Laid, LaidLine

FORMAT = "suspirium-underlay/1"


def underlay_values(hymn: Hymn, laid: Sequence[Laid], source: str) -> dict[str, Any]:
    """The stanzas laid, note by note, and the lines that do not fit or are doubtful.

    Onsets in quarter notes from the start of the written score.
    """
    return {
        "format": FORMAT,
        "source": source,
        "title": hymn.title,
        "stanzas": [
            {
                "stanza": one.stanza.number,
                "language": one.language,
                "syllables": [
                    {
                        "syllable": syllable.text,
                        "onset_q": number(syllable.onset_q),
                        "joins_next": syllable.joins_next,
                    }
                    for syllable in one.stanza.syllables
                ],
            }
            for one in laid
        ],
        "misfits": [_line(one, line) for one in laid for line in one.lines if not line.fits],
        "doubtful": [
            _line(one, line) for one in laid for line in one.lines if line.fits and line.doubts
        ],
    }


def _line(one: Laid, line: LaidLine) -> dict[str, Any]:
    return {
        "stanza": one.stanza.number,
        "line": line.number,
        "text": line.text,
        "syllables": line.syllables,
        "notes": line.notes,
        "doubts": list(line.doubts),
    }
