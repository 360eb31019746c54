"""A service as an iCalendar file (RFC 5545), to import anywhere."""

from __future__ import annotations

from datetime import datetime, timedelta
from math import ceil

from icalendar import Calendar, Event

from suspirium.errors import ServiceError
from suspirium.render.service_text import service_text
from suspirium.service.whole import Service

_NAME = "-//suspirium//order of service//EN"
_LEAST = timedelta(minutes=1)


def order_ics(service: Service, made_at: datetime) -> bytes:
    """One event: at its hour and as long as it lasts, or the whole day if no hour is given.

    Its name stays the same for a day and an hour, so that an order that is imported again
    replaces the one before. Raises `ServiceError` for a service without a date.
    """
    order = service.order
    if order.on is None:
        raise ServiceError(f"{order.name} has no date: write date = 2026-12-06 on top")
    event = Event()
    hour = f"{order.begins:%H%M}" if order.begins else "day"
    event.add("uid", f"{order.on.isoformat()}-{hour}-order@suspirium")
    event.add("dtstamp", made_at)
    event.add("summary", order.name)
    if order.begins:
        start = datetime.combine(order.on, order.begins)
        event.add("dtstart", start)
        lasts = timedelta(minutes=ceil(service.seconds / 60))
        event.add("dtend", start + max(lasts, _LEAST))
    else:
        event.add("dtstart", order.on)
        event.add("dtend", order.on + timedelta(days=1))
    event.add("description", service_text(service, benches=False))
    found = Calendar()
    found.add("prodid", _NAME)
    found.add("version", "2.0")
    found.add_component(event)
    written: bytes = found.to_ical()
    return written
