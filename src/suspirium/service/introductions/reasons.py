"""Why an introduction serves, in one plain sentence."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from suspirium.service.introductions.costs import Counts
from suspirium.service.introductions.model import Shape

_WEAK = {
    "end.open_harmony": "the harmony stays open at its end",
    "end.open_melody": "the tune does not end on the key note",
    "start.inside": "it begins within a line",
    "start.leans": "the line before runs on into it",
    "start.harmony": "it does not begin on the key's own chord",
    "tune.few_notes": "{notes} notes are little to know the tune by",
    "pulse.few": "the pulse has hardly begun",
    "join.leap": "the melody leaps over the join",
}


def reason(
    shape: Shape, lines: Sequence[int], seconds: float, notes: int, counts: Counts, *, final: bool
) -> str:
    """One sentence: what to play, how long it lasts, how it ends and what is weak about it.

    `final` says that it ends with the last line of the written tune.
    """
    length = f"{seconds:.0f} s"
    if counts["length.short"] > 0:
        length += " (short)"
    elif counts["length.long"] > 0:
        length += " (long)"
    good = _listed(list(_strengths(shape, counts, final)))
    weak = [text.format(notes=notes) for name, text in _WEAK.items() if counts[name] > 0]
    what = _end_of(shape, lines) if counts["start.inside"] else _what(shape, lines)
    text = f"Play {what}, {length}" + (f", {good}" if good else "")
    return f"{text}; but {_listed(weak)}." if weak else f"{text}."


def _end_of(shape: Shape, lines: Sequence[int]) -> str:
    return f"the {shape}" if shape == "end of last line" else f"the end of line {lines[0]}"


def _what(shape: Shape, lines: Sequence[int]) -> str:
    if shape in ("last line", "last two lines", "whole tune"):
        return f"the {shape}"
    if shape == "first and last lines":
        return f"lines {_listed([str(line) for line in lines])} joined"
    return f"line {lines[0]}" if len(lines) == 1 else f"lines {lines[0]} to {lines[-1]}"


def _strengths(shape: Shape, counts: Counts, final: bool) -> Iterator[str]:
    if not counts["tune.no_opening"] and shape != "whole tune":
        yield "with the tune's opening"
    closes = "closing on the tonic" if not counts["end.open_harmony"] else "ending"
    if counts["end.section"]:
        yield f"{closes} with {'the tune' if final else 'a section of the tune'}"
    elif not counts["end.inside"]:
        yield f"{closes} as every stanza will"
    elif not counts["end.open_harmony"]:
        yield closes


def _listed(parts: Sequence[str]) -> str:
    if len(parts) < 2:
        return "".join(parts)
    return f"{', '.join(parts[:-1])} and {parts[-1]}"
