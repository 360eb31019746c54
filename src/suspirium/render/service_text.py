"""The service as plain text: the order, then each hymn as on the bench sheet."""

from __future__ import annotations

from collections.abc import Iterator
from textwrap import wrap

from suspirium.render.bench import Bench, LineEnd, Row, bench_of
from suspirium.render.service_words import (
    CAUTION,
    moment_words,
    stanza_words,
    time_words,
    when_words,
)
from suspirium.render.textlines import WIDTH, item
from suspirium.service.organ import Organ
from suspirium.service.served import Served
from suspirium.service.whole import Service

_KINDS = {"full": "lift", "part": "melody lifts", "carry": "carry"}


def service_text(service: Service, *, benches: bool = True) -> str:
    """The order with times and remarks; with `benches` every hymn's sheet after it."""
    lines = list(_order(service))
    if benches:
        for number, hymn in enumerate(service.served, 1):
            lines += ["", "-" * WIDTH, *_bench(number, hymn, service.organ)]
        lines += ["", *wrap(CAUTION, WIDTH)]
    return "\n".join(lines) + "\n"


def _order(service: Service) -> Iterator[str]:
    yield from wrap(service.order.name, WIDTH)
    if when := when_words(service.order):
        yield when
    yield ""
    number = 0
    relations = iter(("", *(f"{r.keys}; {r.pulse}" for r in service.relations)))
    for at_s, moment, lasts_s in service.timed():
        head = time_words(at_s, service.order.begins)
        if not isinstance(moment, Served):
            yield from item(head, f"{moment_words(moment)} ({time_words(lasts_s)})")
            continue
        number += 1
        bench = bench_of(moment, service.organ)
        yield from item(
            head,
            f"{number}. {bench.title}{f' ({bench.tune})' if bench.tune else ''}, "
            f"{stanza_words(moment)}, {time_words(lasts_s)}. {bench.key}; {bench.pulse_note} = "
            f"{bench.pulse_bpm}; introduction: {bench.introduction}; gap: {bench.gap}.",
        )
        if relation := next(relations):
            yield from item("", f"{relation}.")
    yield from item("In all", time_words(service.seconds))
    for remark in service.remarks:
        yield from item("Note", remark)


def _bench(number: int, hymn: Served, organ: Organ | None) -> Iterator[str]:
    bench = bench_of(hymn, organ)
    yield from wrap(f"{number}. {bench.title}{f' ({bench.tune})' if bench.tune else ''}", WIDTH)
    yield bench.key
    yield ""
    yield from item(
        "Pulse",
        f"{bench.pulse_note} = {bench.pulse_bpm}. {bench.motion}. {bench.stanza_s} s a stanza.",
    )
    joint = f": {bench.joint}" if bench.joint else ""
    yield from item("Intro", f"{bench.introduction}{joint}.")
    for row in bench.rows:
        yield from item(str(row.stanza) if row.stanza else "(intro)", _row(row))
    yield from _lines(bench)
    yield from item("Gap", f"{bench.gap} ({bench.gap_s:.1f} s of silence).")
    yield from item("Ending", f"{bench.ending}.")
    if bench.amen:
        yield from item("Amen", f"{bench.amen}.")


def _row(row: Row) -> str:
    stops = "; ".join(f"{head} {said}".strip() for head, said in row.stops)
    parts = [
        f"{row.step}: {stops}" if stops else row.step,
        f"“{row.incipit}…”" if row.incipit else "",
        ", ".join(_end(end) for end in row.ends),
        row.carries,
    ]
    return ". ".join(part for part in parts if part)


def _end(end: LineEnd) -> str:
    return f"line {end.line}: {_KINDS[end.kind]}"


def _lines(bench: Bench) -> Iterator[str]:
    if bench.lines:
        yield from item("Lines", " ".join(bench.lines))
