"""The plots of a take report: pulse, lifts and stanza gaps, planned and played."""

from __future__ import annotations

from collections.abc import Sequence
from math import ceil, isfinite
from typing import TYPE_CHECKING

from suspirium.render.plots import ACCENT, INK, SHADE, bare, book_style, margins, new_figure, svg
from suspirium.render.take_words import drift
from suspirium.tables import load
from suspirium.take.lines import breath_short
from suspirium.take.report import LineEnd, PulsePoint, TakeReport

if TYPE_CHECKING:
    from matplotlib.axes import Axes

WIDTH_MM = 190.0
HALF_MM = 92.0
_MS = 1000.0
_LIMIT_MS = 190.0
_MOST_COLUMNS = 8
_ROW_MM, _MOST_ROWS_MM = 5.6, 200.0


def pulse_plot(report: TakeReport) -> bytes | None:
    """Each pulse's distance from the plan, read downwards, a column a stanza, many stanzas in
    rows of columns; SVG. None where no stanza was played through.
    """
    stanzas = sorted({point.stanza for point in report.pulse})
    if not stanzas:
        return None
    longest = max(sum(p.stanza == stanza for p in report.pulse) for stanza in stanzas)
    rows = ceil(len(stanzas) / _MOST_COLUMNS)
    count = ceil(len(stanzas) / rows)
    narrow = count > 3
    row_mm = min(125.0, 26.0 + 2.9 * longest, _MOST_ROWS_MM / rows)
    with book_style():
        figure = new_figure(WIDTH_MM, rows * row_mm)
        every = figure.subplots(rows, count, squeeze=False).flat
        for index, axes in enumerate(every):
            if index >= len(stanzas):
                axes.set_visible(False)
                continue
            own = [point for point in report.pulse if point.stanza == stanzas[index]]
            _pulse_column(axes, own, first=index % count == 0, narrow=narrow)
            axes.set_title(_heading(report, stanzas[index], 3 if narrow else 2), fontsize=9.5)
        margins(figure, left_mm=17, right_mm=2, top_mm=15 if narrow else 11, bottom_mm=11)
        between_mm = 27.0 if narrow else 23.0
        figure.subplots_adjust(wspace=0.16, hspace=between_mm / (row_mm - between_mm))
        return svg(figure)


def _heading(report: TakeReport, stanza: int, lines: int) -> str:
    tempo = next((tempo for tempo in report.tempos if tempo.stanza == stanza), None)
    if tempo is None:
        return f"stanza {stanza}"
    between = ", " if lines == 2 else "\n"
    return (
        f"stanza {stanza}\nquarter = {tempo.quarter_bpm:.0f}{between}{drift(tempo.drift_percent)}"
    )


def _pulse_column(axes: Axes, points: Sequence[PulsePoint], *, first: bool, narrow: bool) -> None:
    noticed = _MS * load("take").number("pulse.noticed_s")
    sure = load("take").number("history.errors")
    rows = list(range(len(points)))
    axes.axvspan(-noticed, noticed, color=SHADE, lw=0)
    axes.axvline(0, color=ACCENT, lw=1.4)
    for row, point in zip(rows, points, strict=True):
        if not isfinite(point.late_s):
            continue
        value = _MS * point.late_s
        shown = max(-_LIMIT_MS, min(_LIMIT_MS, value))
        far = abs(value) > noticed + sure * _MS * point.error_s
        axes.plot([0, shown], [row, row], color=INK, lw=0.7)
        axes.plot(
            shown, row, "o", ms=3.8, mec=INK, mew=0.8, mfc=INK if far else "white", clip_on=False
        )
    starts = [i for i in rows if i == 0 or points[i].phrase != points[i - 1].phrase]
    for start in starts[1:]:
        axes.axhline(start - 0.5, color=INK, lw=0.4)
    if first:
        ends = [*starts[1:], len(rows)]
        for number, (start, end) in enumerate(zip(starts, ends, strict=True), 1):
            axes.text(
                -_LIMIT_MS - 12, (start + end - 1) / 2, f"line {number}", ha="right", va="center"
            )
    axes.set_xlim(-_LIMIT_MS, _LIMIT_MS)
    axes.set_ylim(len(rows) - 0.4, -0.6)
    axes.set_yticks([])
    ticks = (-150, 0, 150) if narrow else (-150, -50, 0, 50, 150)
    axes.set_xticks(ticks, [str(abs(tick)) for tick in ticks], fontsize=8.5)
    axes.set_xlabel("early  ·  late, ms", fontsize=8.5, style="italic", labelpad=1)
    bare(axes, "bottom")


def lift_plot(report: TakeReport) -> bytes | None:
    """The silence at each planned lift: ring planned, stroke played; SVG. None without lifts."""
    ends = [e for e in report.line_ends if e.planned_silence_s > 0 and isfinite(e.silence_s)]
    if not ends:
        return None
    least_s = load("take").number("breath.least_s")
    with book_style():
        figure = new_figure(HALF_MM, 16.0 + min(_ROW_MM, _MOST_ROWS_MM / len(ends)) * len(ends))
        axes = figure.subplots()
        for row, end in enumerate(ends):
            _lift_row(axes, row, end)
        longest = max(max(end.silence_s, end.planned_silence_s) for end in ends)
        axes.axvline(least_s, color=INK, lw=0.6, ls=(0, (2, 2)))
        axes.text(
            least_s, -1.0, "too short ", ha="right", va="center", fontsize=8.5, style="italic"
        )
        axes.set_xlim(0, longest * 1.08)
        axes.set_ylim(len(ends) - 0.3, -1.5)
        axes.set_yticks(
            range(len(ends)), [f"stanza {end.stanza}, line {end.phrase}" for end in ends]
        )
        axes.tick_params(axis="y", length=0, labelsize=9)
        axes.tick_params(axis="x", labelsize=8.5)
        axes.set_xlabel("seconds of silence", fontsize=8.5, style="italic", labelpad=1)
        bare(axes, "bottom")
        margins(figure, left_mm=28, right_mm=3, top_mm=1, bottom_mm=11)
        return svg(figure)


def _lift_row(axes: Axes, row: int, end: LineEnd) -> None:
    short = breath_short(end.silence_s, end.planned_silence_s)
    axes.plot([end.silence_s, end.planned_silence_s], [row, row], color=INK, lw=0.7)
    axes.plot(end.planned_silence_s, row, "o", ms=6, mec=ACCENT, mew=1.3, mfc="white")
    axes.plot(end.silence_s, row, "|", ms=8, mew=3.2 if short else 2.0, color=INK)


def gap_plot(report: TakeReport) -> bytes | None:
    """Stanza gaps side by side: hold as a line, silence open, the next stanza a dot; SVG.

    Where the silence is not heard, the line is left out.
    """
    if not report.gaps:
        return None
    planned = report.planned_gap_q
    rows = [
        (f"after stanza {gap.after_stanza}" if gap.after_stanza else "after the introduction", gap)
        for gap in report.gaps
    ]
    height_mm = 16.0 + 2 * _ROW_MM * (len(rows) + 1)
    with book_style():
        figure = new_figure(HALF_MM, height_mm)
        axes = figure.subplots()
        _gap_row(axes, 0, "planned", planned, report.planned_gap_silence_q, ACCENT)
        for row, (name, gap) in enumerate(rows, 1):
            quarter_s = gap.onset_to_onset_s / gap.onset_to_onset_q
            _gap_row(axes, row, name, gap.onset_to_onset_q, gap.silence_s / quarter_s, INK)
        longest = max(planned, *(gap.onset_to_onset_q for _, gap in rows))
        axes.axvline(planned, color=INK, lw=0.6, ls=(0, (2, 2)), zorder=0)
        axes.set_xlim(-0.15, longest * 1.06)
        axes.set_ylim(len(rows) + 0.4, -0.8)
        axes.set_yticks([])
        counts = range(int(longest) + 1)
        axes.set_xticks(list(counts), [str(count + 1) for count in counts], fontsize=8.5)
        axes.set_xlabel("counted quarters", fontsize=8.5, style="italic", labelpad=1)
        bare(axes, "bottom")
        margins(figure, left_mm=3, right_mm=3, top_mm=1, bottom_mm=11)
        return svg(figure)


def _gap_row(
    axes: Axes, row: int, name: str, length_q: float, silence_q: float, colour: str
) -> None:
    axes.text(0, row - 0.32, name, fontsize=9.5, va="bottom")
    axes.plot(0, row, "|", ms=8, mew=2, color=colour)
    if isfinite(silence_q):
        lift_q = length_q - silence_q
        axes.plot([0, lift_q], [row, row], color=colour, lw=1.6)
        axes.plot(lift_q, row, "o", ms=6, mec=colour, mew=1.3, mfc="white")
    axes.plot(length_q, row, "o", ms=6, color=colour)
