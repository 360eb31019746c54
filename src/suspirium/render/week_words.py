"""The week in plain words: parts, tempos, days; shared by text, sheet and calendar file."""

from __future__ import annotations

from datetime import date

from suspirium.plan.pulse import note_name
from suspirium.practice.calendar import Calendar, Listed, Named
from suspirium.practice.model import Part, Passage, Task, Way
from suspirium.tables import load

CAUTION = (
    "Stop at once when it hurts or goes numb, take the breaks, and never play through pain; "
    "if it does not pass, see a doctor, and show your teacher how you sit and play."
)
CLAIM = (
    "Readiness ranks the hymns and shows a trend, from 0 to 100 %: it is the model's, no "
    "measured probability. Its numbers stand in the table practice.toml, with their sources."
)
_PLAYERS = {"right": "right hand", "left": "left hand", "pedal": "pedal"}
_HANDS_ALONE: dict[Way, dict[Part, str]] = {
    "all": {},
    "manuals": {("right", "left"): "both hands"},
    "tune and bass": {
        ("right",): "tune alone",
        ("left",): "bass alone",
        ("right", "left"): "tune and bass",
    },
}


def part_words(part: Part, way: Way = "all") -> str:
    """Who plays: "right hand and pedal"; both hands and pedal are "all together"."""
    if part == ("tune",):
        return "words and melody"
    if part in _HANDS_ALONE[way]:
        return _HANDS_ALONE[way][part]
    if set(part) >= {"right", "left", "pedal"}:
        return "all together"
    if set(part) == {"right", "left"}:
        return "both hands"
    return " and ".join(_PLAYERS[player] for player in part)


def tempo_words(task: Task, hymn: Named) -> str:
    """The pulse to begin with and the one to arrive at, with their share of the goal."""
    first, last = (round(hymn.pulse_bpm * share) for share in (task.tempo_share, task.tempo_until))
    start = f"{note_name(hymn.unit_q)} = {first} ({task.tempo_share:.0%})"
    if task.tempo_until <= task.tempo_share:
        return start
    return f"{start}, up to {last} ({task.tempo_until:.0%})"


def short_tempo(task: Task, hymn: Named) -> str:
    """The same for a narrow column: "half note 22 to 36"."""
    shares = sorted({task.tempo_share, max(task.tempo_share, task.tempo_until)})
    return f"{note_name(hymn.unit_q)} {' to '.join(str(round(hymn.pulse_bpm * x)) for x in shares)}"


def passage_words(passage: Passage) -> str:
    """What to mind in a passage, as a sentence."""
    text = "; ".join((*passage.mind, *((passage.hard,) if passage.hard else ())))
    return f"{text[:1].upper()}{text[1:]}." if text else ""


def ladder_words() -> str:
    """How the tempo rises and falls, once for the whole sheet."""
    table = load("practice")
    clean, faults = int(table["tempo.clean"]), int(table["tempo.faults"])
    return (
        f"After {_COUNT[clean]} clean times in a row a step quicker; after {_COUNT[faults]} with "
        "faults two steps back. Stop where a fault begins, put it right there, and go on."
    )


_COUNT = {1: "one", 2: "two", 3: "three", 4: "four", 5: "five"}


def mind_words(task: Task) -> str:
    """What to mind, as a sentence; empty where there is nothing special."""
    text = "; ".join(task.mind)
    return f"{text[:1].upper()}{text[1:]}." if text else ""


def task_words(calendar: Calendar, one: Listed) -> str:
    """A task in one line: hymn, lines, who plays, tempo, minutes."""
    task = one.task
    hymn, named = calendar.week.hymns[task.hymn], calendar.hymns[task.hymn]
    lines = hymn.passages[task.passage].name
    return (
        f"{named.title}, {lines}, {part_words(task.part, hymn.way)}: {tempo_words(task, named)}, "
        f"{task.minutes} min, about {task.repetitions} times"
    )


def day_words(day: date) -> str:
    """ "Monday 30 November"; English whatever the system speaks."""
    return f"{_DAYS[day.weekday()]} {day.day} {_MONTHS[day.month - 1]}"


_DAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
_MONTHS = (
    "January", "February", "March", "April", "May", "June", "July", "August", "September",
    "October", "November", "December",
)  # fmt: skip


def percent(share: float) -> str:
    """A readiness for reading: never more than 99 %, nothing is certain."""
    return f"{min(99, round(100 * share))} %"
