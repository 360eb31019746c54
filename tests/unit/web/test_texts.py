"""Every text that a page names is there, and is a text."""

from __future__ import annotations

import re
from importlib import resources

import pytest

from suspirium.web.texts import texts

TEMPLATES = sorted(
    each.name
    for each in (resources.files("suspirium.web") / "templates").iterdir()
    if each.name.endswith(".html")
)


@pytest.mark.parametrize("name", TEMPLATES)
def test_texts_named_by_a_page_are_there(name: str) -> None:
    page = (resources.files("suspirium.web") / "templates" / name).read_text("utf-8")
    said = texts()
    for section, text in re.findall(r"\bt\.(\w+)\.(\w+)", page):
        assert isinstance(said[section].get(text), str | list), f"{section}.{text}"
        assert not hasattr(dict, text), f"{section}.{text} is also what a dictionary does"
