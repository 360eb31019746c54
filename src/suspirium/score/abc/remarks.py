"""What an ABC reader has to tell: passed over, left out, or said differently by voices."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from suspirium.errors import Place, Remark
from suspirium.score.abc.tune import VoiceTrack
from suspirium.score.model import Measure, Stanza
from suspirium.score.spoken import printable


def silent_voices(every: Iterable[VoiceTrack], sung: Sequence[VoiceTrack]) -> list[Remark]:
    """Voices that are named and have no notes."""
    return [
        Remark("this voice has no notes; it is left out.", Place(voice=track.ident))
        for track in every
        if track not in sung
    ]


def passed_over(tracks: Sequence[VoiceTrack], names: Sequence[str]) -> list[Remark]:
    """Signs that are no music, slurs without their other end, grace notes without a note."""
    found: list[tuple[str, str]] = []
    for track, name in zip(tracks, names, strict=True):
        reader = track.reader
        if reader.unknown:
            shown = printable(" ".join(dict.fromkeys(reader.unknown[:40])), 60)
            text = f"{len(reader.unknown)} signs are no ABC music and are passed over: {shown}"
            found.append((text, name))
        if reader.open_slurs or reader.unopened_slurs:
            found.append(("a slur is opened and not closed, or closed and not opened.", name))
        if reader.lost_graces:
            text = "grace notes after the last note belong to none and are left out."
            found.append((text, name))
    return [Remark(text, Place(voice=name)) for text, name in found]


def transposed(tracks: Sequence[VoiceTrack], names: Sequence[str]) -> list[Remark]:
    """Voices that the file moves to where they sound: the page prints what sounds."""
    moved = [
        (track.reader.said.semitones or 0, name) for track, name in zip(tracks, names, strict=True)
    ]
    return [
        Remark(
            f"this voice sounds {_apart(semitones)} than the file has it, by transpose=; it is "
            "read and printed as it sounds.",
            Place(voice=name),
        )
        for semitones, name in moved
        if semitones
    ]


def _apart(semitones: int) -> str:
    octaves, rest = divmod(abs(semitones), 12)
    count, unit = (abs(semitones), "semitone") if rest else (octaves, "octave")
    way = "higher" if semitones > 0 else "lower"
    return f"{count} {unit}{'' if count == 1 else 's'} {way}"


def keys_apart(tracks: Sequence[VoiceTrack], names: Sequence[str]) -> list[Remark]:
    """Voices whose key signatures change otherwise than the highest voice's."""
    first = [(change.onset_q, change.fifths) for change in tracks[0].reader.keys]
    return [
        Remark(f"the key changes otherwise than in the {names[0]}.", Place(voice=name))
        for track, name in zip(tracks, names, strict=True)
        if [(change.onset_q, change.fifths) for change in track.reader.keys] != first
    ]


def misfits(
    tracks: Sequence[VoiceTrack], names: Sequence[str], found: Sequence[Measure]
) -> list[Remark]:
    """Syllables for which a line has no notes, at the line's last measure."""
    return [
        Remark(
            f"{len(misfit.texts)} more syllables than notes in the line that ends here, "
            f'left out: "{printable(" ".join(misfit.texts), 60)}".',
            Place(
                [m for m in found if m.onset_q <= misfit.onset_q][-1].number, name, misfit.stanza
            ),
        )
        for track, name in zip(tracks, names, strict=True)
        for misfit in track.layer.misfits
    ]


def out_of_number(numbers: Sequence[int | None], stanzas: Sequence[Stanza]) -> list[Remark]:
    """Stanzas apart from the music are counted on; where the print numbers otherwise."""
    first = max((stanza.number for stanza in stanzas), default=0) + 1
    return [
        Remark(f"the stanza printed as number {number} is counted as stanza {first + index}.")
        for index, number in enumerate(numbers)
        if number is not None and number != first + index
    ]


def unclosed(found: Sequence[Measure]) -> list[Remark]:
    """Music that stops without a barline: a file may have lost its end."""
    if found[-1].right != "none":
        return []
    text = "the music ends without a barline; is the end of the file missing?"
    return [Remark(text, Place(measure=found[-1].number))]
