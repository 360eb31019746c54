"""The text in a file, whatever program saved it."""

from __future__ import annotations

import codecs

_MARKS = (
    (codecs.BOM_UTF8, "utf-8-sig"),
    (codecs.BOM_UTF32_LE, "utf-32"),
    (codecs.BOM_UTF32_BE, "utf-32"),
    (codecs.BOM_UTF16_LE, "utf-16"),
    (codecs.BOM_UTF16_BE, "utf-16"),
)
_TRIED = ("utf-8", "cp1252", "latin-1")  # the last takes any bytes


def decoded(data: bytes) -> str:
    """The text of `data`: Unicode as its first bytes mark it, else UTF-8, else Western.

    Unmarked UTF-16 is known by the empty half of its first sign.
    """
    for mark, encoding in _MARKS:
        if data.startswith(mark):
            return data.decode(encoding, errors="replace")
    if data[:1] == b"\0" != data[1:2]:
        return data.decode("utf-16-be", errors="replace")
    if data[1:2] == b"\0" != data[:1]:
        return data.decode("utf-16-le", errors="replace")
    for encoding in _TRIED:
        try:
            return data.decode(encoding)
        except UnicodeDecodeError:
            continue
    raise AssertionError("latin-1 takes any bytes")
