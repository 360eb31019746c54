"""What a take of a plan should sound like: the chords of a stanza in the order of playing."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from suspirium.plan.clock import StanzaClock, stanza_clock
from suspirium.plan.keys import Struck, stanza_keys
from suspirium.plan.model import LeadingPlan
from suspirium.score.sounding import tones
from suspirium.take.held_on import held_on


@dataclass(frozen=True, slots=True)
class Key:
    """One key to be struck: which voices, where in the score, and its written end in played
    quarters. Voices on one key at one onset are one key, whatever keyboard they are on.
    `optional` is a key that some stanzas strike and others, carrying a line on, still hold."""

    midi: int
    voices: tuple[str, ...]
    written_q: Fraction
    end_q: Fraction
    optional: bool = False


@dataclass(frozen=True, slots=True)
class Chord:
    """Everything struck at one onset.

    `keys` must be struck; `may` are keys that the plan holds on and some players strike
    again. `phrase` counts the lines of the stanza from 0, as played; `opens` and `closes`
    say that the line begins or ends here.
    """

    onset_q: Fraction
    keys: tuple[Key, ...]
    may: tuple[int, ...]
    phrase: int
    opens: bool
    closes: bool

    @property
    def written_q(self) -> Fraction:
        """Its place in the written score."""
        return self.keys[0].written_q

    def key_of(self, voice: str) -> Key | None:
        """The key that this voice strikes here, if any."""
        return next((key for key in self.keys if voice in key.voices), None)


@dataclass(frozen=True, slots=True)
class Way:
    """One way through the score: its chords, its clock, and the stanzas that go it.

    `held_on` are, stanza by stanza, the line ends whose lift the melody's key can't tell
    (`suspirium.take.held_on`).
    """

    chords: tuple[Chord, ...]
    clock: StanzaClock
    stanzas: tuple[int, ...]
    held_on: Mapping[int, Mapping[int, tuple[str, ...]]]

    def holders(self, stanza: int, line: int) -> tuple[str, ...]:
        """The voices that hold the melody's last key of this line (from 0) on into its lift,
        so that the lift can't be told; of a stanza that isn't planned, those of the first."""
        return self.held_on.get(stanza, self.held_on[self.stanzas[0]]).get(line, ())


def as_planned(plan: LeadingPlan, way: Way, number: int) -> Way:
    """A way as the take's stanza `number` goes it: the hymn's last one by the clock that
    broadens, if the organist wishes it to."""
    if not plan.ending.value.broaden or number != len(plan.stanza_numbers):
        return way
    return replace(way, clock=stanza_clock(plan, way.clock.stanza, last=True))


def ways(plan: LeadingPlan) -> tuple[Way, ...]:
    """The different ways in which the stanzas of a plan go through the score."""
    found: dict[tuple[tuple[Fraction, Fraction, Fraction], ...], list[int]] = {}
    clocks: dict[int, StanzaClock] = {}
    for number in plan.stanza_numbers:
        clock = stanza_clock(plan, number, last=False)
        clocks[number] = clock
        shifts = tuple((shift.start_q, shift.end_q, shift.by_q) for shift in clock.shifts)
        found.setdefault(shifts, []).append(number)
    return tuple(_way(plan, [clocks[number] for number in numbers]) for numbers in found.values())


def _way(plan: LeadingPlan, clocks: Sequence[StanzaClock]) -> Way:
    """The way of these stanzas: what is held on depends on the breaths, and so do the keys."""
    breaths = [tuple(phrase.breath(clock.stanza) for phrase in plan.phrases) for clock in clocks]
    different = dict(reversed(list(zip(breaths, clocks, strict=True))))
    keys = {each: stanza_keys(plan, different[each]) for each in dict.fromkeys(breaths)}
    held = {each: held_on(plan, different[each], own) for each, own in keys.items()}
    return Way(
        _chords(plan, clocks[0], list(keys.values())),
        clocks[0],
        tuple(clock.stanza for clock in clocks),
        {clock.stanza: held[each] for clock, each in zip(clocks, breaths, strict=True)},
    )


def _chords(
    plan: LeadingPlan, clock: StanzaClock, stanzas: Sequence[Sequence[Struck]]
) -> tuple[Chord, ...]:
    struck: dict[Fraction, list[Struck]] = {}
    everywhere: set[tuple[Fraction, int]] | None = None
    for keys in stanzas:
        own = {(key.onset_q, key.midi) for key in keys}
        known = {(q, key.midi) for q, chord in struck.items() for key in chord}
        everywhere = own if everywhere is None else everywhere & own
        for key in keys:
            if (key.onset_q, key.midi) not in known:
                struck.setdefault(key.onset_q, []).append(key)
    always = everywhere or set()
    written = _written(plan, clock)
    ends = clock.phrase_ends
    onsets = sorted(struck)
    phrases = [
        min(bisect_right(ends, onset_q, key=lambda end: end.end_q), len(ends) - 1)
        for onset_q in onsets
    ]
    return tuple(
        Chord(
            onset_q=onset_q,
            keys=(merged := _merged(struck[onset_q], always)),
            may=tuple(sorted(written[onset_q] - {key.midi for key in merged})),
            phrase=phrase,
            opens=index == 0 or phrases[index - 1] != phrase,
            closes=onset_q == ends[phrase].end_q - ends[phrase].phrase.written_q,
        )
        for index, (onset_q, phrase) in enumerate(zip(onsets, phrases, strict=True))
    )


def _merged(struck: Sequence[Struck], always: set[tuple[Fraction, int]]) -> tuple[Key, ...]:
    keys: dict[int, Key] = {}
    for key in struck:
        other = keys.get(key.midi)
        voices = key.voices if other is None else (*other.voices, *key.voices)
        end_q = key.end_q if other is None else max(other.end_q, key.end_q)
        optional = (key.onset_q, key.midi) not in always
        keys[key.midi] = Key(key.midi, voices, key.written_q, end_q, optional)
    return tuple(keys[midi] for midi in sorted(keys))


def _written(plan: LeadingPlan, clock: StanzaClock) -> dict[Fraction, set[int]]:
    """Pitches of all written notes by their played onset."""
    found: dict[Fraction, set[int]] = {}
    for voice in plan.hymn.voices:
        for tone in tones(voice):
            for shift in clock.shifts:
                if shift.start_q <= tone.onset_q < shift.end_q:
                    found.setdefault(tone.onset_q + shift.by_q, set()).add(tone.pitch.midi)
    return found
