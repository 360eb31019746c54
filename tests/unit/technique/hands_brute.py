"""Fingering by trying everything: every finger for every key, every substitution.

Prices single transitions as the search's tables define them, but enumerates ways itself,
key by key, without states, arrays or dynamic programming.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import product

from suspirium.tables import load
from suspirium.technique.fingers.matrices import Costs
from suspirium.technique.fingers.moves import move
from suspirium.technique.fingers.segments import Segment, segments_of
from suspirium.technique.fingers.spans import chord, on_grid
from suspirium.technique.keyboard import distance, is_black
from suspirium.technique.share import Key, hand_points

Finger = tuple[str, int]  # side and number
Held = dict[int, Finger]
FINGERS: tuple[Finger, ...] = (
    *(("left", number) for number in (5, 4, 3, 2, 1)),
    *(("right", number) for number in (1, 2, 3, 4, 5)),
)
TABLE = load("fingering")
HANDS = load("hands")


def cheapest_points(keys: Sequence[Key], costs: Costs) -> float | None:
    """The least points of all ways of playing `keys`, None where there is none."""
    return _Brute(keys, costs).search()


class _Brute:
    def __init__(self, keys: Sequence[Key], costs: Costs) -> None:
        self.keys, self.costs = keys, costs
        self.segments = segments_of(keys)
        self.best: float | None = None

    def search(self) -> float | None:
        self._strike(0, {}, 0.0)
        return self.best

    def _worse(self, points: float) -> bool:
        return self.best is not None and points >= self.best

    def _strike(self, index: int, before: Held, points: float) -> None:
        if self._worse(points):
            return
        if index == len(self.segments):
            self.best = points
            return
        segment = self.segments[index]
        held = {k: before[k] for k in segment.keys if k in before}
        new = [k for k in segment.keys if k not in held]
        for chosen in product(FINGERS, repeat=len(new)):
            now = {**held, **dict(zip(new, chosen, strict=True))}
            own = self._striking(segment, before, now, new)
            if own is not None:
                self._hold(index, segment, now, points + own)

    def _hold(self, index: int, segment: Segment, now: Held, points: float) -> None:
        self._strike(index + 1, now, points)
        for changed, price in self._refingered(segment, now):
            self._strike(index + 1, changed, points + price)

    # -- what a strike costs

    def _striking(
        self, segment: Segment, before: Held, now: Held, new: Sequence[int]
    ) -> float | None:
        together = self._together(now, new)
        if together is None:
            return None
        points = together
        for k in new:
            key, (side, number) = self.keys[k], now[k]
            points += hand_points(key.part, side) + TABLE["weak.points"][str(number)]
            if number == 1 and is_black(key.midi):
                points += TABLE["points.thumb_on_black"]
        for old in before:
            if old in now:
                continue
            for k in new:
                joined = self._joined(old, before[old], k, now[k], segment)
                if joined is None:
                    return None
                points += joined
        return points + self._shift(segment, before, now)

    def _together(self, now: Held, new: Sequence[int]) -> float | None:
        """Fingers in order from left to right as the keys are, and within reach."""
        places = sorted(now, key=lambda k: self.keys[k].midi)
        order = [FINGERS.index(now[k]) for k in places]
        if order != sorted(set(order)):
            return None
        points = 0.0
        for i, low in enumerate(places):
            for high in places[i + 1 :]:
                price = self._pair(low, now[low], high, now[high])
                if price is None:
                    return None
                if low in new or high in new:
                    points += price
        return points

    def _pair(self, low: int, a: Finger, high: int, b: Finger) -> float | None:
        if a[0] != b[0]:
            return 0.0
        midis = self.keys[low].midi, self.keys[high].midi
        return chord(self.costs.reaches, a[0], (midis[0], a[1]), (midis[1], b[1]))

    def _joined(self, old: int, a: Finger, k: int, b: Finger, segment: Segment) -> float | None:
        key, after = self.keys[old], self.keys[k]
        gap_s = segment.onset_s - key.release_s
        one_line = bool(set(key.voices) & set(after.voices))
        if a[0] != b[0]:
            near = one_line and gap_s < HANDS["move.least_s"]
            off_beat = 0 if after.on_beat else TABLE["hand.change_off_beat"]
            return TABLE["hand.change"] + off_beat if near else 0.0
        way = move(
            self.costs.reaches, a[0], (key.midi, a[1]), (after.midi, b[1]), one_line=one_line
        )
        if gap_s > 0 and way.needs_s <= gap_s:
            return 0.0
        ways = [] if way.points is None else [way.points]
        if way.needs_s - gap_s <= HANDS["move.most_share"] * (key.release_s - key.onset_s):
            ways.append(TABLE["break.points"][key.rank])
        return min(ways, default=None)

    def _shift(self, segment: Segment, before: Held, now: Held) -> float:
        if not before:
            return 0.0
        last = max(self.keys[k].release_s for k in before)
        if segment.onset_s - last >= HANDS["move.least_s"]:
            return 0.0
        way = 0.0
        for side in ("left", "right"):
            a, b = self._place(before, side), self._place(now, side)
            if a is not None and b is not None:
                way += abs(a - b)
        return on_grid(way * TABLE["shift.points"])

    def _place(self, held: Held, side: str) -> float | None:
        reach = self.costs.reaches
        found = []
        for k, (own, number) in held.items():
            if own != side:
                continue
            rest = 0.0 if number == 1 else (reach[1, number].min_rel + reach[1, number].max_rel) / 2
            octave, step = divmod(self.keys[k].midi, 12)
            at = 12 * octave + distance(0, step)
            found.append(at - rest if side == "right" else at + rest)
        return sum(found) / len(found) if found else None

    # -- silent substitution

    def _refingered(self, segment: Segment, now: Held) -> Iterator[tuple[Held, float]]:
        """At most two changes within a hand, one after another, while the keys are held."""
        once = list(self._one_change(segment, now))
        done = [(changed, 1) for changed in once]
        for changed in once:
            for twice in self._one_change(segment, changed):
                if sum(twice[k] != now[k] for k in now) == 2:
                    done.append((twice, 2))
        for changed, count in done:
            if count * TABLE["substitution.least_s"] > segment.length_s:
                continue
            points = float(TABLE["substitution.points"][count - 1])
            if count * TABLE["substitution.easy_s"] > segment.length_s:
                points += TABLE["substitution.hurried"]
            yield changed, points + (self._together(changed, list(changed)) or 0.0)

    def _one_change(self, segment: Segment, now: Held) -> Iterator[Held]:
        for k, lasting in zip(segment.keys, segment.lasting, strict=True):
            for finger in FINGERS:
                if lasting and finger != now[k] and finger[0] == now[k][0]:
                    changed = {**now, k: finger}
                    if self._together(changed, []) is not None:
                        yield changed
