"""What every command shares: options, one-sentence errors, progress."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Annotated, Any, TypeVar

import typer
from rich.console import Console
from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn, TimeElapsedColumn

from suspirium.errors import SuspiriumError

T = TypeVar("T")

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
SameBreathsOption = Annotated[
    bool, typer.Option("--same-breaths", help="Lift at the same line ends in every stanza.")
]
KeyOption = Annotated[
    str,
    typer.Option(
        "--key", help="The key: printed, proposed (where people can sing it), or semitones up: -2."
    ),
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


def tell_each(
    items: Iterable[Path],
    make: Callable[[Path], T],
    words: Callable[[T], str],
    values: Callable[[T, str], dict[str, Any]],
    failure: Callable[[str, str], dict[str, Any]],
    *,
    as_json: bool,
) -> None:
    """Makes something of each item and tells it in words or as a line of JSON.

    One that fails is told in one sentence and does not stop the rest; then the exit code
    is 1.
    """
    failed = False
    for item in items:
        try:
            made = make(item)
        except SuspiriumError as problem:
            failed = True
            say_error(f"{item}: {problem}")
            if as_json:
                tell_json(failure(str(item), str(problem)))
            continue
        if as_json:
            tell_json(values(made, str(item)))
        else:
            typer.echo(words(made))
    if failed:
        raise typer.Exit(1)


def tell_json(values: Any) -> None:
    """One JSON value on a line of its own."""
    typer.echo(json.dumps(values, ensure_ascii=False))


def say_error(text: str) -> None:
    """One sentence on the standard error stream."""
    typer.echo(f"suspirium: {text}", err=True)
