"""What the library knows of a hymn, as plain text."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from suspirium.render.textlines import item

RIGHTS = (
    "Words, tune, setting and engraving are separate rights. This line prints what you "
    "recorded; whether you may copy or perform it, ask the owners or your church's office."
)


def hymn_text(values: Mapping[str, Any]) -> str:
    """All of it, lines no longer than 78 characters."""
    return "\n".join(_lines(values))


def _lines(values: Mapping[str, Any]) -> Iterator[str]:
    yield from item(f"No. {values['number']}", values["title"])
    facts = (values["tune"], values["metre"], values["key"])
    yield from item("Tune", ", ".join(fact for fact in facts if fact))
    yield from item("Difficulty", f"{values['difficulty']:.1f} of 5")
    minutes, seconds = divmod(round(values["duration_s"]), 60)
    yield from item("Lasts", f"{minutes} min {seconds} s, all stanzas")
    for other in values["same_tune"]:
        yield from item("Same tune", f"{other['title']}, number {other['number']}")
    if values["tags"]:
        yield from item("Tags", ", ".join(values["tags"]))
    if values["notes"]:
        yield from item("Note", values["notes"])
    if values["overrides"]:
        yield from item("Decisions", "your own are kept with this hymn")
    for part, right in values["rights"].items():
        said = "; ".join(text for text in (right["credit"], right["licence"]) if text)
        yield from item(part.capitalize(), said or "nothing recorded")
    yield from item("Rights", RIGHTS)
    for number, words in enumerate(values["stanzas"], 1):
        yield ""
        lines = words.splitlines()
        for index, line in enumerate(lines):
            yield f"{number if index == 0 else '':<11}{line}"
