"""``suspirium serve``: the desk in a browser."""

from __future__ import annotations

import os
from pathlib import Path
from typing import Annotated

import typer

from suspirium.cli.hymnal import LibraryOption


def serve(
    port: Annotated[int, typer.Option(min=1, max=65535, help="Where it listens.")] = 8470,
    lan: Annotated[
        bool,
        typer.Option("--lan", help="Let a paired tablet on this network in, too."),
    ] = False,
    library: LibraryOption = None,
    browser: Annotated[
        bool, typer.Option("--browser/--no-browser", help="Open the browser.")
    ] = True,
) -> None:
    """Open the desk in a browser; it runs on this machine until you stop it with Ctrl+C."""
    from suspirium.desk.hymnal import VARIABLE
    from suspirium.web.serving import run

    if library is not None:
        os.environ[VARIABLE] = str(Path(library).absolute())
    run(port, lan=lan, browser=browser, say=typer.echo)
