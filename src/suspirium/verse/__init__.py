"""The words of a hymn: syllables, underlay, metre, stress and sense."""
