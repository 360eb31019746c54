"""The stops of every stanza as plain text, each with its reason."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from textwrap import wrap

from suspirium.plan.model import LeadingPlan
from suspirium.render.bench import drawn_lines
from suspirium.render.service_words import CAUTION
from suspirium.render.textlines import WIDTH, item
from suspirium.service.organ import Organ
from suspirium.service.registration import StanzaRegistration


def stops_text(plan: LeadingPlan, organ: Organ, rows: Sequence[StanzaRegistration]) -> str:
    """All that is drawn in every stanza and why; lines no longer than 78 characters."""
    return "\n".join(_lines(plan, organ, rows)) + "\n"


def _lines(plan: LeadingPlan, organ: Organ, rows: Sequence[StanzaRegistration]) -> Iterator[str]:
    yield from wrap(f"{plan.hymn.title or 'Hymn'}: {organ.name}", WIDTH)
    yield ""
    for row in rows:
        drawn = "; ".join(
            f"{head} {said}".strip() for head, said in drawn_lines(organ, row.registration)
        )
        yield from item(f"Stanza {row.stanza}", f"{drawn}; play on {row.registration.main}.")
        yield from item("", row.reason)
    yield ""
    yield from wrap(CAUTION, WIDTH)
