"""What verovio warned of, in words an organist can use; the rest of its log is left out."""

from __future__ import annotations

import re
from collections.abc import Iterator

from suspirium.errors import Place, Remark, ScoreError

_LINE = re.compile(r"\bline:?\s+(\d+)")
_SAID = (
    (r"There are (?P<count>\d+) ties left open", "{count} ties lead nowhere and are left out."),
    (
        r"slur \d+ from measure (?P<measure>\d+) could not be ended",
        "a slur that begins here has no end and is left out.",
    ),
    (
        r"slur ending for element .* could not be matched",
        "a slur has no beginning; it is left out.",
    ),
    (r"Chord note without a chord starting point", "a chord lacks its first note; part is lost."),
    (r"Chord starting point has not been found", "a chord lacks its first note; part is lost."),
    (
        r"Mismatching measure number (?P<measure>\d+)",
        "the parts number this measure differently.",
    ),
    (r"Could not find the part '(?P<part>.*)'", 'the part "{part}" is listed and missing.'),
    (
        r"Element '.*' could not be added to measure (?P<measure>\d+)",
        "a note or sign has no place in this measure and is left out.",
    ),
    (r"Unexpected pitch", "a note has no readable pitch."),
    (r"Unsupported (?:step|note-type-)value", "a note has no readable pitch or value."),
    (r"Dangling ending tag", "the bracket of an ending has no beginning and is left out."),
)
_PATTERNS = tuple((re.compile(pattern), sentence) for pattern, sentence in _SAID)


def remarks_on(log: str) -> Iterator[Remark]:
    """One remark for each thing that was lost, the same thing said once."""
    found = dict.fromkeys(remark for line in log.splitlines() for remark in _remark(line))
    yield from found


def _remark(line: str) -> Iterator[Remark]:
    for pattern, sentence in _PATTERNS:
        match = pattern.search(line)
        if match:
            groups = match.groupdict()
            number = groups.pop("measure", None)
            place = Place(measure=int(number) if number else None)
            yield Remark(sentence.format(**groups), place)
            return


def unreadable(log: str, name: str) -> ScoreError:
    """Why the file called `name` could not be read, as far as the log tells."""
    if "Multimetric" in log:
        return ScoreError(
            f"{name} has parts whose barlines do not stand together, which can't be read: "
            "write all parts in one time signature."
        )
    line = _LINE.search(log)
    return ScoreError(
        f"{name} is damaged and can't be read: save it again from the program that made it.",
        Place(line=int(line[1]) if line else None),
    )
