"""The stanza gap as counts: strokes held, rings of silence, the next stanza's first note."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import inf

from lxml import etree

from suspirium.plan.gap import counts as in_counts
from suspirium.plan.model import LeadingPlan
from suspirium.plan.pulse import counted_beat_q
from suspirium.render.engrave.face import text_width
from suspirium.render.engrave.ink import INK, SVG_NSMAP, Pen, mm
from suspirium.render.engrave.lyrics import SetText, spread
from suspirium.render.engrave.notehead import note_path
from suspirium.render.engrave.shapes import UNITS_PER_MM
from suspirium.score.sounding import bar_onset_q, notes_only, time_at

_SVG = "http://www.w3.org/2000/svg"
_STEP = mm(10.5)
_FIGURE = mm(3.9)
_SMALL = mm(3.1)


@dataclass(frozen=True, slots=True)
class Count:
    """One counted beat of the gap: its figure in the bar, whether it sounds, where a bar begins."""

    figure: int
    sounds: bool
    bar_begins: bool


def gap_counts(plan: LeadingPlan) -> tuple[Count, ...]:
    """The beats from the last note to the next stanza's first, numbered within their bars."""
    hymn, gap = plan.hymn, plan.gap.value
    beat_q = counted_beat_q(hymn)
    last = plan.phrases[-1].last_onset_q
    time = time_at(hymn, last)
    bar_beats = int(time.bar_q / beat_q) if time else None
    place = int((last - bar_onset_q(hymn, last)) / beat_q) if time else 0
    number = int(-(-gap.onset_to_onset_q // beat_q))
    done = []
    for index in range(number):
        at = place + index
        figure = at % bar_beats + 1 if bar_beats else index + 1
        begins = bar_beats is not None and index > 0 and at % bar_beats == 0
        done.append(Count(figure, index * beat_q < gap.hold_q, begins))
    return tuple(done)


def gap_figure(plan: LeadingPlan, width_mm: float) -> tuple[str, float]:
    """The gap drawn as SVG at most `width_mm` wide, and its width in millimetres."""
    return _finish(draw_gap(plan, width_mm))


def draw_gap(plan: LeadingPlan, width_mm: float) -> Pen:
    """The figure in drawing units, the first count at 0."""
    counts = gap_counts(plan)
    beat_q = counted_beat_q(plan.hymn)
    gap = plan.gap.value
    held = sum(count.sounds for count in counts)
    step = min(_STEP, mm(width_mm - 20) / max(1, len(counts)))
    pen = Pen()
    end_x = float(gap.hold_q / beat_q) * step
    pen.line(0, 0, end_x if held < len(counts) else held * step, 0, mm(0.45), "gap")
    for index, count in enumerate(counts):
        _count(pen, count, index * step, step)
    middles = [(max(0, held - 1)) * step / 2, (held + len(counts) - 1) * step / 2]
    said = [f"hold {in_counts(gap.hold_q, beat_q)}", f"lift {in_counts(gap.silence_q, beat_q)}"]
    right = _labels(pen, said[: 1 if held == len(counts) else 2], middles)
    half = text_width("stanza", _SMALL, "italic") / 2
    next_x = float(gap.onset_to_onset_q / beat_q) * step
    _next_stanza(pen, plan, max(next_x, (len(counts) - 1) * step + mm(5), right + mm(1.5) + half))
    return pen


def _count(pen: Pen, count: Count, x: float, step: float) -> None:
    if count.sounds:
        pen.line(x, -mm(1.6), x, mm(1.6), mm(0.7), "gap")
    else:
        pen.ring(x, 0, mm(1.35), mm(0.45), "gap")
    if count.bar_begins:
        pen.line(x - step / 2, -mm(1.7), x - step / 2, mm(5.7), mm(0.2), "gap", color=INK)
    _centred(pen, str(count.figure), x, mm(5.5), min(_FIGURE, 0.7 * step))


def _labels(pen: Pen, texts: Sequence[str], middles: Sequence[float]) -> float:
    """Labels under their counts, pushed apart where they meet; the right end of the last."""
    widths = [text_width(text, _SMALL, "italic") for text in texts]
    wishes = [middle - width / 2 for middle, width in zip(middles, widths, strict=False)]
    xs = spread(wishes, widths, [mm(1.8)] * len(texts), min(0.0, *wishes), inf)
    for text, x in zip(texts, xs, strict=True):
        pen.text(SetText(x, mm(8.5), text, _SMALL, "italic", "gap", True))
    return xs[-1] + widths[-1]


def _next_stanza(pen: Pen, plan: LeadingPlan, x: float) -> None:
    first = notes_only(plan.hymn.melody)[0]
    path, extent = note_path(first.duration_q, x, 0.0, 0.78)
    pen.path(path, extent, "gap", fill=INK)
    _centred(pen, "next", x, mm(5.5), _SMALL, "italic", accent=True)
    _centred(pen, "stanza", x, mm(8.5), _SMALL, "italic", accent=True)


def _centred(
    pen: Pen,
    text: str,
    x: float,
    y: float,
    size: float,
    style: str = "regular",
    *,
    accent: bool = False,
) -> None:
    pen.text(SetText(x - text_width(text, size, style) / 2, y, text, size, style, "gap", accent))


def _finish(pen: Pen) -> tuple[str, float]:
    pad = mm(0.5)
    x0, x1 = min(b.x0 for b in pen.boxes) - pad, max(b.x1 for b in pen.boxes) + pad
    y0, y1 = min(b.y0 for b in pen.boxes) - pad, max(b.y1 for b in pen.boxes) + pad
    root = etree.Element(f"{{{_SVG}}}svg", nsmap=SVG_NSMAP)
    root.set("viewBox", f"{x0:.0f} {y0:.0f} {x1 - x0:.0f} {y1 - y0:.0f}")
    root.append(pen.group)
    return etree.tostring(root, encoding="unicode"), (x1 - x0) / UNITS_PER_MM
