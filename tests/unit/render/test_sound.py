from __future__ import annotations

import io
from fractions import Fraction

import numpy as np
import pytest
import soundfile

from suspirium.errors import OutputError
from suspirium.plan.performance import KeyPress, Performance
from suspirium.render.hall import impulse
from suspirium.render.organ import sample_rate, steady, usual_ranks
from suspirium.render.sound import encode, render_sound
from suspirium.room import Room
from suspirium.units import midi_to_hz

DRY = Room(0.2, 5.0)


def _press(midi: int, onset_s: float, release_s: float) -> KeyPress:
    zero = Fraction(0)
    return KeyPress(1, midi, "manual", ("soprano",), zero, zero, zero, onset_s, release_s)


def _performance(*keys: KeyPress, pulses: tuple[float, ...] = ()) -> Performance:
    return Performance(keys, pulses, (0.0,), max(key.release_s for key in keys))


def _level_db(sound: np.ndarray, start_s: float, end_s: float) -> float:
    rate = sample_rate()
    part = sound[int(start_s * rate) : int(end_s * rate)]
    return float(10 * np.log10(np.mean(part.astype(float) ** 2) + 1e-20))


@pytest.mark.parametrize("midi", [36, 60, 69, 81])
def test_equal_temperament_at_a_440(midi: int) -> None:
    """A4 = 440 Hz (ISO 16:1975); a semitone is 2^(1/12) (equal temperament)."""
    rate = sample_rate()
    tone = steady(usual_ranks("manual"), midi, 4 * rate) * np.hanning(4 * rate)
    spectrum = np.abs(np.fft.rfft(tone))
    expected = 440.0 * 2 ** ((midi - 69) / 12)
    around = slice(int(4 * expected * 0.97), int(4 * expected * 1.03) + 2)
    peak = around.start + int(np.argmax(spectrum[around]))
    a, b, c = np.log(spectrum[peak - 1 : peak + 2])
    found = (peak + 0.5 * (a - c) / (a - 2 * b + c)) / 4
    assert abs(1200 * np.log2(found / expected)) < 1.5  # a rank is tuned to a cent or so
    assert midi_to_hz(midi) == pytest.approx(expected)


def test_the_pedal_sounds_an_octave_below() -> None:
    rate = sample_rate()
    spectrum = np.abs(np.fft.rfft(steady(usual_ranks("pedal"), 48, rate)))
    low, written = midi_to_hz(36), midi_to_hz(48)
    assert (
        spectrum[int(low) - 1 : int(low) + 3].max()
        > 0.3 * spectrum[int(written) - 1 : int(written) + 3].max()
    )


def test_a_lift_is_silent_in_a_dry_room() -> None:
    sound = render_sound(_performance(_press(60, 0, 1), _press(62, 2, 3)), DRY)
    assert _level_db(sound, 1.0, 1.4) - _level_db(sound, 1.9, 2.4) > 40


def test_notes_begin_and_end_where_they_are_planned() -> None:
    sound = render_sound(_performance(_press(72, 0, 1), _press(74, 2, 3)), DRY)
    envelope = np.abs(sound).max(axis=1)
    rate = sample_rate()
    second = np.nonzero(envelope[int(2.0 * rate) :] > 0.1 * envelope.max())[0][0] / rate + 2.0
    assert second == pytest.approx(2.5, abs=0.03)  # half a second before the first note


@pytest.mark.parametrize("rt_s", [0.8, 2.0, 4.0])
def test_the_room_decays_as_asked(rt_s: float) -> None:
    """T20 of ISO 3382-1: the slope between −5 and −25 dB of the backward integral."""
    response = impulse(Room(rt_s, 15.0))[0, 200:].astype(float)
    # The tail's middle frequencies: a running mean takes the treble away.
    middle = np.convolve(response, np.ones(24) / 24, mode="same")
    energy = np.cumsum(middle[::-1] ** 2)[::-1]
    decay_db = 10 * np.log10(energy / energy[0])
    rate = sample_rate()
    time_s = np.arange(len(decay_db)) / rate
    inside = (decay_db < -5) & (decay_db > -25)
    slope = np.polyfit(time_s[inside], decay_db[inside], 1)[0]
    assert -60 / slope == pytest.approx(rt_s, rel=0.1)


def test_ticks_are_heard_on_the_pulse() -> None:
    press = _press(48, 0, 3)
    plain = render_sound(_performance(press), DRY)
    ticked = render_sound(_performance(press, pulses=(1.0, 2.0)), DRY, ticks=True)
    difference = np.abs(ticked[: len(plain)] - plain * (np.abs(ticked).max() / np.abs(plain).max()))
    rate = sample_rate()
    at_tick = difference[int(1.5 * rate) : int(1.52 * rate)].max()
    between = difference[int(2.0 * rate) : int(2.3 * rate)].max()
    assert at_tick > 3 * between


@pytest.mark.parametrize("form", ["flac", "ogg", "wav"])
def test_sound_files_can_be_read_by_others(form: str) -> None:
    """libsndfile reads back what was written, as long and as loud."""
    sound = render_sound(_performance(_press(60, 0, 1)), DRY)
    data, rate = soundfile.read(io.BytesIO(encode([sound], form)))
    assert rate == sample_rate()
    assert data.shape == sound.shape
    assert np.abs(data).max() == pytest.approx(np.abs(sound).max(), abs=0.05)


def test_an_unknown_form_is_refused() -> None:
    with pytest.raises(OutputError, match="mp3"):
        encode([], "mp3")  # type: ignore[arg-type]
