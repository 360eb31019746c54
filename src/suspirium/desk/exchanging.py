"""Tune exchange: the tunes of the library that fit a text, and a text laid under another tune."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

from suspirium.desk.hymnal import card_values, hymn_number
from suspirium.errors import LibraryError
from suspirium.plan.lines import lines_of
from suspirium.repertoire.alike import likenesses
from suspirium.repertoire.exchange import TuneFacts, fit
from suspirium.score.model import Credit
from suspirium.score.musicxml.writer import write_musicxml
from suspirium.score.reading import read
from suspirium.store import write_whole
from suspirium.store.hymnal import Query, by_id, find, stored_melody
from suspirium.store.library import Library
from suspirium.store.schema import HymnRow
from suspirium.tables import load
from suspirium.verse.languages import language_of
from suspirium.verse.underlay import lay_stanzas
from suspirium.verse.words import words_of


def _tune(row: HymnRow) -> TuneFacts:
    beats = tuple(line for line in row.beats.split(".") if line)
    return TuneFacts(row.metre, beats, row.low_midi, row.high_midi, row.mode)


def _hymn(row: HymnRow) -> TuneFacts:
    stanzas = tuple(
        tuple(tuple(word.sung for word in words_of(line)) for line in stanza.words.splitlines())
        for stanza in row.stanzas
    )
    return replace(_tune(row), stanzas=stanzas)


def _language(row: HymnRow) -> str:
    return language_of([stanza.words for stanza in row.stanzas])


def exchange(library: Library, name: str) -> list[dict[str, Any]]:
    """The other tunes in the library to which the words of a hymn can be sung, best first.

    Hymns with the same tune are told once, the first of them.
    """
    number = hymn_number(library, name)
    least = load("repertoire").number("alike.least")
    with library.session() as session:
        mine = by_id(session, number)
        found = []
        heard = [stored_melody(mine)]
        words, language = _hymn(mine), _language(mine)
        for row in find(session, Query(), melodies=True):
            if row.id == number or (one := fit(words, _tune(row), language)) is None:
                continue
            melody = stored_melody(row)
            if max(likenesses(melody, heard)) >= least:
                continue
            heard.append(melody)
            values = {"cost": round(one.cost, 3), "reason": one.reason}
            found.append(card_values(row) | values | {"stanzas_together": one.stanzas_together})
    return sorted(found, key=lambda values: (values["cost"], values["title"]))


def take_tune(library: Library, name: str, tune: str, out: Path) -> tuple[str, ...]:
    """Lays the words of one hymn under the tune of another and writes the score as MusicXML;
    what does not fit is given back in words. `LibraryError` where the metres differ."""
    numbers = hymn_number(library, name), hymn_number(library, tune)
    with library.session() as session:
        words, music = (by_id(session, number, score=True) for number in numbers)
        found = fit(_hymn(words), _tune(music))
        if found is None:
            raise LibraryError(
                f"{words.title} ({words.metre or 'metre unknown'}) does not fit "
                f"{music.tune or music.title} ({music.metre or 'metre unknown'})"
            )
        stanzas = [stanza.words.splitlines() for stanza in words.stanzas]
        hymn = read(music.score, music.file_name)
        credits = {right.part: right.credit for right in words.rights if right.credit}
        title, tune_name = words.title, music.tune or music.title
    step = found.stanzas_together
    texts = [
        [line for stanza in stanzas[at : at + step] for line in stanza]
        for at in range(0, len(stanzas), step)
    ]
    lines = [(span.first_onset_q, span.last_onset_q) for span in lines_of(hymn)]
    bare = replace(hymn, stanzas=(), plain_stanzas=(), refrains=(), title=title, tune=tune_name)
    pattern = replace(hymn, stanzas=hymn.stanzas[:1], plain_stanzas=())
    full, laid = lay_stanzas(pattern, texts, lines, None, range(1, len(texts) + 1))
    kept = tuple(c for c in hymn.credits if c.role not in ("words", "title"))
    own = (Credit("words", credits["words"]),) if "words" in credits else ()
    done = replace(bare, stanzas=full.stanzas, refrains=full.refrains, credits=(*own, *kept))
    write_whole(out, write_musicxml(done))
    return tuple(str(remark) for one in laid for remark in one.remarks)
