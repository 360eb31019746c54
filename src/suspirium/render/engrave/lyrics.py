"""Setting the words: each syllable centred under its note, pushed apart where they meet."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from suspirium.render.engrave.face import text_width
from suspirium.render.engrave.shapes import UNITS_PER_MM, Box
from suspirium.render.engrave.systems import System
from suspirium.score.model import Stanza, Syllable

WORD_SIZE = 4.66 * UNITS_PER_MM  # 13.2 pt
_HYPHEN = "-"
_LEAST_HYPHEN_GAP = 1.5 * UNITS_PER_MM
_WORD_GAP = 1.5 * UNITS_PER_MM
_HYPHEN_EVERY = 26 * UNITS_PER_MM
_STANDING = frozenset("0123456789 –×")  # nothing of them hangs below the line
_CLOSING = ".,;:!?'\"’”»)"
_OPENING = "\"'“‘«("


@dataclass(frozen=True, slots=True)
class SetText:
    """Text at its left end and baseline; `size` in units."""

    x: float
    y: float
    text: str
    size: float
    style: str = "regular"
    kind: str = "words"
    accent: bool = False

    @property
    def width(self) -> float:
        return text_width(self.text, self.size, self.style)

    @property
    def box(self) -> Box:
        """Extent of the letters: ascenders about 0.7, descenders about 0.22 of the size."""
        descent = 0.22 if set(self.text) - _STANDING else 0.03
        return Box(
            self.x,
            self.y - 0.7 * self.size,
            self.x + self.width,
            self.y + descent * self.size,
            self.kind,
            self.text,
        )


@dataclass(frozen=True, slots=True)
class Rule:
    """A thin extender under a melisma at a word's end."""

    x0: float
    x1: float
    y: float


def fitting_size(system: System, stanzas: Sequence[Stanza], margin_x: float) -> float:
    """The size of words in this system: smaller only where a stanza would not fit at all."""
    widest = max(
        (
            sum(text_width(s.text, WORD_SIZE) + _gap(s, WORD_SIZE) for s in _inside(system, stanza))
            for stanza in stanzas
        ),
        default=0.0,
    )
    room = system.x1 - margin_x
    return WORD_SIZE if widest <= room else WORD_SIZE * room / widest


def _inside(system: System, stanza: Stanza) -> list[Syllable]:
    return [s for s in stanza.syllables if system.start_q <= s.onset_q < system.end_q]


def set_line(
    system: System, stanza: Stanza, y: float, margin_x: float, size: float = WORD_SIZE
) -> tuple[list[SetText], list[Rule]]:
    """The words of one stanza in one system: syllables, hyphens and extenders."""
    here = _inside(system, stanza)
    if not here:
        return [], []
    widths = [text_width(s.text, size) for s in here]
    wishes = [
        system.x_at(s.onset_q) - left - (width - left - _after(s.text, size)) / 2
        for s, width in zip(here, widths, strict=True)
        for left in (_before(s.text, size),)
    ]
    gaps = [_gap(s, size) for s in here]
    xs = spread(wishes, widths, gaps, margin_x, system.x1)
    texts = [SetText(x, y, s.text, size) for x, s in zip(xs, here, strict=True)]
    texts.extend(_hyphens(system, stanza, here, xs, widths, y, margin_x, size))
    return texts, list(_extenders(system, here, xs, widths, y))


def _before(text: str, size: float) -> float:
    """Opening quotes hang out to the left."""
    return text_width(text[: len(text) - len(text.lstrip(_OPENING))], size)


def _after(text: str, size: float) -> float:
    """Closing punctuation hangs out to the right."""
    return text_width(text[len(text.rstrip(_CLOSING)) :], size)


def _gap(syllable: Syllable, size: float) -> float:
    if syllable.joins_next:
        return text_width(_HYPHEN, size) + 0.3 * UNITS_PER_MM
    return _WORD_GAP * size / WORD_SIZE


def spread(
    wishes: Sequence[float],
    widths: Sequence[float],
    gaps: Sequence[float],
    left: float,
    right: float,
) -> list[float]:
    """Left ends nearest to `wishes` (least squares) with no two closer than their gap.

    Isotonic regression by pooling adjacent violators; then kept between `left` and `right`
    as far as the words fit there at all.
    """
    offsets = [0.0]
    for width, gap in zip(widths[:-1], gaps[:-1], strict=True):
        offsets.append(offsets[-1] + width + gap)
    blocks: list[tuple[float, int]] = []  # (mean, count) of wishes less offsets
    for wish, offset in zip(wishes, offsets, strict=True):
        blocks.append((wish - offset, 1))
        while len(blocks) > 1 and blocks[-2][0] > blocks[-1][0]:
            (mean_b, count_b), (mean_a, count_a) = blocks.pop(), blocks.pop()
            count = count_a + count_b
            blocks.append(((mean_a * count_a + mean_b * count_b) / count, count))
    levels = [mean for mean, count in blocks for _ in range(count)]
    highest = right - offsets[-1] - widths[-1]
    levels = [max(left, min(level, highest)) for level in levels]
    return [level + offset for level, offset in zip(levels, offsets, strict=True)]


def _hyphens(
    system: System,
    stanza: Stanza,
    here: Sequence[Syllable],
    xs: Sequence[float],
    widths: Sequence[float],
    y: float,
    margin_x: float,
    size: float,
) -> Iterator[SetText]:
    width = text_width(_HYPHEN, size)
    before = [s for s in stanza.syllables if s.onset_q < system.start_q]
    if before and before[-1].joins_next and xs[0] - margin_x > width:
        yield SetText(max(margin_x, xs[0] - 2.2 * width), y, _HYPHEN, size, kind="hyphen")
    for index, syllable in enumerate(here):
        if not syllable.joins_next:
            continue
        start = xs[index] + widths[index]
        end = xs[index + 1] if index + 1 < len(here) else min(system.x1, start + 4 * width)
        room = end - start
        if room < width:
            continue
        count = max(1, round(room / _HYPHEN_EVERY))
        for place in range(1, count + 1):
            x = start + room * place / (count + 1) - width / 2
            yield SetText(x, y, _HYPHEN, size, kind="hyphen")


def _extenders(
    system: System,
    here: Sequence[Syllable],
    xs: Sequence[float],
    widths: Sequence[float],
    y: float,
) -> Iterator[Rule]:
    """A line from a word's end to its last slurred note, where it is long enough to see."""
    for index, syllable in enumerate(here):
        if syllable.joins_next:
            continue
        inside = [q for q in system.melody_q if syllable.onset_q < q < syllable.end_q]
        if not inside:
            continue
        end = system.x_at(inside[-1])
        if index + 1 < len(here):
            end = min(end, xs[index + 1] - 0.6 * _WORD_GAP)
        start = xs[index] + widths[index] + 0.3 * _WORD_GAP
        if end - start > _LEAST_HYPHEN_GAP:
            yield Rule(start, end, y)
