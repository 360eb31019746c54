"""Hands, fingering, pedalling and effort.

`find_technique` takes a plan and a player and gives the whole; the rest are its parts.
"""

from suspirium.technique.find import A_START, CARE, find_technique
from suspirium.technique.model import Technique
from suspirium.technique.player import Player

__all__ = ["A_START", "CARE", "Player", "Technique", "find_technique"]
