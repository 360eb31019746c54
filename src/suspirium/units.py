"""Conversions between the units of the program; each name says from what to what.

Score time is an exact `Fraction` of quarter notes (``_q``); performed time is float
seconds (``_s``). The two meet only here.
"""

from __future__ import annotations

from fractions import Fraction

SECONDS_PER_MINUTE = 60.0


def quarters_to_seconds(duration_q: Fraction | float, quarter_bpm: float) -> float:
    """Seconds that `duration_q` quarter notes last at `quarter_bpm` quarters a minute."""
    return float(duration_q) * SECONDS_PER_MINUTE / quarter_bpm


def seconds_to_quarters(duration_s: float, quarter_bpm: float) -> float:
    """Quarter notes that fit into `duration_s` seconds at `quarter_bpm`."""
    return duration_s * quarter_bpm / SECONDS_PER_MINUTE


def quarter_bpm_to_pulse_bpm(quarter_bpm: float, pulse_q: Fraction) -> float:
    """Pulses a minute when one pulse is `pulse_q` quarter notes long."""
    return quarter_bpm / float(pulse_q)


def pulse_bpm_to_quarter_bpm(pulse_bpm: float, pulse_q: Fraction) -> float:
    """Quarter notes a minute when one pulse is `pulse_q` quarter notes long."""
    return pulse_bpm * float(pulse_q)


def midi_to_hz(midi: float, a4_hz: float = 440.0) -> float:
    """Frequency of a MIDI key in equal temperament: a4_hz · 2^((midi − 69) / 12).

    A = 440 Hz is ISO 16:1975; MIDI key 69 is that A (MIDI 1.0 specification).
    """
    return float(a4_hz * 2.0 ** ((midi - 69.0) / 12.0))
