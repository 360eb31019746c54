"""MusicXML as the program writes it, held against the standard and another reader.

References: the W3C MusicXML schema of the version it declares, 4.0
(https://www.w3.org/2021/06/musicxml40/, a copy comes with the library "musicxml", MIT
licence), and music21's MusicXML parser (https://www.music21.org, BSD licence).
"""

from __future__ import annotations

from fractions import Fraction
from importlib.util import find_spec
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from lxml import etree

from suspirium.score.model import Hymn, Voice
from suspirium.score.musicxml import write_musicxml
from suspirium.score.reading import read
from tests.conftest import HYMNS, PARISH
from tests.strategies import hymns

music21 = pytest.importorskip("music21")

LIBRARY = find_spec("musicxml")
# The two schemas that the standard's imports from the web, as far as it uses them.
XML_NAMES = """<xs:schema xmlns:xs="http://www.w3.org/2001/XMLSchema"
 targetNamespace="http://www.w3.org/XML/1998/namespace">
<xs:attribute name="lang" type="xs:language"/><xs:attribute name="space" type="xs:NCName"/>
</xs:schema>"""
LINK_NAMES = (
    '<xs:schema xmlns:xs="http://www.w3.org/2001/XMLSchema" '
    'targetNamespace="http://www.w3.org/1999/xlink">'
    + "".join(
        f'<xs:attribute name="{name}" type="xs:string"/>'
        for name in ("href", "type", "role", "title", "show", "actuate")
    )
    + "</xs:schema>"
)
PARISH_SCORES = sorted(PARISH.glob("*.abc"))


class _Imports(etree.Resolver):
    def resolve(self, url, public_id, context):
        if url.endswith("/xml.xsd"):
            return self.resolve_string(XML_NAMES, context)
        if url.endswith("/xlink.xsd"):
            return self.resolve_string(LINK_NAMES, context)
        return None


@pytest.fixture(scope="module")
def schema() -> etree.XMLSchema:
    if LIBRARY is None or LIBRARY.origin is None:
        pytest.skip("the library that brings the schema is absent: musicxml")
    path = Path(LIBRARY.origin).parent / "generate_classes" / "musicxml_4_0.xsd"
    parser = etree.XMLParser()
    parser.resolvers.add(_Imports())
    return etree.XMLSchema(etree.parse(str(path), parser))


def tree(hymn: Hymn) -> etree._Element:
    return etree.fromstring(write_musicxml(hymn))


def parish_hymn(path: Path) -> Hymn:
    return read(path.read_bytes(), path.name)


def test_the_schema_refuses_what_is_wrong(schema):
    score = tree(parish_hymn(PARISH_SCORES[0]))
    note = next(score.iter("note"))
    note.append(note.find("voice"))
    assert not schema.validate(score)


def test_the_version_declared_is_that_of_the_schema():
    assert tree(parish_hymn(PARISH_SCORES[0])).get("version") == "4.0"


@pytest.mark.parametrize("path", PARISH_SCORES, ids=lambda path: path.stem)
def test_demo_scores_keep_to_the_schema(path, schema):
    schema.assertValid(tree(parish_hymn(path)))


@given(hymn=hymns())
@settings(max_examples=60, deadline=None, suppress_health_check=list(HealthCheck))
def test_any_hymn_keeps_to_the_schema(schema, hymn):
    schema.assertValid(tree(hymn))


def test_real_hymns_keep_to_the_schema(schema, hymn_labels):
    wrong = {
        path.stem: schema.error_log.last_error
        for path in sorted(HYMNS.glob("*.abc"))
        if not schema.validate(tree(parish_hymn(path)))
    }
    assert wrong == {}


def _parsed(hymn: Hymn):
    return music21.converter.parseData(write_musicxml(hymn).decode(), format="musicxml")


def _q(value: float) -> Fraction:
    return Fraction(value).limit_denominator(96)


def _by_voice(score) -> list[list[tuple[Fraction, Fraction, tuple[int, ...]]]]:
    """Onset, length and keys of the notes of each voice, by its number in the file."""
    found: dict[tuple[int, str], list] = {}
    for place, part in enumerate(score.parts):
        for measure in part.getElementsByClass("Measure"):
            for holder in measure.voices or [measure]:
                for note in holder.notes:
                    if note.duration.isGrace:
                        continue
                    onset = _q(measure.offset + note.getOffsetInHierarchy(measure))
                    keys = tuple(sorted(pitch.midi for pitch in note.pitches))
                    name = (place, str(getattr(holder, "id", "")))
                    found.setdefault(name, []).append((onset, _q(note.quarterLength), keys))
    return [sorted(notes) for _, notes in sorted(found.items())]


def _own(voice: Voice) -> list[tuple[Fraction, Fraction, tuple[int, ...]]]:
    return [
        (note.onset_q, note.duration_q, tuple(pitch.midi for pitch in note.pitches))
        for note in voice.notes
        if note.pitches
    ]


@pytest.mark.parametrize("path", PARISH_SCORES, ids=lambda path: path.stem)
def test_music21_reads_the_same_notes(path):
    hymn = parish_hymn(path)
    assert _by_voice(_parsed(hymn)) == [_own(voice) for voice in hymn.voices]


@pytest.mark.parametrize("path", PARISH_SCORES, ids=lambda path: path.stem)
def test_music21_reads_the_same_words(path):
    hymn = parish_hymn(path)
    found = {
        (lyric.number, _q(note.getOffsetInHierarchy(part)), lyric.text)
        for part in _parsed(hymn).parts
        for note in part.recurse().notes
        for lyric in note.lyrics
        if lyric.text
    }
    assert found == {
        (stanza.number, syllable.onset_q, syllable.text)
        for stanza in (*hymn.stanzas, *hymn.other_words)
        for syllable in stanza.syllables
    }


@pytest.mark.parametrize("path", PARISH_SCORES, ids=lambda path: path.stem)
def test_music21_reads_the_same_signatures(path):
    hymn = parish_hymn(path)
    part = _parsed(hymn).parts[0]
    times = [sign.ratioString for sign in part.recurse().getElementsByClass("TimeSignature")]
    keys = [sign.sharps for sign in part.recurse().getElementsByClass("KeySignature")]
    assert times == [str(change.time) for change in hymn.times]
    assert keys == [change.fifths for change in hymn.keys]
