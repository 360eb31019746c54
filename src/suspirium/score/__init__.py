"""Scores: the `Hymn` model, its readers and its checks."""
