"""Pedalling: the cheapest way of playing the pedal line with toes and heels of two feet."""
