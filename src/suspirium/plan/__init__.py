"""The leading plan: pulse, tempo, phrases, breath, gap and touch."""
