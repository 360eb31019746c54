"""A fingered line judged by the published rules, each by itself.

Parncutt, Sloboda, Clarke, Raekallio and Desain 1997, Music Perception 14(4), 341-382, for one
line in one hand, legato. Three of their rules look at three notes in a row. The search over
whole hands (`suspirium.technique.fingers.search`) looks at two: it pays the hand's way sideways
where they count changes of position (4 and 5), and leaves rule 7 out as Jacobs 2001 does
(Music Perception 18(4), 505-511). What that costs is measured by this judge.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from itertools import pairwise
from typing import Literal

from suspirium.tables import load
from suspirium.technique.hand import Reach, Side, published_reach
from suspirium.technique.keyboard import is_black

Rules = Literal["1997", "2001"]
_STILL = Reach(0, 0, 0, 0, 0, 0)  # one finger on two keys spans nothing
_THUMB, _THIRD, _FOURTH, _FIFTH = 1, 3, 4, 5


def rule_points(
    keys: Sequence[int], fingers: Sequence[int], side: Side = "right", rules: Rules = "1997"
) -> Mapping[int, float]:
    """Points of a line by the number of the rule, 1 to 12; rules without points are left out.

    `keys` are MIDI keys, `fingers` 1 to 5, as many. "2001" takes the changes of Jacobs that
    need no other distances: the fourth finger alone is weak, no rule 7, and a large span costs
    the same with and without the thumb. Raises `ValueError` where one finger would strike two
    different keys in a row, which the rules know nothing of.
    """
    found: Counter[int] = Counter()
    sign = 1 if side == "right" else -1
    line = [(sign * key, finger, is_black(key)) for key, finger in zip(keys, fingers, strict=True)]
    for note in line:
        found.update(_alone(note, rules))
    for before, after in pairwise(line):
        if before[1] == after[1] and before[0] != after[0]:
            raise ValueError(f"finger {before[1]} can't strike two keys in a row legato")
        found.update(_two(before, after, rules))
    for three in zip(line, line[1:], line[2:], strict=False):
        found.update(_three(three, rules))
    return {rule: points for rule, points in sorted(found.items()) if points}


_Note = tuple[int, int, bool]  # key outward from the body's middle, finger, black


def _points(name: str) -> float:
    return load("fingering").number(f"points.{name}")


def _spanned(one: _Note, other: _Note) -> tuple[Reach, int]:
    """The spans of the two fingers, and that from the lower finger to the higher."""
    low, high = sorted((one, other), key=lambda note: note[1])
    if low[1] == high[1]:
        return _STILL, other[0] - one[0]
    return published_reach()[low[1], high[1]], high[0] - low[0]


def _beyond(reach: Reach, width: int) -> float:
    """Semitones outside the comfortable span."""
    return max(0.0, width - reach.max_comf, reach.min_comf - width)


def _alone(note: _Note, rules: Rules) -> Mapping[int, float]:
    _, finger, black = note
    weak = (_FOURTH,) if rules == "2001" else (_FOURTH, _FIFTH)
    return {
        6: _points("weak_finger") * (finger in weak),
        10: _points("thumb_on_black") * (black and finger == _THUMB),
    }


def _two(before: _Note, after: _Note, rules: Rules) -> Mapping[int, float]:
    """Rules 1 to 3 and 8 to 12, of two notes in a row; a key struck again asks nothing."""
    if before[1] == after[1]:
        return {}
    reach, width = _spanned(before, after)
    thumb = _THUMB in (before[1], after[1])
    small = _points("small_span_thumb" if thumb else "small_span")
    even = rules == "2001" or thumb
    large = _points("large_span_thumb" if even else "large_span")
    third, fourth = (
        next((note for note in (before, after) if note[1] == finger), None)
        for finger in (_THIRD, _FOURTH)
    )
    return {
        1: _points("stretch") * _beyond(reach, width),
        2: small * max(0.0, reach.min_rel - width),
        3: large * max(0.0, width - reach.max_rel),
        8: _points("three_to_four") * ((before[1], after[1]) == (_THIRD, _FOURTH)),
        9: _points("four_on_black")
        * (third is not None and fourth is not None and fourth[2] and not third[2]),
        10: _points("thumb_by_white") * _black_by_white(before, after, _THUMB),
        11: _points("five_by_white") * _black_by_white(before, after, _FIFTH),
        12: _pass(before, after) if thumb and width < 0 else 0.0,
    }


def _black_by_white(before: _Note, after: _Note, finger: int) -> int:
    """How often the finger is on a black key of the two and the other key is white."""
    pairs = ((before, after), (after, before))
    return sum(own[1] == finger and own[2] and not other[2] for own, other in pairs)


def _pass(before: _Note, after: _Note) -> float:
    thumb, other = (before, after) if before[1] == _THUMB else (after, before)
    return _points("thumb_pass_black" if thumb[2] and not other[2] else "thumb_pass")


def _three(three: Sequence[_Note], rules: Rules) -> Mapping[int, float]:
    """Rules 4, 5 and 7, of three notes in a row."""
    first, middle, last = three
    reach, width = _spanned(first, last)
    beyond = _beyond(reach, width)
    full = (
        middle[1] == _THUMB
        and min(first[0], last[0]) < middle[0] < max(first[0], last[0])
        and not reach.min_prac <= width <= reach.max_prac
    )
    change = _points("position_change_full" if full else "position_change_half")
    weak_run = {note[1] for note in three} == {_THIRD, _FOURTH, _FIFTH}
    return {
        4: change if beyond else 0.0,
        5: _points("position_change_size") * beyond,
        7: _points("three_four_five") * (weak_run and rules == "1997"),
    }
