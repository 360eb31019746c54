"""Title, credits, tune name and printed metre from a tune's header."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

from suspirium.score.abc.source import Line, plain
from suspirium.score.model import Credit

_ROLES = {
    "words": "words", "word": "words", "text": "words", "lyrics": "words", "poem": "words",
    "translation": "words", "translator": "words", "author": "words",
    "music": "music", "tune": "music", "melody": "music", "composer": "music",
    "setting": "setting", "harmony": "setting", "arrangement": "setting", "arranger": "setting",
    "source": "source", "copyright": "copyright",
}  # fmt: skip
_NAME = "|".join(_ROLES)
_LABEL = re.compile(
    rf"(?:^|(?<=[.;,\s]))({_NAME})(?:\s*(?:and|&|,)\s*({_NAME}))?(?:\s*:\s*|\s+(?=['‘’\"“]))",
    re.IGNORECASE,
)
_LEGAL = re.compile(r"copyright|©|\(c\)|public domain|rights reserved|permission", re.IGNORECASE)
_QUOTED = re.compile(r"""^['‘`"“](.+?)['’`"”](?=$|[\s,;.(])""")
_CAPITALS = re.compile(r"^([A-Z][A-Z'’.]*(?:[\s-]+[A-Z][A-Z'’.]*)*)(?=$|[\s,;(])")
_METRE = re.compile(
    r"(?:met(?:re|er)\s*:?\s*)?"
    r"((?:[CLS]\.?\s?M\.?(?:\s?D\.?)?"
    r"|\d{1,2}(?:\s?[.,-]\s?\d{1,2}){1,15}\.?(?:\s?D\.?)?|irregular)"
    r"(?:\s+with\s+\w+)?)",
    re.IGNORECASE,
)


@dataclass(frozen=True, slots=True)
class Heading:
    """What a header says about the hymn."""

    title: str = ""
    tune: str = ""
    metre: str = ""
    credits: tuple[Credit, ...] = ()


def read_heading(header: Sequence[Line]) -> Heading:
    """The heading of a tune; a metre may stand in a `T:`, `C:` or `N:` line of its own.

    Further `T:` lines are other titles and become credits of role "title".
    """
    texts = {key: [plain(line.text) for line in header if line.key == key] for key in "TCNS"}
    metre = next(
        (
            found[1].strip()
            for text in (*texts["T"][1:], *texts["C"], *texts["N"])
            if (found := _METRE.fullmatch(text.strip("() ")))
        ),
        "",
    )
    titles = [text for text in texts["T"] if text and not _METRE.fullmatch(text.strip("() "))]
    credits = [Credit("title", " ".join(titles[1:]).strip("() "))] if len(titles) > 1 else []
    credits += _credits([text for text in texts["C"] if not _METRE.fullmatch(text.strip("() "))])
    credits += [Credit("source", text) for text in texts["S"] if text]
    music = next((credit.text for credit in credits if credit.role == "music"), "")
    return Heading(titles[0] if titles else "", tune_name(music), metre, tuple(credits))


def tune_name(credit: str) -> str:
    """The tune's name at the head of its credit: quoted, or in capitals."""
    found = _QUOTED.match(credit) or _CAPITALS.match(credit)
    return found[1].strip() if found and len(found[1]) > 2 else ""


def _credits(lines: Sequence[str]) -> list[Credit]:
    """Credits by their labels; a line without one goes on with the credit before."""
    found: list[Credit] = []
    for line in lines:
        marks = list(_LABEL.finditer(line))
        head = line[: marks[0].start()].strip() if marks else line.strip()
        if head:
            _go_on(found, head)
        stops = [*(mark.start() for mark in marks[1:]), len(line)]
        for mark, stop in zip(marks, stops, strict=False):
            text = line[mark.end() : stop].strip()
            roles = dict.fromkeys(_ROLES[name.lower()] for name in mark.groups() if name)
            found += [Credit(role, text) for role in roles]
    return [credit for credit in found if credit.text]


def _go_on(found: list[Credit], text: str) -> None:
    if _LEGAL.search(text):
        found.append(Credit("copyright", text))
    elif found:
        last = found[-1]
        found[-1] = Credit(last.role, f"{last.text} {text}".strip())
    else:
        found.append(Credit("", text))
