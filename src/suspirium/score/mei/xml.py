"""MEI through lxml: names without namespace, and values in their attributes."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from lxml import etree

NAMESPACE = "{http://www.music-encoding.org/ns/mei}"
ID = "{http://www.w3.org/XML/1998/namespace}id"
_CUT = len(NAMESPACE)

_BASES_Q = {
    "maxima": Fraction(32),
    "long": Fraction(16),
    "breve": Fraction(8),
    **{str(2**power): Fraction(4, 2**power) for power in range(11)},
}
_MOST_DOTS = 4
_ALTERS = {"s": 1, "f": -1, "n": 0, "ss": 2, "x": 2, "ff": -2, "ns": 1, "nf": -1}
_CHOICES = {"app", "choice", "subst"}  # of which one child holds


def local(element: etree._Element) -> str:
    """The element's name, "" for a comment or instruction."""
    tag = element.tag
    if not isinstance(tag, str):
        return ""
    return tag[_CUT:] if tag.startswith(NAMESPACE) else tag


def first_child(element: etree._Element, *names: str) -> etree._Element | None:
    """The first child of one of these names."""
    return next((child for child in element if local(child) in names), None)


def read_through(element: etree._Element) -> Iterator[etree._Element]:
    """The children, of alternative readings only the first."""
    return iter(list(element)[:1] if local(element) in _CHOICES else element)


def text_of(element: etree._Element) -> str:
    """All text inside, white space made single spaces."""
    return " ".join("".join(map(str, element.itertext())).split())


def whole(text: str | None, default: int = 0) -> int:
    """A whole number, `default` where there is none."""
    try:
        return int(text) if text else default
    except ValueError:
        return default


def decimal(text: str | None) -> Fraction | None:
    """A decimal number as written, None where there is none."""
    try:
        return Fraction(text) if text else None
    except (ValueError, ZeroDivisionError):
        return None


def written_q(value: str | None, dots: str | None) -> Fraction | None:
    """Length of a printed note value (MEI `@dur`, `@dots`), None where none is named."""
    base_q, count = _BASES_Q.get(value or ""), whole(dots)
    if base_q is None or not 0 <= count <= _MOST_DOTS:
        return None
    return base_q * (2 - Fraction(1, 2**count))


def alter_of(note: etree._Element) -> int:
    """Alteration in semitones, from the sounding or the printed accidental."""
    for element in (note, first_child(note, "accid")):
        if element is not None:
            sign = element.get("accid.ges") or element.get("accid")
            if sign is not None:
                return _ALTERS.get(sign, 0)
    return 0
