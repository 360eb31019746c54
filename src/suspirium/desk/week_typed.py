"""Days, minutes and pairs as they are typed."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, time, timedelta

from suspirium.errors import PracticeError

_DAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
_MOST = 24 * 60


def day_typed(text: str) -> date:
    """A day as ISO 8601 writes it; `PracticeError` if it is none."""
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise PracticeError(f"{text!r} is no day; write it as 2026-12-06") from None


def time_typed(text: str) -> time:
    """A time of day as ISO 8601 writes it; `PracticeError` if it is none."""
    try:
        return time.fromisoformat(text)
    except ValueError:
        raise PracticeError(f"{text!r} is no time of day; write it as 19:30") from None


def minutes_typed(text: str, today: date, service: date) -> dict[date, int]:
    """Minutes of every day before the service.

    One number is for every day, several are from today on (days that are not named have
    none), and names of days hold for every such day.
    """
    days = [today + timedelta(days=n) for n in range(max(0, (service - today).days))]
    parts = [part.strip() for part in text.split(",") if part.strip()]
    if any("=" in part for part in parts):
        named = {_weekday(name): _minutes(value) for name, value in pairs_typed(parts).items()}
        return {day: named[day.weekday()] for day in days if day.weekday() in named}
    numbers = [_minutes(part) for part in parts]
    if len(numbers) == 1:
        return dict.fromkeys(days, numbers[0])
    if len(numbers) > len(days):
        raise PracticeError(
            f"{len(numbers)} days have minutes, but the service is in {len(days)} days"
        )
    return dict(zip(days, numbers, strict=False))


def _weekday(name: str) -> int:
    short = name.strip().casefold()[:3]
    if short not in _DAYS:
        raise PracticeError(f"{name!r} is no day of the week; write {', '.join(_DAYS)}")
    return _DAYS.index(short)


def _minutes(text: str) -> int:
    if not text.strip().isdigit() or int(text) > _MOST:
        raise PracticeError(f"{text!r} is no number of minutes; write 30, or 40,20,40, or mon=40")
    return int(text)


def sliders_typed(texts: Sequence[str]) -> dict[str, float]:
    """NAME=NUMBER as a mapping; `PracticeError` where it is none."""
    found = {}
    for name, value in pairs_typed(texts).items():
        try:
            found[name] = float(value.replace(",", "."))
        except ValueError:
            raise PracticeError(f"{name} is a number, not {value!r}") from None
    return found


def pairs_typed(texts: Sequence[str]) -> dict[str, str]:
    """NAME=VALUE as a mapping; `PracticeError` where the sign is missing."""
    found = {}
    for text in texts:
        name, sign, value = text.rpartition("=")
        if not sign or not name.strip() or not value.strip():
            raise PracticeError(f"{text!r} must be a name, =, and a value")
        found[name.strip()] = value.strip()
    return found
