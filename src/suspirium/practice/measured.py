"""How ready a take shows each passage to be."""

from __future__ import annotations

from collections.abc import Sequence
from statistics import median

from suspirium.practice.model import Passage
from suspirium.tables import load
from suspirium.take.report import TakeReport


def heard_ready(
    report: TakeReport, passages: Sequence[Passage], goal_quarter_bpm: float
) -> tuple[tuple[int, int, float], ...]:
    """First line, last line and readiness of each passage, by one take.

    Readiness is the share of stanzas in which the passage was clean, times the share of the
    goal tempo that was reached. A stanza with no more slips than the table allows is clean
    throughout; else a passage is clean without wrong, missing or extra notes, added beats
    and restarts in it. A few times are given before, so that one stanza settles little.
    A take of some voices alone does not tell how ready the whole is: nothing is given back.
    """
    if report.voices_left_out:
        return ()
    numbers = sorted({tempo.stanza for tempo in report.tempos if tempo.stanza > 0})
    tempo = _tempo_share(report, goal_quarter_bpm)
    given_clean, given = load("practice")["take.prior"]
    found = []
    for passage in passages:
        clean = sum(_clean(report, stanza, passage) for stanza in numbers)
        share = (clean + given_clean) / (len(numbers) + given)
        found.append((passage.first_phrase, passage.last_phrase, share * tempo))
    return tuple(found)


def _tempo_share(report: TakeReport, goal_quarter_bpm: float) -> float:
    bpms = [tempo.quarter_bpm for tempo in report.tempos if tempo.stanza > 0]
    return min(1.0, median(bpms) / goal_quarter_bpm) if bpms else 1.0


def _clean(report: TakeReport, stanza: int, passage: Passage) -> bool:
    table = load("practice")
    faults = [fault for fault in report.faults if fault.stanza == stanza]
    inside = [f for f in faults if passage.start_q <= f.onset_q < passage.end_q]
    added = any(
        end.stanza == stanza
        and passage.first_phrase <= end.phrase <= passage.last_phrase
        and abs(end.added_q) >= table.number("take.added_q")
        and end.confidence > 0.5
        for end in report.line_ends
    )
    stopped = any(
        restart.stanza == stanza
        and passage.first_measure <= restart.stopped_measure <= passage.last_measure
        for restart in report.restarts
    )
    few = len(faults) <= table["take.slips"]
    return (few or not inside) and not added and not stopped
