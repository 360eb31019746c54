"""The amen: the plagal cadence that grows out of a hymn's last chord."""

from __future__ import annotations

from dataclasses import dataclass

from suspirium.plan.model import LeadingPlan
from suspirium.score.pitch import STEPS, Pitch, key_alter, spelled
from suspirium.score.sounding import closing_q, key_at, tones

OCTAVE = 12
FIFTH = 7


@dataclass(frozen=True, slots=True)
class Amen:
    """Two chords, high to low as the hymn's voices: the fourth degree, then the last chord."""

    voices: tuple[str, ...]
    subdominant: tuple[Pitch, ...]
    tonic: tuple[Pitch, ...]


def amen_of(plan: LeadingPlan) -> Amen | None:
    """The amen in the hymn's key; None where the hymn does not end on a chord in root position.

    Every voice goes from the last chord to the nearest tone of the chord a fourth above and
    back: the root stays, the third and fifth rise a step; where there is no fifth, an inner
    voice on the root goes down a third for the chord to be whole (common practice). The bass
    goes down a fifth if the hymn's bass goes so low, else up a fourth.
    """
    last = _last_chord(plan)
    pitches = [pitch for _, pitch in last]
    if len(pitches) < 3:
        return None
    root = pitches[-1].midi
    above = {(pitch.midi - root) % OCTAVE for pitch in pitches}
    if not above <= {0, 3, 4, FIFTH} or len(above & {3, 4}) > 1:
        return None
    fifths = key_at(plan.hymn, closing_q(plan.hymn) - 1).fifths
    third = next(iter(above & {3, 4}), 4)
    fourth = [_to_fourth(pitch, root, third, fifths) for pitch in pitches[:-1]]
    if FIFTH not in above:
        inner = [place for place in range(1, len(fourth)) if fourth[place] == pitches[place]]
        for place in inner[:1]:
            fourth[place] = _lowered(pitches[place], FIFTH - third, fifths)
    down = root - FIFTH
    lowest = min(t.pitch.midi for t in tones(plan.hymn.voices[-1]))
    bass = spelled(down if down >= min(lowest, root - 2) else root + OCTAVE - FIFTH, fifths)
    return Amen(tuple(name for name, _ in last), (*fourth, bass), tuple(pitches))


def _last_chord(plan: LeadingPlan) -> list[tuple[str, Pitch]]:
    """Voice and pitch of all that sounds at the end, high voices first."""
    found = []
    for voice in plan.hymn.voices:
        line = tones(voice)
        if line:
            end_q = max(tone.end_q for tone in line)
            found += [(voice.name, t.pitch) for t in reversed(line) if t.end_q == end_q]
    return found


def _to_fourth(pitch: Pitch, root: int, third: int, fifths: int) -> Pitch:
    """The root stays; the third goes to the fourth; the fifth to the sixth of the mode."""
    above = (pitch.midi - root) % OCTAVE
    if above == 0:
        return pitch
    if above == FIFTH:
        step = _next_step(pitch, fifths)
        minor_sixth = third == 3 and step.midi - pitch.midi == 1
        return step if minor_sixth or step.midi - pitch.midi == 2 else _raised(pitch, 2, fifths)
    return _raised(pitch, 5 - above, fifths)


def _next_step(pitch: Pitch, fifths: int, steps: int = 1) -> Pitch:
    octave, place = divmod(pitch.diatonic + steps, len(STEPS))
    return Pitch(STEPS[place], key_alter(STEPS[place], fifths), octave)


def _lowered(pitch: Pitch, semitones: int, fifths: int) -> Pitch:
    """A third lower on the staff, so many semitones down."""
    step = _next_step(pitch, fifths, -2)
    return Pitch(step.step, step.alter + pitch.midi - semitones - step.midi, step.octave)


def _raised(pitch: Pitch, semitones: int, fifths: int) -> Pitch:
    """A step higher on the staff, so many semitones up."""
    step = _next_step(pitch, fifths)
    return Pitch(step.step, step.alter + pitch.midi + semitones - step.midi, step.octave)
