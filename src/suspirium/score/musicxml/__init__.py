"""Hymns as MusicXML."""

from suspirium.score.musicxml.writer import write_musicxml

__all__ = ["write_musicxml"]
