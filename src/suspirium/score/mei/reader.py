"""`read_score`: a hymn from MusicXML, MEI or Humdrum kern."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from lxml import etree

from suspirium.errors import Place, Remark, ScoreError
from suspirium.score.mei.bars import Score, read_bars
from suspirium.score.mei.chords import take_apart
from suspirium.score.mei.converter import Conversion, to_mei
from suspirium.score.mei.four import choose_four
from suspirium.score.mei.header import Header, mei_header, musicxml_header
from suspirium.score.mei.losses import remarks_on, unreadable
from suspirium.score.mei.marks import Marks, read_marks
from suspirium.score.mei.source import Source, open_source
from suspirium.score.mei.strands import Strand, lacking, strands_of
from suspirium.score.mei.voices import as_voice, take_breaths
from suspirium.score.mei.words import renumbered, stanzas_of
from suspirium.score.model import Hymn, Stanza, Voice
from suspirium.score.naming import FOUR_PARTS, part_names
from suspirium.score.words import shared_refrains


def read_score(data: bytes, name: str) -> Hymn:
    """The hymn in a MusicXML (also compressed), MEI or kern file called `name`.

    What was left out or guessed is in its remarks. Raises `ScoreError` where there is no
    score with notes.
    """
    source = open_source(data, name)
    conversion = to_mei(source.kind, source.text)
    mei = _parsed(conversion, name)
    scores = [
        score for score in mei.iter("{*}score") if next(score.iter("{*}measure"), None) is not None
    ]
    header = _header(source, mei, name)
    score = read_bars(scores[0]) if scores else Score()
    strands, remarks = _strands(score, header)
    if not strands:
        raise ScoreError(f"{name} holds no notes: is it the right file, and complete?")
    if len(scores) > 1:
        remarks.append(Remark(f"{name} holds {len(scores)} scores; this is the first."))
    remarks.extend((*source.remarks, *remarks_on(conversion.log)))
    return _hymn(score, strands, header, remarks, scores[0])


def _parsed(conversion: Conversion, name: str) -> etree._Element:
    try:
        return etree.fromstring(conversion.mei.encode())
    except etree.XMLSyntaxError as error:
        raise unreadable(conversion.log, name) from error


def _header(source: Source, mei: etree._Element, name: str) -> Header:
    if source.kind == "musicxml" and source.tree is not None:
        return musicxml_header(source.tree, name)
    return mei_header(mei, name)


def _strands(score: Score, header: Header) -> tuple[list[Strand], list[Remark]]:
    """At most four strands from the top, those written as chords taken apart.

    Where the source names as many voices as there are strands, chords are left alone.
    """
    by_staff = [strands_of(staff, score.bars) for staff in score.staves]
    by_staff = [strands for strands in by_staff if strands]
    count = sum(len(strands) for strands in by_staff)
    if len(header.voices) == count:
        return [strand for strands in by_staff for strand in strands], []
    last = len(by_staff) - 1
    found = [
        strand
        for place, strands in enumerate(by_staff)
        for strand in take_apart(strands, lowest=0 < place == last)
    ]
    if len(found) <= len(FOUR_PARTS):
        return found, []
    return choose_four(found, {staff: said.label for staff, said in score.staves.items()})


def _hymn(
    score: Score,
    strands: list[Strand],
    header: Header,
    remarks: list[Remark],
    element: etree._Element,
) -> Hymn:
    marks = read_marks(score.bars, next(element.iterchildren("{*}scoreDef"), None))
    marks.slurs.extend(score.slurs)
    take_breaths(strands, marks)
    voices = _voices(score, strands, header, marks)
    words = [stanzas_of(strand, voice) for strand, voice in zip(strands, voices, strict=True)]
    end_q = score.bars[-1].end_q
    return Hymn(
        title=header.title,
        voices=voices,
        measures=score.measures,
        times=tuple(score.signatures.times),
        keys=tuple(score.signatures.keys),
        stanzas=words[0],
        other_words=tuple(stanza for stanzas in words[1:] for stanza in stanzas),
        plain_stanzas=header.plain_stanzas,
        refrains=shared_refrains(words[0], end_q),
        annotations=tuple(marks.annotations),
        tune=header.tune,
        metre=header.metre,
        credits=header.credits,
        quarter_bpm=marks.quarter_bpm,
        remarks=(*remarks, *_remarks(score, strands, voices, words, marks)),
    )


def _voices(
    score: Score, strands: Sequence[Strand], header: Header, marks: Marks
) -> tuple[Voice, ...]:
    staves = list(dict.fromkeys(strand.staff for strand in strands))
    said = [score.staves[strand.staff] for strand in strands]
    clefs = [definition.clef for definition in said]
    names = list(header.voices)
    if len(names) != len(strands):
        names = part_names([definition.label for definition in said], clefs)
    return tuple(
        as_voice(strand, name, staves.index(strand.staff), clef, marks)
        for strand, name, clef in zip(strands, names, clefs, strict=True)
    )


def _remarks(
    score: Score,
    strands: Sequence[Strand],
    voices: Sequence[Voice],
    words: Sequence[tuple[Stanza, ...]],
    marks: Marks,
) -> Iterator[Remark]:
    seen: set[str] = set()
    for strand, voice in zip(strands, voices, strict=True):
        if strand.staff not in seen:
            seen.add(strand.staff)
            if not score.staves[strand.staff].agrees(score.signatures.keys[0]):
                text = "the key signature is not that of most voices; theirs is kept."
                yield Remark(text, Place(voice=voice.name))
            yield from lacking(strand.staff, score.bars, voice.name)
    if score.unvalued:
        yield Remark(f"{score.unvalued} notes have no written length; each counts as a quarter.")
    if score.unpitched_q:
        count, first_q = len(score.unpitched_q), score.unpitched_q[0]
        text = "a note has no pitch" if count == 1 else f"{count} notes from here on have no pitch"
        bar = next(bar for bar in score.bars if first_q < bar.end_q)
        yield Remark(f"{text} that can be read; rests fill up.", Place(measure=bar.stretch.said))
    for said, number in renumbered(strands[0]):
        yield Remark(
            f"the stanza printed as number {said} is counted as stanza {number}: lines of "
            "words without a number may be those of a repeat."
        )
    for jump in marks.jumps:
        yield Remark(f'"{jump.text}" is printed but not followed: write the repeat out.')
    if not words[0] and any(words):
        where = next(voice.name for voice, found in zip(voices, words, strict=True) if found)
        yield Remark(f"No words stand under the melody; those under the {where} are kept apart.")
