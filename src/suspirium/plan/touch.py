"""Touch: what pickups and repeated notes give up so that they speak, and what is tied.

The result is a list of `Touch` on the written score; `suspirium.plan.performance` plays it.
Precedence (common practice): lift > melody re-strike > bass re-strike > legato.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

from suspirium.plan.model import Touch
from suspirium.room import Room
from suspirium.score.model import Hymn, Voice
from suspirium.score.sounding import Tone, bar_onset_q, melody_tones, time_at, tones
from suspirium.tables import load
from suspirium.units import seconds_to_quarters

_STEP_Q = Fraction(1, 24)


@dataclass(frozen=True, slots=True)
class TouchSetting:
    """What touch depends on beside the notes: tempo, room, and where phrases end."""

    quarter_bpm: float
    room: Room
    phrase_starts_q: tuple[Fraction, ...]
    phrase_ends_q: tuple[Fraction, ...]


def choose_touches(hymn: Hymn, setting: TouchSetting) -> tuple[Touch, ...]:
    """Every detachment, re-strike and tie of the written score, in order of onset."""
    found = [
        *_pickups(hymn, setting),
        *_melody_repeats(hymn, setting),
        *_inner_ties(hymn, setting),
        *_bass_repeats(hymn, setting),
        *_shared_keys(hymn, setting),
    ]
    return tuple(sorted(found, key=lambda touch: (touch.onset_q, touch.kind, touch.voice)))


def at_least(share_q: Fraction, least_s: float, most_q: Fraction, quarter_bpm: float) -> Fraction:
    """`share_q`, but at least `least_s` seconds and at most `most_q`, in 24ths of a quarter."""
    least_q = Fraction(round(seconds_to_quarters(least_s, quarter_bpm) / float(_STEP_Q))) * _STEP_Q
    return min(max(share_q, least_q), most_q)


def repeat_gives_up(length_q: Fraction, quarter_bpm: float, room: Room) -> Fraction:
    """What the first of two repeated notes gives up, by tempo and room.

    The dot of a dotted note; otherwise a share of at most half a beat's worth, more in a
    live room, never so little that it can't be heard (``tables/touch.toml``).
    """
    table = load("touch")
    if length_q.numerator == 3:  # dotted: it loses the dot
        share_q = length_q / 3
    else:
        if quarter_bpm >= table["repeat.quick_bpm"]:
            speed = "repeat.share_quick"
        elif quarter_bpm >= table["repeat.slow_bpm"]:
            speed = "repeat.share_medium"
        else:
            speed = "repeat.share_slow"
        share = Fraction(table[speed])
        if room.rt_s >= table["repeat.rt_live_s"]:
            share = max(share, Fraction(table["repeat.live_share"]))
        elif room.rt_s < table["repeat.rt_dry_s"]:
            share = min(share, Fraction(table["repeat.dry_share"]))
        share_q = length_q * share
    most_q = min(length_q / 2, Fraction(table["repeat.most_q"]))
    return at_least(min(share_q, most_q), table.number("repeat.least_s"), length_q / 2, quarter_bpm)


def beat_strength(hymn: Hymn, onset_q: Fraction) -> int:
    """3 on the first beat, 2 on the half bar (or third), 1 on other beats, 0 between them."""
    time = time_at(hymn, onset_q)
    if time is None:
        return 1
    place = onset_q - bar_onset_q(hymn, onset_q)
    beat = Fraction(4, time.unit)
    if place % time.bar_q == 0:
        return 3
    if time.unit >= 8 and time.beats % 3 == 0:
        return 2 if place % (3 * beat) == 0 else int(place % beat == 0)
    if time.beats % 2 == 0 and place % (time.bar_q / 2) == 0:
        return 2
    return int(place % beat == 0)


def _adjoining(voice: Voice) -> Iterator[tuple[Tone, Tone]]:
    """Neighbouring tones of a voice on one key with no rest between."""
    for before, after in pairwise(tones(voice)):
        if before.pitch.midi == after.pitch.midi and before.end_q == after.onset_q:
            yield before, after


def _melody_repeats(hymn: Hymn, setting: TouchSetting) -> Iterator[Touch]:
    for before, after in _adjoining(hymn.melody):
        if after.onset_q in setting.phrase_starts_q:
            continue  # the lift takes care of it
        gives_up_q = repeat_gives_up(before.duration_q, setting.quarter_bpm, setting.room)
        yield Touch(
            "repeat",
            before.onset_q,
            hymn.melody.name,
            gives_up_q,
            "The melody repeats its note: the first gives way so that the second speaks.",
        )


def _all_repeat(hymn: Hymn, onset_q: Fraction) -> bool:
    return all(
        any(after.onset_q == onset_q for _, after in _adjoining(voice)) for voice in hymn.voices
    )


def _inner_ties(hymn: Hymn, setting: TouchSetting) -> Iterator[Touch]:
    most_bars = int(load("touch")["tie.most_bars"])
    for voice in hymn.voices[1:-1]:
        held_since: Fraction | None = None
        for before, after in _adjoining(voice):
            if held_since is None or before.onset_q not in _run(held_since, before):
                held_since = before.onset_q
            time = time_at(hymn, after.onset_q)
            longest_q = (time.bar_q if time else Fraction(4)) * most_bars
            if after.onset_q in setting.phrase_starts_q or after.end_q - held_since > longest_q:
                held_since = after.onset_q
                continue
            yield Touch(
                "tie",
                before.onset_q,
                voice.name,
                Fraction(0),
                "An inner voice keeps its note: it is held on.",
            )


def _run(held_since: Fraction, before: Tone) -> tuple[Fraction, ...]:
    """A tie goes on only where the tone before is the one just held."""
    return (held_since, before.onset_q) if held_since <= before.onset_q else ()


def _bass_repeats(hymn: Hymn, setting: TouchSetting) -> Iterator[Touch]:
    if len(hymn.voices) < 2:
        return
    bass = hymn.voices[-1]
    for before, after in _adjoining(bass):
        if after.onset_q in setting.phrase_starts_q:
            continue
        rises = beat_strength(hymn, after.onset_q) > beat_strength(hymn, before.onset_q)
        if rises or _all_repeat(hymn, after.onset_q):
            gives_up_q = repeat_gives_up(before.duration_q, setting.quarter_bpm, setting.room)
            yield Touch(
                "bass_repeat",
                before.onset_q,
                bass.name,
                gives_up_q,
                "The bass repeats towards a stronger beat: it is struck again.",
            )
        else:
            yield Touch(
                "tie",
                before.onset_q,
                bass.name,
                Fraction(0),
                "The bass repeats on a weaker beat: it is held on.",
            )


def _shared_keys(hymn: Hymn, setting: TouchSetting) -> Iterator[Touch]:
    """Upper voices on a key that the melody takes: they give way (the bass has the pedal)."""
    manual = hymn.voices[1:-1] if len(hymn.voices) >= 3 else hymn.voices[1:]
    share = Fraction(load("touch")["shared_key.share"])
    melody = melody_tones(hymn)
    for voice in manual:
        line = tones(voice)
        for reached in melody:
            if reached.onset_q in setting.phrase_starts_q:
                continue
            for left in line:
                if (
                    left.pitch.midi == reached.pitch.midi
                    and left.onset_q < reached.onset_q <= left.end_q
                ):
                    yield Touch(
                        "shared_key",
                        left.onset_q,
                        voice.name,
                        (reached.onset_q - left.onset_q) * share,
                        f"The melody takes the {voice.name}'s key: it lets go early, "
                        "so that the melody speaks.",
                    )


def _pickups(hymn: Hymn, setting: TouchSetting) -> Iterator[Touch]:
    table = load("touch")
    line = melody_tones(hymn)
    for start_q in setting.phrase_starts_q:
        chord = _pickup_chord(hymn, line, start_q)
        if chord is None:
            continue
        gives_up_q = at_least(
            chord.duration_q * Fraction(table["pickup.share"]),
            table.number("pickup.least_s"),
            chord.duration_q * Fraction(table["pickup.most_share"]),
            setting.quarter_bpm,
        )
        yield Touch(
            "pickup",
            chord.onset_q,
            "all",
            gives_up_q,
            "The pickup is slightly detached so that the downbeat speaks.",
        )


def _pickup_chord(hymn: Hymn, line: Sequence[Tone], start_q: Fraction) -> Tone | None:
    """The last melody tone before the downbeat that a phrase's pickup leads to.

    A phrase opens with a pickup where it begins in the second half of a bar.
    """
    time = time_at(hymn, start_q)
    if time is None:
        return None
    downbeat_q = bar_onset_q(hymn, start_q) + time.bar_q
    if downbeat_q - start_q > time.bar_q / 2:
        return None
    inside = [tone for tone in line if start_q <= tone.onset_q and tone.end_q == downbeat_q]
    return inside[-1] if inside else None
