"""One voice of ABC music: its tokens turned into notes, rests and barlines."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from fractions import Fraction

from suspirium.errors import ScoreError
from suspirium.score.abc.accidentals import PitchReader
from suspirium.score.abc.bars import Bar, read_bar, read_passes
from suspirium.score.abc.event import BREATHS, SHORTHAND, Event, Pending
from suspirium.score.abc.fields import Settings, time_signature, unit_length_q
from suspirium.score.abc.key import Key, read_key
from suspirium.score.abc.tokens import inner_tokens, length_factor, music_tokens
from suspirium.score.model import KeyChange, TimeChange, TimeSignature
from suspirium.score.pitch import Pitch

_NORMAL = {2: 3, 3: 2, 4: 3, 6: 2, 8: 3}  # notes in the time of (ABC 2.1, 4.13)
MOST_BARS = 500  # of rest in one token
MOST_SHORTENED = 3  # signs of broken rhythm together


class VoiceReader:
    """Reads the music lines of one voice; events and bars are in order of onset."""

    def __init__(
        self,
        time: TimeSignature | None,
        unit_q: Fraction,
        key: Key,
        symbols: dict[str, str] | None = None,
        per_octave: bool = False,
    ) -> None:
        self.events: list[Event] = []
        self.bars: list[Bar] = []
        self.times = [TimeChange(Fraction(0), time)]
        self.said = key.settings
        self.annotations: list[tuple[Fraction, str]] = []
        self.unknown: list[str] = []
        self.unopened_slurs = 0
        self.open_slurs = 0
        self.pitches = PitchReader(key, per_octave)
        self.keys: list[KeyChange] = []
        self.now_q = Fraction(0)
        self.overlay: VoiceReader | None = None
        self._symbols = {**SHORTHAND, **(symbols or {})}
        self._unit_q = unit_q
        self._lengths: dict[str, Fraction] = {}
        self._pending = Pending()
        self._joined = False
        self._tuplet: tuple[int, int] | None = None
        self._tuplet_left = 0
        self._bar = 0
        self._bar_q = Fraction(0)
        self._set_key(key)
        self._handlers: dict[str, Callable[[re.Match[str]], None]] = {
            name.removeprefix("_on_"): getattr(self, name)
            for name in dir(self)
            if name.startswith("_on_")
        }

    @property
    def time(self) -> TimeSignature | None:
        return self.times[-1].time

    @property
    def lost_graces(self) -> bool:
        return bool(self._pending.graces)

    def read(self, text: str) -> None:
        """Read one line of music. Raises `ScoreError`."""
        self._joined = False
        reader = self
        for kind, found in music_tokens(text):
            if kind == "overlay":
                reader = reader._overlaid(self._bar_q)
            elif kind == "bar" and reader is not self:
                reader = self
                self._on_bar(found)
            else:
                reader._handlers[kind](found)

    def set_field(self, name: str, value: str) -> None:
        """A field inside the tune: `M:`, `L:` or `K:`; others say nothing here."""
        if name == "M":
            self._change_time(time_signature(value))
        elif name == "L":
            self._unit_q = unit_length_q(value)
            self._lengths.clear()
        elif name == "K":
            self._change_key(read_key(value))

    def layers(self, end_q: Fraction) -> Iterator[list[Event]]:
        """The voice's events, then those of the voices laid over it, filled with rests."""
        yield self.events
        if self.overlay is not None:
            self.overlay._rest_until(end_q)
            yield from self.overlay.layers(end_q)

    def _overlaid(self, bar_q: Fraction) -> VoiceReader:
        """The reader of what `&` lays over this bar, brought to where the bar begins."""
        if self.overlay is None:
            self.overlay = VoiceReader(
                self.time, self._unit_q, self.pitches.key, self._symbols, self.pitches.per_octave
            )
        over = self.overlay
        over._rest_until(bar_q)
        over._unit_q = self._unit_q
        over._lengths.clear()
        over.pitches.set(self.pitches.key, self.said)
        over.pitches.new_bar()
        return over

    def _rest_until(self, end_q: Fraction) -> None:
        if self.now_q < end_q:
            self._append(Event(self.now_q, end_q - self.now_q, (), self._bar, hidden=True))

    def _change_time(self, time: TimeSignature | None) -> None:
        if self.times[-1].onset_q == self.now_q:
            self.times.pop()
        if not self.times or self.times[-1].time != time:
            self.times.append(TimeChange(self.now_q, time))

    def hear(self, said: Settings) -> None:
        """From here on these settings hold where they say something."""
        self.said = said.over(self.said)
        self._set_key(self.pitches.key)

    def _change_key(self, key: Key) -> None:
        self.said = key.settings.over(self.said)
        if key.given:
            self.pitches.new_bar()
        self._set_key(key if key.given else self.pitches.key)

    def _set_key(self, key: Key) -> None:
        """The key as it sounds, where it changes, and pitches read in it."""
        self.pitches.set(key, self.said)
        moved = self.pitches.moved
        if self.keys and self.keys[-1].onset_q == self.now_q:
            self.keys.pop()
        change = KeyChange(self.now_q, key.fifths + moved.fifths, key.mode)
        if not self.keys or (self.keys[-1].fifths, self.keys[-1].mode) != (change.fifths, key.mode):
            self.keys.append(change)

    # One method for each kind of token.

    def _on_space(self, found: re.Match[str]) -> None:
        self._joined = False

    def _on_spacer(self, found: re.Match[str]) -> None:
        pass

    def _on_other(self, found: re.Match[str]) -> None:
        self.unknown.append(found[0])

    def _on_field(self, found: re.Match[str]) -> None:
        self.set_field(found["name"], found["value"].strip())

    def _on_quoted(self, found: re.Match[str]) -> None:
        text = found["text"].strip()
        if text[:1] in ("^", "_", "<", ">", "@"):
            shown = re.sub(r"^@[-\d.,\s]*", "", text).lstrip("^_<> ")
            if shown:
                self.annotations.append((self.now_q, shown))

    def _on_short(self, found: re.Match[str]) -> None:
        sign = self._symbols.get(found["short"])
        if sign:
            self._pending.signs.append(sign)

    def _on_decoration(self, found: re.Match[str]) -> None:
        self._pending.signs.append(found["sign"] or found["old_sign"])

    def _on_open(self, found: re.Match[str]) -> None:
        self._pending.slurs += 1

    def _on_close(self, found: re.Match[str]) -> None:
        if self.events and self.open_slurs > 0:
            self.open_slurs -= 1
            self.events[-1].slurs_end += 1
        else:
            self.unopened_slurs += 1

    def _on_tie(self, found: re.Match[str]) -> None:
        if self.events:
            self.events[-1].ties = frozenset(self.events[-1].pitches)

    def _on_tuplet(self, found: re.Match[str]) -> None:
        actual = int(found["p"])
        time = self.time
        compound = time is not None and time.beats % 3 == 0 and time.unit >= 8
        normal = int(found["q"] or 0) or _NORMAL.get(actual, 3 if compound else 2)
        count = int(found["r"] or actual)
        if actual < 2 or normal > 32 or count > 99:
            raise ScoreError(f'"{found[0]}" is no tuplet; a triplet is written (3.')
        self._tuplet, self._tuplet_left = (actual, normal), count

    def _on_broken(self, found: re.Match[str]) -> None:
        if not self.events or len(found[0]) > MOST_SHORTENED:
            self.unknown.append(found[0])
            return
        less = Fraction(1, 2 ** len(found[0]))
        before, after = (2 - less, less) if found[0][0] == ">" else (less, 2 - less)
        last = self.events[-1]
        last.duration_q *= before
        self.now_q = last.end_q
        self._pending.broken = after

    def _on_grace(self, found: re.Match[str]) -> None:
        last = self.events[-1] if self.events else None
        self._pending.graces = tuple(
            self.pitches.read(inner, last)
            for kind, inner in inner_tokens(found["graces"])
            if kind == "note"
        )

    def _on_bar(self, found: re.Match[str]) -> None:
        passes = found["bar_passes"] or ""
        self._close_bar(read_bar(self.now_q, found[0].removesuffix(passes), passes))

    def _on_ending(self, found: re.Match[str]) -> None:
        self.bars.append(Bar(self.now_q, endings=read_passes(found["passes"])))

    def _close_bar(self, bar: Bar) -> None:
        self.bars.append(bar)
        self._bar += 1
        self._bar_q = self.now_q
        self.pitches.new_bar()
        self._joined = False
        if self.events and not BREATHS.isdisjoint(self._pending.signs):
            self.events[-1].breath = True  # a breath mark at the end of a bar
            self._pending.signs.clear()

    def _on_note(self, found: re.Match[str]) -> None:
        last = self.events[-1] if self.events else None
        self._add((self.pitches.read(found, last),), self._length_q(found["length"]))

    def _on_rest(self, found: re.Match[str]) -> None:
        kind, length = found["kind"], found["rest_length"]
        if kind in "zx":
            self._add((), self._length_q(length), hidden=kind == "x")
            return
        bars = length_factor(length)
        if bars.denominator != 1 or bars > MOST_BARS:
            raise ScoreError(f'"{found[0]}" is no number of bars to rest.')
        bar_q = self.time.bar_q if self.time else Fraction(4)
        for count in range(int(bars)):
            if count:
                self._close_bar(Bar(self.now_q, "single"))
            self._append(Event(self.now_q, bar_q, (), self._bar, hidden=kind == "X"))

    def _on_chord(self, found: re.Match[str]) -> None:
        last = self.events[-1] if self.events else None
        pitches: list[Pitch] = []
        ties: list[Pitch] = []
        length = ""
        for kind, inner in inner_tokens(found["inner"]):
            if kind == "note":
                length = length if pitches else inner["length"]
                pitches.append(self.pitches.read(inner, last))
            elif kind == "tie" and pitches:
                ties.append(pitches[-1])
            elif kind in ("sign", "short"):
                self._pending.signs.append(inner["sign"] or self._symbols.get(inner[0], ""))
        if not pitches:
            self.unknown.append(found[0])
            return
        duration_q = self._length_q(length) * length_factor(found["chord_length"])
        ordered = tuple(sorted(set(pitches), key=lambda pitch: (pitch.midi, pitch.diatonic)))
        self._add(ordered, duration_q, ties=frozenset(ties))

    def _length_q(self, text: str) -> Fraction:
        length_q = self._lengths.get(text)
        if length_q is None:
            length_q = self._lengths[text] = self._unit_q * length_factor(text)
        return length_q

    def _add(
        self,
        pitches: tuple[Pitch, ...],
        duration_q: Fraction,
        hidden: bool = False,
        ties: frozenset[Pitch] = frozenset(),
    ) -> None:
        """Append a note or rest with all that is written before it."""
        pending, tuplet = self._pending, self._next_tuplet()
        if pending.broken is not None:
            duration_q *= pending.broken
        if tuplet is not None:
            duration_q = duration_q * tuplet[1] / tuplet[0]
        event = Event(
            self.now_q,
            duration_q,
            pitches,
            self._bar,
            ties=ties,
            slurs_begin=pending.slurs,
            graces=pending.graces,
            hidden=hidden,
            tuplet=tuplet,
        )
        last = self.events[-1] if self.events else None
        if last is not None and pitches and last.pitches:
            event.beamed = self._joined and event.joins(last)
            event.reached = event.beamed or self.open_slurs > 0 or bool(last.ties)
        if pending.signs:
            event.decorate(pending.signs)
        self.open_slurs += pending.slurs
        self._pending = Pending()
        self._joined = True
        self._append(event)

    def _append(self, event: Event) -> None:
        self.events.append(event)
        self.now_q = event.end_q

    def _next_tuplet(self) -> tuple[int, int] | None:
        if self._tuplet_left == 0:
            return None
        self._tuplet_left -= 1
        return self._tuplet
