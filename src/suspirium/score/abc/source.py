"""The lines of one tune: fields, music and directives, comments taken off, numbered."""

from __future__ import annotations

import html
import re
import unicodedata
from collections.abc import Iterator
from dataclasses import dataclass, replace

from suspirium.errors import Place, Remark, ScoreError

MUSIC = ""
DIRECTIVE = "%%"

_FIELD = re.compile(r"([A-Za-z+]):(?![|:])")
_COMMENT = re.compile(r"(?<!\\)%.*")
_STILL_THE_TUNE = re.compile(r"\[?V:|[wW]:|%%|\[[A-Z]:|\|")
_ENTITY = re.compile(r"&#?\w{2,8};")
_CODE_POINT = re.compile(r"\\u([0-9a-fA-F]{4})")
_ACCENT = re.compile(r"\\([`'^\"~])([A-Za-z])")
_COMBINING = {"`": "\u0300", "'": "\u0301", "^": "\u0302", "~": "\u0303", '"': "\u0308"}
_LETTERS = (
    ("\\ss", "ß"), ("\\ae", "æ"), ("\\AE", "Æ"), ("\\oe", "œ"), ("\\OE", "Œ"),
    ("\\aa", "å"), ("\\AA", "Å"), ("\\/o", "ø"), ("\\/O", "Ø"), ("\\cc", "ç"), ("\\cC", "Ç"),
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Line:
    """One logical line: `key` is a field letter, `MUSIC` or `DIRECTIVE`."""

    number: int
    key: str
    text: str


@dataclass(frozen=True, slots=True)
class Tune:
    """One tune's lines, before and after the `K:` that ends its header."""

    header: tuple[Line, ...]
    body: tuple[Line, ...]
    remarks: tuple[Remark, ...] = ()


def read_tune(text: str) -> Tune:
    """The first tune of an ABC file.

    A blank line after the music ends the tune, unless what follows names a voice or
    words. Raises `ScoreError` where there is no tune.
    """
    lines = _joined(_lines(text))
    if not any(line.text for line in lines):
        raise ScoreError("The ABC file is empty: there is no hymn in it.")
    lines, remarks = _first_tune(lines)
    for index, line in enumerate(lines):
        if line.key == "K":
            return Tune(tuple(lines[: index + 1]), _body(lines[index + 1 :]), remarks)
    raise ScoreError(
        "There is no K: line (the key), which ends an ABC header: "
        "this is no ABC file, or its end is missing."
    )


def plain(text: str) -> str:
    """`text` with the accents and signs that ABC writes as codes."""
    if "&" in text:
        text = _ENTITY.sub(lambda found: html.unescape(found[0]), text)
    if "\\" in text:
        text = _CODE_POINT.sub(lambda found: chr(int(found[1], 16)), text)
        for code, letter in _LETTERS:
            text = text.replace(code, letter)
        text = _ACCENT.sub(_accented, text)
    return text.strip()


def _accented(found: re.Match[str]) -> str:
    return unicodedata.normalize("NFC", found[2] + _COMBINING[found[1]])


def _lines(text: str) -> Iterator[Line]:
    """Every line; blank ones are music lines without text."""
    rows = text.removeprefix("\ufeff").replace("\r\n", "\n").replace("\r", "\n").split("\n")
    for number, row in enumerate(rows, 1):
        if row.startswith("%%"):
            yield Line(number, DIRECTIVE, row[2:].strip())
            continue
        bare = _COMMENT.sub("", row).replace("\\%", "%").strip() if "%" in row else row.strip()
        if not bare and row.strip():
            continue  # a comment line
        field = _FIELD.match(bare)
        if field:
            yield Line(number, field[1], bare[2:].strip())
        else:
            yield Line(number, MUSIC, bare)


def _joined(lines: Iterator[Line]) -> list[Line]:
    """Lines joined where a backslash or a `+:` field says that they go on."""
    done: list[Line] = []
    for line in lines:
        last = done[-1] if done else None
        if last is not None and line.key == "+":
            done[-1] = replace(last, text=f"{last.text.removesuffix(chr(92))} {line.text}")
        elif last is not None and last.text.endswith("\\") and last.key == line.key and line.text:
            done[-1] = replace(last, text=f"{last.text[:-1]} {line.text}")
        else:
            done.append(line)
    return [
        replace(line, text=line.text[:-1]) if line.text.endswith("\\") else line for line in done
    ]


def _first_tune(lines: list[Line]) -> tuple[list[Line], tuple[Remark, ...]]:
    """Lines up to the second `X:`; those before the first are the file's header."""
    starts = [index for index, line in enumerate(lines) if line.key == "X"]
    if len(starts) < 2:
        return lines, ()
    remark = Remark(
        f"The file holds {len(starts)} tunes; only the first is read.",
        Place(line=lines[starts[1]].number),
    )
    return lines[: starts[1]], (remark,)


def _body(lines: list[Line]) -> tuple[Line, ...]:
    body: list[Line] = []
    heard = False
    for index, line in enumerate(lines):
        if line.key == MUSIC and not line.text:
            if heard and not _goes_on(lines[index + 1 :]):
                break
            continue
        heard = heard or line.key == MUSIC
        body.append(line)
    return tuple(body)


def _goes_on(rest: list[Line]) -> bool:
    for line in rest:
        if line.key == MUSIC and not line.text:
            continue
        shown = line.key + (":" if line.key.isalpha() else "") + line.text
        return bool(_STILL_THE_TUNE.match(shown))
    return False
