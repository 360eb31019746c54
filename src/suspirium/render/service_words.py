"""A service in plain words: times, stanzas, other moments; shared by sheets, text and calendar."""

from __future__ import annotations

from datetime import date, datetime, time, timedelta

from suspirium.render.words import ranges
from suspirium.service.order.model import Moment, Order
from suspirium.service.served import Served

CAUTION = (
    "A proposal: the church's own order, its customs and whoever leads the service come first. "
    "Registrations are reckoned from the stop list, not heard: try them from the nave."
)


def time_words(seconds: float, begins: time | None = None) -> str:
    """A length as minutes and seconds ("3′ 05″"), or the hour if the service begins at one."""
    if begins is not None:
        at = datetime.combine(date(2000, 1, 1), begins) + timedelta(seconds=seconds)
        return f"{at:%H:%M}"
    minutes, rest = divmod(round(seconds), 60)
    return f"{minutes}′ {rest:02}″" if minutes else f"{rest}″"


def when_words(order: Order) -> str:
    """Day and hour of the service as far as they are known."""
    parts = []
    if order.on:
        parts.append(f"{order.on:%A} {order.on.day} {order.on:%B %Y}")
    if order.begins:
        parts.append(f"{order.begins:%H:%M}")
    return ", ".join(parts)


def stanza_words(hymn: Served) -> str:
    """Which stanzas are sung: "all 4 stanzas", "stanzas 1, 2, 4"."""
    if len(hymn.stanzas) == 1:
        return (
            "1 stanza" if hymn.stanzas == hymn.plan.stanza_numbers else f"stanza {hymn.stanzas[0]}"
        )
    if hymn.stanzas == hymn.plan.stanza_numbers:
        return f"all {len(hymn.stanzas)} stanzas"
    if list(hymn.stanzas) != sorted(set(hymn.stanzas)):
        return f"stanzas {', '.join(map(str, hymn.stanzas))}"
    return f"stanzas {ranges(hymn.stanzas)}"


def moment_words(moment: Moment) -> str:
    """What else happens."""
    return moment.what
