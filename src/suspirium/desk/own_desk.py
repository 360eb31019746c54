"""What holds for everything at this desk: the room, the people, the player, the organs.

It lies in a folder beside the library, with the same name: ``hymnal.sqlite`` and ``hymnal/``.
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import asdict, dataclass, fields
from pathlib import Path
from typing import Any

import tomli_w

from suspirium.desk.fingering import Playing, playing
from suspirium.desk.hymnal import library_path
from suspirium.desk.naming import folder_name
from suspirium.desk.parish import parish_organs
from suspirium.desk.planning import Settings
from suspirium.desk.week_hymns import Who
from suspirium.errors import LibraryError, SuspiriumError
from suspirium.room import read_room
from suspirium.service.organ import Organ, read_organ
from suspirium.store import read_bytes, write_whole


@dataclass(frozen=True, slots=True)
class OwnDesk:
    """The room, how many people sing, who plays on which pedalboard, and how the voices are
    shared between hands and feet (one of `fingering.ARRANGEMENTS`)."""

    room: str = "parish"
    singers: int | None = None
    same_breaths: bool = False
    hand: str = "medium"
    span_cm: float | None = None
    level: str = "fluent"
    board: str = "ago"
    shared: str = "pedal"

    @property
    def settings(self) -> Settings:
        """What plans depend on."""
        return Settings(read_room(self.room), self.singers, self.same_breaths)

    @property
    def playing(self) -> Playing:
        """Who plays; `SuspiriumError` where something is not known."""
        return playing(self.hand, self.span_cm, self.level, self.board, self.shared)

    @property
    def who(self) -> Who:
        """The same for the week."""
        return Who(self.hand, self.span_cm, self.level, self.board)


def desk_folder() -> Path:
    """The folder beside the library."""
    return library_path().with_suffix("")


def own_desk() -> OwnDesk:
    """What was set, or the usual; `LibraryError` if the file can't be understood."""
    path = desk_folder() / "desk.toml"
    if not path.is_file():
        return OwnDesk()
    try:
        values: dict[str, Any] = tomllib.loads(read_bytes(path).decode("utf-8"))
        known = {field.name for field in fields(OwnDesk)}
        found = OwnDesk(**{name: value for name, value in values.items() if name in known})
        _ = found.settings, found.playing
    except (UnicodeDecodeError, tomllib.TOMLDecodeError, TypeError, SuspiriumError):
        raise LibraryError(f"{path} can't be understood; correct it or take it away") from None
    return found


def keep_desk(asked: Mapping[str, str]) -> OwnDesk:
    """Keeps what a form asks, by the fields' names; `SuspiriumError` where it can't be."""
    found = OwnDesk(
        room=asked.get("room", "").strip() or "parish",
        singers=_whole(asked.get("singers", "")),
        same_breaths="same_breaths" in asked,
        hand=asked.get("hand", "medium"),
        span_cm=_number(asked.get("span_cm", "")),
        level=asked.get("level", "fluent"),
        board=asked.get("board", "ago"),
        shared=asked.get("shared", "pedal"),
    )
    _ = found.settings, found.playing  # says what is wrong before anything is kept
    usual = asdict(OwnDesk())
    values = {name: value for name, value in asdict(found).items() if value != usual[name]}
    _write(desk_folder() / "desk.toml", tomli_w.dumps(values))
    return found


def _whole(text: str) -> int | None:
    number = _number(text)
    if number is not None and not 1 <= number <= 100_000:
        raise LibraryError(f"{text!r} is no number of people")
    return None if number is None else round(number)


def _number(text: str) -> float | None:
    try:
        return float(text.replace(",", ".")) if text.strip() else None
    except ValueError:
        raise LibraryError(f"{text!r} is no number") from None


def _write(path: Path, text: str) -> None:
    path.parent.mkdir(parents=True, exist_ok=True)
    write_whole(path, text.encode())


# Organs ---------------------------------------------------------------------------------


def organs_folder() -> Path:
    """Where this desk's stop lists lie."""
    return desk_folder() / "organs"


def organs() -> dict[str, Organ]:
    """The organs of this desk by the name of their file; what can't be read is left out."""
    found = {}
    for path in sorted(organs_folder().glob("*.toml")):
        try:
            found[path.stem] = read_organ(read_bytes(path).decode("utf-8"))
        except (SuspiriumError, UnicodeDecodeError):
            continue
    return found


def organ_text(stem: str) -> str:
    """A stop list as it was typed; `LibraryError` if there is none of this name."""
    path = organs_folder() / f"{folder_name(stem)}.toml"
    if not path.is_file():
        raise LibraryError(f"there is no organ {stem!r} at this desk")
    return read_bytes(path).decode("utf-8", "replace")


def keep_organ(text: str, stem: str = "") -> str:
    """Keeps a stop list under its name, or in the place of `stem`; the file's name.

    `SuspiriumError` says what in it can't be understood; then nothing is kept.
    """
    organ = read_organ(text)
    name = folder_name(stem or organ.name)
    _write(organs_folder() / f"{name}.toml", text)
    return name


def take_in_parish_organs() -> None:
    """The invented organs of the demo parish, those that are not there yet."""
    for path in parish_organs():
        if not (organs_folder() / path.name).exists():
            _write(organs_folder() / path.name, read_bytes(path).decode("utf-8"))
