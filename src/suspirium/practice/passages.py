"""The passages of a hymn: lines of the poem, singly or in pairs, with effort and advice."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction
from itertools import pairwise

from suspirium.plan.model import LeadingPlan, Phrase
from suspirium.practice.model import Passage, Player
from suspirium.score.sounding import measure_at
from suspirium.tables import load
from suspirium.technique.effort.demand import demands, haste
from suspirium.technique.model import Technique
from suspirium.units import quarters_to_seconds

_PLAYERS: tuple[Player, ...] = ("right", "left", "pedal")


def passages_of(
    plan: LeadingPlan, technique: Technique, manuals: Technique | None = None
) -> tuple[Passage, ...]:
    """The passages of `plan`, as `technique` plays it; `manuals` is the same for hands alone."""
    groups = _groups(plan)
    return tuple(_passage(plan, technique, manuals, group) for group in groups)


def _groups(plan: LeadingPlan) -> list[tuple[Phrase, ...]]:
    """Lines in pairs from the first, a line alone where two are long or none is left."""
    table = load("practice")
    most, longest_s = int(table["passage.phrases"]), table.number("passage.longest_s")
    groups: list[tuple[Phrase, ...]] = []
    for phrase in plan.phrases:
        joined = (*groups[-1], phrase) if groups else ()
        fits = joined and len(joined) <= most and _seconds(plan, *_span(joined)) <= longest_s
        if fits:
            groups[-1] = joined
        else:
            groups.append((phrase,))
    return groups


def _span(phrases: Sequence[Phrase]) -> tuple[Fraction, Fraction]:
    return phrases[0].first_onset_q, phrases[-1].end_q


def _seconds(plan: LeadingPlan, start_q: Fraction, end_q: Fraction) -> float:
    return quarters_to_seconds(end_q - start_q, plan.tempo.value.quarter_bpm)


def _passage(
    plan: LeadingPlan,
    technique: Technique,
    manuals: Technique | None,
    phrases: Sequence[Phrase],
) -> Passage:
    start_q, end_q = _span(phrases)
    seconds = _seconds(plan, start_q, end_q)
    return Passage(
        first_phrase=phrases[0].number,
        last_phrase=phrases[-1].number,
        start_q=start_q,
        end_q=end_q,
        first_measure=measure_at(plan.hymn, start_q).number,
        last_measure=measure_at(plan.hymn, phrases[-1].last_onset_q).number,
        seconds=seconds,
        demand=_demand(plan, technique, start_q, end_q),
        mind=tuple(_mind(plan, phrases)),
        hard=_hard(technique, start_q, end_q),
        manual_demand=_demand(plan, manuals, start_q, end_q) if manuals else None,
    )


def _demand(
    plan: LeadingPlan, technique: Technique, start_q: Fraction, end_q: Fraction
) -> dict[Player, float]:
    """Points of effort a second by player; the tune asks what a note a strike asks."""
    seconds = _seconds(plan, start_q, end_q)
    inside = [d for d in demands(plan.hymn, technique.notes) if start_q <= d.written_q < end_q]
    found: dict[Player, float] = {
        player: sum(d.points for d in inside if d.component == player) / seconds
        for player in _PLAYERS
    }
    return {"tune": _tune(plan, technique, start_q, end_q) / seconds, **found}


def _tune(plan: LeadingPlan, technique: Technique, start_q: Fraction, end_q: Fraction) -> float:
    """The melody alone: each of its keys struck, the sooner after the last the dearer."""
    strike = load("effort").number("hand.strike")
    onsets = sorted(
        {
            note.onset_s
            for note in technique.notes
            if plan.hymn.melody.name in note.voices and start_q <= note.written_q < end_q
        }
    )
    gaps = [later - earlier for earlier, later in pairwise(onsets)]
    return strike * (1 + sum(haste(gap) for gap in gaps)) if onsets else 0.0


def _mind(plan: LeadingPlan, phrases: Sequence[Phrase]) -> Iterator[str]:
    """Pickup, lifts and gap, as the plan has them."""
    if phrases[0].number == plan.phrases[0].number and plan.hymn.pickup_q:
        yield "the pickup leads in: count it in the tempo of what follows"
    inner = [phrase for phrase in phrases if phrase.number != plan.phrases[-1].number]
    lifts = [phrase.number for phrase in inner if _lifts(plan, phrase)]
    carries = [phrase.number for phrase in inner if not _lifts(plan, phrase)]
    if lifts:
        yield f"lift after {_lines(lifts)}, inside the beat"
    if carries:
        yield f"carry on over the end of {_lines(carries)}"
    if phrases[-1].number == plan.phrases[-1].number:
        yield "hold the last chord in full, then the gap before the next stanza, in the pulse"


def _lifts(plan: LeadingPlan, phrase: Phrase) -> bool:
    return any(phrase.breath(number) != "carry" for number in plan.stanza_numbers)


def _lines(numbers: Sequence[int]) -> str:
    if len(numbers) == 1:
        return f"line {numbers[0]}"
    return f"lines {', '.join(str(n) for n in numbers[:-1])} and {numbers[-1]}"


def _hard(technique: Technique, start_q: Fraction, end_q: Fraction) -> str:
    """What is hard here: the hardest of the hymn's hard places that lies inside."""
    for place in technique.effort.passages:
        if place.start_q < end_q and start_q < place.end_q:
            where = f"measure {place.first_measure}"
            if place.last_measure != place.first_measure:
                where = f"measures {place.first_measure} to {place.last_measure}"
            if place.last_measure == 0:
                where = "pickup"
            reason = place.reason.removeprefix("Here ").rstrip(".")
            return f"{where}: {reason}"
    return ""
