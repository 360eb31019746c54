"""Beginnings and ends of single tones in rooms made here, against what is known of rooms."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.signal import fftconvolve

from suspirium.take.sound.answer import rise, trace
from suspirium.take.sound.bands import RATE
from suspirium.take.sound.looking import Looking
from suspirium.take.sound.onsets import onset
from suspirium.take.sound.partials import frequencies, partials, vectors
from suspirium.take.sound.releases import Standing, releases
from suspirium.take.sound.stray import with_strays
from suspirium.units import midi_to_hz
from tests.sounding import Array, Hall, diffuse

Event = tuple[int, float, float]  # key, seconds from and to


def _sounding(events: list[Event], hall: Hall, length_s: float, seed: int = 1) -> Array:
    """Plain tones of six partials in a diffuse hall, with a little noise."""
    chance = np.random.default_rng(seed)
    time_s = np.arange(int(length_s * RATE)) / RATE
    dry = np.zeros(len(time_s))
    for key, start_s, stop_s in events:
        swell = np.clip((time_s - start_s) / 0.02, 0, 1)
        swell *= np.clip(1 + (stop_s - time_s) / 0.03, 0, 1)
        for harmonic in range(1, 7):
            turn = 2 * np.pi * midi_to_hz(key) * harmonic * time_s + chance.uniform(0, 6)
            dry += swell * np.sin(turn) / harmonic
    wet = fftconvolve(dry, diffuse(hall, RATE, chance))[: len(dry)]
    wet += chance.standard_normal(len(wet)) * np.sqrt(np.mean(wet**2)) * 10 ** (hall.noise_db / 20)
    return np.asarray(0.3 * wet / np.abs(wet).max(), dtype=np.float32)


def test_a_steady_oscillation_is_foretold() -> None:
    looking = Looking.at_onsets()
    at = np.arange(200)[:, None] * looking.step_s
    looks = np.exp(2j * np.pi * at * np.array([0.7, -3.0, 11.0])) * np.array([1, 0.1, 3])
    past, now = looking.history(looks)
    assert past.shape == (200 - looking.used, looking.order, 3)
    weights = looking.weights([(past[:60], now[:60])])
    error = np.abs(now - np.einsum("njb,bj->nb", past, weights)) ** 2
    assert (error.mean(0) < 0.01 * np.abs(now).mean(0) ** 2).all()


def test_noise_is_not_foretold() -> None:
    chance = np.random.default_rng(2)
    looking = Looking.at_releases()
    looks = chance.standard_normal((400, 4)) + 1j * chance.standard_normal((400, 4))
    past, now = looking.history(looks)
    weights = looking.weights([(past[:200], now[:200])])
    error = np.abs(now - np.einsum("njb,bj->nb", past, weights)) ** 2
    assert (error[200:].mean(0) > 0.8 * np.abs(now[200:]).mean(0) ** 2).all()


@pytest.mark.parametrize("rt_s", [0.5, 2.0, 4.0])
def test_a_room_fills_as_sabine_says(rt_s: float) -> None:
    # W. C. Sabine; ISO 3382-1: power falls by 60 dB in the reverberation time, so it rises
    # as 1 - 10 ** (-6 t / RT); here behind a direct share of the table's size.
    looking = Looking.at_onsets()
    weights = np.zeros((1, looking.order), dtype=complex)
    told, share = rise(weights, looking, rt_s, 0.001)
    direct = share[np.searchsorted(told.after_s, looking.window_s)]
    for at_s in (0.2, 0.5, 1.0):
        now = share[np.searchsorted(told.after_s, at_s)]
        full = 1 - (1 - direct) * 10 ** (-6 * (at_s - looking.window_s) / rt_s)
        assert now == pytest.approx(full, abs=0.03)
    # without weights the error is the look itself
    assert told.power[:, 0] == pytest.approx(share)


def test_errors_after_an_onset_are_as_large_as_in_many_rooms() -> None:
    looking, hall = Looking.at_onsets(), Hall(rt_s=1.5, direct=0.4, noise_db=-90)
    weights = np.array([[1.4, -0.5, 0.05]], dtype=complex)
    told, share = rise(weights, looking, hall.rt_s, 0.02)
    hz, at_s = frequencies([60], 0.0)[3:4], 0.6
    seen, late = [], []
    for seed in range(60):
        sound = _sounding([(60, at_s, 3.0)], hall, 2.4, seed)
        times_s, looks = vectors(sound, 0.4, 2.3, hz, looking.window_s, looking.step)
        past, now = looking.history(looks)
        error = np.abs(now - np.einsum("njb,bj->nb", past, weights))[:, 0] ** 2
        seen.append(error)
        late.append(np.abs(now[times_s[looking.used :] > 1.8, 0] ** 2).mean())
    mean, after_s = np.mean(seen, axis=0) / np.mean(late), times_s[looking.used :] - at_s
    ours = told.at(after_s)[:, 0] / share[-1]
    for at in (0.03, 0.05, 0.1):
        near = np.abs(after_s - at) < 0.01
        assert mean[near].mean() == pytest.approx(ours[near].mean(), rel=0.5)
    # the largest error is there, not later
    assert abs(after_s[mean.argmax()] - after_s[ours.argmax()]) < 0.02


def test_what_a_release_leaves_dies_away() -> None:
    looking = Looking.at_releases()
    weights = np.array([[0.9, 0.1, 0.0]], dtype=complex)
    left = trace(weights, looking, 2.0)
    before, at, later = (left.at(np.array([t]))[0, 0] for t in (-0.04, 0.03, 2.0))
    assert before < 0.01 * at
    assert later < 0.01 * at


@pytest.mark.parametrize("rt_s", [0.3, 2.0, 4.0])
def test_when_a_chord_begins_in_another_ones_echo(rt_s: float) -> None:
    hall = Hall(rt_s=rt_s, noise_db=-45)
    errors = []
    for seed in range(6):
        at_s = 1.5 + 0.013 * seed
        events = [(55, 0.2, at_s), (59, 0.2, at_s), (57, at_s, 2.5), (60, at_s, 2.5)]
        sound = _sounding(events, hall, 2.5, seed)
        found = onset(sound, at_s + 0.05, [57, 60], [55, 59], 0.0, rt_s)
        assert found is not None
        errors.append(found.at_s - at_s)
        assert abs(found.at_s - at_s) < 4 * found.error_s + 0.005
    assert np.median(np.abs(errors)) < 0.008


def test_an_onset_is_less_sure_in_noise() -> None:
    events = [(55, 0.2, 1.5), (60, 1.5, 2.5)]
    clear, noisy = (
        onset(_sounding(events, Hall(rt_s=2, noise_db=db), 2.5), 1.5, [60], [55], 0.0, 2.0)
        for db in (-60.0, 10.0)
    )
    assert clear is not None
    assert noisy is not None
    assert clear.error_s < 0.02
    assert noisy.error_s > 2 * clear.error_s


def test_without_keys_there_is_no_onset() -> None:
    assert onset(np.zeros(RATE, dtype=np.float32), 0.5, [], [60], 0.0, 2.0) is None


@pytest.mark.parametrize("rt_s", [0.4, 2.0, 4.0])
def test_when_a_melody_key_is_let_go_while_others_stay(rt_s: float) -> None:
    hall = Hall(rt_s=rt_s, noise_db=-45)
    let_go_s, standings, events = [], [], []
    for turn in range(3):
        start_s = 0.5 + 2.5 * turn
        at_s = start_s + 1.0 + 0.05 * turn
        events += [(67, start_s, at_s), (48, start_s, start_s + 1.4), (55, start_s, start_s + 1.4)]
        events += [(69, start_s + 1.4, start_s + 2.3)]
        let_go_s.append(at_s)
        planned_s = start_s + 1.0
        standings.append(
            Standing(start_s, start_s + 1.4, (planned_s, planned_s), 67, (), (48, 55), ())
        )
    found = releases(_sounding(events, hall, 8.5), standings, 0.0, rt_s)
    assert all(one is not None and one.told for one in found)
    away = [one.at_s - at_s for one, at_s in zip(found, let_go_s, strict=True) if one]
    assert np.abs(away).max() < 0.04
    assert all(
        abs(error_s) < 4 * one.error_s + 0.01
        for error_s, one in zip(away, found, strict=True)
        if one
    )


def test_a_key_that_is_held_on_is_told_so() -> None:
    events = [(67, 0.5, 2.4), (48, 0.5, 1.9), (71, 1.9, 2.6)]
    standing = Standing(0.5, 1.9, (1.6, 1.6), 67, (48,), (), ())
    found = releases(_sounding(events, Hall(rt_s=0.5), 3.0), [standing], 0.0, 0.5)[0]
    assert found is not None
    assert found.at_s > 1.8


def test_no_band_outvotes_all_others() -> None:
    told = np.zeros((50, 4))
    told[20, :3] = 8.0
    told[40, 3] = 500.0
    assert with_strays(told).sum(1).argmax() == 20
    assert told.sum(1).argmax() == 40
    # against nothing happening at all, a band that says nothing says nothing
    assert with_strays(np.zeros((50, 1)), np.zeros(1)) == pytest.approx(0)


def test_partials_that_others_have_too_are_left_out() -> None:
    alone = partials([60], 0.0, [72])
    assert len(frequencies([60], 0.0)) == 6
    assert alone == pytest.approx(midi_to_hz(60) * np.array([1, 3, 5]))
    assert partials([72], 0.0, [60]) == pytest.approx(midi_to_hz(72) * np.array([4, 5, 6]), rel=1)
