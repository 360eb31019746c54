"""All texts of the pages, from one file a language."""

from __future__ import annotations

import tomllib
from functools import cache
from importlib import resources
from typing import Any


@cache
def texts(language: str = "en") -> dict[str, Any]:
    """The texts of a language by section and name (``texts.<language>.toml``)."""
    content = (resources.files("suspirium.web") / f"texts.{language}.toml").read_text("utf-8")
    return tomllib.loads(content)


def say(text: str, /, **values: object) -> str:
    """A text with its places filled; ``one|many`` is chosen by the value `n`."""
    if "|" in text:
        one, many = text.split("|")
        text = one if values.get("n") == 1 else many
    return text.format(**values)
