"""The hymns of a week: read, planned and taken apart into passages."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from pathlib import Path
from typing import Any

from suspirium.desk.finding import find_score
from suspirium.desk.fingering import Playing, playing, with_own
from suspirium.desk.planning import Settings, plan_file, read_overrides_for
from suspirium.errors import PracticeError
from suspirium.plan.model import LeadingPlan
from suspirium.practice.calendar import Named
from suspirium.practice.model import Passage, PracticeHymn, Way
from suspirium.practice.passages import passages_of
from suspirium.practice.record import Event, known_by
from suspirium.practice.settings import Learning
from suspirium.practice.simpler import with_hands_alone
from suspirium.practice.values import passage_from, passage_values
from suspirium.repertoire.alike import likenesses
from suspirium.repertoire.melody import Melody, melody_of
from suspirium.store.hymnal import digest_of, folded
from suspirium.tables import load
from suspirium.technique import find_technique
from suspirium.technique.model import Arrangement, Technique

WAYS: tuple[Way, ...] = ("all", "manuals", "tune and bass")


@dataclass(frozen=True, slots=True)
class Studied:
    """A hymn of the week with its passages, before anything is known of the player."""

    named: Named
    stanzas: int
    passages: tuple[Passage, ...]
    way: Way = "all"
    alike: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class Who:
    """Who practises: hand, level and pedalboard as they are asked for."""

    hand: str = "medium"
    span_cm: float | None = None
    level: str = "fluent"
    board: str = "ago"

    def playing(self, arrangement: Arrangement = "pedal") -> Playing:
        """The checked settings; `OutputError` where one is not known."""
        return playing(self.hand, self.span_cm, self.level, self.board, arrangement)


def study(
    scores: Sequence[Path],
    ways: Mapping[str, str],
    settings: Settings,
    who: Who,
    progress: Callable[[str, int, int], None] = lambda name, done, total: None,
) -> tuple[Studied, ...]:
    """The hymns of these scores; `ways` by number, file or title: all, manuals, tune and bass.

    `progress` is told each score's name, how many are done and how many there are.
    """
    found: list[Studied] = []
    melodies: list[Melody] = []
    for done, score in enumerate(scores):
        progress(score.stem, done, len(scores))
        plan = plan_file(score, settings)
        technique = study_technique(score, plan, who, "pedal")
        found.append(
            Studied(_named(score, plan), len(plan.stanza_numbers), passages_of(plan, technique))
        )
        melodies.append(melody_of(plan.hymn))
    named = by_hymn([each.named for each in found], ways)
    least = load("practice").number("alike.least")
    return tuple(
        replace(
            each,
            way=way_named(named[index]) if index in named else "all",
            alike=tuple(
                other
                for other, value in enumerate(likenesses(melodies[index], melodies))
                if other != index and value >= least
            ),
        )
        for index, each in enumerate(found)
    )


def with_manuals(each: Studied, settings: Settings, who: Who) -> Studied:
    """The hymn with what hands alone would ask, too, which takes a while to find."""
    if all(passage.manual_demand for passage in each.passages):
        return each
    score = Path(each.named.score)
    plan = plan_file(score, settings)
    alone = passages_of(plan, study_technique(score, plan, who, "manuals"))
    pairs = zip(each.passages, alone, strict=True)
    return replace(
        each, passages=tuple(replace(one, manual_demand=other.demand) for one, other in pairs)
    )


def study_technique(
    score: Path, plan: LeadingPlan, who: Who, arrangement: Arrangement
) -> Technique:
    """Hands and feet for a hymn's plan, the organist's own fingers kept."""
    settings = who.playing(arrangement)
    player = with_own(settings.player, read_overrides_for(score))
    return find_technique(plan, player, arrangement)


def _named(score: Path, plan: LeadingPlan) -> Named:
    found = find_score(score)
    return Named(
        title=plan.hymn.title or score.stem,
        tune=plan.hymn.tune,
        score=str(score.resolve()) if score.exists() else str(score),
        digest=digest_of(found.score),
        quarter_bpm=plan.tempo.value.quarter_bpm,
        unit_q=plan.pulse.value.unit_q,
    )


def way_named(text: str) -> Way:
    """A way of playing as it is typed; `PracticeError` if it is none."""
    for way in WAYS:
        if folded(text).replace(" and ", " ") in (way, way.replace(" and ", " ")):
            return way
    raise PracticeError(f"a hymn is played {', '.join(WAYS)}, not {text!r}")


def by_hymn(hymns: Sequence[Named], said: Mapping[str, str]) -> dict[int, str]:
    """What was said of each hymn by its number in the week, its file, title or tune.

    `PracticeError` where a name means none of them, or several.
    """
    found: dict[int, str] = {}
    for name, value in said.items():
        found[one_of(hymns, name)] = value
    return found


def one_of(hymns: Sequence[Named], name: str) -> int:
    """The index of the hymn that `name` means; `PracticeError` if none or several."""
    if name.isdigit() and 1 <= int(name) <= len(hymns):
        return int(name) - 1
    wanted = folded(name)
    full = [i for i, hymn in enumerate(hymns) if wanted in _names(hymn)]
    part = [i for i, hymn in enumerate(hymns) if any(wanted in each for each in _names(hymn))]
    chosen = full or part
    if len(chosen) != 1:
        which = "none" if not chosen else "several"
        titles = ", ".join(f"{number} {hymn.title}" for number, hymn in enumerate(hymns, 1))
        raise PracticeError(f"{name!r} means {which} of the hymns of the week: {titles}")
    return chosen[0]


def _names(hymn: Named) -> set[str]:
    return {folded(text) for text in (hymn.title, hymn.tune, Path(hymn.score).stem) if text}


def practised(each: Studied, events: Sequence[Event], today: int, how: Learning) -> PracticeHymn:
    """The hymn as this player knows it today (an ordinal day), played in its way."""
    known = known_by(each.passages, "all", events, today, how)
    hymn = PracticeHymn(
        title=each.named.title,
        key=each.named.digest,
        passages=each.passages,
        known=known,
        new=all(not trace.days for one in known for trace in one.values()),
        alike=frozenset(each.alike),
        stanzas=each.stanzas,
    )
    if each.way == "all":
        return hymn
    alone = with_hands_alone(hymn, each.way, how)
    own = known_by(alone.passages, each.way, events, today, how)
    return replace(alone, known=own)


def studied_values(each: Studied) -> dict[str, Any]:
    """A hymn of the week as JSON can hold it."""
    named = each.named
    return {
        "title": named.title,
        "tune": named.tune,
        "score": named.score,
        "digest": named.digest,
        "quarter_bpm": named.quarter_bpm,
        "unit_q": str(named.unit_q),
        "stanzas": each.stanzas,
        "way": each.way,
        "alike": list(each.alike),
        "passages": [passage_values(passage) for passage in each.passages],
    }


def studied_from(values: Mapping[str, Any]) -> Studied:
    """The hymn that these values hold."""
    named = Named(
        title=values["title"],
        tune=values["tune"],
        score=values["score"],
        digest=values["digest"],
        quarter_bpm=values["quarter_bpm"],
        unit_q=Fraction(values["unit_q"]),
    )
    return Studied(
        named=named,
        stanzas=values["stanzas"],
        passages=tuple(passage_from(each) for each in values["passages"]),
        way=way_named(values["way"]),
        alike=tuple(values["alike"]),
    )
