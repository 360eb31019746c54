"""The week of practice: what to play when, so that the hymns are ready on the day."""
