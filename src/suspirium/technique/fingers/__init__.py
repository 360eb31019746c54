"""Fingering: the cheapest way of playing all manual keys, over whole states of both hands."""
