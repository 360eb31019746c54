"""What to play before the people sing: lines of the hymn that give its key, pulse and tune."""

from suspirium.service.introductions.model import Introduction
from suspirium.service.introductions.propose import propose_introductions

__all__ = ["Introduction", "propose_introductions"]
