"""The demo parish: where its scores lie, in the source tree or as installed."""

from __future__ import annotations

import sysconfig
from pathlib import Path

from suspirium.errors import ScoreError

_ENDINGS = (".abc", ".musicxml")


def parish_scores() -> tuple[Path, ...]:
    """The scores of the invented parish, in order of name; `ScoreError` if they are missing."""
    return _lying("parish", _ENDINGS)


def parish_organs() -> tuple[Path, ...]:
    """The stop lists of its invented organs; `ScoreError` if they are missing."""
    return _lying("organs", (".toml",))


def _lying(folder: str, endings: tuple[str, ...]) -> tuple[Path, ...]:
    places = (
        Path(__file__).resolve().parents[3] / "examples" / folder,
        Path(sysconfig.get_path("data")) / "share" / "suspirium" / folder,
    )
    for place in places:
        found = sorted(path for path in place.glob("*") if path.suffix in endings)
        if found:
            return tuple(found)
    raise ScoreError(f"the demo parish's {folder} is missing from {places[-1]}; install again")
