"""A tune's body read voice by voice: who sings what, with the words below."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from fractions import Fraction

from suspirium.errors import Place, Remark, ScoreError
from suspirium.score.abc.fields import (
    NOTHING_SAID,
    Settings,
    default_unit_q,
    quarter_bpm,
    settings,
    staves,
    time_signature,
    unit_length_q,
)
from suspirium.score.abc.key import Key, read_key
from suspirium.score.abc.music import VoiceReader
from suspirium.score.abc.source import DIRECTIVE, MUSIC, Line, Tune, plain
from suspirium.score.abc.words import StanzaLayer
from suspirium.score.model import TimeSignature

_VOICE_MARK = re.compile(r"\[V:\s*([^\]\s]+)\s*([^\]]*)\]")
_SYMBOL = re.compile(r"([h-wH-W~])\s*=\s*[!+]?([^!+\s]+)")


@dataclass(slots=True)
class VoiceTrack:
    """One `V:` voice: its reader, its words and its settings."""

    ident: str
    reader: VoiceReader
    layer: StanzaLayer = field(default_factory=StanzaLayer)
    said: Settings = NOTHING_SAID
    line: tuple[int, int] = (0, 0)  # events of its newest line of music
    words: list[str] = field(default_factory=list)

    @property
    def sings(self) -> bool:
        return any(event.pitches for event in self.reader.events)

    def lay_words(self) -> None:
        """Lay the gathered `w:` lines under the newest line of music."""
        if self.words:
            self.layer.add(*self.line, self.words)
            self.words = []


class TuneReader:
    """Reads the lines of a tune in order and hands each to its voice."""

    def __init__(self, tune: Tune) -> None:
        self.tracks: dict[str, VoiceTrack] = {}
        self.staves: tuple[tuple[str, ...], ...] = ()
        self.bpm: float | None = None
        self.plain_lines: list[str] = []
        self.remarks: list[Remark] = list(tune.remarks)
        self._time: TimeSignature | None = TimeSignature(4, 4)
        self._unit_q: Fraction | None = None
        self._key: Key = read_key("C")
        self._symbols: dict[str, str] = {}
        self._per_octave = False
        self._tempo = ""
        self._current: VoiceTrack | None = None
        self._voice_fields: list[str] = []
        for line in tune.header:
            self._at(line, self._read_header)
        if self._tempo:
            self.bpm = quarter_bpm(self._tempo, self._unit())
        for text in self._voice_fields:
            self._enter(text)
        self._current = None
        for line in tune.body:
            self._at(line, self._read_body)
        for track in self.tracks.values():
            track.lay_words()

    def _at(self, line: Line, read: Callable[[Line], None]) -> None:
        """Read a line; an error gets the line's number."""
        try:
            read(line)
        except ScoreError as error:
            raise ScoreError(error.text, Place(line=line.number)) from None

    def _unit(self) -> Fraction:
        return self._unit_q if self._unit_q is not None else default_unit_q(self._time)

    def _read_header(self, line: Line) -> None:
        if line.key == "M":
            self._time = time_signature(line.text)
        elif line.key == "L":
            self._unit_q = unit_length_q(line.text)
        elif line.key == "K":
            self._key = read_key(line.text)
        elif line.key == "Q":
            self._tempo = line.text
        elif line.key == "V":
            self._voice_fields.append(line.text)
        else:
            self._read_anywhere(line)

    def _read_anywhere(self, line: Line) -> None:
        if line.key in (DIRECTIVE, "I"):
            word, _, rest = line.text.replace(":", " ").strip().partition(" ")
            if word in ("staves", "score") and not self.staves:
                self.staves = staves(rest)
            elif word == "propagate-accidentals":
                self._per_octave = rest.strip() == "octave"
        elif line.key == "W":
            self.plain_lines.append(plain(line.text))
        elif line.key == "U":
            self._symbols.update(_SYMBOL.findall(line.text))

    def _read_body(self, line: Line) -> None:
        if line.key == MUSIC:
            self._read_music(line.text)
        elif line.key == "w":
            self._voice().words.append(plain(line.text))
        elif line.key == "V":
            self._enter(line.text)
        elif line.key == "Q":
            if self.bpm is None:
                self.bpm = quarter_bpm(line.text, self._unit())
        elif line.key in ("M", "L", "K"):
            self._set_field(line)
        else:
            self._read_anywhere(line)

    def _set_field(self, line: Line) -> None:
        """A field on a line of its own: for the current voice, or for all before any."""
        current = [self._current] if self._current else list(self.tracks.values())
        for track in current or [self._voice()]:
            track.reader.set_field(line.key, line.text)

    def _read_music(self, text: str) -> None:
        """A line of music, in which `[V:...]` may change the voice."""
        rest = text
        started: set[str] = set()
        while True:
            mark = _VOICE_MARK.search(rest)
            before = rest[: mark.start()] if mark else rest
            if before.strip():
                self._sing(before, started)
            if mark is None:
                return
            self._enter(f"{mark[1]} {mark[2]}")
            rest = rest[mark.end() :]

    def _sing(self, text: str, started: set[str]) -> None:
        track = self._voice()
        count = len(track.reader.events)
        if track.ident not in started:
            track.lay_words()
            started.add(track.ident)
            track.line = (count, count)
        track.reader.read(text)
        track.line = (track.line[0], len(track.reader.events))

    def _voice(self) -> VoiceTrack:
        """The current voice; before any is named, the first one."""
        if self._current is None:
            self._current = next(iter(self.tracks.values()), None) or self._track("1")
        return self._current

    def _enter(self, text: str) -> None:
        ident, _, rest = text.strip().partition(" ")
        if not ident or ident == "*":
            return
        track = self._track(ident)
        self._current = track
        if rest.strip():
            said = settings(rest)
            track.said = said.over(track.said)
            track.reader.hear(said)

    def _track(self, ident: str) -> VoiceTrack:
        track = self.tracks.get(ident)
        if track is None:
            reader = VoiceReader(
                self._time, self._unit(), self._key, self._symbols, self._per_octave
            )
            track = self.tracks[ident] = VoiceTrack(ident, reader)
        return track

    def clef(self, track: VoiceTrack) -> str:
        """The clef a voice asks for, or the key's, "" where nothing says one."""
        return track.said.clef or self._key.settings.clef


def in_order(
    tracks: Iterable[VoiceTrack], printed: tuple[tuple[str, ...], ...]
) -> list[tuple[int, VoiceTrack]]:
    """Voices with their staff numbers, in the order the staves print them."""
    known = {track.ident: track for track in tracks}
    rows = [[name for name in staff if name in known] for staff in printed]
    rows = [row for row in rows if row]
    listed = {name for row in rows for name in row}
    rows += [[name] for name in known if name not in listed]
    seen: set[str] = set()
    ordered = []
    for number, row in enumerate(rows):
        for name in row:
            if name not in seen:
                seen.add(name)
                ordered.append((number, known[name]))
    return ordered
