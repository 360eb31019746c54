"""Who plays what: which keys go to the hands and which to the feet, and what is usual.

The default is soprano and alto right, tenor left, bass on the pedal. Which hand takes
each key in the end is found together with the fingers (`suspirium.technique.fingers`);
here stand the keys, their rank and what each hand's taking them costs.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Literal

from suspirium.plan.model import LeadingPlan
from suspirium.plan.performance import KeyPress, perform
from suspirium.score.model import Hymn
from suspirium.score.sounding import time_at
from suspirium.tables import load
from suspirium.technique.hand import Side
from suspirium.technique.model import Arrangement

Rank = Literal["melody", "inner", "bass"]
Part = Literal["melody", "alto", "tenor", "bass"]


@dataclass(frozen=True, slots=True)
class Key:
    """One key to play, from going down to coming up.

    `voices` run from high to low. `part` says what it is to the hands: the melody, an
    upper or lower inner voice ("alto", "tenor"), or the bass. `on_beat` where it is struck
    on a beat.
    """

    midi: int
    voices: tuple[str, ...]
    part: Part
    written_q: Fraction
    onset_q: Fraction
    release_q: Fraction
    onset_s: float
    release_s: float
    on_beat: bool = True

    @property
    def rank(self) -> Rank:
        """How much a broken legato would be heard."""
        if self.part == "melody" or self.part == "bass":
            return self.part
        return "inner"

    @property
    def length_s(self) -> float:
        return self.release_s - self.onset_s

    def doubles(self, other: Key) -> bool:
        """Whether both are struck together, octaves apart."""
        apart = self.midi - other.midi
        return apart % 12 == 0 and apart != 0 and self.onset_q == other.onset_q


@dataclass(frozen=True, slots=True)
class Shared:
    """The keys by who plays them: groups of manual keys with the hands free to take them.

    One group on one manual is open to both hands; a solo melody and its accompaniment are
    two groups with one hand each.
    """

    manual: tuple[tuple[tuple[Side, ...], tuple[Key, ...]], ...]
    pedal: tuple[Key, ...]


BOTH: tuple[Side, ...] = ("left", "right")


def share(
    plan: LeadingPlan, arrangement: Arrangement = "pedal", stanza: int | None = None
) -> Shared:
    """The keys of one stanza (the first unless told) by who plays them.

    "pedal" puts the bass on the pedal, "manuals" everything into the hands (for organs
    without a pedal), "solo" the melody on a manual of its own for the right hand.
    """
    number = plan.stanza_numbers[0] if stanza is None else stanza
    hymn = plan.hymn
    if arrangement == "solo" and len(hymn.voices) > 1:
        alone = _keys(hymn, _pressed(plan, number, [hymn.melody.name]))
        rest = _pressed(plan, number, [voice.name for voice in hymn.voices[1:]])
        manual = _keys(hymn, [press for press in rest if press.division == "manual"])
        pedal = _keys(hymn, [press for press in rest if press.division == "pedal"])
        return Shared(((("right",), alone), (("left",), manual)), pedal)
    pressed = _pressed(plan, number, None)
    if arrangement == "manuals":
        return Shared(((BOTH, _keys(hymn, _on_one_manual(pressed))),), ())
    return Shared(
        ((BOTH, _keys(hymn, [p for p in pressed if p.division == "manual"])),),
        _keys(hymn, [p for p in pressed if p.division == "pedal"]),
    )


def hand_points(part: Part, side: Side) -> float:
    """What it costs that this hand takes a key of this part (``tables/fingering.toml``)."""
    unusual = {
        ("melody", "left"): "hand.melody_left",
        ("alto", "left"): "hand.alto_left",
        ("tenor", "right"): "hand.tenor_right",
        ("bass", "right"): "hand.bass_right",
    }
    name = unusual.get((part, side))
    return load("fingering").number(name) if name else 0.0


def _pressed(plan: LeadingPlan, stanza: int, voices: Sequence[str] | None) -> list[KeyPress]:
    return list(perform(plan, voices=voices, stanzas=[stanza]).keys)


def _on_one_manual(pressed: Iterable[KeyPress]) -> list[KeyPress]:
    """Bass and tenor that meet on one key are one key; the later stroke cuts the earlier."""
    found: list[KeyPress] = []
    for press in sorted(pressed, key=lambda p: (p.midi, p.onset_q, -p.release_q)):
        last = found[-1] if found else None
        if last is None or last.midi != press.midi or last.release_q <= press.onset_q:
            found.append(press)
        elif last.onset_q == press.onset_q:
            found[-1] = replace(last, voices=last.voices + press.voices)
        else:
            longer = max(last, press, key=lambda p: p.release_q)
            found[-1] = replace(
                last,
                voices=last.voices + tuple(v for v in press.voices if v not in last.voices),
                release_q=longer.release_q,
                release_s=longer.release_s,
            )
    return found


def _keys(hymn: Hymn, pressed: Iterable[KeyPress]) -> tuple[Key, ...]:
    order = {voice.name: index for index, voice in enumerate(hymn.voices)}
    presses = sorted(pressed, key=lambda press: (press.onset_q, press.midi))
    top = {press.onset_q: press.midi for press in presses}  # ascending, so the highest stays
    return tuple(_key(hymn, press, order, top[press.onset_q]) for press in presses)


def _key(hymn: Hymn, press: KeyPress, order: dict[str, int], top: int) -> Key:
    voices = tuple(sorted(press.voices, key=order.__getitem__))
    return Key(
        midi=press.midi,
        voices=voices,
        part=_part(order[voices[0]], len(order), highest=press.midi == top),
        written_q=press.written_q,
        onset_q=press.onset_q,
        release_q=press.release_q,
        onset_s=press.onset_s,
        release_s=press.release_s,
        on_beat=_on_beat(hymn, press.written_q),
    )


def _part(index: int, count: int, *, highest: bool) -> Part:
    """A single voice that prints chords has its melody on top."""
    if index == 0:
        return "melody" if highest or count > 1 else "alto"
    if index == count - 1:
        return "bass"
    return "alto" if index < count / 2 else "tenor"


def _on_beat(hymn: Hymn, onset_q: Fraction) -> bool:
    time = time_at(hymn, onset_q)
    unit_q = Fraction(4, time.unit) if time else Fraction(1)
    return (onset_q - hymn.pickup_q) % unit_q == 0
