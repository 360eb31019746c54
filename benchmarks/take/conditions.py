"""Prints how recordings made in hard conditions are measured.

python benchmarks/take/conditions.py [--part develop|report] [--hymns N] [--only NAME ...]

Takes of the hymns beside the project (`tests/playing.py`) sound through rooms computed by
pyroomacoustics (`tests/rooms.py`), with pipe noise and wandering wind, to near and distant
microphones, with people singing (`tests/singing.py`). What the keys themselves say is the
truth. Hymns are split by tune: one part to develop on, the other to report.
"""

from __future__ import annotations

import argparse
import random
import sys
import time
import zlib
from collections.abc import Iterator
from dataclasses import dataclass, field
from math import inf, isfinite
from pathlib import Path

import numpy as np

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))

from benchmarks.take.evaluate import HYMNS, how_played  # noqa: E402
from benchmarks.take.halves import half  # noqa: E402
from tests.playing import Played, play  # noqa: E402
from tests.rooms import Church, response  # noqa: E402
from tests.singing import melody_of, sing  # noqa: E402
from tests.sounding import Array, Hall, dry_sound, in_hall  # noqa: E402

from suspirium.desk.planning import plan_file  # noqa: E402
from suspirium.errors import SuspiriumError  # noqa: E402
from suspirium.plan.model import LeadingPlan  # noqa: E402
from suspirium.take.listen import listen  # noqa: E402
from suspirium.take.model import Take  # noqa: E402
from suspirium.take.report import TakeReport  # noqa: E402
from suspirium.take.sound.listen import HeardTake, followed, measured  # noqa: E402

RATE = 16000
LEAD_S = 1.0
_NEAR_S = 0.3
_FULL = 3
PARISH = Church((24.0, 12.0, 9.0), 0.25, 5.0)  # about 2 s
LARGE = Church((24.0, 12.0, 9.0), 0.12, 6.0)  # about 3.5 s
FAR = Church((24.0, 12.0, 9.0), 0.2, 18.0)


HALL = Hall()


@dataclass(frozen=True)
class Condition:
    """What a recording goes through; no church is the diffuse hall of `tests/sounding.py`."""

    church: Church | None = None
    hall: Hall = HALL
    people_db: float | None = None  # their level against the organ's


CONDITIONS = {
    "diffuse, 0.5 s": Condition(hall=Hall(rt_s=0.5)),
    "diffuse, 2 s": Condition(),
    "diffuse, 4 s": Condition(hall=Hall(rt_s=4.0)),
    "church": Condition(PARISH),
    "church, pipe noise, wandering wind": Condition(PARISH, Hall(wind=3.0, chiff=0.3)),
    "large church, pipe noise, wandering wind": Condition(LARGE, Hall(wind=3.0, chiff=0.3)),
    "distant microphone": Condition(FAR, Hall(wind=3.0, chiff=0.3)),
    "people as loud, diffuse 2 s": Condition(people_db=0.0),
    "people as loud, church": Condition(PARISH, Hall(wind=3.0, chiff=0.3), 0.0),
}


@dataclass
class Errors:
    """What is counted over many takes; lengths in seconds."""

    takes: int = 0
    right: int = 0
    refused: int = 0
    hits: int = 0
    false: int = 0
    missed: int = 0
    added: dict[str, list[float]] = field(default_factory=dict)
    within: list[float] = field(default_factory=list)
    covered: list[float] = field(default_factory=list)
    withheld: int = 0
    heard_s: float = 0.0
    took_s: float = 0.0

    def add(self, kind: str, error_s: float) -> None:
        """One error of a kind."""
        self.added.setdefault(kind, []).append(abs(error_s))

    def __str__(self) -> str:
        precision = self.hits / max(1, self.hits + self.false)
        recall = self.hits / max(1, self.hits + self.missed)
        rows = [
            f"stanzas right {self.right} of {self.takes}, refused {self.refused}",
            f"added P {precision:.3f} R {recall:.3f} ({self.hits + self.missed})",
        ]
        for kind, values in sorted(self.added.items()):
            mid, most, worst = (1000 * np.percentile(values, q) for q in (50, 90, 100))
            rows.append(f"{kind} {mid:.1f}/{most:.0f}/{worst:.0f} ms ({len(values)})")
        if self.within:
            rows.append(f"gap error over its uncertainty {np.median(self.within):.1f} median")
        if self.covered:
            one, two = (float(np.mean(np.array(self.covered) <= sd)) for sd in (1, 2))
            rows.append(f"lifts within 1 standard error {one:.2f}, within 2 {two:.2f}")
        lifts = self.withheld + len(self.covered)
        rows.append(f"{self.withheld} of {lifts} lifts withheld")
        rows.append(f"{60 * self.took_s / max(1.0, self.heard_s):.1f} s a minute")
        return "; ".join(rows)


def recorded(played: Played, condition: Condition, seed: int) -> Array:
    """The take as it is recorded in a condition."""
    hall = Hall(**{**_fields(condition.hall), "seed": seed})
    dry = dry_sound(played.notes, hall, RATE, LEAD_S)
    room = response(condition.church) if condition.church else None
    beside = None
    if condition.people_db is not None:
        organ = in_hall(dry, hall, RATE, room)
        first_s = min(note.onset_s for note in played.notes)
        melody = melody_of(played.notes)
        people = sing(melody, len(dry), LEAD_S - first_s, seed=seed)
        people = in_hall(people, Hall(hall.rt_s, noise_db=-90, seed=seed + 7), RATE, room)
        level = np.sqrt(np.mean(organ**2) / np.mean(people**2))
        return organ + people * level * 10 ** (condition.people_db / 20)
    return in_hall(dry, hall, RATE, room, beside)


def _fields(hall: Hall) -> dict[str, float]:
    return {name: getattr(hall, name) for name in hall.__dataclass_fields__}


def compare(
    counted: Errors, plan: LeadingPlan, heard: TakeReport, keyed: TakeReport, played: Played
) -> None:
    """One recording's report against what the keys and the player say."""
    counted.right += heard.stanzas_found == played.stanzas and not heard.introduction_found
    if heard.stanzas_found != played.stanzas:
        return
    ends = {(end.stanza, end.phrase): end for end in keyed.line_ends}
    breaths = {phrase.number: phrase for phrase in plan.phrases}
    for end in heard.line_ends:
        true = played.ends.get((end.stanza - 1, end.phrase - 1))
        key = ends.get((end.stanza, end.phrase))
        if true is None or key is None:
            continue
        there, found = abs(true.added_q) >= 0.5, abs(end.added_q) >= 0.25
        counted.hits += there and found
        counted.false += found and not there
        counted.missed += there and not found
        if not isfinite(key.hold_s):
            continue  # another voice holds the key on
        if isfinite(end.hold_s):
            error_s = end.hold_s - key.hold_s
            phrase = breaths[end.phrase]
            kind = phrase.breath(end.stanza)
            counted.add("lifts", error_s)
            counted.add(f"lifts ({kind})", error_s)
            if phrase.rest_q:
                counted.add("lifts (written rest)", error_s)
            counted.covered.append(abs(error_s) / max(1e-4, end.sounded_error_s))
        else:
            counted.withheld += 1
    gaps = {gap.after_stanza: gap for gap in keyed.gaps}
    for gap in heard.gaps:
        if gap.after_stanza in gaps:
            error_s = gap.onset_to_onset_s - gaps[gap.after_stanza].onset_to_onset_s
            counted.add("gaps", error_s)
            silence_s = gap.silence_s - gaps[gap.after_stanza].silence_s
            if isfinite(silence_s):
                counted.add("gaps (silence)", silence_s)
            if getattr(gap, "error_s", 0) > 0:
                counted.within.append(abs(error_s) / gap.error_s)


def compare_onsets(counted: Errors, take: HeardTake, played: Played) -> None:
    """Every chord's onset against the middle of its keys' nearest, a shift of all left out.

    One that is nowhere near a key of its chord is as far away as it was looked for."""
    first_s = min(note.onset_s for note in played.notes)
    struck: dict[int, list[float]] = {}
    for note in played.notes:
        struck.setdefault(note.midi, []).append(note.onset_s)
    for one in take.played:
        away, thin = [], []
        for beat in one.row:
            chord = one.way.chords[beat.chord]
            keys = {key.midi + take.heard.transposed for key in chord.keys}
            at_s = beat.onset_s - LEAD_S + first_s
            nearest = [
                min((at_s - s for s in struck.get(key, ())), key=abs, default=inf) for key in keys
            ]
            near = [value for value in nearest if abs(value) < _NEAR_S]
            away.append(float(np.median(near)) if near else _NEAR_S)
            before = one.way.chords[beat.chord - 1].keys if beat.chord else ()
            thin.append(len(keys) == 1 and len(before) >= _FULL)
        for error_s, alone in zip(np.array(away) - np.median(away or 0.0), thin, strict=True):
            counted.add("onsets", float(error_s))
            if alone:
                counted.add("onsets (one key after a full chord)", float(error_s))


def hymns(part: str, count: int) -> Iterator[Path]:
    """Every so many hymns of a part; one tune is in one part only."""
    own = half(HYMNS, part)
    yield from own[:: max(1, len(own) // count)][:count]


def evaluate(name: str, paths: list[Path], stanzas: int, chatty: bool) -> Errors:
    """All takes in one condition."""
    counted = Errors()
    for path in paths:
        plan = plan_file(path)
        played = take_of(plan, zlib.crc32(path.stem.encode()) % 1000, stanzas)
        keyed = listen(plan, Take(tuple(played.notes)))
        sound = recorded(played, CONDITIONS[name], 3).astype(np.float32)
        counted.heard_s += len(sound) / RATE
        begin = time.perf_counter()
        counted.takes += 1
        try:
            take = followed(plan, sound)
            heard = measured(plan, take, sound)
        except SuspiriumError as problem:
            counted.refused += 1
            if chatty:
                print("   ", path.stem, problem, flush=True)
            continue
        finally:
            counted.took_s += time.perf_counter() - begin
        one = Errors(1)
        for each in (counted, one):
            compare(each, plan, heard, keyed, played)
            compare_onsets(each, take, played)
        if chatty:
            print("   ", path.stem, heard.stanzas_found, heard.introduction_found, one, flush=True)
    return counted


def take_of(plan: LeadingPlan, seed: int, stanzas: int) -> Played:
    """A take with beats added and lost and uneven gaps."""
    how = how_played(plan, seed, key_jitter_s=0.002, stanzas=min(stanzas, len(plan.stanza_numbers)))
    return play(plan, how)


def main() -> None:
    """Play, record, listen and print."""
    parser = argparse.ArgumentParser(description="Recordings made in hard conditions.")
    parser.add_argument("--part", choices=("develop", "report"), default="report")
    parser.add_argument("--hymns", type=int, default=12)
    parser.add_argument("--stanzas", type=int, default=3)
    parser.add_argument("--only", nargs="*", default=list(CONDITIONS))
    parser.add_argument("--each", action="store_true", help="print every take")
    given = parser.parse_args()
    random.seed(0)
    paths = list(hymns(given.part, given.hymns))
    print(f"{given.part}: {len(paths)} hymns; median/90 %/worst")
    for name in CONDITIONS:
        if any(name.startswith(wanted) for wanted in given.only):
            print(f"{name}:", evaluate(name, paths, given.stanzas, given.each), flush=True)


if __name__ == "__main__":
    main()
