"""Registrations for all stanzas of a hymn on one organ, with the reason of each."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from math import inf

from suspirium.errors import OrganError
from suspirium.plan.model import LeadingPlan
from suspirium.service.organ.model import Organ
from suspirium.service.registration.candidates import Candidate, candidates
from suspirium.service.registration.changes import Change, change
from suspirium.service.registration.character import Read, characters
from suspirium.service.registration.model import StanzaRegistration
from suspirium.service.registration.reasons import reason
from suspirium.service.registration.solve import Stage, solve
from suspirium.service.registration.steps import clipped, people_step, place_step, room_step
from suspirium.tables import load

INTRODUCTION = 0


@dataclass(frozen=True, slots=True)
class ServiceSetting:
    """Where the hymn stands in the service, and the characters that the organist sets.

    Where people do not know the tune (`new_tune`) the introduction plays it as a solo.
    `stanzas` are those sung, empty for all; `introduction` says whether there is one.
    """

    place: str = "middle"
    new_tune: bool = False
    characters: Mapping[int, str] = field(default_factory=dict)
    stanzas: tuple[int, ...] = ()
    introduction: bool = True


def propose_registration(
    plan: LeadingPlan, organ: Organ, setting: ServiceSetting = ServiceSetting()
) -> tuple[StanzaRegistration, ...]:
    """The registration of the introduction (stanza 0) and of every stanza sung, in order.

    One cheapest whole (``tables/registration.toml``): what each stanza's words, the people,
    the room and the place in the service ask for, changed by no more than people follow and
    hands reach in the stanza gap. Every stop is one of this organ.
    Raises `OrganError` for an unknown place or character, or an organ without any chorus.
    """
    places = load("registration")["place"]
    if setting.place not in places:
        raise OrganError(f"the place {setting.place!r} is not known: choose {', '.join(places)}")
    read = characters(plan, setting.characters)
    found = candidates(organ)
    if not found:
        raise OrganError(f"{organ.name} has no manual with a stop at 8 foot to build on")
    stages = list(_stages(plan, read, setting))
    budget_s = plan.gap.value.silence_s
    rows = solve(organ, stages, found, budget_s)
    return tuple(_told(organ, plan, stages, rows, read, budget_s))


def _stages(
    plan: LeadingPlan, read: Mapping[int, Read], setting: ServiceSetting
) -> Iterator[Stage]:
    table = load("registration")
    base = people_step(plan.singers) + room_step(plan.room.rt_s) + place_step(setting.place)
    numbers = setting.stanzas or plan.stanza_numbers
    asked = {number: base + read[number].step for number in numbers}
    if len(numbers) > 1:
        asked[numbers[-1]] += table.number("last.more")
    first = clipped(asked[numbers[0]] - table.number("introduction.less"))
    no_pedal, quietly = table.number("cost.no_pedal"), table.number("cost.no_pedal_quiet")
    no_solo = table.number("cost.no_solo") if setting.new_tune else 0.0
    if setting.introduction:
        yield Stage(INTRODUCTION, first, table.number("step.turn"), quietly, no_solo)
    before = read[numbers[0]].step
    for number in numbers:
        turns = abs(read[number].step - before) >= table.number("turn")
        last = number == numbers[-1] and len(numbers) > 1
        reach = table.number("step.turn" if turns or last else "step.most")
        if number == numbers[0]:
            reach = inf  # nobody sings yet: the introduction binds no stanza
        alone = (
            quietly
            if read[number].step < 0 and len(numbers) >= table["hands.stanzas"]
            else no_pedal
        )
        yield Stage(number, clipped(asked[number]), reach, alone)
        before = read[number].step


def _told(
    organ: Organ,
    plan: LeadingPlan,
    stages: Sequence[Stage],
    rows: Sequence[Candidate],
    read: Mapping[int, Read],
    budget_s: float,
) -> Iterator[StanzaRegistration]:
    before: Candidate | None = None
    for stage, row in zip(stages, rows, strict=True):
        character = read[stage.stanza or stages[-1].stanza]
        nothing = Change((), (), False, 0.0)
        moved = (
            nothing
            if before is None
            else change(organ, before.registration, row.registration, budget_s)
        )
        yield StanzaRegistration(
            stanza=stage.stanza,
            character=character.character,
            asked=stage.asked,
            step=row.step,
            registration=row.registration,
            level_db=row.level_db,
            brightness=row.brightness,
            draw=moved.draw,
            put_in=moved.put_in,
            by_piston=moved.by_piston,
            seconds=moved.seconds,
            reason=reason(organ, stage, row, before, moved, character),
        )
        before = row
