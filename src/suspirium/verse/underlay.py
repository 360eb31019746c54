"""Underlay: stanzas of plain text laid under the tune, and what does not fit told."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import pairwise
from math import inf

from suspirium.errors import Place, Remark
from suspirium.score.model import Hymn, Stanza, Syllable
from suspirium.score.turns import stanza_numbers
from suspirium.score.words import shared_refrains
from suspirium.tables import load
from suspirium.verse.fit import Item, Placed, fit
from suspirium.verse.junction import junction_costs
from suspirium.verse.languages import language_of
from suspirium.verse.readings import readings, usual
from suspirium.verse.slots import Lines, Slot, slots_of
from suspirium.verse.split import split
from suspirium.verse.words import Word, words_of


@dataclass(frozen=True, slots=True)
class LaidLine:
    """How one printed line of text fits its notes.

    `syllables` is its usual count, `notes` how many syllables the pattern has for it. Where
    `fits` is False the line is laid as well as may be all the same; `doubts` say in words
    what is unusual, also in a line that fits.
    """

    number: int
    text: str
    syllables: int
    notes: int
    fits: bool
    doubts: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Laid:
    """A stanza with its words under the notes, and its lines as far as they tell something."""

    stanza: Stanza
    lines: tuple[LaidLine, ...]
    language: str

    @property
    def remarks(self) -> tuple[Remark, ...]:
        """One remark for each line that does not fit."""
        return tuple(
            Remark(
                f"the line “{line.text}” has {line.syllables} syllables, and the tune has "
                f"{line.notes} notes for it ({'; '.join(line.doubts)}); set it by hand.",
                Place(stanza=self.stanza.number, line=line.number),
            )
            for line in self.lines
            if not line.fits
        )


def lay_stanza(
    hymn: Hymn, text: Sequence[str], number: int, lines: Lines, language: str | None = None
) -> Laid:
    """The stanza whose printed lines are `text`, under the melody of `hymn`.

    `lines` are the lines of the tune as onsets of first and last note; the words already
    under the notes are the pattern, without any the slurs are. The `language` is told from the
    text where it is None.
    """
    tongue = language or language_of(text)
    rows = [words_of(line) for line in text]
    slots = slots_of(hymn, lines)
    words = [word for row in rows for word in row]
    placed = fit(_items(rows, tongue), slots)
    syllables = tuple(_syllables(words, placed, slots, tongue))
    told = _lines(text, rows, placed, slots, tongue)
    return Laid(Stanza(number, syllables, hymn.melody.name), tuple(told), tongue)


def lay_stanzas(
    hymn: Hymn,
    texts: Sequence[Sequence[str]],
    lines: Lines,
    language: str | None = None,
    numbers: Sequence[int] = (),
) -> tuple[Hymn, tuple[Laid, ...]]:
    """The hymn with further stanzas under its notes, and how each fits.

    Without `numbers` they count on after the stanzas under the notes; a number already
    there takes that stanza's place.
    """
    tongue = language or language_of([line for text in texts for line in text])
    if not numbers:
        first = max((stanza.number for stanza in hymn.stanzas), default=0) + 1
        numbers = range(first, first + len(texts))
    laid = tuple(
        lay_stanza(hymn, text, number, lines, tongue)
        for text, number in zip(texts, numbers, strict=True)
    )
    fresh = {one.stanza.number: one.stanza for one in laid if one.stanza.syllables}
    kept = [stanza for stanza in hymn.stanzas if stanza.number not in fresh]
    stanzas = tuple(sorted([*kept, *fresh.values()], key=lambda stanza: stanza.number))
    refrains = shared_refrains(stanzas, hymn.end_q)
    return replace(hymn, stanzas=stanzas, refrains=refrains), laid


def lay_plain_stanzas(hymn: Hymn, lines: Lines) -> tuple[Hymn, tuple[Laid, ...]]:
    """The hymn with its `plain_stanzas` under the notes, none printed apart any more.

    Stanzas of which a line does not fit are laid too; `Laid.remarks` tell them.
    """
    if not hymn.plain_stanzas:
        return hymn, ()
    numbers = stanza_numbers(hymn)[len(hymn.stanzas) :]
    full, laid = lay_stanzas(hymn, hymn.plain_stanzas, lines, None, numbers)
    return replace(full, plain_stanzas=()), laid


def _items(rows: Sequence[Sequence[Word]], language: str) -> list[Item]:
    items: list[Item] = []
    before: Word | None = None
    for row in rows:
        for place, word in enumerate(row):
            joined, apart = (inf, 0.0)
            if before is not None and place:
                joined, apart = junction_costs(before.sung, word.sung, language)
            items.append(Item(readings(word.sung, language), place == 0, joined, apart))
            before = word
    return items


def _syllables(
    words: Sequence[Word], placed: Sequence[Placed], slots: Sequence[Slot], language: str
) -> list[Syllable]:
    """One `Syllable` a note; syllables that share a note stand in one."""
    found: list[tuple[int, str, bool]] = []
    for word, where in zip(words, placed, strict=True):
        parts = split(word.printed, len(where.notes), language)
        for index, (part, note) in enumerate(zip(parts, where.notes, strict=False)):
            joins = index < len(parts) - 1
            if found and found[-1][0] == note:
                gap = "" if found[-1][2] else " "
                found[-1] = (note, f"{found[-1][1]}{gap}{part}", joins)
            else:
                found.append((note, part, joins))
    after = [note for note, _, _ in found[1:]] + [len(slots)]
    return [
        Syllable(slots[note].onset_q, _end(slots, note, following), text, joins)
        for (note, text, joins), following in zip(found, after, strict=True)
    ]


def _end(slots: Sequence[Slot], note: int, following: int) -> Fraction:
    """Until where a syllable is sung: over the notes of its melisma, not over a rest."""
    end = slots[note].end_q
    for slot in slots[note + 1 : following]:
        if slot.onset_q != end or (slot.expected and slot.opens):
            break
        end = slot.end_q
    return end


def _lines(
    text: Sequence[str],
    rows: Sequence[Sequence[Word]],
    placed: Sequence[Placed],
    slots: Sequence[Slot],
    language: str,
) -> list[LaidLine]:
    bounds = [0]
    for row in rows:
        bounds.append(bounds[-1] + len(row))
    if not placed:
        return []
    firsts = [placed[start].notes[0] for start, end in pairwise(bounds) if end > start]
    told: list[LaidLine] = []
    seen = 0
    for number, (row, (start, end)) in enumerate(zip(rows, pairwise(bounds), strict=True), 1):
        if not row:
            continue
        seen += 1
        first = _line_start(slots, firsts[seen - 1], placed[start - 1].notes[-1] if start else -1)
        until = (
            _line_start(slots, firsts[seen], placed[end - 1].notes[-1])
            if seen < len(firsts)
            else _text_end(slots, placed[end - 1].notes[-1])
        )
        told.append(
            _line(number, text[number - 1], row, placed[start:end], slots[first:until], first,
                  language)
        )  # fmt: skip
    return told


def _line_start(slots: Sequence[Slot], first: int, after: int) -> int:
    """Where the notes for a line begin: at the start of its line of the tune, if free."""
    start = first
    while (
        start > after + 1 and not slots[start].opens and slots[start - 1].line == slots[start].line
    ):
        start -= 1
    return start


def _text_end(slots: Sequence[Slot], last: int) -> int:
    """One past the last note of the line of the tune in which the words end."""
    end = last + 1
    while end < len(slots) and not slots[end].opens:
        end += 1
    return end


def _line(
    number: int,
    text: str,
    row: Sequence[Word],
    placed: Sequence[Placed],
    slots: Sequence[Slot],
    first: int,
    language: str,
) -> LaidLine:
    table = load("underlay")
    used: list[int] = [note for where in placed for note in where.notes]
    lines = {slots[note - first].line for note in used if 0 <= note - first < len(slots)}
    sounding = [slot for slot in slots if slot.line in lines]
    expected = sum(slot.expected for slot in sounding)
    begun = {note - first for note in used}
    unsung = [
        index
        for index, slot in enumerate(slots)
        if slot.line in lines and slot.passes >= table.number("doubt.from") and index not in begun
    ]
    joins = sum(where.joined for where in placed)
    squeezed = len(used) - len(set(used)) - joins
    divided = sum(
        slots[i].begins >= table.number("doubt.from") for i in begun if 0 <= i < len(slots)
    )
    rare = [
        word.printed.strip(".,;:!?")
        for word, where in zip(row, placed, strict=True)
        if where.cost >= table.number("doubt.from")
    ]
    doubts: list[str] = []
    if unsung:
        doubts.append(_many(len(unsung), "note is left without", "notes are left without"))
    if squeezed > 0:
        doubts.append(_many(squeezed, "syllable has no note of its own", "syllables have none"))
    if divided:
        doubts.append(_many(divided, "slur is parted", "slurs are parted"))
    if joins:
        doubts.append(_many(joins, "elision", "elisions"))
    doubts.extend(f"“{word}” in an unusual number of syllables" for word in rare)
    count = sum(usual(word.sung, language) for word in row)
    return LaidLine(number, text, count, expected, not unsung and squeezed <= 0, tuple(doubts))


def _many(count: int, one: str, many: str) -> str:
    return f"{count} {one if count == 1 else many}"
