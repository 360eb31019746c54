"""Every registration worth a thought: choruses, coupled or not, with the pedal that fits."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cache
from itertools import combinations
from math import log10

from suspirium.service.organ.feet import octaves
from suspirium.service.organ.loudness import Sound, sound_of, together
from suspirium.service.organ.model import Coupler, Division, Organ, Stop
from suspirium.service.registration.chorus import Chorus, choruses
from suspirium.service.registration.model import Registration
from suspirium.service.registration.solo import solos
from suspirium.service.registration.steps import step_of
from suspirium.tables import load

BIN_DB = 0.5  # registrations of one manual within so much are rivals
RIVALS = 4  # of which so many are kept
PEDALS = 2  # pedals tried with each
MOST_PEDAL_STOPS = 4


@dataclass(frozen=True, slots=True)
class Candidate:
    """A registration, its own cost, and its place in the crescendo."""

    registration: Registration
    cost: float
    step: float
    level_db: float
    brightness: float


@dataclass(frozen=True, slots=True)
class _Hands:
    """What the hands play on one manual, before the pedal is chosen."""

    main: Division
    stops: tuple[Stop, ...]
    couplers: tuple[Coupler, ...]
    shut: bool
    cost: float
    sound: Sound


@cache
def candidates(organ: Organ) -> tuple[Candidate, ...]:
    """All candidates of an organ, with and without pedal; solos are for introductions."""
    known = {manual.name: choruses(manual) for manual in organ.manuals}
    found: list[Candidate] = []
    for place, manual in enumerate(organ.manuals):
        for hands in _rivals(_hands(organ, manual, known)):
            found.extend(_with_feet(organ, hands, place))
    found.extend(_solo_candidates(organ, known))
    return tuple(found)


def _hands(
    organ: Organ, manual: Division, known: dict[str, tuple[Chorus, ...]]
) -> Iterator[_Hands]:
    table = load("registration")
    box_db = load("organs").number("box_closed_db")
    couplers = [
        c
        for c in organ.couplers
        if c.target == manual.name and c.octaves == 0 and c.source in known
    ]
    for chorus in known[manual.name]:
        yield _Hands(manual, chorus.stops, (), False, chorus.cost, chorus.sound)
        if manual.enclosed:
            shut = chorus.sound.softened(box_db)
            yield _Hands(manual, chorus.stops, (), True, chorus.cost, shut)
        for coupler in couplers:
            source = organ.division(coupler.source)
            for more in known[coupler.source]:
                stops = (*chorus.stops, *more.stops)
                cost = chorus.cost + more.cost + table.number("cost.coupler")
                both = chorus.sound + more.sound
                yield _Hands(manual, stops, (coupler,), False, cost, both)
                if source.enclosed and not manual.enclosed:
                    shut = chorus.sound + more.sound.softened(box_db)
                    yield _Hands(manual, stops, (coupler,), True, cost, shut)


def _rivals(found: Iterator[_Hands]) -> list[_Hands]:
    """Of those alike in loudness the best few."""
    bins: dict[int, list[_Hands]] = {}
    for hands in sorted(found, key=lambda one: (one.cost, len(one.stops))):
        rivals = bins.setdefault(round(hands.sound.level_db / BIN_DB), [])
        if len(rivals) < RIVALS:
            rivals.append(hands)
    return [hands for rivals in bins.values() for hands in rivals]


def _with_feet(organ: Organ, hands: _Hands, place: int) -> Iterator[Candidate]:
    table = load("registration")
    cost = hands.cost + table.number("cost.manual") * place
    pedal = organ.pedal
    yield _candidate(organ, hands, (), (), cost, with_pedal=False)
    if pedal is None:
        return
    for stops, couplers, more in best_pedals(organ, pedal, hands.main.name, hands.sound):
        yield _candidate(organ, hands, stops, couplers, cost + more, with_pedal=True)


def _candidate(
    organ: Organ,
    hands: _Hands,
    stops: Sequence[Stop],
    couplers: Sequence[Coupler],
    cost: float,
    *,
    with_pedal: bool,
) -> Candidate:
    registration = Registration(
        main=hands.main.name,
        stops=(*hands.stops, *stops),
        couplers=(*hands.couplers, *couplers),
        pedal=organ.pedal.name if with_pedal and organ.pedal else "",
        shut=hands.shut,
        enclosed=tuple(division.name for division in organ.divisions if division.enclosed),
    )
    sound = hands.sound
    return Candidate(registration, cost, step_of(sound), sound.level_db, sound.brightness)


Feet = tuple[tuple[Stop, ...], tuple[Coupler, ...], float]


def best_pedals(organ: Organ, pedal: Division, main: str, hands: Sound) -> list[Feet]:
    """The pedals that stand best under what the hands play: 16 foot, clear, not covering."""
    coupler = [c for c in organ.couplers if (c.source, c.target) == (main, pedal.name)][:1]
    pedal_sets = _pedal_sets(pedal)
    found = [
        (stops, tuple(coupled), _pedal_cost(stops, hands, coupled=bool(coupled)))
        for coupled in ((), coupler)
        if coupled == () or coupler
        for stops in pedal_sets
    ]
    return sorted(found, key=lambda feet: (feet[2], len(feet[0])))[:PEDALS]


@cache
def _pedal_sets(pedal: Division) -> tuple[tuple[Stop, ...], ...]:
    return tuple(_pedal_stops(pedal))


def _pedal_stops(pedal: Division) -> Iterator[tuple[Stop, ...]]:
    """Sets of pedal stops without a gap; a reed stands on flues of its pitch."""
    for count in range(1, min(MOST_PEDAL_STOPS, len(pedal.stops)) + 1):
        for stops in combinations(pedal.stops, count):
            flues = {octaves(s.foot) for s in stops if s.is_unison and not s.is_reed}
            reeds = {octaves(s.foot) for s in stops if s.is_reed}
            heights = sorted(height for height in flues if height is not None)
            if not heights or heights != list(range(heights[0], heights[-1] + 1)):
                continue
            if reeds <= flues and all(s.is_unison for s in stops):
                yield stops


def _pedal_cost(stops: Sequence[Stop], hands: Sound, *, coupled: bool) -> float:
    table = load("registration")
    own = together(sound_of(stop, pedal=True) for stop in stops)
    plain = own.plain + (hands.plain if coupled else 0.0)
    away_db = abs(10 * log10(plain / hands.plain) - table.number("pedal.below_db"))
    pitches = {octaves(stop.foot) for stop in stops}
    missing = (-1 not in pitches) + (0 not in pitches and not coupled)
    doubled = len(stops) - len({(stop.foot, stop.is_reed) for stop in stops})
    return (
        table.number("cost.pedal") * away_db
        + table.number("cost.pedal_pitch") * missing
        + table.number("cost.mixed") * doubled
        + table.number("cost.stop") * (len(stops) + coupled)
    )


def _solo_candidates(organ: Organ, known: dict[str, tuple[Chorus, ...]]) -> Iterator[Candidate]:
    """A melody on one manual, the other voices on another, a soft pedal."""
    for solo in solos(organ, known):
        under = _Hands(solo.under, solo.accompaniment, (), False, solo.cost, solo.sound)
        pedals: list[Feet] = [((), (), 0.0)]
        if organ.pedal is not None:
            pedals = best_pedals(organ, organ.pedal, solo.under.name, solo.soft)[:1]
        for stops, couplers, more in pedals:
            registration = Registration(
                main=solo.under.name,
                stops=(*solo.melody, *solo.accompaniment, *stops),
                couplers=couplers,
                pedal=organ.pedal.name if organ.pedal else "",
                enclosed=tuple(d.name for d in organ.divisions if d.enclosed),
                solo=solo.over.name,
            )
            sound = under.sound
            yield Candidate(
                registration, under.cost + more, step_of(sound), sound.level_db, sound.brightness
            )
