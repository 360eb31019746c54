"""How hard a hymn is to play, where, and why."""
