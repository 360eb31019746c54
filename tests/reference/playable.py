"""An independent checker: can two hands and two feet do what the marks say?

Written from the definitions, on the finished notes alone; it shares no code with the
search. The spans between fingers are Table 1 of Parncutt, Sloboda, Clarke, Raekallio and
Desain 1997 (Music Perception 14(4), 341-382), from memory and from transcriptions; keys
are measured as 23.5 mm naturals (makers' norm, from memory). What a foot can do is common
practice: no heel on a sharp, toe and heel up to a fourth, two feet up to twelve naturals,
crossing up to a fourth.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator, Mapping, Sequence
from itertools import combinations, pairwise

from suspirium.technique.model import PlayedNote

PRACTICAL = {
    (1, 2): (-5, 10),
    (1, 3): (-4, 12),
    (1, 4): (-3, 14),
    (1, 5): (-1, 15),
    (2, 3): (1, 5),
    (2, 4): (1, 7),
    (2, 5): (2, 10),
    (3, 4): (1, 4),
    (3, 5): (1, 7),
    (4, 5): (1, 5),
}
CROSSES = {(2, 3), (3, 4), (3, 5), (4, 5)}
REFERENCE_CM, EDGE_CM = 21.2, 0.55
SUBSTITUTION_S, FOOT_SUBSTITUTION_S = 0.25, 0.35
HAND_MM_S, FOOT_FIFTH_S = 1000.0, 0.4
CHORD = 0.99  # keys of a radiating, concave board lie on arcs, a leap is their chord
NATURAL = {0: 0, 2: 1, 4: 2, 5: 3, 7: 4, 9: 5, 11: 6}
SHARP_MM = {
    1: 70.5 * 0.3,
    3: 70.5 * 0.7,
    6: 70.5 + 94.0 * 1.5 / 7,
    8: 70.5 + 94.0 * 3.5 / 7,
    10: 70.5 + 94.0 * 5.5 / 7,
}
MOMENT_S = 1e-9


def impossible(notes: Sequence[PlayedNote], span_cm: float = REFERENCE_CM) -> list[str]:
    """Everything in `notes` that cannot be done, in words; empty where all can."""
    played = [note for note in notes if not note.left_out]
    hands = [note for note in played if note.plays != "pedal"]
    feet = [note for note in played if note.plays == "pedal"]
    return [*_hands(hands, span_cm), *_feet(feet)]


def _mm(midi: int) -> float:
    octave, step = divmod(midi, 12)
    inside = (NATURAL[step] + 0.5) * 23.5 if step in NATURAL else SHARP_MM[step]
    return octave * 164.5 + inside


def _widths(low: int, high: int) -> int:
    exact = (_mm(high) - _mm(low)) / 13.75
    return int(abs(exact) + 0.5) * (1 if exact >= 0 else -1)


def _where(note: PlayedNote) -> str:
    return f"{note.voice} {note.midi_pitch} at {float(note.onset_q):g} {note.plays} {note.fingers}"


# -- hands


def _hands(notes: Sequence[PlayedNote], span_cm: float) -> Iterator[str]:
    scale = (span_cm - EDGE_CM) / (REFERENCE_CM - EDGE_CM)
    onsets = sorted({note.onset_q for note in notes})
    for note in notes:
        yield from _one_note(note)
    for onset_q in onsets:
        down = [n for n in notes if n.onset_q <= onset_q < n.release_q]
        yield from _together(down, onset_q, span_cm, scale)
    for before, after in pairwise(onsets):
        yield from _joined(notes, before, after, scale)
    seconds = {n.onset_q: n.onset_s for n in notes} | {
        n.release_q: n.release_s for n in notes if n.release_q not in onsets
    }
    for side in ("right", "left"):
        yield from _one_hand([note for note in notes if note.plays == side], seconds)
    yield from _travelled(notes, seconds, scale)


def _one_note(note: PlayedNote) -> Iterator[str]:
    if not set(note.fingers) <= {1, 2, 3, 4, 5}:
        yield f"no such finger: {_where(note)}"
    if len(note.changes_q) != len(note.fingers) - 1:
        yield f"substitutions without their places: {_where(note)}"
    if any(a == b for a, b in zip(note.fingers, note.fingers[1:], strict=False)):
        yield f"a finger takes over from itself: {_where(note)}"
    if any(not note.onset_q <= q < note.release_q for q in note.changes_q):
        yield f"a substitution on a key that is not held: {_where(note)}"


def _finger(note: PlayedNote, onset_q: object) -> int:
    """The finger as this onset comes: changes made before it count."""
    return note.fingers[sum(q < onset_q for q in note.changes_q)]


def _together(
    down: Sequence[PlayedNote], onset_q: object, span_cm: float, scale: float
) -> Iterator[str]:
    used = Counter((note.plays, _finger(note, onset_q)) for note in down)
    for (side, finger), count in used.items():
        if count > 1:
            yield f"{side} {finger} on {count} keys at {onset_q}"
    for a, b in combinations(sorted(down, key=lambda n: n.midi_pitch), 2):
        if a.plays != b.plays:
            continue
        low, high = _finger(a, onset_q), _finger(b, onset_q)
        if low == high:
            continue  # told above
        if (low < high) != (a.plays == "right"):
            yield f"fingers in the wrong order: {_where(a)} and {_where(b)}"
        most = PRACTICAL[min(low, high), max(low, high)][1] * scale
        if _widths(a.midi_pitch, b.midi_pitch) > most + MOMENT_S:
            yield f"too wide: {_where(a)} and {_where(b)}"
        if _mm(b.midi_pitch) - _mm(a.midi_pitch) > 10 * span_cm:
            yield f"wider than the hand: {_where(a)} and {_where(b)}"


def _one_hand(notes: Sequence[PlayedNote], seconds: Mapping[object, float]) -> Iterator[str]:
    """Substitutions: each hand has until its own next stroke, whatever the other does."""
    if not notes:
        return
    places = {q for note in notes for q in (note.onset_q, *note.changes_q)}
    for before, after in pairwise(sorted({*places, max(n.release_q for n in notes)})):
        here = [note for note in notes if before in note.changes_q]
        changes = sum(note.changes_q.count(before) for note in here)
        ends_s = min([seconds[after], *(note.release_s for note in here)])
        if ends_s - seconds[before] + MOMENT_S < SUBSTITUTION_S * changes:
            yield f"no time for {changes} substitutions: {_where(here[0])}"


def _joined(
    notes: Sequence[PlayedNote], before: object, after: object, scale: float
) -> Iterator[str]:
    """Keys let go just as others are struck, by one hand."""
    for old in notes:
        if old.release_q != after or old.released_early:
            continue
        for new in notes:
            if new.onset_q == after and new.plays == old.plays:
                yield from _legato(old, new, scale)


def _legato(old: PlayedNote, new: PlayedNote, scale: float) -> Iterator[str]:
    a, b = old.fingers[-1], new.fingers[0]
    if old.midi_pitch == new.midi_pitch:
        return
    width = _widths(old.midi_pitch, new.midi_pitch)
    if a == b:
        if abs(width) > 2:
            yield f"one finger on both keys of a legato: {_where(old)} to {_where(new)}"
        return
    outward = width if old.plays == "right" else -width
    span = outward if a < b else -outward
    pair = min(a, b), max(a, b)
    least, most = PRACTICAL[pair]
    least, most = min(least, least * scale), most * scale
    crosses = pair in CROSSES and -3 <= span < 0
    if not (least - MOMENT_S <= span <= most + MOMENT_S or crosses):
        yield f"a legato out of reach: {_where(old)} to {_where(new)}"


def _travelled(
    notes: Sequence[PlayedNote], seconds: Mapping[object, float], scale: float
) -> Iterator[str]:
    """Between two keys of one finger there is time for the way.

    In a substitution the finger leaves once the other has come, half the time through.
    """
    by_finger: dict[tuple[str, int], list[tuple[float, float, PlayedNote]]] = defaultdict(list)
    for note in notes:
        taken_s = [seconds[q] + SUBSTITUTION_S / 2 for q in note.changes_q]
        starts_s, ends_s = [note.onset_s, *taken_s], [*taken_s, note.release_s]
        for finger, start_s, end_s in zip(note.fingers, starts_s, ends_s, strict=True):
            by_finger[note.plays, finger].append((start_s, end_s, note))
    for uses in by_finger.values():
        for (_, free_s, old), (start_s, _, new) in pairwise(sorted(uses, key=lambda u: u[0])):
            if old is new or start_s > new.onset_s:
                continue  # a substitution's own way is part of its time
            if abs(_widths(old.midi_pitch, new.midi_pitch)) <= 2:
                continue
            way_s = abs(_mm(new.midi_pitch) - _mm(old.midi_pitch)) / HAND_MM_S
            spare_s = (old.release_s - old.onset_s) / 2 if old.released_early else 0.0
            if start_s - free_s + spare_s + 0.02 < way_s:
                yield f"no time for the way: {_where(old)} to {_where(new)}"


# -- feet


def _feet(notes: Sequence[PlayedNote]) -> Iterator[str]:
    line = sorted(notes, key=lambda n: (n.onset_s, n.midi_pitch))
    for note in line:
        yield from _one_tread(note)
    for foot in ("left", "right"):
        yield from _one_foot([n for n in line if any(t.foot == foot for t in n.treads)], foot)
    for note in line:
        yield from _two_feet(note, line)


def _natural(note: PlayedNote) -> float:
    octave, step = divmod(note.midi_pitch + 12 * note.octaves, 12)
    sharps = {1: 0.5, 3: 1.5, 6: 3.5, 8: 4.5, 10: 5.5}
    return 7 * octave + (NATURAL[step] if step in NATURAL else sharps[step])


def _sharp(note: PlayedNote) -> bool:
    return note.midi_pitch % 12 not in NATURAL


def _trodden(note: PlayedNote) -> str:
    treads = " ".join(f"{tread.foot} {tread.part}" for tread in note.treads)
    return f"pedal {note.midi_pitch} at {float(note.onset_q):g} {treads}"


def _one_tread(note: PlayedNote) -> Iterator[str]:
    if _sharp(note) and any(tread.part == "heel" for tread in note.treads):
        yield f"a heel on a sharp: {_trodden(note)}"
    if any(a == b for a, b in zip(note.treads, note.treads[1:], strict=False)):
        yield f"a foot takes over from itself: {_trodden(note)}"
    length_s = note.release_s - note.onset_s
    if length_s + MOMENT_S < FOOT_SUBSTITUTION_S * (len(note.treads) - 1):
        yield f"no time for a substitution: {_trodden(note)}"


def _leap_s(naturals: float) -> float:
    naturals *= CHORD
    return max(0.1, min(naturals, 4) / 4 * FOOT_FIFTH_S + 0.03 * max(0.0, naturals - 4))


def _one_foot(line: Sequence[PlayedNote], foot: str) -> Iterator[str]:
    """From key to key: on time, or joined by toe and heel or a slide."""
    for old, new in pairwise(line):
        if old.midi_pitch == new.midi_pitch:
            continue
        leaves = old.treads[-1].foot == foot
        free_s = old.release_s if leaves else old.onset_s + FOOT_SUBSTITUTION_S
        arrives_s = new.onset_s
        if new.treads[0].foot != foot:  # comes for a substitution, before the key is let go
            arrives_s = new.release_s - FOOT_SUBSTITUTION_S
        apart = abs(_natural(new) - _natural(old))
        if leaves and arrives_s < old.release_s - MOMENT_S:
            yield f"one foot on two keys: {_trodden(old)} and {_trodden(new)}"
        if arrives_s - free_s + MOMENT_S >= _leap_s(apart):
            continue
        if leaves and old.released_early:
            spare_s = 0.65 * (old.release_s - old.onset_s)
            if arrives_s - free_s + spare_s + MOMENT_S >= _leap_s(apart):
                continue
        before = [tread.part for tread in old.treads if tread.foot == foot][-1]
        after = next(tread.part for tread in new.treads if tread.foot == foot)
        slides = before == after == "toe" and _sharp(old) and not _sharp(new) and apart == 0.5
        if not slides and (before == after or apart > 3):
            yield f"out of the foot's reach: {_trodden(old)} to {_trodden(new)}"


def _two_feet(note: PlayedNote, line: Sequence[PlayedNote]) -> Iterator[str]:
    """Beside a key that the other foot still holds or has just left."""
    own = note.treads[0]
    for other in line:
        last = other.treads[-1]
        if other is note or last.foot == own.foot or other.onset_s > note.onset_s:
            continue
        if other.release_s < note.onset_s - MOMENT_S:
            continue
        apart = _natural(note) - _natural(other)
        if own.foot == "left":
            apart = -apart
        if not -3 <= apart <= 12:
            yield f"feet too far apart or crossed: {_trodden(other)} and {_trodden(note)}"
