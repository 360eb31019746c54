"""An invented player: takes of a plan with everything that really happens at a console.

Seeded and independent of what measures them: it starts from the planned keys, warps their
time, and keeps the truth of every lift, gap, added beat and wrong note.
"""

from __future__ import annotations

import io
import random
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from math import cos, pi

import mido

from suspirium.plan.clock import stanza_clock
from suspirium.plan.model import LeadingPlan
from suspirium.plan.performance import KeyPress, perform
from suspirium.take.match import match
from suspirium.take.model import Take, TakeNote

Name = tuple[int, object, int]  # stanza in the take (-1 the introduction), played quarter, pitch


@dataclass(frozen=True)
class Playing:
    """How the player plays. Beats are quarters; `added` is by (stanza, phrase), from 0."""

    seed: int = 0
    speed: float = 1.0
    drift: float = 0.0  # change of tempo from the first note of a stanza to its last
    wobble: float = 0.01  # swings of the tempo within a line
    chord_jitter_s: float = 0.006
    key_jitter_s: float = 0.005
    release_jitter_s: float = 0.006
    errors: float = 0.0
    added: Mapping[tuple[int, int], float] = field(default_factory=dict)
    no_lift: frozenset[tuple[int, int]] = frozenset()
    gap_added_s: Mapping[int, float] = field(default_factory=dict)
    introduction: tuple[int, ...] = ()  # phrases played as introduction
    again: Mapping[tuple[int, int], int] = field(default_factory=dict)  # times a line is repeated
    begin_phrase: int = 0
    transposed: int = 0
    stanzas: int | None = None
    voices: frozenset[str] | None = None  # only these are played


@dataclass(frozen=True)
class End:
    """The truth of one line end: the melody's last note and the silence after it."""

    hold_s: float
    silence_s: float
    added_q: float


@dataclass
class Played:
    """A take and its truth. `names` tells for each note which key it played; None if none."""

    notes: list[TakeNote]
    names: list[Name | None]
    missing: set[Name]
    ends: dict[tuple[int, int], End]
    gaps: dict[int, tuple[float, float]]  # onset to onset, silence, after stanza
    stanzas: int
    lines: int


@dataclass
class _Note:
    name: Name
    onset_s: float
    release_s: float
    midi: int
    channel: int
    melody: bool
    voices: tuple[str, ...]


def play(plan: LeadingPlan, how: Playing) -> Played:
    """A take of `plan`."""
    chance = random.Random(how.seed)
    planned = perform(plan).keys
    numbers = plan.stanza_numbers[: how.stanzas] if how.stanzas else plan.stanza_numbers
    clock = stanza_clock(plan, numbers[0], last=False)
    ends_q = [float(end.end_q) for end in clock.phrase_ends]
    quarter_s = 60.0 / plan.tempo.value.quarter_bpm / how.speed
    at_s = 0.0
    done: list[_Note] = []
    true = Played([], [], set(), {}, {}, len(numbers), len(ends_q))
    if how.introduction:
        keys = [key for key in planned if key.stanza == numbers[0]]
        for phrase in how.introduction:
            at_s = _phrase(keys, phrase, ends_q, -1, at_s, quarter_s, plan, chance, how, done)
    closing: list[float] = []
    opening: list[float] = []
    for index, number in enumerate(numbers):
        keys = [key for key in planned if key.stanza == number]
        begin = how.begin_phrase if index == 0 else 0
        opening.append(at_s)
        for phrase in range(begin, len(ends_q)):
            for _ in range(how.again.get((index, phrase), 0)):
                at_s = _phrase(keys, phrase, ends_q, -2, at_s, quarter_s, plan, chance, how, done)
                at_s += 1.7
            start = len(done)
            at_s = _phrase(keys, phrase, ends_q, index, at_s, quarter_s, plan, chance, how, done)
            if phrase == len(ends_q) - 1:
                last = max(n.onset_s for n in done[start:] if n.melody)
                closing.append(last)
        at_s += how.gap_added_s.get(index, 0.0)
    _truth(done, ends_q, numbers, true, how)
    return _with_errors(done, true, chance, how)


def _phrase(
    keys: Sequence[KeyPress],
    phrase: int,
    ends_q: Sequence[float],
    stanza: int,
    at_s: float,
    quarter_s: float,
    plan: LeadingPlan,
    chance: random.Random,
    how: Playing,
    done: list[_Note],
) -> float:
    """Plays one line from `at_s`; gives back when the next one begins."""
    low = ends_q[phrase - 1] if phrase else 0.0
    high = ends_q[phrase]
    inside = [
        key for key in keys if low <= key.onset_q < high or (key.onset_q >= high == ends_q[-1])
    ]
    total = ends_q[-1]
    swing = [chance.uniform(-how.wobble, how.wobble) for _ in range(4)]
    first = min(key.onset_s for key in inside)
    first_q = float(min(key.onset_q for key in inside))
    seconds_q = plan.tempo.value.quarter_bpm / 60.0

    def warp(time_s: float) -> float:
        q = (time_s - first) * seconds_q
        middle = (first_q + q / 2) / total  # of the stretch played so far
        slower = how.drift * (middle - 0.5)
        share = min(1.0, max(0.0, q / max(1.0, high - low)))
        wave = sum(s * (1 - cos(2 * pi * (i + 1) * share)) for i, s in enumerate(swing))
        return at_s + quarter_s * (q * (1 + slower) + (high - low) * wave / 20)

    melody = plan.hymn.melody.name
    shifts: dict[object, float] = {}
    last_melody = max(key.onset_q for key in inside if melody in key.voices)
    added_s = how.added.get((stanza, phrase), 0.0) * quarter_s
    for key in inside:
        shift = shifts.setdefault(key.onset_q, chance.gauss(0, how.chord_jitter_s))
        onset_s = warp(key.onset_s) + shift + chance.gauss(0, how.key_jitter_s)
        release_s = warp(key.release_s) + chance.gauss(0, how.release_jitter_s)
        if key.release_q > last_melody and added_s > 0 and phrase % 2:
            release_s += added_s  # half the time the note is held on, else the silence is
        done.append(
            _Note(
                (stanza, key.onset_q, key.midi),
                onset_s,
                max(onset_s + 0.03, release_s),
                key.midi,
                0 if key.division == "manual" else 1,
                melody in key.voices and key.onset_q == last_melody,
                tuple(key.voices),
            )
        )
    following = [key.onset_s for key in keys if key.onset_q >= high]
    if phrase < len(ends_q) - 1 and following:
        end_s = warp(min(following))
    else:
        gap_q = float(plan.gap.value.onset_to_onset_q)
        closing = min(key.onset_s for key in inside if key.onset_q == last_melody)
        end_s = warp(closing) + gap_q * quarter_s
    next_s = end_s + added_s
    if (stanza, phrase) in how.no_lift:
        for note in done:
            if note.name[0] == stanza and note.melody and note.name[1] == last_melody:
                note.release_s = next_s - 0.01
    return next_s


def _truth(
    done: Sequence[_Note],
    ends_q: Sequence[float],
    numbers: Sequence[int],
    true: Played,
    how: Playing,
) -> None:
    for stanza in range(len(numbers)):
        own = [note for note in done if note.name[0] == stanza]
        for phrase in range(len(ends_q) - 1):
            last = [n for n in own if n.melody and _phrase_of(n, ends_q) == phrase]
            after = [n for n in own if _phrase_of(n, ends_q) == phrase + 1]
            if not last or not after:
                continue
            true.ends[stanza, phrase] = End(
                last[0].release_s - last[0].onset_s,
                0.0,
                how.added.get((stanza, phrase), 0.0),
            )
        if stanza + 1 < len(numbers):
            last_melody = max(n.onset_s for n in own if n.melody)
            released = max(n.release_s for n in own)
            next_s = min(n.onset_s for n in done if n.name[0] == stanza + 1)
            true.gaps[stanza] = (next_s - last_melody, next_s - released)


def _phrase_of(note: _Note, ends_q: Sequence[float]) -> int:
    return sum(float(note.name[1]) >= end for end in ends_q[:-1])  # type: ignore[arg-type]


def _with_errors(
    done: Sequence[_Note], true: Played, chance: random.Random, how: Playing
) -> Played:
    found: list[tuple[TakeNote, Name | None]] = []
    for note in done:
        if how.voices is not None and not how.voices.intersection(note.voices):
            continue
        midi, name = note.midi + how.transposed, note.name
        take = TakeNote(note.onset_s, note.release_s, midi, note.channel)
        if chance.random() >= how.errors:
            found.append((take, name))
            continue
        kind = chance.choice(("missing", "wrong", "extra"))
        beside = midi + chance.choice((-2, -1, 1, 2))
        if kind == "extra":
            found.append((take, name))
            found.append((replace(take, midi=beside), None))
            continue
        true.missing.add(name)
        if kind == "wrong":
            found.append((replace(take, midi=beside), None))
    found.sort(key=lambda pair: (pair[0].onset_s, pair[0].midi, pair[0].channel))
    true.notes = [take for take, _ in found]
    true.names = [name for _, name in found]
    return true


def as_midi(notes: Sequence[TakeNote], tempo: Callable[[int], int] | None = None) -> bytes:
    """The take as a MIDI file at 500 000 microseconds a quarter, whatever was played."""
    file = mido.MidiFile(type=0, ticks_per_beat=480)
    track = mido.MidiTrack()
    file.tracks.append(track)
    events = []
    for note in notes:
        events.append((round(note.onset_s * 960), 1, "note_on", note))
        events.append((round(note.release_s * 960), 0, "note_off", note))
    now = 0
    for tick, _, kind, note in sorted(events, key=lambda event: event[:2]):
        track.append(
            mido.Message(
                kind, note=note.midi, channel=note.channel, velocity=80, time=max(0, tick - now)
            )
        )
        now = max(now, tick)
    buffer = io.BytesIO()
    file.save(file=buffer)
    return buffer.getvalue()


def matched_f1(plan: LeadingPlan, played: Played) -> float:
    """F1 of the matches by their exact names, unisons on two keyboards both counted."""
    truth = {(name, index) for index, name in enumerate(played.names) if name is not None}
    found = match(plan, Take(tuple(played.notes)))
    got = {
        ((stanza, found.ways[one.way].chords[chord.index].onset_q, matched.key.midi), note)
        for stanza, one in enumerate(found.stanzas)
        for chord in one.chords
        for matched in chord.matched
        for note in (matched.note, *matched.doubled)
    }
    right = len(truth & got)
    return 2 * right / (len(truth) + len(got))
