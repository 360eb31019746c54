"""Line ends and stanza gaps in a recording: how long the melody sounds, and what is silent."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise
from math import hypot, isfinite, nan

from suspirium.plan.clock import stanza_clock
from suspirium.plan.keys import Struck, stanza_keys
from suspirium.plan.model import LeadingPlan
from suspirium.tables import load
from suspirium.take.expected import Way
from suspirium.take.held_on import held_on_text
from suspirium.take.lines import closing_beat, line_chords, line_end, stanza_gap
from suspirium.take.pace import quarter_s
from suspirium.take.report import Gap, LineEnd
from suspirium.take.sound.bands import Floats
from suspirium.take.sound.hear import Heard
from suspirium.take.sound.played import HeardPass
from suspirium.take.sound.releases import Release, Standing, releases
from suspirium.take.sound.templates import sounding

COVERED = "the room or the singing covers it"


@dataclass(frozen=True, slots=True)
class _Last:
    """One time that a line's last chord was heard, with what the plan does there and the
    standard error of its onset."""

    one: HeardPass
    standing: Standing
    onset_error_s: float


def heard_line_ends(
    plan: LeadingPlan,
    known: Sequence[Way],
    played: Sequence[HeardPass],
    heard: Heard,
    sound: Floats,
) -> tuple[list[LineEnd], list[str]]:
    """Line ends of all stanzas, and in words the lifts that can't be told.

    Each line's predictors are learnt from all times that it was played.
    """
    found: list[LineEnd] = []
    left_out: list[tuple[int, int, str]] = []
    lines = _Lines(plan, heard.transposed)
    for way in known:
        here = [one for one in played if one.number and one.way is way]
        for index in range(len(way.clock.phrase_ends) - 1):
            lasts = [last for one in here if (last := lines.last(one, index))]
            told = [last for last in lasts if not way.holders(last.one.number, index)]
            let_go = releases(
                sound, [last.standing for last in told], heard.tuning_cents, heard.rt_s
            )
            of = dict(zip((last.one.number for last in told), let_go, strict=True))
            for last in lasts:
                stanza = last.one.number
                end = _line_end(plan, last, index, of.get(stanza))
                found.append(end)
                if not isfinite(end.hold_s):
                    left_out.append((stanza, index, _why(way, stanza, index)))
    found.sort(key=lambda end: (end.stanza, end.phrase))
    return found, [text for _, _, text in sorted(left_out)]


def _why(way: Way, stanza: int, index: int) -> str:
    """Why a lift is not told."""
    holders = way.holders(stanza, index)
    if holders:
        return held_on_text(holders, index, stanza)
    return f"the lift of line {index + 1} in stanza {stanza}: {COVERED}"


class _Lines:
    """What the plan does at the line ends of passes, `transposed` by semitones."""

    def __init__(self, plan: LeadingPlan, transposed: int) -> None:
        self.plan = plan
        self.melody = plan.hymn.melody.name
        self.transposed = transposed
        self._keys: dict[int, tuple[Struck, ...]] = {}

    def keys(self, one: HeardPass) -> tuple[Struck, ...]:
        """Those of the planned stanza; of the first that goes this way if it is not planned."""
        stanza = one.number if one.number in one.way.stanzas else one.way.stanzas[0]
        if stanza not in self._keys:
            self._keys[stanza] = stanza_keys(self.plan, stanza_clock(self.plan, stanza, last=False))
        return self._keys[stanza]

    def last(self, one: HeardPass, index: int) -> _Last | None:
        """A line's end; None where its last chord and the next one's first were not heard in
        one go, or the melody strikes no key there."""
        around = line_chords(one.way, index, self.melody)
        pace_s = quarter_s(one.row, one.restarted)
        if around is None or not pace_s:
            return None
        start_s, until_s = (one.onset_s(chord) for chord in around)
        if start_s is None or until_s is None or until_s <= start_s:
            return None
        if any(around[0] < again <= around[1] for again in one.restarted):
            return None
        onset_q, next_q = (one.way.chords[chord].onset_q for chord in around)
        keys = self.keys(one)
        stand = [key for key in keys if key.onset_q <= onset_q < key.release_q]
        lead = next((k for k in stand if k.onset_q == onset_q and self.melody in k.voices), None)
        if lead is None:
            return None
        same_q = load("take").number("sound.together_q")
        moves = [(key, key.release_q) for key in stand if key.release_q < lead.release_q - same_q]
        moves += [(key, key.onset_q) for key in keys if onset_q < key.onset_q < next_q]

        def after_s(played_q: Fraction) -> float:
            return float(played_q - onset_q) * pace_s

        standing = Standing(
            start_s=start_s,
            until_s=until_s,
            planned_s=(
                start_s + after_s(lead.release_q),
                until_s - after_s(next_q) + after_s(lead.release_q),
            ),
            lead=lead.midi + self.transposed,
            together=self._moved(
                key
                for key in stand
                if key is not lead and abs(key.release_q - lead.release_q) <= same_q
            ),
            held_on=self._moved(key for key in stand if key.release_q > lead.release_q + same_q),
            moving=tuple((k.midi + self.transposed, start_s + after_s(q)) for k, q in moves),
        )
        return _Last(one, standing, one.onset_error_s(around[0]))

    def _moved(self, keys: Iterable[Struck]) -> tuple[int, ...]:
        return tuple(key.midi + self.transposed for key in keys)


def _line_end(plan: LeadingPlan, last: _Last, index: int, release: Release | None) -> LineEnd:
    one, standing = last.one, last.standing
    if release is None or not release.told:
        return line_end(plan, one.way, one.row, index, one.number, (nan, nan), nan, one.restarted)
    sounded = release.at_s - standing.start_s, max(0.0, standing.until_s - release.at_s)
    error_s = hypot(release.error_s, last.onset_error_s)
    return line_end(plan, one.way, one.row, index, one.number, sounded, error_s, one.restarted)


def heard_gaps(
    plan: LeadingPlan,
    played: Sequence[HeardPass],
    heard: Heard,
    sound: Floats,
    filled: Collection[int] = (),
) -> tuple[list[Gap], list[str]]:
    """The gaps between two passes, each silence that of all keys, those after `filled` ones
    left out; and in words the silences that can't be told."""
    gaps = [gap for gap in _gaps(plan, played, heard, sound) if gap.after_stanza not in filled]
    return gaps, [
        f"the silence before stanza {gap.after_stanza + 1}: {COVERED}"
        for gap in gaps
        if not isfinite(gap.silence_s)
    ]


def _gaps(
    plan: LeadingPlan, played: Sequence[HeardPass], heard: Heard, sound: Floats
) -> Iterator[Gap]:
    planned = plan.gap.value
    for before, after in pairwise(played):
        closing = closing_beat(before.way, before.row)
        pace_s = quarter_s(before.row, before.restarted)
        if closing is None or not pace_s or not after.row or after.row[0].chord != 0:
            continue
        opening = after.row[0]
        last = before.row[-1]  # another voice may move under the melody's last note
        *under, top = sorted(sounding([before.way])[last.chord])
        planned_s = (
            closing.onset_s + float(planned.hold_q) * pace_s,
            opening.onset_s - float(planned.silence_q) * pace_s,
        )
        standing = Standing(
            last.onset_s,
            opening.onset_s,
            planned_s,
            top + heard.transposed,
            tuple(key + heard.transposed for key in under),
        )
        release = releases(sound, [standing], heard.tuning_cents, heard.rt_s)[0]
        silence = nan, nan
        if release is not None and release.told:
            silence_error_s = hypot(release.error_s, after.errors_s[0])
            silence = opening.onset_s - release.at_s, silence_error_s
        error_s = hypot(before.onset_error_s(closing.chord), after.errors_s[0])
        around = [(one.row, one.restarted) for one in (before, after)]
        gap = stanza_gap(before.number, closing, opening, around, silence, error_s)
        if gap is not None:
            yield gap
