"""What collides on an engraved system: pairs of drawn things that must not touch.

Music touching music (a stem on its head, a slur at a note) is the engraver's own affair
and no collision; words and signs of the plan must stand clear of everything.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import combinations

from suspirium.render.engrave.shapes import UNITS_PER_MM, Box

WORDS = frozenset({"words", "hyphen", "number"})
PLAN = frozenset({"rail", "pulse", "touch", "figures", "extender", "label", "finger", "foot"})
_SLACK = 0.12 * UNITS_PER_MM
# Signs that belong together and touch by design: the strokes on their rail and rule.
_TOGETHER = (frozenset({"rail"}), frozenset({"pulse"}), frozenset({"touch"}), frozenset({"finger"}))


def collisions(boxes: Sequence[Box]) -> Iterator[tuple[Box, Box]]:
    """Every pair that overlaps by more than a hair (0.12 mm) though it must not."""
    ours = [box for box in boxes if box.kind in WORDS | PLAN]
    music = [box for box in boxes if box.kind not in WORDS | PLAN and box.kind != "barLine"]
    for first, second in combinations(ours, 2):
        if {first.kind, second.kind} not in _TOGETHER and first.overlaps(second, _SLACK):
            yield first, second
    for sign in ours:
        for drawn in music:
            if sign.overlaps(drawn, _SLACK):
                yield sign, drawn
