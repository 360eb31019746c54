"""``python -m suspirium``."""

from suspirium.cli import main

main()
