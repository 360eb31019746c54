"""``suspirium plan``, ``prepare`` and ``demo``."""

from __future__ import annotations

import json
import os
import sys
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import Annotated

import typer
from rich.console import Console
from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn, TimeElapsedColumn

from suspirium import __version__
from suspirium.errors import SuspiriumError

app = typer.Typer(
    help="From a hymn's score to a plan for leading it, a marked page and a recording.",
    add_completion=False,
    no_args_is_help=True,
    pretty_exceptions_enable=False,
)
_stderr = Console(stderr=True, highlight=False)

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


def main() -> None:
    """The entry point: every expected failure is one sentence and an exit code."""
    try:
        app()
    except SuspiriumError as problem:
        _say_error(str(problem))
        sys.exit(1)
    except Exception as problem:
        if os.environ.get("SUSPIRIUM_TRACEBACK"):
            raise
        _say_error(_fault(problem))
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


@app.command()
def plan(
    scores: Scores,
    as_json: Annotated[bool, typer.Option("--json", help="One JSON object a line.")] = False,
    room: RoomOption = "parish",
    singers: SingersOption = None,
) -> None:
    """Print how to lead each hymn: pulse, tempo, breaths, lifts, stanza gap and touch."""
    from suspirium.desk.planning import Settings, plan_file
    from suspirium.render.plan_json import failure_values, plan_values
    from suspirium.render.plan_text import plan_text
    from suspirium.room import read_room

    settings = Settings(read_room(room), singers)
    failed = 0
    for score in scores:
        try:
            made = plan_file(score, settings)
        except SuspiriumError as problem:
            failed += 1
            _say_error(f"{score}: {problem}")
            if as_json:
                typer.echo(json.dumps(failure_values(str(score), str(problem)), ensure_ascii=False))
            continue
        if as_json:
            typer.echo(json.dumps(plan_values(made, str(score)), ensure_ascii=False))
        else:
            typer.echo(plan_text(made))
    if failed:
        raise typer.Exit(1)


@app.command()
def prepare(
    scores: Scores,
    out: Annotated[
        Path, typer.Option("--out", help="Folder for the results, one folder a hymn inside.")
    ],
    room: RoomOption = "parish",
    singers: SingersOption = None,
    sound: Annotated[
        list[str] | None,
        typer.Option(help="Sound files to write: flac, ogg, wav.", show_default="flac"),
    ] = None,
    ticks: Annotated[
        bool, typer.Option("--ticks", help="Tick the pulse in the recording.")
    ] = False,
    bpm: Annotated[
        float | None,
        typer.Option(
            "--quarter-bpm",
            min=10,
            max=400,
            help="Tempo of the recording only, in quarter notes a minute.",
            show_default="as planned",
        ),
    ] = None,
    voice: Annotated[
        list[str] | None,
        typer.Option(
            help="Voices in the recording: soprano, alto, tenor, bass.", show_default="all"
        ),
    ] = None,
    quiet: QuietOption = False,
) -> None:
    """Write the marked score, the plan and the recording of each hymn."""
    _prepare_all(scores, out, room, singers, sound, ticks, bpm, voice, quiet)


@app.command()
def demo(
    out: Annotated[Path, typer.Option("--out", help="Folder for the results.")] = Path(
        "suspirium-demo"
    ),
    quiet: QuietOption = False,
) -> None:
    """Prepare the hymns of the invented parish of the examples."""
    from suspirium.desk.parish import parish_scores

    _prepare_all(parish_scores(), out, "parish", None, None, False, None, None, quiet)


def _prepare_all(
    scores: Sequence[Path],
    out: Path,
    room: str,
    singers: int | None,
    sound: list[str] | None,
    ticks: bool,
    bpm: float | None,
    voice: list[str] | None,
    quiet: bool,
) -> None:
    from suspirium.desk.naming import folders
    from suspirium.desk.planning import Settings
    from suspirium.desk.preparing import prepare as prepare_one
    from suspirium.desk.preparing import recording_settings
    from suspirium.room import read_room

    settings = Settings(read_room(room), singers)
    recording = recording_settings(sound or ["flac"], ticks, bpm, voice or [])
    failed = 0
    with _progress(len(scores), quiet) as bar:
        for score, folder in zip(scores, folders(scores, out), strict=True):
            try:
                done = prepare_one(score, folder, settings, recording, bar.step(score.name))
            except SuspiriumError as problem:
                failed += 1
                bar.say_error(f"{score}: {problem}")
            else:
                if not quiet:
                    bar.say(f"{done.plan.hymn.title or score.stem}: {done.folder}")
            bar.advance()
    if not quiet and failed < len(scores):
        _stderr.print(
            f"The results lie in {out.resolve()}: open marked.pdf, "
            f"listen to leading.{recording.forms[0]}.",
            soft_wrap=True,
        )
    if failed:
        raise typer.Exit(1)


class _Bar:
    """Progress on a terminal; plain lines elsewhere; nothing when quiet."""

    def __init__(self, progress: Progress | None, total: int) -> None:
        self._progress = progress
        self._task = progress.add_task("", total=total) if progress else None

    def step(self, name: str):  # type: ignore[no-untyped-def]  # a closure for the desk
        def told(step: str) -> None:
            if self._progress is not None and self._task is not None:
                self._progress.update(self._task, description=f"{name}: {step}")

        return told

    def advance(self) -> None:
        if self._progress is not None and self._task is not None:
            self._progress.advance(self._task)

    def say(self, text: str) -> None:
        console = self._progress.console if self._progress else _stderr
        console.print(text, soft_wrap=True, markup=False)

    def say_error(self, text: str) -> None:
        self.say(f"suspirium: {text}")


@contextmanager
def _progress(total: int, quiet: bool) -> Iterator[_Bar]:
    if quiet or not _stderr.is_terminal:
        yield _Bar(None, total)
        return
    columns = (
        TextColumn("{task.description}"),
        BarColumn(),
        MofNCompleteColumn(),
        TimeElapsedColumn(),
    )
    with Progress(*columns, console=_stderr, transient=True) as progress:
        yield _Bar(progress, total)


def _say_error(text: str) -> None:
    typer.echo(f"suspirium: {text}", err=True)
