"""What all pages share: the library, what was made before, the jobs."""

from __future__ import annotations

import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path

from starlette.requests import Request

from suspirium.desk.fingering import Playing
from suspirium.desk.hymnal import the_library
from suspirium.desk.own_desk import own_desk
from suspirium.desk.planning import Settings
from suspirium.desk.showing import Shown, engraved, find_shown, hands_and_feet, key_of, show
from suspirium.plan.model import LeadingPlan
from suspirium.practice.calendar import Calendar
from suspirium.render.screen import ScreenSheet
from suspirium.service.keys import KeyProposal, propose_key
from suspirium.service.whole import Service
from suspirium.store.library import Library
from suspirium.technique.model import Technique
from suspirium.web.jobs import Jobs
from suspirium.web.kept import Kept
from suspirium.web.plan_view import PlanView, plan_view
from suspirium.web.settings import WebSettings

_HYMNS = 200  # plans kept in memory
_SHEETS = 120
_SOUNDS = 24  # recordings kept on disk while the app runs


class Desk:
    """The state of one running app."""

    def __init__(self, settings: WebSettings) -> None:
        self.settings = settings
        self.jobs = Jobs()
        self._plans: Kept[Shown] = Kept(_HYMNS)
        self._views: Kept[PlanView] = Kept(_HYMNS)
        self._keys: Kept[KeyProposal] = Kept(_HYMNS)
        self._hands: Kept[Technique] = Kept(_HYMNS)
        self._sheets: Kept[ScreenSheet] = Kept(_SHEETS)
        self.files: Kept[bytes] = Kept(24)
        self.weeks: Kept[Calendar] = Kept(4)
        self.services: Kept[Service] = Kept(8)
        self.tasks: Kept[dict[str, bytes]] = Kept(24)
        self.sounds: Kept[Path] = Kept(_SOUNDS, lambda path: path.unlink(missing_ok=True))
        self._folder = tempfile.TemporaryDirectory(prefix="suspirium-")
        self.folder = Path(self._folder.name)

    def close(self) -> None:
        """Ends the jobs and removes what was only for this run."""
        self.jobs.close()
        self._folder.cleanup()

    def put_file(self, name: str, content: bytes) -> Path:
        """Writes a file that is only for this run."""
        path = self.folder / name
        path.write_bytes(content)
        return path

    @contextmanager
    def library(self) -> Iterator[Library]:
        with the_library() as library:
            yield library

    @property
    def plan_settings(self) -> Settings:
        """The room and the people that all plans are made for."""
        return own_desk().settings

    @property
    def player(self) -> Playing:
        """Who plays."""
        return own_desk().playing

    def shown(self, number: int, semitones: int = 0) -> Shown:
        """The hymn of this number with its plan, moved by so many semitones."""
        with self.library() as library:
            found = find_shown(library, number)
        settings = replace(self.plan_settings, key=semitones)
        key = (number, key_of(found), settings)
        return self._plans.get(key, lambda: show(number, found, settings))

    def view(self, shown: Shown) -> PlanView:
        """What the page says of the hymn as it is kept."""
        return self._views.get((key_of(shown.found), shown.settings), lambda: plan_view(shown))

    def proposed(self, shown: Shown) -> KeyProposal:
        """The key that people can sing."""
        key = (key_of(shown.found), shown.settings)
        return self._keys.get(key, lambda: propose_key(shown.plan))

    def technique(self, shown: Shown, who: Playing) -> Technique:
        """Hands and feet of the hymn as it is kept."""
        key = (key_of(shown.found), shown.settings, who)
        return self._hands.get(key, lambda: hands_and_feet(shown.found, shown.plan, who))

    def sheet(self, shown: Shown, figures: str, width_mm: float, who: Playing) -> ScreenSheet:
        """The engraved hymn as it is kept."""
        wanted = figures != "none"
        key = (key_of(shown.found), shown.settings, who if wanted else None, figures, width_mm)
        return self._sheets.get(
            key,
            lambda: engraved(
                shown.plan, self.technique(shown, who) if wanted else None, figures, width_mm
            ),
        )

    def sheet_of(self, plan: LeadingPlan, width_mm: float, text: str, key: object) -> ScreenSheet:
        """The engraved hymn by decisions that are only tried."""
        return self._sheets.get(
            (key, text, width_mm), lambda: engraved(plan, None, "none", width_mm)
        )


def desk_of(request: Request) -> Desk:
    """The running app's state."""
    found = request.app.state.desk
    assert isinstance(found, Desk)
    return found
