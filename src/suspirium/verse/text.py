"""A text file as stanzas: parted by blank lines, numbers and the word Refrain read off."""

from __future__ import annotations

import re
from dataclasses import dataclass

_NUMBER = re.compile(r"^\s*(\d{1,3})\s*[.,:)]?(?:\s+|$)")
_REFRAIN = re.compile(
    r"^\s*[(\[]?(?:refrain|chorus|kehrvers|kehrreim|cytgan|estribillo|refrán|coro|antiphon)"
    r"\s*[:.)\]]*\s*",
    re.IGNORECASE,
)


@dataclass(frozen=True, slots=True)
class TextStanza:
    """One stanza of a text file: its printed number, if any, and its lines."""

    number: int | None
    lines: tuple[str, ...]


def read_stanzas(text: str) -> tuple[TextStanza, ...]:
    """The stanzas of a text; a refrain printed by itself belongs to the stanza before it."""
    found: list[TextStanza] = []
    for block in re.split(r"\n[ \t\ufeff]*\n", text.replace("\r\n", "\n").replace("\r", "\n")):
        lines = [line.strip(" \t\ufeff") for line in block.split("\n")]
        lines = [line for line in lines if line]
        for stanza, refrain in _parted(lines):
            if refrain and found:
                before = found[-1]
                found[-1] = TextStanza(before.number, (*before.lines, *stanza.lines))
            else:
                found.append(stanza)
    return tuple(stanza for stanza in found if stanza.lines)


def _parted(lines: list[str]) -> list[tuple[TextStanza, bool]]:
    """The stanzas of one block; a number at the start of a line begins a new one."""
    parts: list[tuple[TextStanza, bool]] = []
    for line in lines:
        number, refrain = _NUMBER.match(line), _REFRAIN.match(line)
        label = refrain is not None and _is_label(line, refrain.end())
        rest = (
            line[number.end() :] if number else line[refrain.end() :] if label and refrain else line
        )
        if number or label or not parts:
            parts.append((TextStanza(int(number[1]) if number else None, ()), label))
        if rest.strip():
            stanza, kind = parts[-1]
            parts[-1] = (TextStanza(stanza.number, (*stanza.lines, rest.strip())), kind)
    return parts


def _is_label(line: str, end: int) -> bool:
    """Whether the word stands as a heading, not as the first word of a line."""
    return end == len(line) or line[:end].rstrip()[-1:] in ":.)]"
