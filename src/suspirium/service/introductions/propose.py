"""Introductions of one hymn, best first: of each shape the one of least cost."""

from __future__ import annotations

from suspirium.plan.model import LeadingPlan
from suspirium.service.introductions.candidates import Pieces, candidates
from suspirium.service.introductions.costs import Counts, Judge, cost, ending, seconds_of
from suspirium.service.introductions.model import Introduction, Shape
from suspirium.service.introductions.reasons import reason
from suspirium.service.introductions.tune import Tune, tune_of

_CLOSING: dict[int, Shape] = {0: "last line", 1: "last two lines"}


def propose_introductions(plan: LeadingPlan) -> tuple[Introduction, ...]:
    """What may be played before the first stanza, best first; at least one, one of a shape.

    Every candidate ends with a line; what speaks against it is counted and weighed with
    ``tables/introduction.toml``.
    """
    tune = tune_of(plan)
    judge = Judge(tune)
    best: dict[Shape, tuple[float, Pieces, Counts]] = {}
    for pieces in candidates(tune):
        counts = judge.counts(pieces)
        total = cost(counts)
        shape = shape_of(tune, pieces)
        if shape not in best or total < best[shape][0]:
            best[shape] = total, pieces, counts
    ranked = sorted(best.items(), key=lambda item: item[1][0])
    return tuple(_introduction(tune, shape, *found) for shape, found in ranked)


def shape_of(tune: Tune, pieces: Pieces) -> Shape:
    """What part of the stanza the pieces are."""
    if len(pieces) > 1:
        return "first and last lines"
    numbers = line_numbers(tune, pieces)
    first, last = numbers[0], numbers[-1]
    whole_lines = any(line.first_onset_q == pieces[0].first_onset_q for line in tune.lines)
    if last != tune.stanza_end:
        return "first lines" if first == 1 and whole_lines else "inner lines"
    if not whole_lines:
        return "end of last line"
    if first == 1:
        return "whole tune"
    return _CLOSING.get(last - first, "last lines")


def line_numbers(tune: Tune, pieces: Pieces) -> tuple[int, ...]:
    """Numbers of the lines that are played, whole or in part."""
    return tuple(
        line.number
        for piece in pieces
        for line in tune.lines
        if piece.first_onset_q <= line.last_onset_q <= piece.last_onset_q
    )


def _introduction(
    tune: Tune, shape: Shape, total: float, pieces: Pieces, counts: Counts
) -> Introduction:
    seconds = seconds_of(tune, pieces)
    numbers = line_numbers(tune, pieces)
    notes = sum(tune.notes(piece.first_onset_q, piece.last_onset_q) for piece in pieces)
    final = ending(tune, pieces[-1]).number == tune.lines[-1].number
    return Introduction(
        pieces=pieces,
        shape=shape,
        line_numbers=numbers,
        seconds=seconds,
        cost=total,
        reason=reason(shape, numbers, seconds, notes, counts, final=final),
    )
