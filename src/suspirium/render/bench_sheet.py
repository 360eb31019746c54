"""The bench sheet on paper: the order on one page, then one page a hymn."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from suspirium.render.bench import LineEnd, Row, bench_of
from suspirium.render.engrave.gapfigure import gap_figure
from suspirium.render.engrave.ink import INK
from suspirium.render.engrave.notehead import note_svg
from suspirium.render.service_words import (
    CAUTION,
    moment_words,
    stanza_words,
    time_words,
    when_words,
)
from suspirium.render.typeset import set_document
from suspirium.render.typography import curly_prose
from suspirium.service.served import Served
from suspirium.service.whole import Service

GAP_WIDTH_MM = 150.0


def bench_pdf(service: Service, *, overview: bool = True) -> bytes:
    """The sheet as PDF; with `overview` the whole order comes first, on a page of its own."""
    data: dict[str, Any] = {
        "title": curly_prose(service.order.name),
        "when": when_words(service.order),
        "overview": list(_overview(service)) if overview else [],
        "total": time_words(service.seconds),
        "remarks": [curly_prose(text) for text in service.remarks] if overview else [],
        "caution": CAUTION,
        "hymns": [_hymn(number, hymn, service) for number, hymn in enumerate(service.served, 1)],
    }
    return set_document("bench.typ", data)[0]


def _overview(service: Service) -> Iterator[dict[str, Any]]:
    number = 0
    relations = iter(("", *(f"{r.keys}; {r.pulse}" for r in service.relations)))
    for at_s, moment, lasts_s in service.timed():
        at = time_words(at_s, service.order.begins)
        if isinstance(moment, Served):
            number += 1
            bench = bench_of(moment, service.organ)
            yield {
                "at": at,
                "number": str(number),
                "what": curly_prose(bench.title),
                "tune": curly_prose(bench.tune),
                "lasts": time_words(lasts_s),
                "said": curly_prose(
                    f"{bench.key}; {bench.pulse_note} = {bench.pulse_bpm}; "
                    f"introduction {bench.introduction}; {stanza_words(moment)}; "
                    f"gap: {bench.gap}"
                ),
                "before": next(relations),
            }
        else:
            yield {
                "at": at,
                "what": curly_prose(moment_words(moment)),
                "lasts": time_words(lasts_s),
            }


def _hymn(number: int, hymn: Served, service: Service) -> dict[str, Any]:
    bench = bench_of(hymn, service.organ)
    figure, width_mm = gap_figure(hymn.plan, GAP_WIDTH_MM)
    lines = [end.line for row in bench.rows for end in row.ends]
    return {
        "number": str(number),
        "title": curly_prose(bench.title),
        "tune": curly_prose(bench.tune),
        "key": bench.key,
        "first_line": curly_prose(bench.first_line),
        "glyph": note_svg(bench.pulse_q, INK),
        "bpm": str(bench.pulse_bpm),
        "motion": bench.motion,
        "stanza_s": f"a stanza lasts {bench.stanza_s} s",
        "introduction": bench.introduction,
        "joint": bench.joint,
        "rows": [_row(row) for row in bench.rows],
        "differing": sorted(set(lines)),
        "lines": list(bench.lines),
        "gap": figure,
        "gap_width": width_mm,
        "gap_s": f"{bench.gap_s:.1f} s",
        "has_gap": len(hymn.stanzas) > 1 or hymn.introduction is not None,
        "with_introduction": bench.joint.endswith("then the gap"),
        "ending": bench.ending,
        "amen": bench.amen,
    }


def _row(row: Row) -> dict[str, Any]:
    return {
        "stanza": str(row.stanza) if row.stanza else "",
        "step": row.step,
        "stops": [[head, curly_prose(text)] for head, text in row.stops],
        "incipit": curly_prose(row.incipit),
        "ends": [_end(end) for end in row.ends],
        "carries": row.carries,
    }


def _end(end: LineEnd) -> dict[str, Any]:
    words = {"full": "lift", "part": "melody lifts", "carry": "carry"}
    return {
        "line": end.line,
        "kind": end.kind,
        "word": words[end.kind],
        "hold": float(end.hold),
        "written": float(end.written),
    }
