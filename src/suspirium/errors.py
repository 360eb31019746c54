"""What goes wrong, said in one plain sentence with its place."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Place:
    """Where in a source something was found; every part is optional."""

    measure: int | None = None
    voice: str | None = None
    stanza: int | None = None
    line: int | None = None

    def __str__(self) -> str:
        parts = [
            f"{name} {value}"
            for name, value in (
                ("measure", self.measure),
                ("voice", self.voice),
                ("stanza", self.stanza),
                ("line", self.line),
            )
            if value is not None
        ]
        return ", ".join(parts)


NOWHERE = Place()


@dataclass(frozen=True, slots=True)
class Remark:
    """A warning: a plan is still possible, but the organist should know this."""

    text: str
    place: Place = NOWHERE

    def __str__(self) -> str:
        where = str(self.place)
        return f"{where}: {self.text}" if where else self.text


class SuspiriumError(Exception):
    """Base of every error shown to the organist: one sentence, no traceback."""

    def __init__(self, text: str, place: Place = NOWHERE) -> None:
        super().__init__(text)
        self.text = text
        self.place = place

    def __str__(self) -> str:
        return str(Remark(self.text, self.place))


class ScoreError(SuspiriumError):
    """A score that can't be read, or from which no plan can be made."""


class TableError(SuspiriumError):
    """A table row without its unit, kind or source."""


class OverrideError(SuspiriumError):
    """An organist's override that names nothing in this hymn, or asks the impossible."""


class OutputError(SuspiriumError):
    """Something could not be written."""


class TakeError(SuspiriumError):
    """A take that can't be read, or that is not of this hymn."""


class SearchError(SuspiriumError):
    """A search that can't be understood, or finds nothing or too much."""


class LibraryError(SuspiriumError):
    """A library that can't be opened, read or written."""


class OrganError(SuspiriumError):
    """A stop list that can't be read, or an organ that can't do what is asked."""


class ServiceError(SuspiriumError):
    """An order of service that can't be read, or that asks what a hymn does not have."""


class PracticeError(SuspiriumError):
    """A week of practice that can't be laid out as asked."""
