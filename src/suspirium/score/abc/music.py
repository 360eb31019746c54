"""One voice of ABC music: its tokens turned into notes, rests and barlines."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass, field
from fractions import Fraction
from functools import lru_cache

from suspirium.errors import ScoreError
from suspirium.score.abc.bars import Bar, read_bar, read_passes
from suspirium.score.abc.fields import time_signature, unit_length_q
from suspirium.score.abc.key import ALTERS, Key, read_key
from suspirium.score.abc.tokens import inner_tokens, length_factor, music_tokens
from suspirium.score.model import KeyChange, TimeChange, TimeSignature
from suspirium.score.pitch import Pitch

_SHORTHAND = {
    ".": "staccato", "~": "roll", "H": "fermata", "L": "accent", "M": "lowermordent",
    "O": "coda", "P": "uppermordent", "S": "segno", "T": "trill", "u": "upbow", "v": "downbow",
}  # fmt: skip
_BREATHS = {"breath", ",", "shortphrase", "mediumphrase", "longphrase"}
_FINGERING = re.compile(r"[0-5](?:[-_][0-5])?")
_NORMAL = {2: 3, 3: 2, 4: 3, 6: 2, 8: 3}  # notes in the time of (ABC 2.1, 4.13)
MOST_BARS = 500


@dataclass(slots=True)
class Event:
    """A note, chord or rest while it is being read.

    `bar` counts the voice's barlines before it; `reached` says that it continues the
    note before: under a slur, by a tie, by a beam.
    """

    onset_q: Fraction
    duration_q: Fraction
    pitches: tuple[Pitch, ...]
    bar: int
    ties: frozenset[Pitch] = frozenset()
    slurs_begin: int = 0
    slurs_end: int = 0
    beamed: bool = False
    reached: bool = False
    signs: tuple[str, ...] = ()
    fingering: tuple[str, ...] = ()
    graces: tuple[Pitch, ...] = ()
    breath: bool = False
    hidden: bool = False
    tuplet: tuple[int, int] | None = None

    @property
    def end_q(self) -> Fraction:
        return self.onset_q + self.duration_q


@dataclass(slots=True)
class _Pending:
    """What is written before a note and belongs to it."""

    slurs: int = 0
    signs: list[str] = field(default_factory=list)
    graces: tuple[Pitch, ...] = ()
    broken: Fraction = Fraction(1)


class VoiceReader:
    """Reads the music lines of one voice; events and bars are in order of onset."""

    def __init__(self, time: TimeSignature | None, unit_q: Fraction, key: Key) -> None:
        self.events: list[Event] = []
        self.bars: list[Bar] = []
        self.times = [TimeChange(Fraction(0), time)]
        self.keys = [KeyChange(Fraction(0), key.fifths, key.mode)]
        self.annotations: list[tuple[Fraction, str]] = []
        self.unknown: list[str] = []
        self.unit_q = unit_q
        self.octaves = 0
        self.symbols = dict(_SHORTHAND)
        self.memory_per_octave = False
        self.now_q = Fraction(0)
        self._key = key
        self._altered: dict[str, int] = {}
        self._pending = _Pending()
        self._slur_depth = 0
        self._joined = False
        self._tuplet: tuple[int, int] | None = None
        self._tuplet_left = 0
        self._bar = 0
        self._handlers: dict[str, Callable[[re.Match[str]], None]] = {
            name.removeprefix("_on_"): getattr(self, name)
            for name in dir(self)
            if name.startswith("_on_")
        }

    @property
    def time(self) -> TimeSignature | None:
        return self.times[-1].time

    @property
    def open_slurs(self) -> int:
        return self._slur_depth

    @property
    def lost_graces(self) -> bool:
        return bool(self._pending.graces)

    def read(self, text: str) -> None:
        """Read one line of music. Raises `ScoreError`."""
        self._joined = False
        handlers = self._handlers
        for kind, found in music_tokens(text):
            handlers[kind](found)

    def set_field(self, name: str, value: str) -> None:
        """A field inside the tune: `M:`, `L:`, `K:` or `V:`'s settings; others say nothing here."""
        if name == "M":
            self._change_time(time_signature(value))
        elif name == "L":
            self.unit_q = unit_length_q(value)
        elif name == "K":
            self._change_key(read_key(value))

    def _change_time(self, time: TimeSignature | None) -> None:
        if self.times[-1].onset_q == self.now_q:
            self.times.pop()
        if not self.times or self.times[-1].time != time:
            self.times.append(TimeChange(self.now_q, time))

    def _change_key(self, key: Key) -> None:
        if not key.given:
            return
        self._key = key
        self._altered.clear()
        if self.keys[-1].onset_q == self.now_q:
            self.keys.pop()
        self.keys.append(KeyChange(self.now_q, key.fifths, key.mode))

    # One method for each kind of token.

    def _on_space(self, found: re.Match[str]) -> None:
        self._joined = False

    def _on_spacer(self, found: re.Match[str]) -> None:
        pass

    def _on_other(self, found: re.Match[str]) -> None:
        self.unknown.append(found[0])

    def _on_overlay(self, found: re.Match[str]) -> None:
        raise ScoreError("Overlaid voices (&) are not read; write each voice as a V: of its own.")

    def _on_field(self, found: re.Match[str]) -> None:
        self.set_field(found["name"], found["value"].strip())

    def _on_quoted(self, found: re.Match[str]) -> None:
        text = found["text"].strip()
        if text[:1] in ("^", "_", "<", ">", "@") and text[1:].strip():
            shown = re.sub(r"^@-?\d+,-?\d+", "", text).lstrip("^_<>@ ").strip()
            self.annotations.append((self.now_q, shown))

    def _on_short(self, found: re.Match[str]) -> None:
        sign = self.symbols.get(found["short"])
        if sign:
            self._pending.signs.append(sign)

    def _on_decoration(self, found: re.Match[str]) -> None:
        self._pending.signs.append(found["sign"] or found["old_sign"])

    def _on_open(self, found: re.Match[str]) -> None:
        self._pending.slurs += 1

    def _on_close(self, found: re.Match[str]) -> None:
        if self.events and self._slur_depth > 0:
            self._slur_depth -= 1
            self.events[-1].slurs_end += 1

    def _on_tie(self, found: re.Match[str]) -> None:
        if self.events:
            self.events[-1].ties = frozenset(self.events[-1].pitches)

    def _on_tuplet(self, found: re.Match[str]) -> None:
        actual = int(found["p"])
        time = self.time
        compound = time is not None and time.beats % 3 == 0 and time.unit >= 8
        normal = int(found["q"] or 0) or _NORMAL.get(actual, 3 if compound else 2)
        if actual < 2 or normal > 32:
            raise ScoreError(f'"{found[0]}" is no tuplet; a triplet is written (3.')
        self._tuplet, self._tuplet_left = (actual, normal), int(found["r"] or actual)

    def _on_broken(self, found: re.Match[str]) -> None:
        if not self.events or len(found[0]) > 3:
            return
        less = Fraction(1, 2 ** len(found[0]))
        before, after = (2 - less, less) if found[0][0] == ">" else (less, 2 - less)
        last = self.events[-1]
        last.duration_q *= before
        self.now_q = last.end_q
        self._pending.broken = after

    def _on_grace(self, found: re.Match[str]) -> None:
        self._pending.graces = tuple(
            self._pitch(inner) for kind, inner in inner_tokens(found["graces"]) if kind == "note"
        )

    def _on_bar(self, found: re.Match[str]) -> None:
        passes = found["bar_passes"] or ""
        self._close_bar(read_bar(self.now_q, found[0].removesuffix(passes), passes))

    def _on_ending(self, found: re.Match[str]) -> None:
        self.bars.append(Bar(self.now_q, endings=read_passes(found["passes"])))

    def _close_bar(self, bar: Bar) -> None:
        self.bars.append(bar)
        self._bar += 1
        self._altered.clear()
        self._joined = False
        if self.events and _BREATHS.intersection(self._pending.signs):
            self.events[-1].breath = True  # a breath mark at the end of a bar
            self._pending.signs.clear()

    def _on_note(self, found: re.Match[str]) -> None:
        self._add((self._pitch(found),), found["length"])

    def _on_rest(self, found: re.Match[str]) -> None:
        kind, length = found["kind"], found["rest_length"]
        if kind in "zx":
            self._add((), length, hidden=kind == "x")
            return
        bars = length_factor(length)
        if bars.denominator != 1 or bars > MOST_BARS:
            raise ScoreError(f'"{found[0]}" is no number of bars to rest.')
        bar_q = self.time.bar_q if self.time else Fraction(4)
        for _ in range(int(bars)):
            if self.events and self.events[-1].bar == self._bar:
                self._close_bar(Bar(self.now_q, "single"))
            self._append(Event(self.now_q, bar_q, (), self._bar, hidden=kind == "X"))

    def _on_chord(self, found: re.Match[str]) -> None:
        pitches: list[Pitch] = []
        ties: list[Pitch] = []
        length = ""
        for kind, inner in inner_tokens(found["inner"]):
            if kind == "note":
                length = length if pitches else inner["length"]
                pitches.append(self._pitch(inner))
            elif kind == "tie" and pitches:
                ties.append(pitches[-1])
            elif kind in ("sign", "short"):
                self._pending.signs.append(inner["sign"] or self.symbols.get(inner[0], ""))
        if not pitches:
            self.unknown.append(found[0])
            return
        self._add(tuple(pitches), found["chord_length"], length_factor(length), ties=ties)

    def _add(
        self,
        pitches: tuple[Pitch, ...],
        length: str,
        factor: Fraction = Fraction(1),
        hidden: bool = False,
        ties: list[Pitch] | None = None,
    ) -> None:
        duration_q = self.unit_q * length_factor(length) * factor * self._pending.broken
        last = self.events[-1] if self.events else None
        tuplet = self._next_tuplet()
        if tuplet is not None:
            duration_q = duration_q * tuplet[1] / tuplet[0]
        signs = self._pending.signs
        event = Event(
            self.now_q,
            duration_q,
            tuple(sorted(set(pitches), key=_height)),
            self._bar,
            ties=frozenset(ties or ()),
            slurs_begin=self._pending.slurs,
            graces=self._pending.graces,
            hidden=hidden,
            tuplet=tuplet,
        )
        if last is not None and pitches and last.pitches:
            event.beamed = self._joined and _beamable(last, event)
            event.reached = event.beamed or self._slur_depth > 0 or bool(last.ties)
        if signs:
            self._decorate(event, signs)
        self._slur_depth += self._pending.slurs
        self._pending = _Pending()
        self._joined = True
        self._append(event)

    def _append(self, event: Event) -> None:
        self.events.append(event)
        self.now_q = event.end_q

    def _decorate(self, event: Event, signs: list[str]) -> None:
        event.fingering = tuple(sign for sign in signs if _FINGERING.fullmatch(sign))
        event.breath = not _BREATHS.isdisjoint(signs)
        event.signs = tuple(
            sign for sign in signs if sign and sign not in event.fingering + tuple(_BREATHS)
        )

    def _next_tuplet(self) -> tuple[int, int] | None:
        if self._tuplet_left == 0:
            return None
        self._tuplet_left -= 1
        return self._tuplet

    def _pitch(self, found: re.Match[str]) -> Pitch:
        letter, marks = found["letter"], found["octave"]
        octave = (4 if letter.isupper() else 5) + self.octaves
        if marks:
            octave += marks.count("'") - marks.count(",")
        step = letter.upper()
        place = f"{step}{octave}" if self.memory_per_octave else step
        sign = found["acc"]
        if sign:
            alter = self._altered[place] = ALTERS[sign]
        else:
            alter = self._tied_alter(step, octave)
            if alter is None:
                alter = self._altered.get(place, self._key.alters[step])
        return _pitch(step, alter, octave)

    def _tied_alter(self, step: str, octave: int) -> int | None:
        """The alteration that a tie carries, over a barline too."""
        if self.events and self.events[-1].ties:
            for pitch in self.events[-1].ties:
                if pitch.step == step and pitch.octave == octave:
                    return pitch.alter
        return None


@lru_cache(maxsize=512)
def _pitch(step: str, alter: int, octave: int) -> Pitch:
    pitch = Pitch(step, alter, octave)
    if not 0 <= pitch.midi <= 127:
        raise ScoreError(f"The note {pitch} is outside of what can be played.")
    return pitch


def _height(pitch: Pitch) -> tuple[int, int]:
    return pitch.midi, pitch.diatonic


def _beamable(last: Event, event: Event) -> bool:
    """Written together: shorter than a quarter each, or in one tuplet."""
    if last.tuplet is not None and last.tuplet == event.tuplet:
        return True
    return last.duration_q < 1 and event.duration_q < 1
