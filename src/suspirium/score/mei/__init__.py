"""Scores in engraved notation: MusicXML, MEI and Humdrum kern, all by way of MEI."""

from suspirium.score.mei.reader import read_score

__all__ = ["read_score"]
