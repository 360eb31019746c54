"""A service as JSON values; the form is published in ``docs/service.schema.json``."""

from __future__ import annotations

from typing import Any

from suspirium.render.numbers import number
from suspirium.render.words import key_name
from suspirium.service.opening import opening_of
from suspirium.service.organ import Organ
from suspirium.service.registration.model import StanzaRegistration
from suspirium.service.relations import pulse_bpm
from suspirium.service.served import Served
from suspirium.service.whole import Service

FORMAT = "suspirium-service/1"


def service_values(service: Service) -> dict[str, Any]:
    """The whole service as plain values."""
    order = service.order
    return {
        "format": FORMAT,
        "name": order.name,
        "date": order.on.isoformat() if order.on else None,
        "begins": order.begins.isoformat() if order.begins else None,
        "organ": service.organ.name if service.organ else None,
        "seconds": round(service.seconds, 1),
        "moments": list(_moments(service)),
        "relations": [
            {"keys": one.keys, "pulse": one.pulse, "pulse_ratio": round(one.pulse_ratio, 3)}
            for one in service.relations
        ],
        "remarks": list(service.remarks),
    }


def _moments(service: Service) -> list[dict[str, Any]]:
    found = []
    for at_s, moment, lasts_s in service.timed():
        times = {"starts_s": round(at_s, 1), "seconds": round(lasts_s, 1)}
        if isinstance(moment, Served):
            found.append({"hymn": moment.moment.hymn, **times, **_hymn(moment, service.organ)})
        else:
            found.append({"what": moment.what, **times})
    return found


def _hymn(hymn: Served, organ: Organ | None) -> dict[str, Any]:
    plan, gap, ending = hymn.plan, hymn.plan.gap.value, hymn.plan.ending.value
    return {
        "title": hymn.title,
        "tune": plan.hymn.tune,
        "place": hymn.moment.place,
        "key": key_name(plan),
        "stanzas": list(hymn.stanzas),
        "pulse": {"unit_q": number(plan.pulse.value.unit_q), "bpm": round(pulse_bpm(plan), 2)},
        "introduction": _introduction(hymn),
        "gap": {
            "hold_q": number(gap.hold_q),
            "silence_q": number(gap.silence_q),
            "silence_s": round(gap.silence_s, 3),
        },
        "ending": {"hold_q": number(ending.hold_q), "broaden": ending.broaden},
        "amen": _amen(hymn),
        "parts": [
            {"name": part.name, "start_s": round(part.start_s, 3), "end_s": round(part.end_s, 3)}
            for part in hymn.played.parts
        ],
        "registrations": [_row(row, organ) for row in hymn.rows] if organ else [],
    }


def _introduction(hymn: Served) -> dict[str, Any] | None:
    found = hymn.introduction
    if found is None:
        return None
    joint = opening_of(hymn.plan, found).joint
    return {
        "shape": found.shape,
        "lines": list(found.line_numbers),
        "seconds": round(found.seconds, 2),
        "hold_q": number(joint.hold_q),
        "silence_q": number(joint.silence_q),
        "reason": found.reason,
    }


def _amen(hymn: Served) -> list[list[str]] | None:
    if hymn.amen is None:
        return None
    return [[str(pitch) for pitch in chord] for chord in (hymn.amen.subdominant, hymn.amen.tonic)]


def _row(row: StanzaRegistration, organ: Organ) -> dict[str, Any]:
    registration = row.registration
    return {
        "stanza": row.stanza,
        "character": row.character,
        "asked_step": round(row.asked, 2),
        "step": round(row.step, 2),
        "level_dba": round(row.level_db, 1),
        "play_on": registration.main,
        "solo_on": registration.solo or None,
        "pedal": bool(registration.pedal),
        "box_closed": registration.shut,
        "stops": [
            {"division": division.name, "stops": [stop.name for stop in stops]}
            for division in organ.divisions
            if (stops := registration.of(division.name))
        ],
        "couplers": [coupler.name for coupler in registration.couplers],
        "draw": list(row.draw),
        "put_in": list(row.put_in),
        "by_piston": row.by_piston,
        "seconds": round(row.seconds, 2),
        "reason": row.reason,
    }
