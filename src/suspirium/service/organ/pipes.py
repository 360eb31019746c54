"""Pipes as physics has them: what a foot pitch sounds, and how long its pipe is."""

from __future__ import annotations

from fractions import Fraction
from math import log2

from suspirium.service.organ.feet import harmonic
from suspirium.tables import load
from suspirium.units import midi_to_hz

LOWEST_C = 36  # the key at which a stop's foot pitch is told
_M_PER_MM = 1e-3


def pipe_hz(feet: Fraction, midi: int = LOWEST_C, a4_hz: float = 440.0) -> float:
    """Frequency of the pipe that a key sounds in a stop of this pitch."""
    return midi_to_hz(midi, a4_hz) * float(harmonic(feet))


def half_wave_m(hz: float) -> float:
    """Half the wave in air at 20 °C, c / 2f: the length that gives the foot its name."""
    return load("room").number("speed_of_sound_m_per_s") / (2 * hz)


def diameter_mm(hz: float) -> float:
    """Inner diameter in Normalmensur of the pipe of this frequency."""
    table = load("organs")
    halvings = semitones_above_8_foot(hz) / table.number("pipe.halving")
    return float(table.number("pipe.diameter_mm") * 2**-halvings)


def open_length_m(hz: float, diameter: float | None = None) -> float:
    """Length of an open pipe from mouth to end: half the wave less 5/3 of the diameter (mm)."""
    return half_wave_m(hz) - _correction_m("open", hz, diameter)


def stopped_length_m(hz: float, diameter: float | None = None) -> float:
    """Length of a stopped pipe: a quarter of the wave less the correction at the mouth."""
    return half_wave_m(hz) / 2 - _correction_m("stopped", hz, diameter)


def semitones_above_8_foot(hz: float) -> float:
    """How far a pipe stands above the one of 8 foot C (A4 = 440 Hz)."""
    return 12 * log2(hz / midi_to_hz(LOWEST_C))


def _correction_m(kind: str, hz: float, diameter: float | None) -> float:
    width = diameter_mm(hz) if diameter is None else diameter
    return load("organs").number(f"pipe.{kind}_correction") * width * _M_PER_MM
