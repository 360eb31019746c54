"""Hymns in ABC notation (ABC standard 2.1), with their voices and stanzas."""

from suspirium.score.abc.reader import read_abc

__all__ = ["read_abc"]
