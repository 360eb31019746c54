"""Line ends whose lift can't be told by the melody's key: another voice holds that key on."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from fractions import Fraction

from suspirium.plan.clock import StanzaClock
from suspirium.plan.keys import Struck, stanza_keys
from suspirium.plan.model import LeadingPlan


def held_on(
    plan: LeadingPlan, clock: StanzaClock, keys: Sequence[Struck] | None = None
) -> dict[int, tuple[str, ...]]:
    """The line ends of a stanza (counted from 0) at which the key of the melody's last note
    is planned to stay down longer than the melody alone would hold it, and the voices that
    hold it on.

    Such a key tells nothing of the melody's lift, neither by its release nor in sound.
    `keys` are those of `stanza_keys(plan, clock)`, where they are known already.
    """
    melody = plan.hymn.melody.name
    alone = _of(stanza_keys(plan, clock, [melody]), melody)
    together = _of(stanza_keys(plan, clock) if keys is None else keys, melody)
    others: dict[str, Sequence[Struck]] = {}
    found = {}
    for index, end in enumerate(clock.phrase_ends[:-1]):
        onset_q = end.end_q - end.phrase.written_q
        own, shared = alone.get(onset_q), together.get(onset_q)
        if own is not None and shared is not None and shared.release_q > own.release_q:
            with_it = tuple(voice for voice in shared.voices if voice != melody)
            found[index] = tuple(_holders(plan, clock, own, others)) or with_it
    return found


def _of(keys: Iterable[Struck], voice: str) -> dict[Fraction, Struck]:
    """The keys of a voice by when they are struck."""
    return {key.onset_q: key for key in keys if voice in key.voices}


def _holders(
    plan: LeadingPlan, clock: StanzaClock, own: Struck, known: dict[str, Sequence[Struck]]
) -> Iterator[str]:
    """The other voices that have this key and keep it longer; `known` are voices' keys so far."""
    for voice in plan.hymn.voices:
        if voice is plan.hymn.melody:
            continue
        if voice.name not in known:
            known[voice.name] = stanza_keys(plan, clock, [voice.name])
        if any(
            key.midi == own.midi and key.onset_q <= own.release_q < key.release_q
            for key in known[voice.name]
        ):
            yield voice.name


def held_on_text(holders: Sequence[str], line: int, stanza: int) -> str:
    """Why the lift of this line (from 0) is not measured, in words."""
    return (
        f"the lift of line {line + 1} in stanza {stanza}: its last key is also the "
        f"{' and '.join(holders)}'s, to be held on"
    )
