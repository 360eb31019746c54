"""The command line: parse, call one desk function, show."""

from suspirium.cli.app import main

__all__ = ["main"]
