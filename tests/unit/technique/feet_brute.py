"""Pedalling by trying everything: every foot, toe and heel, every substitution, for a line.

Written from the tables' definitions; a complete way of playing is priced as a whole.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import product
from math import dist

from suspirium.tables import load
from suspirium.technique.feet.board import Pedalboard, is_sharp, naturals, point_mm, turn_deg
from suspirium.technique.share import Key

Tread = tuple[str, str]
TREADS: tuple[Tread, ...] = tuple(product(("left", "right"), ("toe", "heel")))
TABLE = load("pedalling")


def cheapest_points(keys: Sequence[Key], board: Pedalboard) -> float | None:
    """The least points of all ways of treading a line of keys, one at a time."""
    choices = [(first, second) for first in TREADS for second in (None, *TREADS)]
    choices = [(a, b) for a, b in choices if a != b]
    best: float | None = None
    for way in product(choices, repeat=len(keys)):
        points = _priced(keys, board, way)
        if points is not None and (best is None or points < best):
            best = points
    return best


def _priced(keys, board, way) -> float | None:
    points = 0.0
    # by foot: key, part, seconds when free, whether it let a key go by substitution
    last: dict[str, tuple[int, str, float, bool]] = {}
    for index, (tread, then) in enumerate(way):
        key = keys[index]
        own = _own(key.midi, tread)
        if own is None:
            return None
        came = _came(keys, board, last.get(tread[0]), key, tread)
        other = "left" if tread[0] == "right" else "right"
        beside = _beside(keys, last.get(other), key, tread)
        if came is None or beside is None:
            return None
        points += own + came + beside
        last[tread[0]] = (index, tread[1], key.release_s, False)
        if then is not None:
            end_s = keys[index + 1].onset_s if index + 1 < len(keys) else key.release_s
            price = _substituted(keys, board, last, key, tread, then, end_s)
            if price is None:
                return None
            points += price
            if then[0] != tread[0]:
                freed_s = key.onset_s + TABLE["substitution.least_s"]
                last[tread[0]] = (index, tread[1], freed_s, True)
            last[then[0]] = (index, then[1], key.release_s, False)
    return points


def _own(midi: int, tread: Tread) -> float | None:
    foot, part = tread
    if part == "heel" and is_sharp(midi):
        return None
    beyond = naturals(midi) - naturals(TABLE["region.middle"])
    beyond = max(0.0, beyond if foot == "left" else -beyond)
    return TABLE["region.points"] * beyond + (TABLE["heel.points"] if part == "heel" else 0.0)


def _leap_s(board: Pedalboard, a: int, b: int) -> float:
    wide_mm = dist(point_mm(board, a, "toe"), point_mm(board, b, "toe"))
    if wide_mm <= TABLE["move.fifth_mm"]:
        seconds = wide_mm / TABLE["move.fifth_mm"] * TABLE["move.fifth_s"]
    else:
        more_mm = wide_mm - TABLE["move.fifth_mm"]
        seconds = TABLE["move.fifth_s"] + more_mm / TABLE["move.wider_mm_s"]
    return max(seconds, TABLE["move.least_s"])


def _came(keys, board, last, key: Key, tread: Tread) -> float | None:
    if last is None or key.onset_s - last[2] >= TABLE["memory.seconds"]:
        return 0.0
    index, part, free_s, substituted = last
    old = keys[index]
    gap_s = key.onset_s - free_s
    if old.midi == key.midi:
        return 0.0 if part == tread[1] else TABLE["repeat.other"]
    if gap_s >= _leap_s(board, old.midi, key.midi):
        return 0.0
    ways = [_joined(board, tread[0], old.midi, part, key.midi, tread[1])]
    missing_s = _leap_s(board, old.midi, key.midi) - gap_s
    if not substituted and missing_s <= TABLE["move.most_share"] * (old.release_s - old.onset_s):
        ways.append(float(TABLE["break.points"]))
    return min((w for w in ways if w is not None), default=None)


def _joined(board, foot: str, old: int, part: str, new: int, new_part: str) -> float | None:
    if part == new_part:
        slides = part == "toe" and is_sharp(old) and not is_sharp(new) and abs(old - new) == 1
        return float(TABLE["slide.sharp_natural"]) if slides else None
    toe, heel = (old, new) if part == "toe" else (new, old)
    turn = turn_deg(board, toe, heel)
    wide = abs(naturals(toe) - naturals(heel))
    outward = turn * (1 if foot == "right" else -1)
    twisted = abs(outward - TABLE["pivot.rest_deg"])
    if is_sharp(heel) or wide > 3 or twisted > TABLE["pivot.most_deg"]:
        return None
    prices = TABLE["pivot.points"]
    points = float(prices[int(wide)])
    if wide % 1:
        points = (prices[int(wide)] + prices[int(wide) + 1]) / 2
    if outward < 0:
        points += TABLE["pivot.inward"]
    if twisted > TABLE["pivot.turn_deg"]:
        points += TABLE["pivot.turned"]
    return points


def _beside(keys, other, key: Key, tread: Tread) -> float | None:
    if other is None or key.onset_s - other[2] >= TABLE["move.least_s"]:
        return 0.0
    there, here = naturals(keys[other[0]].midi), naturals(key.midi)
    apart = here - there if tread[0] == "right" else there - here
    if apart > TABLE["feet.most_naturals"] or apart < -TABLE["cross.most_naturals"]:
        return None
    if apart >= 0:
        return TABLE["knees.points"] if apart > TABLE["knees.apart_naturals"] else 0.0
    sharp = is_sharp(key.midi) or is_sharp(keys[other[0]].midi)
    heel = TABLE["cross.other_heel"] if "heel" in (tread[1], other[1]) else 0
    return TABLE["cross.over_sharp" if sharp else "cross.points"] + heel


def _substituted(
    keys, board, last, key: Key, tread: Tread, then: Tread, end_s: float
) -> float | None:
    own = _own(key.midi, then)
    lasting = key.release_s >= end_s
    long = end_s - key.onset_s >= TABLE["substitution.least_s"]
    if own is None or not lasting or not long:
        return None
    other = last.get(then[0])
    if then[0] != tread[0] and other is not None and not _gone(other, key):
        needs_s = _leap_s(board, keys[other[0]].midi, key.midi) + TABLE["substitution.least_s"]
        if end_s - other[2] < needs_s:
            return None
    toes = tread[1] == then[1] == "toe"
    return own + TABLE["substitution.toe_toe" if toes else "substitution.toe_heel"]


def _gone(other, key: Key) -> bool:
    return key.onset_s - other[2] >= TABLE["memory.seconds"]
