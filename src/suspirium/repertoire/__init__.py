"""Hymns beside one another: what a hymn is known by, tunes alike, texts that fit a tune."""
