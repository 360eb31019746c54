"""Suspirium: a hymn comes in, a plan for leading it goes out.

In old notation the *suspirium* is the short rest in which singers breathe.
"""

__version__ = "0.1.0"
