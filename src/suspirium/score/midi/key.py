"""Key signatures of a MIDI file, told or guessed from the notes."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from suspirium.score.midi.file import MidiScore
from suspirium.score.midi.grid import Press, snapped_q
from suspirium.score.model import KeyChange
from suspirium.score.pitch import STEPS, key_alter

_TONICS = {
    step + sign: place + 7 * turn
    for sign, turn in (("b", -1), ("", 0), ("#", 1))
    for place, step in enumerate("FCGDAEB", -1)
}
_SEMITONES = dict(zip(STEPS, (0, 2, 4, 5, 7, 9, 11), strict=True))
MOST_SIGNS = 6


def find_keys(
    score: MidiScore, presses: Sequence[Press], start_q: Fraction
) -> tuple[tuple[KeyChange, ...], bool]:
    """Key changes from the first note on, and whether the file tells them."""
    found: dict[Fraction, KeyChange] = {}
    for tick, name in score.signatures:
        onset_q = max(Fraction(0), snapped_q(Fraction(tick, score.ticks_per_quarter)) - start_q)
        minor = name.endswith("m")
        fifths = _TONICS[name.removesuffix("m")] - (3 if minor else 0)
        found[onset_q] = KeyChange(onset_q, fifths, "minor" if minor else "major")
    if not found:
        return (_guessed(presses),), False
    first = min(found)
    if first > 0:
        found[Fraction(0)] = KeyChange(Fraction(0), found[first].fifths, found[first].mode)
    return tuple(found[onset_q] for onset_q in sorted(found)), True


def _guessed(presses: Sequence[Press]) -> KeyChange:
    """The signature that fits most of the sounding time, and ends on its tonic if it can."""
    weight: dict[int, Fraction] = {}
    for press in presses:
        place = press.pitch % 12
        weight[place] = weight.get(place, Fraction(0)) + press.end_q - press.onset_q
    end_q = max(press.end_q for press in presses)
    last = min(press.pitch for press in presses if press.end_q == end_q) % 12

    def fit(fifths: int) -> tuple[Fraction, bool, int]:
        inside = {(_SEMITONES[s] + key_alter(s, fifths)) % 12 for s in STEPS}
        total = sum((w for place, w in weight.items() if place in inside), Fraction(0))
        return total, last in (_tonic(fifths), _tonic(fifths - 3, 9)), -abs(fifths)

    fifths = max(range(-MOST_SIGNS, MOST_SIGNS + 1), key=fit)
    return KeyChange(Fraction(0), fifths, "major" if last != (_tonic(fifths) + 9) % 12 else "minor")


def _tonic(fifths: int, above: int = 0) -> int:
    return (7 * fifths + above) % 12
