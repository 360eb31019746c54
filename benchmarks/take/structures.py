"""Prints how often the structure of a take is told: introductions, restarts, interludes.

python benchmarks/take/structures.py [--half develop|report] [--planned] [--sound]
    [--only NAME ...]

Simulated takes (`tests/playing.py`, 1 % wrong notes) are cut at their line ends and put
together anew, with pauses as players make them. Told is the introduction, the number of
stanzas, how often something was begun again, and after which stanzas an interlude was played.
With `--sound` the takes are recorded in a diffuse hall of 2 s (`tests/sounding.py`).
"""

from __future__ import annotations

import argparse
import random
import sys
from collections import defaultdict
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from fractions import Fraction
from pathlib import Path

import numpy as np

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))

from benchmarks.take.evaluate import HYMNS, PARISH  # noqa: E402
from benchmarks.take.halves import HALVES, half  # noqa: E402
from tests.playing import Playing, play  # noqa: E402
from tests.sounding import Hall, sound  # noqa: E402

from suspirium.desk.planning import plan_file  # noqa: E402
from suspirium.errors import TakeError  # noqa: E402
from suspirium.plan.clock import stanza_clock  # noqa: E402
from suspirium.plan.model import LeadingPlan  # noqa: E402
from suspirium.service.introductions import propose_introductions  # noqa: E402
from suspirium.take.listen import _filled, _numbered  # noqa: E402
from suspirium.take.match import match  # noqa: E402
from suspirium.take.model import Take, TakeNote  # noqa: E402
from suspirium.take.sound.bands import RATE  # noqa: E402
from suspirium.take.sound.listen import followed  # noqa: E402
from suspirium.take.structure import Stretch  # noqa: E402

GAP = "gap"  # the stanza gap, a little uneven
_STOP_S = (0.8, 3.0)  # a stop before something is begun again, beside what lies there


@dataclass(frozen=True)
class Piece:
    """Lines `first` to `last` (both played) of a stanza of the source take; a `share` below 1
    breaks off inside the last of them. `then` is what follows: nothing beside what the score
    has, the stanza gap, or a stop."""

    stanza: int
    first: int
    last: int
    then: str = ""
    share: float = 1.0
    foreign: bool = False


@dataclass(frozen=True)
class Truth:
    """What is to be told of a take."""

    introduced: bool
    stanzas: int
    restarts: int = 0
    interludes: tuple[int, ...] = ()


Scene = Callable[[int, int, random.Random], tuple[list[Piece], Truth]]


def _whole(lines: int, stanzas: int) -> list[Piece]:
    return [Piece(stanza, 0, lines - 1, GAP) for stanza in range(stanzas)]


def _again(line: int, times: int) -> Scene:
    def scene(lines: int, stanzas: int, chance: random.Random) -> tuple[list[Piece], Truth]:
        at = line % lines
        first = [Piece(0, 0, at, "stop"), *[Piece(0, at, at, "stop")] * (times - 1)]
        rest = [Piece(0, at, lines - 1, GAP), *_whole(lines, stanzas)[1:]]
        return [*first, *rest], Truth(False, stanzas, times)

    return scene


def _broken(lines: int, stanzas: int, chance: random.Random) -> tuple[list[Piece], Truth]:
    at = chance.randrange(lines)
    first = [Piece(0, 0, at, "stop", chance.uniform(0.4, 0.8)), Piece(0, at, lines - 1, GAP)]
    return [*first, *_whole(lines, stanzas)[1:]], Truth(False, stanzas, 1)


def _from_the_top(lines: int, stanzas: int, chance: random.Random) -> tuple[list[Piece], Truth]:
    return [Piece(0, 0, lines // 2 - 1, "stop"), *_whole(lines, stanzas)], Truth(False, stanzas, 1)


def _introduced(*parts: tuple[int, int]) -> Scene:
    def scene(lines: int, stanzas: int, chance: random.Random) -> tuple[list[Piece], Truth]:
        pieces = [Piece(0, a % lines, b % lines) for a, b in parts]
        pieces[-1] = replace(pieces[-1], then=GAP)
        return [*pieces, *_whole(lines, stanzas)], Truth(True, stanzas)

    return scene


def _introduced_and_again(
    lines: int, stanzas: int, chance: random.Random
) -> tuple[list[Piece], Truth]:
    pieces, truth = _again(1, 1)(lines, stanzas, chance)
    return [Piece(0, lines - 1, lines - 1, GAP), *pieces], replace(truth, introduced=True)


def _between(foreign: bool, again: bool = False) -> Scene:
    def scene(lines: int, stanzas: int, chance: random.Random) -> tuple[list[Piece], Truth]:
        first, *rest = _whole(lines, stanzas)
        last = Piece(0, lines - 1, lines - 1, GAP)
        between = [replace(last, stanza=stanzas - 1, foreign=foreign)]
        if again:
            first, between = replace(first, then="stop"), [last, *between]
        return [first, *between, *rest], Truth(False, stanzas, int(again), (1,))

    return scene


def _last_again(between: bool) -> Scene:
    def scene(lines: int, stanzas: int, chance: random.Random) -> tuple[list[Piece], Truth]:
        pieces = _whole(lines, stanzas)
        at = 0 if between else stanzas - 1
        pieces[at] = replace(pieces[at], then="stop")
        pieces.insert(at + 1, Piece(at, lines - 1, lines - 1, GAP))
        return pieces, Truth(False, stanzas, 1)

    return scene


def _late(line: int) -> Scene:
    def scene(lines: int, stanzas: int, chance: random.Random) -> tuple[list[Piece], Truth]:
        first, *rest = _whole(lines, stanzas)
        return [replace(first, first=line % lines), *rest], Truth(False, stanzas)

    return scene


SCENES: dict[str, Scene] = {
    "plain": lambda lines, stanzas, chance: (_whole(lines, stanzas), Truth(False, stanzas)),
    "line 1 twice": _again(0, 1),
    "line 2 twice": _again(1, 1),
    "line 2 three times": _again(1, 2),
    "last line but one twice": _again(-2, 1),
    "last line three times": _again(-1, 2),
    "broken off inside a line": _broken,
    "half a stanza, then from the top": _from_the_top,
    "introduction: last line": _introduced((-1, -1)),
    "introduction: last two lines": _introduced((-2, -1)),
    "introduction: first and last line": _introduced((0, 0), (-1, -1)),
    "introduction: first two lines": _introduced((0, 1)),
    "introduction: whole hymn": _introduced((0, -1)),
    "introduction: last line; line 2 twice": _introduced_and_again,
    "interlude: last line": _between(False),
    "interlude: other music": _between(True),
    "last line twice, then other music": _between(True, again=True),
    "last line again after a stop": _last_again(True),
    "last line again at the end": _last_again(False),
    "begun at line 2": _late(1),
}


def main() -> None:
    """Put together, match, print."""
    parser = argparse.ArgumentParser(description="Structures of takes.")
    parser.add_argument("--half", choices=HALVES, default="develop")
    parser.add_argument("--every", type=int, default=1, help="take only every Nth hymn")
    parser.add_argument("--planned", action="store_true", help="tell the proposed introduction")
    parser.add_argument("--only", nargs="*", help="scenes with these words in their names")
    parser.add_argument("--sound", action="store_true", help="record the takes in a hall")
    parser.add_argument("--alike", action="store_true", help="hymns with two lines alike only")
    given = parser.parse_args()
    folder = HYMNS if HYMNS.is_dir() else PARISH
    plans = {path.stem: plan_file(path) for path in half(folder, given.half)[:: given.every]}
    wrong: dict[str, list[str]] = defaultdict(list)
    every = right = 0
    for name, scene in SCENES.items():
        if given.only and not any(word in name for word in given.only):
            continue
        count = 0
        for seed, (hymn, plan) in enumerate(plans.items()):
            if min(_lines(plan) - 2, len(plan.stanza_numbers)) < 2 or (
                given.alike and not _alike(plan)
            ):
                continue
            chance = random.Random(f"{name} {seed}")
            notes, truth = composed(plan, scene, seed, chance)
            count += 1
            how = tell_sound if given.sound else tell
            told = how(plan, notes, _proposed(plan) if given.planned else [])
            if told != truth:
                wrong[name].append(f"{hymn[:40]}: {told}")
        every, right = every + count, right + count - len(wrong[name])
        print(f"{name}: {count - len(wrong[name])} of {count}", flush=True)
        for line in wrong[name]:
            print(f"    {line}")
    print(f"all: {right} of {every}")


def composed(
    plan: LeadingPlan, scene: Scene, seed: int, chance: random.Random
) -> tuple[list[TakeNote], Truth]:
    """A take of all stanzas put together as the scene says."""
    stanzas = len(plan.stanza_numbers)
    played = play(plan, Playing(seed=seed, errors=0.01))
    starts = _starts(plan)
    own: dict[tuple[int, int], list[TakeNote]] = defaultdict(list)
    for note, name in zip(played.notes, played.names, strict=True):
        if name is not None:
            at_q = Fraction(str(name[1]))
            own[name[0], sum(at_q >= start for start in starts) - 1].append(note)
    quarter_s = 60 / plan.tempo.value.quarter_bpm
    gap_s = float(plan.gap.value.onset_to_onset_q) * quarter_s
    pieces, truth = scene(len(starts), stanzas, chance)
    found: list[TakeNote] = []
    at_s = 0.0
    for piece in pieces:
        lines = range(piece.first, piece.last + 1)
        notes = [note for line in lines for note in own[piece.stanza, line]]
        begins_s, closes_s = min(n.onset_s for n in notes), max(n.onset_s for n in notes)
        if piece.share < 1:
            last = own[piece.stanza, piece.last]
            from_s, to_s = min(n.onset_s for n in last), max(n.onset_s for n in last)
            closes_s = from_s + piece.share * (to_s - from_s)
            notes = [note for note in notes if note.onset_s <= closes_s]
        if piece.foreign:
            notes = [replace(n, midi=n.midi + chance.choice((-3, -2, -1, 1, 2, 3))) for n in notes]
        found += [
            replace(n, onset_s=n.onset_s + at_s - begins_s, release_s=n.release_s + at_s - begins_s)
            for n in notes
        ]
        after = own.get((piece.stanza, piece.last + 1))
        ends_s = min(n.onset_s for n in after) if after else closes_s + gap_s
        if piece.share < 1:
            ends_s = closes_s + quarter_s
        elif piece.then == GAP:
            ends_s = closes_s + gap_s * chance.gauss(1, 0.05)
        if piece.then == "stop":
            ends_s += chance.uniform(*_STOP_S)
        at_s += ends_s - begins_s
    return sorted(found, key=lambda note: (note.onset_s, note.midi)), truth


def _proposed(plan: LeadingPlan) -> list[Stretch]:
    pieces = propose_introductions(plan)[0].pieces
    return [(piece.first_onset_q, piece.last_onset_q) for piece in pieces]


def tell(plan: LeadingPlan, notes: list[TakeNote], introduction: list[Stretch]) -> Truth | str:
    """What the matcher says of it."""
    try:
        found = match(plan, Take(tuple(notes)), introduction)
    except TakeError as problem:
        return problem.text
    times = [*([found.introduction] if found.introduction else []), *found.stanzas]
    filled = tuple(stanza for stanza in _filled(found, list(_numbered(plan, found))) if stanza)
    return Truth(
        found.introduction is not None,
        len(found.stanzas),
        sum(len(one.restarts) for one in times),
        filled,
    )


def tell_sound(
    plan: LeadingPlan, notes: list[TakeNote], introduction: list[Stretch]
) -> Truth | str:
    """What is heard of it in a hall."""
    recording = sound(notes, Hall(seed=len(notes)), RATE).astype(np.float32)
    try:
        take = followed(plan, recording, introduction)
    except TakeError as problem:
        return problem.text
    return Truth(
        take.found.introduction is not None,
        len(take.found.stanzas),
        sum(len(one.restarts) for one in take.played),
        tuple(number for number in take.filled if number),
    )


def _starts(plan: LeadingPlan) -> list[Fraction]:
    ends = stanza_clock(plan, plan.stanza_numbers[0], last=False).phrase_ends
    return [Fraction(0), *(end.end_q for end in ends[:-1])]


def _lines(plan: LeadingPlan) -> int:
    return len(_starts(plan))


def _alike(plan: LeadingPlan) -> bool:
    lines = list(_shapes(plan))
    return len(set(lines)) < len(lines)


def _shapes(plan: LeadingPlan) -> Iterator[tuple[object, ...]]:
    from suspirium.take.expected import ways

    chords = ways(plan)[0].chords
    for line in range(_lines(plan)):
        own = [chord for chord in chords if chord.phrase == line]
        yield tuple(
            (chord.onset_q - own[0].onset_q, tuple(key.midi for key in chord.keys)) for chord in own
        )


if __name__ == "__main__":
    main()
