"""How steady a pulse is that is heard only to so many milliseconds."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from suspirium.take.pace import Beat
from suspirium.take.tempo import stanza_tempo

QUARTER_S = 0.7


def _row(uneven_s: float, error_s: float, seed: int, astray: int = 0) -> list[Beat]:
    """Forty quarters in five lines, each onset off by chance and heard with an error."""
    chance = np.random.default_rng(seed)
    at_s = (
        np.arange(40) * QUARTER_S + chance.normal(0, uneven_s, 40) + chance.normal(0, error_s, 40)
    )
    at_s[chance.choice(40, astray, replace=False)] += 0.12
    return [Beat(i, float(i), i // 8, float(s), error_s, 0.97) for i, s in enumerate(at_s)]


@pytest.mark.parametrize("error_s", [0.004, 0.012, 0.03])
def test_what_is_heard_badly_is_not_called_uneven(error_s: float) -> None:
    true, told, errors, plain = 100 * np.sqrt(2) * 0.012 / QUARTER_S, [], [], []
    for seed in range(12):
        row = _row(0.012, error_s, seed)
        tempo = stanza_tempo(row, (), 1)
        exact = stanza_tempo([replace(beat, error_s=0.0, sure=1.0) for beat in row], (), 1)
        assert tempo is not None
        assert exact is not None
        told.append(tempo.steadiness_percent)
        errors.append(tempo.steadiness_error_percent)
        plain.append(exact.steadiness_percent)
    assert abs(np.median(told) - true) < abs(np.median(plain) - true) + 0.5
    assert np.mean(np.abs(np.array(told) - true) < 2 * np.array(errors)) >= 0.7
    if error_s > 0.02:
        assert np.median(plain) > 2 * true


def test_a_few_chords_heard_astray_do_not_spoil_the_pulse() -> None:
    row = _row(0.008, 0.005, 3, astray=2)
    tempo = stanza_tempo(row, (), 1)
    assert tempo is not None
    assert tempo.steadiness_percent < 3


def test_keys_tell_their_pulse_exactly() -> None:
    row = [replace(beat, error_s=0.0, sure=1.0) for beat in _row(0.0, 0.0, 1)]
    tempo = stanza_tempo(row, (), 1)
    assert tempo is not None
    assert tempo.quarter_bpm == pytest.approx(60 / QUARTER_S)
    assert tempo.steadiness_percent == pytest.approx(0, abs=1e-6)
