"""Use cases, one verb each: the only place where music meets disk."""

from suspirium.desk.parish import parish_scores
from suspirium.desk.planning import Settings, plan_file
from suspirium.desk.preparing import PreparedHymn, RecordingSettings, prepare

__all__ = [
    "PreparedHymn",
    "RecordingSettings",
    "Settings",
    "parish_scores",
    "plan_file",
    "prepare",
]
