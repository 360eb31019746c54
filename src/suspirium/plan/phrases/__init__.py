"""The phrases of a hymn: the lines of its poem, found in notes and words."""

from suspirium.plan.phrases.find import find_phrases
from suspirium.plan.phrases.model import Evidence, PhraseSpan

__all__ = ["Evidence", "PhraseSpan", "find_phrases"]
