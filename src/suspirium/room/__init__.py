"""Rooms: how long sound hangs, and what a gap sounds like in it."""

from suspirium.room.model import Room, default_room, presets, read_room

__all__ = ["Room", "default_room", "presets", "read_room"]
