"""Prints how well plain stanzas find their notes.

python benchmarks/underlay/evaluate.py [--worst N]

Of each hymn with several stanzas under its notes, the second and later ones are hidden and
given back as plain text, a line of the poem a line; counted are the syllables that come to
the note they are printed under. Stanzas that are printed under other music than the first
are left out: nothing in a plain text says so. "Spelt out" writes elided words in full
(heaven for heav'n).
"""

from __future__ import annotations

import argparse
import re
from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

from suspirium.plan.lines import lines_of
from suspirium.score.model import Hymn, Stanza
from suspirium.score.reading import read
from suspirium.score.words import plain_text
from suspirium.verse.underlay import Laid, lay_stanza

HYMNS = Path(__file__).resolve().parents[2].parent / "shared" / "hymns"
_ELISIONS = (
    ("heav'n", "heaven"),
    ("pow'r", "power"),
    ("ev'ry", "every"),
    ("e'er", "ever"),
    ("o'er", "over"),
    ("e'en", "even"),
    ("giv'n", "given"),
    ("flow'r", "flower"),
)


def main() -> None:
    """Lay every later stanza and print the shares."""
    parser = argparse.ArgumentParser(description="Lay hidden stanzas under their tunes.")
    parser.add_argument("--worst", type=int, default=0, help="how many stanzas to list")
    given = parser.parse_args()
    for name, spelt in (("as printed", False), ("spelt out", True)):
        right = total = perfect = stanzas = flagged = 0
        worst: list[tuple[float, str]] = []
        for hymn in hymns():
            for stanza, lines, texts in hidden(hymn):
                alone = replace(hymn, stanzas=hymn.stanzas[:1], plain_stanzas=())
                written = [spelt_out(text) for text in texts] if spelt else texts
                laid = lay_stanza(alone, written, stanza.number, lines)
                good, count = agreement(stanza, laid)
                right, total = right + good, total + count
                stanzas, perfect = stanzas + 1, perfect + (good == count)
                flagged += any(not line.fits for line in laid.lines)
                worst.append((good / count, f"{hymn.title}, stanza {stanza.number}"))
        print(
            f"{name}: {right} of {total} syllables on the right note ({right / total:.2%}), "
            f"{perfect} of {stanzas} stanzas perfect, {flagged} with a line said not to fit"
        )
        for share, where in sorted(worst)[: given.worst]:
            print(f"    {share:.1%} {where}")


def hymns() -> Iterator[Hymn]:
    """The hymns with several stanzas under the notes."""
    for path in sorted(HYMNS.glob("*.abc")):
        hymn = read(path.read_bytes(), path.name)
        if len(hymn.stanzas) > 1:
            yield hymn


def hidden(hymn: Hymn) -> Iterator[tuple[Stanza, list[tuple[Fraction, Fraction]], list[str]]]:
    """Each later stanza with the tune's lines and its own as plain text."""
    alone = replace(hymn, stanzas=hymn.stanzas[:1], plain_stanzas=())
    lines = [(span.first_onset_q, span.last_onset_q) for span in lines_of(alone)]
    opening = hymn.stanzas[0].syllables[0].onset_q
    for stanza in hymn.stanzas[1:]:
        if stanza.syllables[0].onset_q != opening:
            continue
        syllables = stanza.syllables
        texts = [
            plain_text(tuple(s for s in syllables if first <= s.onset_q <= last))
            for first, last in lines
        ]
        yield stanza, lines, [text for text in texts if text]


def spelt_out(text: str) -> str:
    """The line with its elided words in full."""
    for short, full in _ELISIONS:
        text = re.sub(short.replace("'", "['’]"), full, text, flags=re.IGNORECASE)
    return text


def agreement(stanza: Stanza, laid: Laid) -> tuple[int, int]:
    """Onsets of the printed syllables, in order, that the laid stanza has too."""
    printed = [s.onset_q for s in stanza.syllables]
    found = {s.onset_q for s in laid.stanza.syllables}
    return sum(onset in found for onset in printed), len(printed)


if __name__ == "__main__":
    main()
