"""Part sheets: each hand alone, the pedal alone, and every pair, with fingers, feet and lifts.

The melody has the words of the first stanza under it, so that its hand breathes with them.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import replace
from fractions import Fraction
from itertools import combinations

from suspirium.plan.model import LeadingPlan
from suspirium.render.caution import above_caution, with_caution
from suspirium.render.engrave.figures import figures_of
from suspirium.render.engrave.sheet import (
    OVERHANG_LEFT_MM,
    OVERHANG_RIGHT_MM,
    Engraver,
    Sheet,
    underlaid,
)
from suspirium.render.engrave.staffing import Staffing
from suspirium.render.fingering import signs
from suspirium.render.layout import AREA, WIDTH_MM, Area, Block, paginate, place
from suspirium.render.page import least_scale
from suspirium.render.texts import heading
from suspirium.render.typeset import Item, measure_mm, set_pages
from suspirium.render.typography import curly_prose
from suspirium.score.model import Hymn, Note, Stanza, Voice
from suspirium.technique import Technique
from suspirium.technique.model import Plays
from suspirium.technique.show import Show, shown

NAMES: dict[Plays, str] = {"right": "right hand", "left": "left hand", "pedal": "pedal"}
_AREA = Area(AREA.several_mm, AREA.several_mm)  # every page has its number at the foot
_CLEFS: dict[Plays, str] = {"right": "G", "left": "F", "pedal": "F"}


def part_sheets(plan: LeadingPlan, technique: Technique, show: Show = "all") -> bytes:
    """One PDF: a page or more for each player alone and for each pair of them."""
    title = curly_prose(plan.hymn.title or "Hymn")
    return set_pages(title, part_pages(plan, technique, show), "pdf")[0]


def part_pages(plan: LeadingPlan, technique: Technique, show: Show = "all") -> list[list[Item]]:
    """What stands on each page of the part sheets."""
    parts = parts_of(technique)
    return [page for part in parts for page in _pages(plan, technique, part, show)]


def parts_of(technique: Technique) -> list[tuple[Plays, ...]]:
    """Who plays on each sheet: one alone, then pairs; all of them are the marked score."""
    playing = [plays for plays in NAMES if any(note.plays == plays for note in technique.notes)]
    most = min(2, len(playing) - 1)
    return [part for count in range(1, most + 1) for part in combinations(playing, count)]


def _pages(
    plan: LeadingPlan, technique: Technique, players: Sequence[Plays], show: Show
) -> Iterator[list[Item]]:
    part = Part(plan, technique, players, show)
    named = " and ".join(NAMES[p] for p in players).capitalize()
    head: Item = {**heading(plan), "tune": named, "width": WIDTH_MM, "x": 0.0, "y": 0.0}
    legend = signs(part.figures)
    area = above_caution(_AREA, legend)
    for scale in (1.0, least_scale()):  # a little smaller where that saves a page
        sheet = part.sheet(scale)
        music = [Block("system", s.height_mm * scale, n) for n, s in enumerate(sheet.systems)]
        pages = paginate([Block("heading", measure_mm([head])[0]), *music], area).pages
        if len(pages) == 1:
            break
    for page in pages:
        placed = place(page, area.several_mm)
        items = [{**_item(sheet, scale, head, p.block), "y": p.y_mm} for p in placed]
        yield with_caution(items, _AREA.several_mm, legend)


def _item(sheet: Sheet, scale: float, head: Item, block: Block) -> Item:
    if block.kind == "system":
        system = sheet.systems[block.index]
        return {"kind": "system", "svg": system.svg, "width": system.width_mm * scale, "x": 0.0}
    return head


class Part:
    """The music of these players on a staff each, with its lifts, to be engraved at any size."""

    def __init__(
        self,
        plan: LeadingPlan,
        technique: Technique,
        players: Sequence[Plays],
        show: Show = "all",
    ) -> None:
        voices, staves = _voices(plan.hymn, technique, players)
        names = {voice.name for voice in voices} | {"all"}
        self.hymn = replace(
            plan.hymn,
            voices=voices,
            stanzas=_words(plan.hymn) if _leader(plan.hymn, technique) in players else (),
            other_words=(),
            plain_stanzas=(),
        )
        touches = tuple(touch for touch in plan.touches if touch.voice in names)
        own = [note for note in technique.notes if note.plays in players]
        starts_q = sorted({phrase.first_onset_q for phrase in plan.phrases})
        self.figures = figures_of(shown(own, show, starts_q), plan.hymn, players)
        led = replace(plan, hymn=self.hymn, touches=touches)
        self._engraver = Engraver(led, self.figures, staves=staves)

    def sheet(self, scale: float = 1.0) -> Sheet:
        """Engraved as wide as the page is for music at `scale`."""
        width_mm = WIDTH_MM / scale - OVERHANG_LEFT_MM - OVERHANG_RIGHT_MM
        best = min(self._engraver.breakings(width_mm), key=lambda breaking: breaking.cost)
        return self._engraver.sheet(best.starts_q, width_mm)


def _leader(hymn: Hymn, technique: Technique) -> Plays | None:
    """Who plays the melody, or the most of it."""
    who = Counter(note.plays for note in technique.notes if hymn.melody.name in note.voices)
    return who.most_common(1)[0][0] if who else None


def _words(hymn: Hymn) -> tuple[Stanza, ...]:
    """The first words of every note: one line of them."""
    first = underlaid(hymn, 1)
    return tuple(stanza for stanza in hymn.stanzas if stanza.number in first)


def _voices(
    hymn: Hymn, technique: Technique, players: Sequence[Plays]
) -> tuple[tuple[Voice, ...], Staffing]:
    """The voices of each player, from the top staff down; a voice that changes hands is in
    both, silent where the other plays it."""
    voices: list[Voice] = []
    staves: list[tuple[int, ...]] = []
    for player in players:
        own = [part for voice in hymn.voices if (part := _own(voice, technique, player))]
        staves.append(tuple(range(len(voices), len(voices) + len(own))))
        voices.extend(_rests_shown(own))
    return tuple(voices), Staffing(tuple(staves), tuple(_CLEFS[player] for player in players))


def _rests_shown(voices: Sequence[Voice]) -> Iterator[Voice]:
    """A staff on which nothing sounds shows the rest of its fullest voice."""
    fullest = max(range(len(voices)), key=lambda i: sum(bool(n.pitches) for n in voices[i].notes))
    for index, voice in enumerate(voices):
        others = [n for i, other in enumerate(voices) if i != index for n in other.notes]
        sounding = [n for n in others if n.pitches]
        notes = tuple(
            replace(note, hidden=False)
            if index == fullest and note.is_rest and not _meets(note, sounding)
            else note
            for note in voice.notes
        )
        yield replace(voice, notes=notes)


def _meets(note: Note, others: Sequence[Note]) -> bool:
    return any(n.onset_q < note.end_q and note.onset_q < n.end_q for n in others)


def _own(voice: Voice, technique: Technique, player: Plays) -> Voice | None:
    """What `player` plays of a voice; None for nothing."""
    hands = _hands(voice, technique)
    kept: list[Note] = []
    for note in voice.notes:
        pitches = tuple(p for p in note.pitches if hands[note.onset_q, p.midi] == player)
        kept.append(replace(note, pitches=pitches) if pitches or note.is_rest else _silent(note))
    if not any(note.pitches for note in kept):
        return None
    return replace(voice, notes=tuple(_untied(kept)))


def _hands(voice: Voice, technique: Technique) -> dict[tuple[Fraction, int], Plays]:
    """Who plays each note of a voice.

    A note that strikes no key of its own is held by whoever struck it, or belongs to
    whoever plays most of the voice.
    """
    own = [note for note in technique.notes if voice.name in note.voices]
    struck = {(note.written_q, note.midi_pitch): note.plays for note in own}
    usual: Plays = Counter(note.plays for note in own).most_common(1)[0][0] if own else "right"
    found: dict[tuple[Fraction, int], Plays] = {}
    last: dict[int, Plays] = {}
    for note in voice.notes:
        for midi in (pitch.midi for pitch in note.pitches):
            plays = struck.get((note.onset_q, midi), last.get(midi, usual))
            found[note.onset_q, midi] = last[midi] = plays
        last = {pitch.midi: last[pitch.midi] for pitch in note.pitches}
    return found


def _silent(note: Note) -> Note:
    """A hidden rest in place of a note."""
    return Note(note.onset_q, note.duration_q, hidden=True, tuplet=note.tuplet)


def _untied(notes: Sequence[Note]) -> Iterator[Note]:
    """Ties and slurs only where both their notes are here."""
    for note, following in zip(notes, [*notes[1:], None], strict=True):
        sounds_on = following is not None and bool(set(note.pitches) & set(following.pitches))
        yield replace(note, tied=note.tied and sounds_on)
