"""Stanzas, keys and characters as they are typed."""

from __future__ import annotations

from collections.abc import Sequence

from suspirium.errors import ServiceError


def stanzas_typed(text: str) -> tuple[int, ...]:
    """Stanza numbers, as in 1,2,4; none for all."""
    parts = [part.strip() for part in text.split(",") if part.strip()]
    if any(not part.isdigit() or part == "0" for part in parts):
        raise ServiceError(f"{text!r} are no stanzas; write their numbers, as in 1,2,4")
    return tuple(int(part) for part in parts)


def key_typed(text: str) -> str | int:
    """A key as the order keeps it: "printed", "proposed", or semitones."""
    return int(text) if text.lstrip("+-").isdigit() else text


def characters_typed(texts: Sequence[str]) -> dict[int, str]:
    """STANZA=CHARACTER as a mapping."""
    found = {}
    for text in texts:
        number, sign, name = text.partition("=")
        if not sign or not number.strip().isdigit() or not name.strip():
            raise ServiceError(f"{text!r} is no stanza's character; write 2=quiet")
        found[int(number)] = name.strip()
    return found
