"""The take report as plain text: what to change first, then the figures."""

from __future__ import annotations

from collections.abc import Iterator
from math import isfinite
from textwrap import wrap

from suspirium.render.take_history import history_sentences
from suspirium.render.take_rows import gap_words, touch_rows
from suspirium.render.take_words import beats, drift, restart_words, together
from suspirium.render.textlines import WIDTH, item
from suspirium.tables import load
from suspirium.take.history import History
from suspirium.take.report import LineEnd, TakeReport


def take_text(report: TakeReport, history: History | None = None) -> str:
    """The report in words, lines no longer than 78 characters; at its end the take among
    the earlier ones of its hymn."""
    lines = [*_lines(report), *(_since(history) if history else [])]
    return "\n".join(lines) + "\n"


def _since(history: History) -> Iterator[str]:
    yield ""
    if history.against is None:
        yield from item("Since", "This is the first take of this hymn in the library.")
    for sentence in history_sentences(history):
        yield from item("Since", sentence)


def _lines(report: TakeReport) -> Iterator[str]:
    yield from wrap(report.title, WIDTH)
    yield from wrap(heard(report), WIDTH)
    for text in report.remarks:
        yield from wrap(f"Mind: {text}.", WIDTH)
    yield ""
    for number, text in enumerate(report.advice, 1):
        yield from item(str(number), text)
    if not report.advice:
        yield from item("", "Nothing needs changing.")
    for text in report.praise:
        yield from item("Held", text)
    yield ""
    yield from item("Tempo", f"{tempo_words(report)}.")
    lifts_heard = any(isfinite(end.hold_s) for end in report.line_ends)
    for end in report.line_ends:
        if not (lifts_heard or _added(end)):
            continue
        yield from item(f"{end.stanza}, line {end.phrase}", _line_end(end))
    for gap in report.gaps:
        after = f"stanza {gap.after_stanza}" if gap.after_stanza else "the introduction"
        silence = f", after {gap.silence_s:.2f} s of silence" if isfinite(gap.silence_s) else ""
        yield from item(
            "Gap",
            f"after {after}: the next came on count {gap.onset_to_onset_q + 1:.1f} "
            f"({report.planned_gap_q + 1:g} planned){silence}.",
        )
    if even := gap_words(report):
        yield from item("Gaps", even)
    for name, planned, played, _ in touch_rows(report):
        yield from item("Touch", f"{name}: {played} (planned: {planned}).")
    yield from item("Notes", notes_words(report))
    for text in restart_words(report):
        yield from item("Again", text)
    for text in together(report.not_measured):
        yield from item("Left out", f"{text}.")


def heard(report: TakeReport) -> str:
    """What the take consists of, in one sentence."""
    stanzas = "1 stanza" if report.stanzas_found == 1 else f"{report.stanzas_found} stanzas"
    introduction = "an introduction and " if report.introduction_found else ""
    up = report.transposed_semitones
    steps = "1 semitone" if abs(up) == 1 else f"{abs(up)} semitones"
    moved = f", {steps} {'higher' if up > 0 else 'lower'} than written" if up else ""
    only = ""
    if report.voices_left_out and report.voices_played:
        *many, last = report.voices_played
        only = f", {', '.join(many)} and {last} alone" if many else f", the {last} alone"
    return f"Heard: {introduction}{stanzas} of {report.stanzas_planned}{only}{moved}."


def tempo_words(report: TakeReport) -> str:
    """Tempo, drift and steadiness of each time through."""
    noticed = 100 * load("take").number("tempo.jnd")
    said = "; ".join(_tempos(report))
    if not said:
        return "not measured"
    planned = report.planned_tempo
    first = f"quarter = {planned.quarter_bpm:.0f} planned; " if planned else ""
    return f"{first}{said} (a listener just notices {noticed:.1f} %)"


def _tempos(report: TakeReport) -> Iterator[str]:
    for tempo in report.tempos:
        name = f"stanza {tempo.stanza}" if tempo.stanza else "introduction"
        yield (
            f"{name} quarter = {tempo.quarter_bpm:.0f}, {drift(tempo.drift_percent)}, "
            f"intervals within {tempo.steadiness_percent:.1f} %"
        )


def _line_end(end: LineEnd) -> str:
    planned = f"{end.planned_silence_s:.2f} s planned" if end.planned_silence_s else "none planned"
    text = (
        f"held {end.hold_s:.2f} s, silent {end.silence_s:.2f} s ({planned})"
        if isfinite(end.hold_s)
        else f"lift not told ({planned})"
    )
    if _added(end):
        text += f"; {beats(abs(end.added_q))} {'added' if end.added_q > 0 else 'lost'}"
    return text + "."


def _added(end: LineEnd) -> bool:
    return abs(end.added_q) >= load("take").number("added.least_q")


def notes_words(report: TakeReport) -> str:
    """How many notes were right, wrong, missing and too many."""
    if report.matched is None:
        return "Notes are not told apart in a recording."
    counts = dict.fromkeys(("wrong", "missing", "extra"), 0)
    for fault in report.faults:
        counts[fault.kind] += 1
    said = [f"{count} {kind}" for kind, count in counts.items() if count]
    return f"{report.matched} right" + "".join(f", {text}" for text in said) + "."
