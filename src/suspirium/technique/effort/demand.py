"""Demand: what every note asks of hands and feet, by component.

Points come from ``tables/effort.toml`` and grow where time is short.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

from suspirium.score.model import Hymn
from suspirium.score.sounding import key_at
from suspirium.tables import load
from suspirium.technique.feet.board import naturals
from suspirium.technique.hand import published_reach
from suspirium.technique.keyboard import distance
from suspirium.technique.model import PlayedNote, Plays

Component = Literal["right", "left", "pedal", "independence", "chromaticism"]
COMPONENTS: tuple[Component, ...] = ("right", "left", "pedal", "independence", "chromaticism")


@dataclass(frozen=True, slots=True)
class Demand:
    """Points at one place of the written score, by component; `what` names the dearest."""

    written_q: Fraction
    component: Component
    points: float
    what: str


def demands(hymn: Hymn, notes: Sequence[PlayedNote]) -> tuple[Demand, ...]:
    """Every demand of the written score, each once, in order of place."""
    found = [
        *_hand(notes, "right"),
        *_hand(notes, "left"),
        *_pedal(notes),
        *_independence(hymn, notes),
        *_chromaticism(hymn),
    ]
    return tuple(sorted(found, key=lambda demand: (demand.written_q, demand.component)))


def haste(seconds: float) -> float:
    """The factor of demand for so many seconds from key to key."""
    table = load("effort")
    most = table.number("time.most")
    factor: float = (table.number("time.easy_s") / max(seconds, 1e-3)) ** table.number("time.power")
    return min(most, max(1 / most, factor))


def _first_time(notes: Sequence[PlayedNote], plays: Plays) -> list[PlayedNote]:
    """One player's notes as first played, without their repeats."""
    seen: set[tuple[Fraction, int, tuple[str, ...]]] = set()
    found = []
    for note in sorted((n for n in notes if n.plays == plays), key=lambda n: n.onset_s):
        place = note.written_q, note.midi_pitch, note.voices
        if place not in seen:
            seen.add(place)
            found.append(note)
    return found


def _groups(notes: Sequence[PlayedNote], plays: Plays) -> Iterator[tuple[list[PlayedNote], float]]:
    """The notes that one player strikes together, and the seconds since the strike before."""
    groups: dict[float, list[PlayedNote]] = defaultdict(list)
    for note in _first_time(notes, plays):
        groups[note.onset_s].append(note)
    before_s: float | None = None
    for onset_s, group in sorted(groups.items()):
        since_s = load("effort").number("time.easy_s") if before_s is None else onset_s - before_s
        yield group, since_s
        before_s = onset_s


def _hand(notes: Sequence[PlayedNote], side: Literal["right", "left"]) -> Iterator[Demand]:
    for group, since_s in _groups(notes, side):
        parts: dict[str, float] = defaultdict(float)
        for note in group:
            for what, points in _hand_note(note).items():
                parts[what] += points
        parts["the hand is stretched wide"] += _stretch(group)
        yield _demand(group[0].written_q, side, parts, since_s)


def _hand_note(note: PlayedNote) -> Mapping[str, float]:
    table = load("effort")
    names = {
        "pass": "the thumb passes under",
        "cross": "fingers cross",
        "glide": "a finger glides",
        "break": "a note can't be joined",
        "left out": "a note can't be reached",
    }
    found = {"there are many keys": table.number("hand.strike")}
    if note.means in names:
        found[names[note.means]] = table["hand.means"][note.means]
    if len(note.fingers) > 1:
        found["fingers are changed on a held key"] = table.number("hand.substitution") * (
            len(note.fingers) - 1
        )
    if note.taken_over:
        found["a voice changes hands"] = table.number("hand.taken_over")
    if note.shifted:
        found["the hand moves"] = table.number("hand.shift")
    return found


def _stretch(group: Sequence[PlayedNote]) -> float:
    midis = [note.midi_pitch for note in group]
    beyond = distance(min(midis), max(midis)) - published_reach()[1, 5].max_rel
    return load("effort").number("hand.stretch") * max(0.0, beyond)


def _pedal(notes: Sequence[PlayedNote]) -> Iterator[Demand]:
    before: int | None = None
    for group, since_s in _groups(notes, "pedal"):
        parts: dict[str, float] = defaultdict(float)
        for note in group:
            for what, points in _pedal_note(note, before).items():
                parts[what] += points
        before = group[0].midi_pitch
        yield _demand(group[0].written_q, "pedal", parts, since_s)


def _pedal_note(note: PlayedNote, before: int | None) -> Mapping[str, float]:
    table = load("effort")
    names = {
        "slide": "a foot slides",
        "break": "a foot leaps",
        "left out": "a pedal note can't be reached",
    }
    found = {"the pedal has many notes": table.number("pedal.strike")}
    if note.means in names:
        found[names[note.means]] = table["pedal.means"][note.means]
    if note.crosses:
        found["feet cross"] = table.number("pedal.cross")
    if note.part == "heel":
        found["heels play"] = table.number("pedal.heel")
    if len(note.treads) > 1:
        found["feet are changed on a held key"] = table.number("pedal.substitution")
    if before is not None:
        leap = abs(naturals(note.midi_pitch) - naturals(before))
        beyond = max(0.0, leap - table.number("pedal.near_naturals"))
        found["the bass leaps"] = table.number("pedal.leap") * beyond
    return found


def _demand(
    written_q: Fraction, component: Component, parts: Mapping[str, float], since_s: float
) -> Demand:
    points = sum(parts.values()) * haste(since_s)
    return Demand(written_q, component, points, max(parts, key=lambda what: parts[what]))


def _independence(hymn: Hymn, notes: Sequence[PlayedNote]) -> Iterator[Demand]:
    """Onsets of the written score at which some voices move while others don't."""
    moving: dict[Fraction, set[str]] = defaultdict(set)
    for voice in hymn.voices:
        for note in voice.notes:
            if note.pitches:
                moving[note.onset_q].add(voice.name)
    points = load("effort").number("independence.onset")
    for onset_q, names in moving.items():
        if len(names) < len(hymn.voices):
            yield Demand(onset_q, "independence", points, "voices move one without another")


def _chromaticism(hymn: Hymn) -> Iterator[Demand]:
    points = load("effort").number("chromaticism.note")
    for voice in hymn.voices:
        for note in voice.notes:
            fifths = key_at(hymn, note.onset_q).fifths
            for pitch in note.pitches:
                if (pitch.midi * 7 - fifths + 1) % 12 > 6:
                    yield Demand(note.onset_q, "chromaticism", points, "notes leave the key")
