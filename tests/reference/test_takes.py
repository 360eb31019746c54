"""What takes are measured by, against published facts.

- MIDI 1.0 Detailed Specification (MIDI Manufacturers Association): 31 250 bits a second, ten
  bits to a byte with its start and stop bit, three bytes to a key.
- Standard MIDI Files 1.0: 120 quarters a minute until the file says otherwise; a division with
  its highest bit set counts film frames (its high byte their negative number a second).
- Rasch 1979, Synchronization in performed ensemble music, Acustica 43: standard deviations of
  onsets in trios of 27 to 49 ms.
- Friberg and Sundberg 1995, Time discrimination in a monotonic, isochronous sequence, JASA 98:
  a displaced tone is just noticed at 2.5 % of intervals above 240 ms, at 6 ms below.
- Newey and West 1987, A simple, positive semi-definite, heteroskedasticity and autocorrelation
  consistent covariance matrix, Econometrica 55: Bartlett's weights 1 - l / (L + 1).
- Huber 1964, Robust estimation of a location parameter: residuals count in full up to a bound
  and by their size beyond it; scipy's `least_squares` has the same loss.
"""

from __future__ import annotations

import struct
from math import sqrt

import numpy as np
import pytest
from scipy.optimize import least_squares

from suspirium.tables import load
from suspirium.take.midi import read_take
from suspirium.take.pace import Beat, step_between
from suspirium.take.tempo import stanza_tempo


def test_keys_come_one_after_another_through_a_midi_cable() -> None:
    assert load("take").number("midi.message_s") == pytest.approx(3 * 10 / 31_250)


def _file(division: bytes, events: bytes) -> bytes:
    track = events + b"\x00\xff\x2f\x00"
    head = b"MThd" + struct.pack(">IHH", 6, 0, 1) + division
    return head + b"MTrk" + struct.pack(">I", len(track)) + track


QUARTER = b"\x00\x90\x3c\x40\x60\x3c\x00"  # middle c for 96 ticks, the status running on


@pytest.mark.parametrize(
    ("division", "tempo", "seconds"),
    [
        (b"\x00\x60", b"", 0.5),  # 96 ticks a quarter, 120 quarters a minute
        (b"\x00\x60", b"\x00\xff\x51\x03\x0f\x42\x40", 1.0),  # a million microseconds
        (b"\xe7\x28", b"", 96 / (25 * 40)),  # 25 frames of 40 ticks: milliseconds
        (b"\xe2\x50", b"", 96 / (30 * 80)),  # 30 frames of 80 ticks
    ],
    ids=["no tempo", "a tempo", "milliseconds", "frames"],
)
def test_times_of_a_standard_midi_file(division: bytes, tempo: bytes, seconds: float) -> None:
    (note,) = read_take(_file(division, tempo + QUARTER)).notes
    assert note.release_s - note.onset_s == pytest.approx(seconds)


RASCH_S = {"recorders": (0.030, 0.031), "reeds": (0.037, 0.027), "strings": (0.049, 0.037)}


@pytest.mark.parametrize("trio", RASCH_S)
def test_onsets_of_one_chord_may_lie_as_far_apart_as_players_do(trio: str) -> None:
    for deviation_s in RASCH_S[trio]:
        assert deviation_s < load("take").number("cluster.chain_s") < 3 * deviation_s


def test_what_is_noticed_of_a_displaced_tone() -> None:
    noticed = load("take").number("tempo.jnd")
    assert noticed == 0.025
    assert noticed * 0.240 == pytest.approx(0.006)  # the two laws meet at 240 ms


def _row(onsets_s: np.ndarray, first_q: int = 0, phrase: int = 0) -> list[Beat]:
    return [
        Beat(index, float(first_q + index), phrase, float(at_s))
        for index, at_s in enumerate(onsets_s)
    ]


def test_the_error_of_a_tempo_is_newey_and_wests() -> None:
    """Written out lag by lag, and in size what the means of many rows scatter by."""
    chance = np.random.default_rng(4)
    late_s = chance.normal(0, 0.01, 41)
    onsets_s = 0.5 * np.arange(41) + late_s
    told = stanza_tempo(_row(onsets_s), (), 1)
    assert told is not None
    lengths_s = np.diff(onsets_s)
    at_q = np.arange(40) + 0.5
    slope, level = np.polyfit(at_q, lengths_s, 1)
    parts = (lengths_s / (level + slope * at_q) - 1) / 40
    variance = float(parts @ parts) + 2 * sum(
        (1 - lag / 5) * float(parts[lag:] @ parts[:-lag]) for lag in range(1, 5)
    )
    least = float(parts @ parts) / 5
    assert told.error_percent == pytest.approx(100 * sqrt(max(variance, least)), rel=1e-6)


def test_a_step_in_the_pulse_is_hubers() -> None:
    """One chord far astray moves the step no further than scipy's fit with the same loss."""
    chance = np.random.default_rng(7)
    before_s = 0.5 * np.arange(8) + chance.normal(0, 0.004, 8)
    after_s = 0.5 * np.arange(8, 16) + 0.3 + chance.normal(0, 0.004, 8)
    after_s[4] += 0.02
    step = step_between(_row(before_s), _row(after_s, 8, 1))
    assert step is not None
    counted_q = np.arange(16.0)
    onsets_s = np.concatenate([before_s, after_s])

    def residuals(fit: np.ndarray) -> np.ndarray:
        return fit[0] + fit[1] * counted_q + fit[2] * (counted_q >= 8) - onsets_s

    plain = least_squares(residuals, [0.0, 0.5, 0.0])
    spread_s = 1.4826 * float(np.median(np.abs(residuals(plain.x))))
    robust = least_squares(
        residuals, plain.x, loss="huber", f_scale=1.5 * spread_s, xtol=1e-12, ftol=1e-12
    )
    assert step.late_s == pytest.approx(robust.x[2], abs=0.001)
    assert step.quarter_s == pytest.approx(robust.x[1], abs=0.0005)
