"""Small passages for tests of hands and feet."""

from __future__ import annotations

import random
from collections.abc import Sequence
from fractions import Fraction

from suspirium.technique.share import Key, Part

PARTS: tuple[Part, ...] = ("melody", "alto", "tenor", "bass")


def key(
    midi: int,
    onset_s: float,
    release_s: float,
    part: Part = "melody",
    *,
    on_beat: bool = True,
) -> Key:
    """A key with one second a quarter."""
    onset_q, release_q = Fraction(onset_s), Fraction(release_s)
    return Key(midi, (part,), part, onset_q, onset_q, release_q, onset_s, release_s, on_beat)


def line(midis: Sequence[int], seconds: float = 1.0, part: Part = "melody") -> tuple[Key, ...]:
    """A legato line of equal notes."""
    return tuple(key(m, i * seconds, (i + 1) * seconds, part) for i, m in enumerate(midis))


def in_order(keys: Sequence[Key]) -> tuple[Key, ...]:
    """Keys by onset, then pitch, as the search wants them."""
    return tuple(sorted(keys, key=lambda k: (k.onset_q, k.midi)))


def random_line(
    rng: random.Random, low: int, high: int, notes: int, part: Part = "melody"
) -> list[Key]:
    """A line of uneven notes that mostly walks, sometimes leaps, repeats or lets go early."""
    at_s, midi, found = 0.0, rng.randint(low, high), []
    for _ in range(notes):
        length_s = rng.choice([0.25, 0.5, 0.5, 1.0])
        let_go_s = rng.choice([0.0, 0.0, 0.0, 0.0625, 0.125])
        found.append(key(midi, at_s, at_s + length_s - let_go_s, part, on_beat=rng.random() < 0.7))
        at_s += length_s
        midi = min(high, max(low, midi + rng.choice([-7, -4, -2, -1, 0, 1, 2, 3, 5, 8])))
    return found
