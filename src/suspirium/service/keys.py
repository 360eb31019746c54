"""The key that people can sing: the printed one, or a better one with the reason."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cache
from math import inf

from suspirium.errors import SuspiriumError
from suspirium.plan.keys import is_pedal
from suspirium.plan.model import LeadingPlan
from suspirium.score.keynames import key_words
from suspirium.score.model import Hymn
from suspirium.score.sounding import melody_tones, tones
from suspirium.score.transpose import MOST_SIGNS, fifths_moved, transposed
from suspirium.service.singable import Limits, Range, range_of
from suspirium.tables import load
from suspirium.technique.feet.board import pedalboard


@dataclass(frozen=True, slots=True)
class KeyProposal:
    """The printed key, the proposed one, how far it lies away (0: they are the same), why.

    `fifths` is the proposed signature in sharps (flats negative).
    """

    printed: str
    proposed: str
    semitones: int
    fifths: int
    reason: str


@dataclass(frozen=True, slots=True)
class _Setting:
    """One hymn and what its key has to bear."""

    hymn: Hymn
    sung: Range
    limits: Limits
    manual: frozenset[int]
    pedal: frozenset[int]


def propose_key(plan: LeadingPlan, *, people: str = "mixed", early: bool = False) -> KeyProposal:
    """The key of least cost (``tables/key.toml``), the printed one where nothing speaks against it.

    `people` is "mixed" or "elders"; `early` is for voices in the early morning, a tone lower.
    Raises `SuspiriumError` for other people.
    """
    setting = _setting(plan, limits_for(people, early=early))
    furthest = int(load("key")["furthest"])
    moves = sorted(range(-furthest, furthest + 1), key=abs)
    costs = {semitones: round(_cost(setting, semitones), 9) for semitones in moves}
    efforts = _efforts(plan, costs)
    chosen = min(moves, key=lambda semitones: costs[semitones] + _harder(efforts, semitones))
    first = plan.hymn.keys[0]
    fifths = first.fifths + (fifths_moved(plan.hymn, chosen) if chosen else 0)
    return KeyProposal(
        printed=key_words(first.fifths, first.mode),
        proposed=key_words(fifths, first.mode),
        semitones=chosen,
        fifths=fifths,
        reason=_reason(setting, chosen, efforts, early=early),
    )


def _efforts(plan: LeadingPlan, costs: Mapping[int, float]) -> dict[int, float]:
    """Effort of hands and feet, 1 to 5, in the printed key and in the few that would be better.

    No key is left for its effort alone: where the printed one is best, none is reckoned.
    """
    better = sorted((s for s, cost in costs.items() if cost < costs[0]), key=lambda s: costs[s])
    if not better:
        return {}
    from suspirium.technique import find_technique

    return {
        s: find_technique(replace(plan, hymn=transposed(plan.hymn, s))).effort.hymn
        for s in (0, *better[: int(load("key")["effort.keys"])])
    }


def _harder(efforts: Mapping[int, float], semitones: int) -> float:
    """What the effort of a key costs; keys that were not reckoned are out of the question."""
    if not efforts or semitones == 0:
        return 0.0
    if semitones not in efforts:
        return inf
    return load("key").number("cost.effort") * max(0.0, efforts[semitones] - efforts[0])


@cache
def limits_for(people: str, *, early: bool = False) -> Limits:
    """What these people can sing; raises `SuspiriumError` where the table has no such people."""
    table = load("key")
    if people not in table["people"]:
        known = ", ".join(table["people"])
        raise SuspiriumError(f"the people {people!r} are not known: choose one of {known}")
    lower = int(table["early.semitones"]) if early else 0
    low, high = table["people"][people]["low"], table["people"][people]["high"]
    first, last = table["tessitura"]
    return Limits(
        low=low - lower,
        high=high - lower,
        mean_low=float(first - lower),
        mean_high=float(last - lower),
        high_from=int(table["high.from"]) - lower,
        high_share=table.number("high.share"),
    )


def _setting(plan: LeadingPlan, limits: Limits) -> _Setting:
    keys: dict[bool, set[int]] = {True: set(), False: set()}
    for voice in plan.hymn.voices:
        keys[is_pedal(plan, voice.name)] |= {tone.pitch.midi for tone in tones(voice)}
    sung = range_of(melody_tones(plan.hymn))
    return _Setting(plan.hymn, sung, limits, frozenset(keys[False]), frozenset(keys[True]))


def _cost(setting: _Setting, semitones: int) -> float:
    table = load("key")
    strain = setting.sung.moved(semitones).strain(setting.limits)
    total = sum(table.number(f"cost.{name}") * amount for name, amount in strain.items())
    if semitones == 0:
        return total
    signs, printed = _signs(setting.hymn, semitones), _signs(setting.hymn, 0)
    easy, away = int(table["signs.easy"]), abs(semitones)
    return total + (
        table.number("cost.move")
        + table.number("cost.semitone") * away
        + table.number("cost.far") * max(0, away - int(table["move.usual"]))
        + table.number("cost.signs") * max(0, signs - max(easy, printed))
        + table.number("cost.more_signs") * max(0, signs - printed)
        + table.number("cost.compass") * max(0, _beyond(setting, semitones) - _beyond(setting, 0))
    )


def _signs(hymn: Hymn, semitones: int) -> int:
    """The most signs that any signature of the hymn has after a move."""
    steps = fifths_moved(hymn, semitones) if semitones else 0
    return min(MOST_SIGNS, max(abs(key.fifths + steps) for key in hymn.keys))


def _beyond(setting: _Setting, semitones: int) -> int:
    """Keys that the manual or the pedalboard does not have."""
    hands, board = load("hands"), pedalboard()
    return sum(
        not hands["keys.lowest"] <= midi + semitones <= hands["keys.highest"]
        for midi in setting.manual
    ) + sum(not board.lowest <= midi + semitones <= board.highest for midi in setting.pedal)


_INTERVALS = ("", "a semitone", "a tone", "a minor third", "a major third", "a fourth")


def _reason(setting: _Setting, semitones: int, efforts: Mapping[int, float], *, early: bool) -> str:
    hour = " early in the day" if early else ""
    printed = setting.hymn.keys[0].fifths
    faults = list(setting.sung.faults(setting.limits, printed))
    if semitones == 0:
        if not faults:
            words = setting.sung.words(setting.limits, printed)
            return f"The printed key suits{hour}: {words}."
        return (
            f"The printed key stays: {_listed(faults)}{hour}, "
            "but no other key is better by enough to leave the page."
        )
    way = "lower" if semitones < 0 else "higher"
    after = printed + fifths_moved(setting.hymn, semitones)
    words = setting.sung.moved(semitones).words(setting.limits, after)
    return (
        f"{_INTERVALS[abs(semitones)].capitalize()} {way}, because {_listed(faults)}{hour}: "
        f"then {words}{_signs_told(printed, after)}{_effort_told(efforts, semitones)}."
    )


def _effort_told(efforts: Mapping[int, float], semitones: int) -> str:
    """Whether hands and feet have more or less to do, where it is worth a word."""
    before, after = efforts[0], efforts[semitones]
    if abs(after - before) < load("key").number("effort.told"):
        return ""
    what = "more" if after > before else "less"
    return f"; hands and feet have {what} to do (effort {after:.1f} in place of {before:.1f})"


def _signs_told(before: int, after: int) -> str:
    if abs(after) == abs(before):
        return ""
    return f"; {_count(after)} in place of {_count(before)}"


def _count(fifths: int) -> str:
    numbers = ("no", "one", "two", "three", "four", "five", "six", "seven")
    kind = "sharp" if fifths > 0 else "flat" if fifths < 0 else "sign"
    return f"{numbers[abs(fifths)]} {kind}{'' if abs(fifths) == 1 else 's'}"


def _listed(parts: list[str]) -> str:
    if len(parts) < 2:
        return "".join(parts)
    return f"{', '.join(parts[:-1])} and {parts[-1]}"
