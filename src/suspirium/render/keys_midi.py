"""Keys as a browser hears them, as a Standard MIDI File."""

from __future__ import annotations

import io
from collections.abc import Iterable, Sequence

import mido

from suspirium.errors import TakeError

_TICKS, _TEMPO = 500, 500_000  # of a quarter, in microseconds: one tick is a millisecond
_KEYS = (0x80, 0x90)  # note off and note on (MIDI 1.0 Detailed Specification)


def keys_midi(events: Iterable[Sequence[float]]) -> bytes:
    """Events [milliseconds, status, key, velocity] as a file of format 0; others are left out.

    Raises `TakeError` if something else stands there, or no key was pressed.
    """
    track = mido.MidiTrack([mido.MetaMessage("set_tempo", tempo=_TEMPO)])
    before, pressed = 0, False
    try:
        for at_ms, *message in sorted(events, key=lambda event: event[0]):
            status, key, velocity = (int(byte) for byte in message)
            if status & 0xF0 not in _KEYS:
                continue
            one = mido.Message.from_bytes([status, key, velocity])
            one.time = max(0, round(at_ms) - before)
            before += one.time
            track.append(one)
            pressed = pressed or (one.type == "note_on" and velocity > 0)
    except (TypeError, ValueError, LookupError, OverflowError):
        raise TakeError("what was played did not arrive whole; play it again") from None
    if not pressed:
        raise TakeError("no key was pressed; check that the keyboard is connected and switched on")
    file = mido.MidiFile(type=0, ticks_per_beat=_TICKS)
    file.tracks.append(track)
    out = io.BytesIO()
    file.save(file=out)
    return out.getvalue()
