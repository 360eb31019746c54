"""Who sings what: keys divided among voices, high to low.

Where there is a track or channel for each voice, with no key going on while another goes
down, that is the division. Else the voices are found by rank: between any two changes the
sounding keys are given to the voices from high to low. Where fewer keys sound than there
are voices some sing in unison, where more some sing two notes; which ones, is decided over
the whole hymn by least cost.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import combinations, groupby, pairwise

from suspirium.score.midi.grid import Press

MOST_VOICES = 4
MOST_KEYS = 8  # more at once are divided evenly, without a search
RARE = Fraction(1, 20)  # share of the time that may have more keys than voices
BROKEN_HOLD = 24.0  # cost of a held key that leaves its voice, in semitones of movement
CROSSING = 12.0  # cost of two voices crossed, for each stretch
Deal = tuple[tuple[int, ...], ...]  # for each voice the places of its keys, from the highest


@dataclass(frozen=True, slots=True)
class Stretch:
    """What sounds between two changes, from the highest key down; `held` from before."""

    start_q: Fraction
    end_q: Fraction
    presses: tuple[Press, ...]
    held: frozenset[int]


Line = list[tuple[Fraction, Fraction, tuple[Press, ...]]]


def lines(presses: Sequence[Press]) -> list[Line]:
    """Voices from high to low: for each, stretches (start, end, keys), without overlap."""
    parted = _by_stream(presses)
    if parted is not None:
        return parted
    found = stretches(presses)
    count = _voice_count(found)
    deals = _cheapest(found, count)
    return [
        _joined(
            (s.start_q, s.end_q, tuple(s.presses[i] for i in deal[voice]))
            for s, deal in zip(found, deals, strict=True)
        )
        for voice in range(count)
    ]


def _by_stream(presses: Sequence[Press]) -> list[Line] | None:
    """One voice a stream, if there are several and none has a key in another's time."""
    names = sorted({press.stream for press in presses})
    if not 2 <= len(names) <= MOST_VOICES + 1:
        return None
    found: list[Line] = []
    for name in names:
        own = sorted((p for p in presses if p.stream == name), key=lambda p: p.onset_q)
        line = _chords(own)
        if any(a[1] > b[0] for a, b in pairwise(line)):
            return None
        found.append(line)
    return sorted(found, key=lambda line: -sum(p[-1].pitch for _, _, p in line) / len(line))


def _chords(own: Sequence[Press]) -> Line:
    """The presses of one stream, those that begin together taken together."""
    chords = [tuple(chord) for _, chord in groupby(own, key=lambda press: press.onset_q)]
    return [(chord[0].onset_q, max(p.end_q for p in chord), chord) for chord in chords]


def stretches(presses: Sequence[Press]) -> list[Stretch]:
    """Every stretch in which something sounds; the same key pressed twice counts once."""
    bounds = sorted({q for press in presses for q in (press.onset_q, press.end_q)})
    found: list[Stretch] = []
    waiting = sorted(presses, key=lambda press: press.onset_q)
    sounding: list[Press] = []
    place = 0
    for start_q, end_q in pairwise(bounds):
        sounding = [press for press in sounding if press.end_q > start_q]
        while place < len(waiting) and waiting[place].onset_q == start_q:
            sounding.append(waiting[place])
            place += 1
        by_pitch = {press.pitch: press for press in sounding}  # the newest of a key stays
        if by_pitch:
            ordered = tuple(by_pitch[pitch] for pitch in sorted(by_pitch, reverse=True))
            held = frozenset(press.number for press in ordered if press.onset_q < start_q)
            found.append(Stretch(start_q, end_q, ordered, held))
    return found


def _voice_count(found: Sequence[Stretch]) -> int:
    """As many voices as keys sound together, more keys being rare."""
    lasting: dict[int, Fraction] = defaultdict(Fraction)
    for stretch in found:
        lasting[len(stretch.presses)] += stretch.end_q - stretch.start_q
    total_q = sum(lasting.values())
    count, above_q = max(lasting), Fraction(0)
    while count > 1 and above_q + lasting[count] <= RARE * total_q:
        above_q += lasting[count]
        count -= 1
    return min(count, MOST_VOICES)


def _deals(keys: int, voices: int) -> list[Deal]:
    """All ways to give `keys` to `voices` in order; with one pair of neighbours crossed."""
    if keys > MOST_KEYS:
        return [_cut([keys * voice // voices for voice in range(1, voices)], keys)]
    if keys >= voices:
        found = [_cut(cuts, keys) for cuts in combinations(range(1, keys), voices - 1)]
    else:
        shared = [_cut(cuts, voices) for cuts in combinations(range(1, voices), keys - 1)]
        found = [tuple((k,) for k, part in enumerate(deal) for _ in part) for deal in shared]
    if keys == voices:
        plain = found[0]
        found += [(*plain[:i], plain[i + 1], plain[i], *plain[i + 2 :]) for i in range(voices - 1)]
    return found


def _cut(cuts: Sequence[int], count: int) -> Deal:
    """The places 0 to `count` cut before each of `cuts`."""
    return tuple(tuple(range(a, b)) for a, b in pairwise((0, *cuts, count)))


def _cheapest(found: Sequence[Stretch], voices: int) -> list[Deal]:
    """The deals of least total cost over all stretches (Viterbi's algorithm)."""
    choices = [_deals(len(stretch.presses), voices) for stretch in found]
    costs = [_own_cost(deal) for deal in choices[0]]
    came_from: list[list[int]] = []
    for index in range(1, len(found)):
        before, after = found[index - 1], found[index]
        steps = [
            [
                cost + _step_cost(before, deal, after, other)
                for cost, deal in zip(costs, choices[index - 1], strict=True)
            ]
            for other in choices[index]
        ]
        came_from.append([min(range(len(row)), key=row.__getitem__) for row in steps])
        costs = [min(row) + _own_cost(d) for row, d in zip(steps, choices[index], strict=True)]
    place = min(range(len(costs)), key=costs.__getitem__)
    places = [place]
    for back in reversed(came_from):
        place = back[place]
        places.append(place)
    return [deals[i] for deals, i in zip(choices, reversed(places), strict=True)]


def _own_cost(deal: Deal) -> float:
    return CROSSING * sum(a[0] > b[0] for a, b in pairwise(deal))


def _step_cost(before: Stretch, deal: Deal, after: Stretch, other: Deal) -> float:
    """Movement of the voices in semitones, and keys held that change their voice."""
    cost = 0.0
    for mine, next_mine in zip(deal, other, strict=True):
        old = {before.presses[i].number for i in mine}
        a, b = before.presses[mine[0]], after.presses[next_mine[0]]
        cost += abs(a.pitch - b.pitch)
        new = {after.presses[i].number for i in next_mine}
        cost += BROKEN_HOLD * len((new & after.held) - old)
    return cost


def _joined(parts: Iterator[tuple[Fraction, Fraction, tuple[Press, ...]]]) -> Line:
    """Stretches with the same presses joined to one note."""
    line: Line = []
    for start_q, end_q, presses in parts:
        if line and line[-1][1] == start_q and line[-1][2] == presses:
            line[-1] = (line[-1][0], end_q, presses)
        else:
            line.append((start_q, end_q, presses))
    return line
