"""What each chord should look like in semitone bands, from its keys or from the take itself."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from math import log2

import numpy as np

from suspirium.tables import load
from suspirium.take.expected import Way
from suspirium.take.sound.bands import BANDS, LOWEST, Array


def sounding(ways: Sequence[Way]) -> list[tuple[int, ...]]:
    """The keys that sound while each chord stands, those held from before included."""
    found = []
    for way in ways:
        held: list[tuple[int, Fraction]] = []
        for chord in way.chords:
            held = [(midi, end_q) for midi, end_q in held if end_q > chord.onset_q]
            held += [(key.midi, key.end_q) for key in chord.keys]
            found.append(tuple(sorted({midi for midi, _ in held})))
    return found


def struck(ways: Sequence[Way]) -> list[tuple[int, ...]]:
    """The keys that go down at each chord, those that some players strike again included."""
    return [(*(key.midi for key in chord.keys), *chord.may) for way in ways for chord in way.chords]


def key_template(midi: int) -> Array:
    """Amplitudes in the bands of one key: harmonics of an organ tone, falling with their
    number, and ranks an octave apart."""
    table = load("take")
    row = np.zeros(BANDS)
    slope = table.number("sound.harmonic_slope")
    for octave, weight in enumerate(table["sound.ranks"]):
        for harmonic in range(1, int(table["sound.harmonics"]) + 1):
            band = round(midi + 12 * octave + 12 * log2(harmonic)) - LOWEST
            if 0 <= band < BANDS:
                row[band] = max(row[band], weight * harmonic**-slope)
    return row


def chord_templates(keys: Sequence[Sequence[int]]) -> Array:
    """A unit row of amplitudes for each chord, given as its sounding keys."""
    by_key = {midi: key_template(midi) for chord in keys for midi in chord}
    rows = np.array([np.sqrt(sum(by_key[midi] ** 2 for midi in chord)) for chord in keys])
    return unit(compressed(rows))


def without_melody(ways: Sequence[Way], by: int) -> Array:
    """For each chord the share of each band's amplitude that its lower keys have: what is left
    of it when only the melody has lifted. Keys are moved `by` semitones."""
    rows = []
    for keys in sounding(ways):
        powers = [key_template(key + by) ** 2 for key in keys]
        rows.append(sum(powers[:-1], np.zeros(BANDS)) / (sum(powers) + 1e-9))
    return compressed(np.sqrt(np.array(rows)))


def compressed(amplitudes: Array) -> Array:
    """Square roots: no one strong pipe says all."""
    return np.asarray(np.sqrt(amplitudes))


def unit(rows: Array) -> Array:
    """Rows of length 1; rows of nothing stay so."""
    lengths = np.linalg.norm(rows, axis=-1, keepdims=True)
    return np.asarray(rows / np.maximum(lengths, 1e-9))
