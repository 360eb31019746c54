"""The `suspirium` command: its parts, and how errors are told."""

from __future__ import annotations

import os
import sys
from typing import Annotated

import typer

from suspirium import __version__
from suspirium.cli.common import say_error
from suspirium.cli.finger import finger
from suspirium.cli.hymnal import hymnal
from suspirium.cli.listen import listen
from suspirium.cli.plan import plan
from suspirium.cli.prepare import demo, prepare
from suspirium.cli.serve import serve
from suspirium.cli.service import service
from suspirium.cli.underlay import underlay
from suspirium.cli.week import week
from suspirium.errors import SuspiriumError

app = typer.Typer(
    help="From a hymn's score to a plan for leading it, a marked page and a recording.",
    add_completion=False,
    no_args_is_help=True,
    pretty_exceptions_enable=False,
)
for command in (plan, prepare, listen, demo, underlay, finger, serve):
    app.command()(command)
app.add_typer(hymnal, name="hymnal")
app.add_typer(week, name="week")
app.add_typer(service, name="service")


def main() -> None:
    """The entry point: every expected failure is one sentence and an exit code."""
    try:
        app()
    except SuspiriumError as problem:
        say_error(str(problem))
        sys.exit(1)
    except Exception as problem:
        if os.environ.get("SUSPIRIUM_TRACEBACK"):
            raise
        say_error(_fault(problem))
        sys.exit(3)


def _fault(problem: Exception) -> str:
    """An error that is the program's own, still in one sentence."""
    return (
        f"a fault of the program itself ({type(problem).__name__}: {problem}); your files are "
        "untouched; please report it, with SUSPIRIUM_TRACEBACK=1 it tells more"
    )


@app.callback(invoke_without_command=True)
def _root(
    version: Annotated[bool, typer.Option("--version", help="Show the version and stop.")] = False,
) -> None:
    if version:
        typer.echo(f"suspirium {__version__}")
        raise typer.Exit
