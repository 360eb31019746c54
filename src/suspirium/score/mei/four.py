"""More strands than four voices: the four that form soprano, alto, tenor and bass."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from fractions import Fraction
from itertools import combinations

from suspirium.errors import Remark
from suspirium.score.mei.events import Event
from suspirium.score.mei.strands import Strand
from suspirium.score.naming import FOUR_PARTS

_LABELS = (
    re.compile(r"s(?:op(?:r(?:an\w*)?)?)?\b", re.IGNORECASE),
    re.compile(r"(?:contr)?a(?:lt\w*)?\b", re.IGNORECASE),
    re.compile(r"t(?:en(?:or\w*)?)?\b", re.IGNORECASE),
    re.compile(r"b(?:ass\w*|aß)?\b", re.IGNORECASE),
)
_SAME_SHARE = 0.9  # of a strand's onsets, from which on it only doubles another
Onsets = dict[Fraction, frozenset[int]]


def choose_four(
    strands: Sequence[Strand], labels: Mapping[str, str]
) -> tuple[list[Strand], list[Remark]]:
    """Four strands out of more, from the top, and what was done with the others.

    First those on staves labelled as the four parts; else strands that only double
    another are left out, then those without words where four have words, and inner ones
    that remain are sung as divided voices.
    """
    named = _by_label(strands, labels)
    if named is not None:
        groups = named
    else:
        groups = [[strand] for strand in _with_words(_without_doubles(list(strands)))]
        while len(groups) > len(FOUR_PARTS):
            groups = _closest_joined(groups)
    lost = len(strands) - sum(len(group) for group in groups)
    divided = [name for name, group in zip(FOUR_PARTS, groups, strict=False) if len(group) > 1]
    return [_divided(group) for group in groups], list(_remarks(len(strands), lost, divided))


def _remarks(count: int, lost: int, divided: list[str]) -> Iterator[Remark]:
    text = f"The score has {count} voices, of which soprano, alto, tenor and bass are kept"
    if divided:
        text += f", the {' and the '.join(divided)} divided"
    if lost:
        what = "one doubles them or is an instrument" if lost == 1 else (
            f"{lost} double them or are instruments"
        )  # fmt: skip
        text += f"; {what} and {'is' if lost == 1 else 'are'} left out"
    yield Remark(f"{text}.")


def _by_label(strands: Sequence[Strand], labels: Mapping[str, str]) -> list[list[Strand]] | None:
    """Strands of the staves labelled as the four parts, None unless all four are there."""
    found = [
        [strand for strand in strands if pattern.match(labels.get(strand.staff, "").strip())]
        for pattern in _LABELS
    ]
    return found if all(found) else None


def _onsets(strand: Strand) -> Onsets:
    """Pitch classes by onset."""
    return {
        event.onset_q: frozenset(head.pitch.midi % 12 for head in event.heads)
        for event in strand.events
        if event.heads
    }


def _without_doubles(strands: list[Strand]) -> list[Strand]:
    """Without strands that go with another in unison or octaves, the outer ones kept.

    Words of a strand that is left out go to the one it doubles.
    """
    onsets = {id(strand): _onsets(strand) for strand in strands}
    kept = list(strands)
    for one, other in combinations(strands, 2):
        if len(kept) <= len(FOUR_PARTS):
            break
        if one not in kept or other not in kept:
            continue
        same = _share(onsets[id(one)], onsets[id(other)])
        if same >= _SAME_SHARE:
            gone, stays = (one, other) if kept[-1] is other else (other, one)
            kept.remove(gone)
            if gone.speaks and not stays.speaks:
                at = kept.index(stays)
                kept[at] = _with_verses(stays, gone)
                onsets[id(kept[at])] = onsets[id(stays)]
    return kept


def _share(one: Onsets, other: Onsets) -> float:
    common = sum(one[onset_q] == other.get(onset_q) for onset_q in one)
    return common / max(1, len(one), len(other))


def _with_verses(strand: Strand, speaking: Strand) -> Strand:
    verses = {event.onset_q: event.verses for event in speaking.events if event.verses}
    events = tuple(
        replace(event, verses=verses.get(event.onset_q, ())) if event.heads else event
        for event in strand.events
    )
    return replace(strand, events=events)


def _with_words(strands: list[Strand]) -> list[Strand]:
    speaking = [strand for strand in strands if strand.speaks]
    return speaking if len(speaking) == len(FOUR_PARTS) < len(strands) else strands


def _closest_joined(groups: list[list[Strand]]) -> list[list[Strand]]:
    """The two neighbouring inner groups that move together most often made one."""
    inner = range(1, len(groups) - 2)
    at = max(inner, key=lambda i: _together(groups[i][0], groups[i + 1][0]))
    return [*groups[:at], groups[at] + groups[at + 1], *groups[at + 2 :]]


def _together(one: Strand, other: Strand) -> float:
    """Share of the events of both that begin and end together."""
    mine = {(event.onset_q, event.end_q) for event in one.events}
    yours = {(event.onset_q, event.end_q) for event in other.events}
    return len(mine & yours) / max(1, len(mine | yours))


def _divided(group: Sequence[Strand]) -> Strand:
    """One strand: the first, with the heads of the others where they move with it."""
    first = group[0]
    for other in group[1:]:
        heads = {(event.onset_q, event.end_q): event for event in other.events if event.heads}
        events = tuple(
            _with_heads(event, heads.get((event.onset_q, event.end_q))) for event in first.events
        )
        first = replace(first, events=events)
    return first


def _with_heads(event: Event, other: Event | None) -> Event:
    if other is None:
        return event
    known = {head.pitch for head in event.heads}
    heads = [*event.heads, *(head for head in other.heads if head.pitch not in known)]
    ordered = tuple(sorted(heads, key=lambda head: (head.pitch.midi, head.pitch.diatonic)))
    hidden = event.hidden and not ordered
    return replace(event, heads=ordered, idents=event.idents + other.idents, hidden=hidden)
