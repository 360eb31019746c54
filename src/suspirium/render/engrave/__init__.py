"""Engraving: a hymn on paper, with the plan drawn where the notes stand."""
