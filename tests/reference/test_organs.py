"""Pipes and levels against published values.

- Normalmensur: diameters of the Cs, as tabled for organ builders (Töpfer's scale with the
  halving on the 17th pipe; "Organ flue pipe scaling", and the tables of several builders):
  16' 261.5, 8' 155.5, 4' 92.4, 2' 54.9, 1' 32.6, 1/2' 19.3 mm.
- Stops at middle C in half-tones from the normal scale: viole -10 is 35.6 mm wide, principal
  -2 is 50.4, open flute +9 is 81.1 (the same source).
- A-weighting: table values of IEC 61672-1, which hold at the exact mid-band frequencies
  1000 * 10^(n/10) Hz (31.5 Hz is 31.62 Hz).
- Frequencies of equal temperament at A4 = 440 Hz (ISO 16).
- Length of a wave in air at 20 °C (ISO 9613-1: 343.2 m/s).
"""

from __future__ import annotations

from fractions import Fraction
from math import log10

import pytest

from suspirium.service.organ.feet import feet_named, semitones
from suspirium.service.organ.loudness import a_weighting_db
from suspirium.service.organ.pipes import (
    diameter_mm,
    half_wave_m,
    open_length_m,
    pipe_hz,
    stopped_length_m,
)

DIAMETERS_MM = {"16": 261.5, "8": 155.5, "4": 92.4, "2": 54.9, "1": 32.6, "1/2": 19.3}
A_WEIGHTING_DB = {
    31.5: -39.4,
    63: -26.2,
    125: -16.1,
    250: -8.6,
    500: -3.2,
    1000: 0.0,
    2000: 1.2,
    4000: 1.0,
    8000: -1.1,
}
HERTZ = {"16": 32.703, "8": 65.406, "4": 130.813, "2": 261.626, "1": 523.251}


@pytest.mark.parametrize("foot", DIAMETERS_MM)
def test_normal_scale(foot: str) -> None:
    hz = pipe_hz(feet_named(foot))
    assert diameter_mm(hz) == pytest.approx(DIAMETERS_MM[foot], rel=0.0075)


@pytest.mark.parametrize(("half_tones", "mm"), [(-10, 35.6), (-2, 50.4), (0, 54.9), (9, 81.1)])
def test_scales_in_half_tones(half_tones: int, mm: float) -> None:
    # so many half-tones wider is the normal diameter of a pipe so many half-tones lower
    assert diameter_mm(pipe_hz(Fraction(2)) / 2 ** (half_tones / 12)) == pytest.approx(
        mm, rel=0.005
    )


@pytest.mark.parametrize("hz", A_WEIGHTING_DB)
def test_a_weighting(hz: float) -> None:
    exact_hz = 10 ** (round(10 * log10(hz)) / 10)
    assert a_weighting_db(exact_hz) == pytest.approx(A_WEIGHTING_DB[hz], abs=0.11)


@pytest.mark.parametrize("foot", HERTZ)
def test_frequencies(foot: str) -> None:
    assert pipe_hz(feet_named(foot)) == pytest.approx(HERTZ[foot], abs=0.001)


def test_half_the_wave_of_eight_foot() -> None:
    """343.2 m/s over twice 65.406 Hz are 2.624 m; the pipe itself is some 10 % shorter."""
    hz = pipe_hz(Fraction(8))
    assert half_wave_m(hz) == pytest.approx(2.624, abs=0.001)
    assert 2.34 <= open_length_m(hz) <= 2.46  # metal pipes of narrow to normal scale, in m
    assert open_length_m(hz, diameter=100) > open_length_m(hz)  # narrower ones are longer


def test_stopped_pipes_are_half_as_long() -> None:
    """A quarter of the wave less 2.7 radii (from memory): between a third and a half of open."""
    for foot in ("16", "8", "4", "2"):
        hz = pipe_hz(feet_named(foot))
        assert 1 / 3 < stopped_length_m(hz) / open_length_m(hz) < 1 / 2
        shorter_m = half_wave_m(hz) / 2 - stopped_length_m(hz)
        assert shorter_m == pytest.approx(2.7 * diameter_mm(hz) / 2 / 1000)
        assert stopped_length_m(hz, diameter=0) == pytest.approx(half_wave_m(hz) / 2)


@pytest.mark.parametrize(
    ("foot", "above"),
    [("5 1/3", 7.02), ("2 2/3", 19.02), ("1 3/5", 27.86), ("1 1/3", 31.02), ("16", -12), ("2", 24)],
)
def test_mutations_are_pure_harmonics(foot: str, above: float) -> None:
    """Just intonation: the twelfth is 19.02 semitones, the seventeenth 27.86."""
    assert semitones(feet_named(foot)) == pytest.approx(above, abs=0.005)
