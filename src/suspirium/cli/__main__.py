"""``python -m suspirium.cli``."""

from suspirium.cli.app import main

main()
