"""Prints how well takes are matched and measured.

python benchmarks/take/evaluate.py [--half develop|report] [--every N] [--seeds N] [--no-sound]

Takes are simulated (`tests/playing.py`: drift, jitter, wrong notes, added and lost beats,
uneven gaps), as keys over the hymns beside the project, and as sound in invented halls
(`tests/sounding.py`) over the demo parish, all voices lifting at every line end.
"""

from __future__ import annotations

import argparse
import random
import sys
import time
from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from itertools import combinations
from math import isfinite
from pathlib import Path
from statistics import mean, median

import numpy as np

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))

from benchmarks.take.halves import HALVES, half  # noqa: E402
from tests.playing import Played, Playing, matched_f1, play  # noqa: E402
from tests.sounding import Hall, sound  # noqa: E402

from suspirium.desk.planning import plan_file  # noqa: E402
from suspirium.errors import TakeError  # noqa: E402
from suspirium.plan.clock import stanza_clock  # noqa: E402
from suspirium.plan.model import LeadingPlan  # noqa: E402
from suspirium.take.listen import listen  # noqa: E402
from suspirium.take.midi import read_take  # noqa: E402
from suspirium.take.model import Take  # noqa: E402
from suspirium.take.report import TakeReport  # noqa: E402

HYMNS = ROOT.parent / "shared" / "hymns"
PARISH = ROOT / "examples" / "parish"
MOST_VOICES = 4
FOUR = 4
LEAST_BEAT = 0.5  # added or lost beats from here on are counted


@dataclass
class Counted:
    """What is counted over many takes."""

    takes: int = 0
    stanzas_right: int = 0
    f1: list[float] = field(default_factory=list)
    hits: int = 0
    false: int = 0
    missed: int = 0
    holds_s: list[float] = field(default_factory=list)
    withheld: int = 0
    gaps_s: list[float] = field(default_factory=list)
    seconds: list[float] = field(default_factory=list)
    sounding_s: float = 0.0

    def add(self, report: TakeReport, played: Played) -> None:
        """One take's report against its truth."""
        self.takes += 1
        right = report.stanzas_found == played.stanzas and not report.introduction_found
        self.stanzas_right += right
        if not right:
            return
        for end in report.line_ends:
            true = played.ends.get((end.stanza - 1, end.phrase - 1))
            if true is None:
                continue
            there, found = abs(true.added_q) >= LEAST_BEAT, abs(end.added_q) >= LEAST_BEAT / 2
            self.hits += there and found
            self.false += found and not there
            self.missed += there and not found
            if isfinite(end.hold_s):
                self.holds_s.append(abs(end.hold_s - true.hold_s))
            else:
                self.withheld += 1
        for gap in report.gaps:
            if gap.after_stanza - 1 in played.gaps:
                self.gaps_s.append(abs(gap.onset_to_onset_s - played.gaps[gap.after_stanza - 1][0]))

    def __str__(self) -> str:
        precision = self.hits / max(1, self.hits + self.false)
        recall = self.hits / max(1, self.hits + self.missed)
        parts = [f"stanzas right {self.stanzas_right} of {self.takes}"]
        if self.f1:
            parts.append(f"match F1 mean {mean(self.f1):.5f}, worst {min(self.f1):.4f}")
        parts.append(f"added beats P {precision:.3f} R {recall:.3f} ({self.hits + self.missed})")
        parts.append(f"holds {_spread(self.holds_s)}, {self.withheld} withheld")
        parts.append(f"gaps {_spread(self.gaps_s)}")
        each = f"{1000 * median(self.seconds):.0f} ms a take, slowest {max(self.seconds):.2f} s"
        if self.sounding_s:
            each += f", {sum(self.seconds) / self.sounding_s * 60:.2f} s a minute of sound"
        return "; ".join([*parts, each])


def _spread(seconds: list[float]) -> str:
    if not seconds:
        return "none"
    middle, most, worst = (1000 * np.percentile(seconds, q) for q in (50, 90, 100))
    return f"{middle:.1f} ms median, {most:.1f} at 90 %, {worst:.0f} worst"


def main() -> None:
    """Play, listen and print."""
    parser = argparse.ArgumentParser(description="Simulated takes, matched and measured.")
    parser.add_argument("--half", choices=HALVES, help="one half of the hymns only")
    parser.add_argument("--every", type=int, default=1, help="take only every Nth hymn")
    parser.add_argument("--seeds", type=int, default=2, help="recordings of each hymn and hall")
    parser.add_argument("--no-sound", action="store_true")
    given = parser.parse_args()
    folder = HYMNS if HYMNS.is_dir() else PARISH
    whole = half(folder, given.half) if given.half else sorted(folder.glob("*.abc"))
    paths = whole[:: given.every]
    print("keys, 2 % wrong notes:", keyed(paths), flush=True)
    print("keys, a part alone:", parts_alone(paths), flush=True)
    print("keys, four stanzas:", four_stanzas(paths), flush=True)
    if not given.no_sound:
        for rt_s in (0.5, 2.0, 4.0):
            print(f"sound, {rt_s} s of reverberation:", heard(rt_s, given.seeds), flush=True)


def keyed(paths: list[Path]) -> Counted:
    """Takes of keys over the real hymns, or over the parish where they are absent."""
    counted = Counted()
    for seed, path in enumerate(paths):
        plan = plan_file(path)
        played = play(plan, how_played(plan, seed, errors=0.02))
        take = Take(tuple(played.notes))
        begin = time.perf_counter()
        report = listen(plan, take)
        counted.seconds.append(time.perf_counter() - begin)
        counted.add(report, played)
        counted.f1.append(matched_f1(plan, played))
    return counted


def parts_alone(paths: list[Path]) -> str:
    """Every choice of voices of every hymn, one after another: how often it was told, and
    what was said to be wrong in it beside what was."""
    right = takes = stanzas = faults = errors = 0
    seconds = []
    for seed, path in enumerate(paths):
        plan = plan_file(path)
        names = [voice.name for voice in plan.hymn.voices]
        for part in _parts(names):
            played = play(plan, Playing(seed=seed, errors=0.02, voices=frozenset(part)))
            begin = time.perf_counter()
            try:
                report = listen(plan, Take(tuple(played.notes)))
            except TakeError:
                takes += 1
                continue
            seconds.append(time.perf_counter() - begin)
            takes += 1
            right += report.voices_played == part
            stanzas += report.stanzas_found == played.stanzas and not report.introduction_found
            faults += len(report.faults)
            errors += len(played.missing) + sum(name is None for name in played.names)
    return (
        f"voices told {right} of {takes}, stanzas right {stanzas}; {faults} notes told wrong, "
        f"at most {errors} were; {1000 * median(seconds):.0f} ms a take, slowest "
        f"{max(seconds):.2f} s"
    )


def _parts(names: list[str]) -> Iterator[tuple[str, ...]]:
    if len(names) <= MOST_VOICES:
        for count in range(1, len(names)):
            yield from combinations(names, count)


def four_stanzas(paths: list[Path]) -> str:
    """Seconds for a MIDI file of four stanzas from its bytes to its report, start-up apart."""
    from tests.playing import as_midi

    seconds, busy = [], []
    for seed, path in enumerate(paths):
        plan = plan_file(path)
        if len(plan.stanza_numbers) < FOUR:
            continue
        data = as_midi(play(plan, Playing(seed=seed, errors=0.02, stanzas=FOUR)).notes)
        begin, busy_since = time.perf_counter(), time.process_time()
        listen(plan, read_take(data))
        seconds.append(time.perf_counter() - begin)
        busy.append(time.process_time() - busy_since)
    if not seconds:
        return "no hymn has so many"
    middle, most, worst = (1000 * np.percentile(seconds, q) for q in (50, 90, 100))
    return (
        f"{middle:.0f} ms median, {most:.0f} at 90 %, {worst:.0f} worst ({len(seconds)} takes); "
        f"processor time {1000 * median(busy):.0f} ms median, {1000 * max(busy):.0f} worst"
    )


def heard(rt_s: float, seeds: int) -> Counted:
    """Recordings of the parish's hymns in one hall."""
    from suspirium.take.sound.listen import listen as listen_to_sound

    counted = Counted()
    for path in sorted(PARISH.glob("*.abc")):
        plan = _all_lifting(plan_file(path))
        for seed in range(seeds):
            played = play(plan, how_played(plan, 100 + seed, key_jitter_s=0.002))
            recording = sound(played.notes, Hall(rt_s=rt_s, seed=seed)).astype(np.float32)
            counted.sounding_s += len(recording) / 16000
            begin = time.perf_counter()
            try:
                report = listen_to_sound(plan, recording)
            except TakeError:
                counted.takes += 1
                continue
            finally:
                counted.seconds.append(time.perf_counter() - begin)
            counted.add(report, played)
    return counted


def _all_lifting(plan: LeadingPlan) -> LeadingPlan:
    return replace(
        plan,
        phrases=tuple(
            replace(phrase, breaths=tuple(replace(b, kind="full") for b in phrase.breaths))
            for phrase in plan.phrases
        ),
    )


def how_played(plan: LeadingPlan, seed: int, **more: float) -> Playing:
    """A way to play: tempo, drift, beats added and lost, uneven gaps."""
    chance = random.Random(seed)
    lines = len(stanza_clock(plan, plan.stanza_numbers[0], last=False).phrase_ends)
    added = dict(_added(plan, lines, chance))
    stanzas = range(len(plan.stanza_numbers))
    return Playing(
        seed=seed,
        speed=chance.uniform(0.85, 1.15),
        drift=chance.uniform(-0.06, 0.06),
        added=added,
        gap_added_s={stanza: chance.uniform(-0.3, 0.3) for stanza in stanzas},
        **more,  # type: ignore[arg-type]
    )


def _added(
    plan: LeadingPlan, lines: int, chance: random.Random
) -> Iterator[tuple[tuple[int, int], float]]:
    for stanza in range(len(plan.stanza_numbers)):
        for line in range(lines - 1):
            if chance.random() < 0.15:
                yield (stanza, line), chance.choice((0.5, 0.75, 1.0, 1.0, -0.5))


if __name__ == "__main__":
    main()
