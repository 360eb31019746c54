"""A hymn in its service: the plan with what this service asks of it."""

from __future__ import annotations

from dataclasses import dataclass, replace

from suspirium.errors import ServiceError
from suspirium.plan.gap import choose_ending
from suspirium.plan.model import Decision, Ending, LeadingPlan
from suspirium.plan.pulse import counted_beat_q
from suspirium.service.amen import Amen, amen_of
from suspirium.service.introductions import Introduction, propose_introductions
from suspirium.service.order.model import HymnMoment
from suspirium.service.organ import Organ
from suspirium.service.playing import Played, play
from suspirium.service.registration import StanzaRegistration, propose_registration
from suspirium.service.registration.propose import ServiceSetting


@dataclass(frozen=True, slots=True)
class Served:
    """One hymn as it is played. `rows` are its registrations, none without an organ; the
    first is the introduction's (stanza 0) where there is one."""

    moment: HymnMoment
    plan: LeadingPlan
    stanzas: tuple[int, ...]
    introduction: Introduction | None
    amen: Amen | None
    rows: tuple[StanzaRegistration, ...]
    played: Played

    @property
    def title(self) -> str:
        return self.plan.hymn.title or self.moment.hymn

    def row(self, stanza: int) -> StanzaRegistration | None:
        """The registration of a stanza, 0 for the introduction."""
        return next((row for row in self.rows if row.stanza == stanza), None)


def serve(moment: HymnMoment, plan: LeadingPlan, organ: Organ | None) -> Served:
    """The hymn of `moment`, whose `plan` is in the key it is sung in.

    Raises `ServiceError` for a stanza, an introduction or an amen that the hymn has not.
    """
    stanzas = _stanzas(moment, plan)
    plan = _ended(moment, plan)
    introduction = _introduction(moment, plan)
    amen = amen_of(plan) if moment.amen else None
    if moment.amen and amen is None:
        raise ServiceError(
            f"{moment.hymn} does not end on a plain chord in root position: its amen has to be "
            "the organist's own; leave amen out"
        )
    rows: tuple[StanzaRegistration, ...] = ()
    if organ is not None:
        setting = ServiceSetting(
            place=moment.place,
            new_tune=moment.new_tune,
            characters=moment.characters,
            stanzas=stanzas,
            introduction=introduction is not None,
        )
        rows = propose_registration(plan, organ, setting)
    return Served(
        moment, plan, stanzas, introduction, amen, rows, play(plan, stanzas, introduction, amen)
    )


def _stanzas(moment: HymnMoment, plan: LeadingPlan) -> tuple[int, ...]:
    known = plan.stanza_numbers
    for number in moment.stanzas:
        if number not in known:
            raise ServiceError(
                f"{moment.hymn} has no stanza {number}; it has {', '.join(map(str, known))}"
            )
    return moment.stanzas or known


def _introduction(moment: HymnMoment, plan: LeadingPlan) -> Introduction | None:
    if moment.introduction == 0:
        return None
    found = propose_introductions(plan)
    if moment.introduction > len(found):
        raise ServiceError(
            f"{moment.hymn} has {len(found)} introductions to choose from, "
            f"not {moment.introduction}"
        )
    return found[moment.introduction - 1]


def _ended(moment: HymnMoment, plan: LeadingPlan) -> LeadingPlan:
    """The plan with the last line broader where the service asks for it."""
    if not moment.broaden or plan.ending.value.broaden:
        return plan
    usual = choose_ending(plan.phrases[-1].written_q, counted_beat_q(plan.hymn), broaden=True)
    held = Ending(plan.ending.value.hold_q, usual.value.broaden)
    reason = usual.reason
    if held.hold_q != usual.value.hold_q:
        head = plan.ending.reason.split(";")[0].rstrip(".")
        reason = f"{head}; {usual.reason.split('; ')[-1]}"
    return replace(plan, ending=Decision(held, reason, overridden=True))
