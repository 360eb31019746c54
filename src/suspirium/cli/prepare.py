"""``suspirium prepare`` and ``demo``."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from suspirium.cli.common import (
    KeyOption,
    QuietOption,
    RoomOption,
    SameBreathsOption,
    Scores,
    SingersOption,
    progress_bar,
    stderr,
)
from suspirium.cli.finger import (
    ArrangementOption,
    BoardOption,
    FingeringOption,
    HandOption,
    LevelOption,
    PartsOption,
    SpanOption,
)
from suspirium.errors import SuspiriumError

if TYPE_CHECKING:
    from suspirium.desk.fingering import FingerSettings
    from suspirium.desk.planning import Settings
    from suspirium.desk.preparing import RecordingSettings


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
    fingering: FingeringOption = "helpful",
    parts: PartsOption = False,
    hand: HandOption = "medium",
    hand_span: SpanOption = None,
    level: LevelOption = "fluent",
    pedalboard: BoardOption = "ago",
    hands: ArrangementOption = "pedal",
    same_breaths: SameBreathsOption = False,
    key: KeyOption = "printed",
    organ: Annotated[
        Path | None,
        typer.Option(
            help="A stop list, a TOML file: its stops are chosen for every stanza and heard."
        ),
    ] = None,
    quiet: QuietOption = False,
) -> None:
    """Write the marked score, the plan, hands and feet, and the recording of each hymn."""
    from suspirium.desk.fingering import finger_settings, playing
    from suspirium.desk.planning import Settings, key_asked
    from suspirium.desk.preparing import recording_settings
    from suspirium.desk.serving import read_organ_file
    from suspirium.room import read_room

    settings = Settings(read_room(room), singers, same_breaths, key_asked(key))
    recording = recording_settings(
        sound or ["flac"], ticks, bpm, voice or [], read_organ_file(organ) if organ else None
    )
    player = playing(hand, hand_span, level, pedalboard, hands)
    fingers = finger_settings(player, fingering, parts)
    _prepare_all(scores, out, settings, recording, fingers, quiet)


def demo(
    out: Annotated[Path, typer.Option("--out", help="Folder for the results.")] = Path(
        "suspirium-demo"
    ),
    quiet: QuietOption = False,
) -> None:
    """Prepare the hymns of the invented parish of the examples."""
    from suspirium.desk.fingering import FingerSettings
    from suspirium.desk.parish import parish_scores
    from suspirium.desk.planning import Settings
    from suspirium.desk.preparing import RecordingSettings

    _prepare_all(parish_scores(), out, Settings(), RecordingSettings(), FingerSettings(), quiet)
    if not quiet:
        stderr.print(f"To open the desk in a browser: {sys.argv[0]} serve", soft_wrap=True)


def _prepare_all(
    scores: Sequence[Path],
    out: Path,
    settings: Settings,
    recording: RecordingSettings,
    fingers: FingerSettings,
    quiet: bool,
) -> None:
    from suspirium.desk.naming import folders
    from suspirium.desk.preparing import prepare as prepare_one

    failed = 0
    with progress_bar(len(scores), quiet) as bar:
        for score, folder in zip(scores, folders(scores, out), strict=True):
            try:
                done = prepare_one(
                    score, folder, settings, recording, bar.step(score.name), fingers
                )
            except SuspiriumError as problem:
                failed += 1
                bar.say_error(f"{score}: {problem}")
            else:
                if not quiet:
                    bar.say(f"{done.plan.hymn.title or score.stem}: {done.folder}")
            bar.advance()
    if not quiet and failed < len(scores):
        stderr.print(
            f"The results lie in {out.resolve()}: open marked.pdf, "
            f"listen to leading.{recording.forms[0]}.",
            soft_wrap=True,
        )
    if failed:
        raise typer.Exit(1)
