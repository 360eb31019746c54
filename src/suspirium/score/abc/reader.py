"""`read_abc`: a hymn from the text of an ABC file."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from suspirium.errors import Place, Remark, ScoreError
from suspirium.score.abc.bars import apart, measures
from suspirium.score.abc.credits import read_heading
from suspirium.score.abc.parts import Part, as_voice, part_names, split_chords
from suspirium.score.abc.source import read_tune
from suspirium.score.abc.tune import TuneReader, VoiceTrack, in_order
from suspirium.score.abc.words import plain_stanzas
from suspirium.score.model import (
    Annotation,
    Hymn,
    KeyChange,
    Measure,
    Stanza,
    TimeChange,
)
from suspirium.score.words import shared_refrains


def read_abc(text: str) -> Hymn:
    """The first tune of an ABC file as a hymn; what was passed over is in its remarks.

    Standard: ABC 2.1. Raises `ScoreError` where the text is no ABC tune with notes.
    """
    source = read_tune(text)
    tune = TuneReader(source)
    heading = read_heading(source.header)
    rows = [row for row in in_order(tune.tracks.values(), tune.staves) if _sings(row[1])]
    if not rows:
        raise ScoreError("The ABC file has a header but no notes: is its end missing?")
    parts = [
        Part(track.reader.events, staff, tune.clef(track) or _clef_of(rows, staff), track.ident)
        for staff, track in rows
    ]
    parts = split_chords(parts)
    names = part_names(parts)
    voices = tuple(as_voice(part, name) for part, name in zip(parts, names, strict=True))
    tracks = [track for _, track in rows]
    end_q = max(track.reader.now_q for track in tracks)
    times = _times(tracks)
    bars = [track.reader.bars for track in tracks]
    found = measures(bars, times, end_q)
    called = [names[[part.label for part in parts].index(track.ident)] for track in tracks]
    stanzas, other_words = _words(tracks, called)
    numbers, plain = plain_stanzas(tune.plain_lines)
    return Hymn(
        title=heading.title,
        voices=voices,
        measures=found,
        times=times,
        keys=_keys(tracks),
        stanzas=stanzas,
        other_words=other_words,
        plain_stanzas=plain,
        refrains=shared_refrains(stanzas, end_q),
        annotations=_annotations(tracks),
        tune=heading.tune,
        metre=heading.metre,
        credits=heading.credits,
        quarter_bpm=tune.bpm,
        remarks=(
            *tune.remarks,
            *_silent(tune.tracks, tracks),
            *_passed_over(tracks, called),
            *apart(called, bars, found),
            *_misfits(tracks, called, found),
            *_out_of_number(numbers, stanzas),
        ),
    )


def _sings(track: VoiceTrack) -> bool:
    return any(event.pitches for event in track.reader.events)


def _clef_of(rows: Sequence[tuple[int, VoiceTrack]], staff: int) -> str:
    """The clef another voice of the staff asks for, else one that suits its pitches."""
    same = [track for number, track in rows if number == staff]
    said = next((track.said.clef for track in same if track.said.clef), "")
    if said:
        return said
    pitches = [p.midi for t in same for event in t.reader.events for p in event.pitches]
    return "treble" if sum(pitches) >= 60 * len(pitches) else "bass"


def _times(tracks: Sequence[VoiceTrack]) -> tuple[TimeChange, ...]:
    changes: dict[Fraction, TimeChange] = {}
    for track in tracks:
        for change in track.reader.times:
            changes.setdefault(change.onset_q, change)
    return tuple(changes[onset_q] for onset_q in sorted(changes))


def _keys(tracks: Sequence[VoiceTrack]) -> tuple[KeyChange, ...]:
    changes: dict[Fraction, KeyChange] = {}
    for track in tracks:
        for change in track.reader.keys:
            changes.setdefault(change.onset_q, change)
    return tuple(changes[onset_q] for onset_q in sorted(changes))


def _annotations(tracks: Sequence[VoiceTrack]) -> tuple[Annotation, ...]:
    found = {note for track in tracks for note in track.reader.annotations}
    return tuple(Annotation(onset_q, text) for onset_q, text in sorted(found))


def _words(
    tracks: Sequence[VoiceTrack], called: Sequence[str]
) -> tuple[tuple[Stanza, ...], tuple[Stanza, ...]]:
    """Stanzas under the first voice that has words, and those under the others."""
    found = [
        track.layer.stanzas(track.reader.events, name)
        for track, name in zip(tracks, called, strict=True)
    ]
    found = [stanzas for stanzas in found if stanzas]
    if not found:
        return (), ()
    return found[0], tuple(stanza for stanzas in found[1:] for stanza in stanzas)


def _silent(all_tracks: dict[str, VoiceTrack], sung: Sequence[VoiceTrack]) -> list[Remark]:
    return [
        Remark("this voice has no notes; it is left out.", Place(voice=ident))
        for ident, track in all_tracks.items()
        if track not in sung
    ]


def _passed_over(tracks: Sequence[VoiceTrack], called: Sequence[str]) -> list[Remark]:
    remarks = []
    for track, name in zip(tracks, called, strict=True):
        reader = track.reader
        if reader.unknown:
            shown = " ".join(dict.fromkeys(reader.unknown[:40]))[:60]
            text = f"{len(reader.unknown)} signs are no ABC music and are passed over: {shown}"
            remarks.append(Remark(text, Place(voice=name)))
        if reader.open_slurs:
            remarks.append(Remark("a slur is opened and never closed.", Place(voice=name)))
        if reader.lost_graces:
            text = "grace notes after the last note belong to none and are left out."
            remarks.append(Remark(text, Place(voice=name)))
    return remarks


def _misfits(
    tracks: Sequence[VoiceTrack], called: Sequence[str], found: Sequence[Measure]
) -> list[Remark]:
    remarks = []
    for track, name in zip(tracks, called, strict=True):
        for misfit in track.layer.misfits:
            measure = [m for m in found if m.onset_q <= misfit.onset_q][-1]
            text = (
                f"{len(misfit.texts)} more syllables than notes in this line, "
                f'left out: "{" ".join(misfit.texts)}".'
            )
            remarks.append(Remark(text, Place(measure.number, name, misfit.stanza)))
    return remarks


def _out_of_number(numbers: Sequence[int | None], stanzas: Sequence[Stanza]) -> list[Remark]:
    """Stanzas apart from the music are counted on; say where the print numbers otherwise."""
    first = max((stanza.number for stanza in stanzas), default=0) + 1
    return [
        Remark(f"the stanza printed as number {number} is counted as stanza {first + index}.")
        for index, number in enumerate(numbers)
        if number is not None and number != first + index
    ]
