"""What every command shares: options, one-sentence errors, progress."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Annotated

import typer
from rich.console import Console
from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn, TimeElapsedColumn

stderr = Console(stderr=True, highlight=False)

Scores = Annotated[
    list[Path],
    typer.Argument(help="Score files: MusicXML, MEI, kern, ABC or MIDI.", show_default=False),
]
RoomOption = Annotated[
    str,
    typer.Option(
        help="The room: dry, chapel, parish, large, cathedral, or its reverberation in seconds, "
        "if you like with the metres to the people: 2.2,18."
    ),
]
SingersOption = Annotated[
    int | None, typer.Option(min=1, help="How many people sing.", show_default="100")
]
QuietOption = Annotated[bool, typer.Option("--quiet", "-q", help="Show errors only.")]


class Bar:
    """Progress on a terminal; plain lines elsewhere; nothing when quiet."""

    def __init__(self, progress: Progress | None, total: int) -> None:
        self._progress = progress
        self._task = progress.add_task("", total=total) if progress else None

    def step(self, name: str) -> Callable[[str], None]:
        """A function that shows which step of `name` is under way."""

        def told(step: str) -> None:
            if self._progress is not None and self._task is not None:
                self._progress.update(self._task, description=f"{name}: {step}")

        return told

    def advance(self) -> None:
        if self._progress is not None and self._task is not None:
            self._progress.advance(self._task)

    def say(self, text: str) -> None:
        console = self._progress.console if self._progress else stderr
        console.print(text, soft_wrap=True, markup=False)

    def say_error(self, text: str) -> None:
        self.say(f"suspirium: {text}")


@contextmanager
def progress_bar(total: int, quiet: bool) -> Iterator[Bar]:
    if quiet or not stderr.is_terminal:
        yield Bar(None, total)
        return
    columns = (
        TextColumn("{task.description}"),
        BarColumn(),
        MofNCompleteColumn(),
        TimeElapsedColumn(),
    )
    with Progress(*columns, console=stderr, transient=True) as progress:
        yield Bar(progress, total)


def say_error(text: str) -> None:
    """One sentence on the standard error stream."""
    typer.echo(f"suspirium: {text}", err=True)
