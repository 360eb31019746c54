"""Hymns in Standard MIDI files: what was played, brought back to a score."""

from suspirium.score.midi.reader import read_midi

__all__ = ["read_midi"]
