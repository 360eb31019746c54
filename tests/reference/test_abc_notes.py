"""Notes of ABC voices against music21, a reference library with an ABC reader of its own.

It reads one voice at a time and lets no accidental hold on in its bar, so steps, octaves
and lengths are compared, and the accidentals that are written. On the hymns of the shared
folder (see `test_shared_hymns`); skipped where it is absent.
"""

from __future__ import annotations

import re

import pytest
from music21 import converter

from suspirium.score.reading import read
from tests.conftest import HYMNS

FILES = sorted(HYMNS.glob("*.abc"))[::6] if HYMNS.is_dir() else []
VOICES = ("S1V1", "S1V2", "S2V1", "S2V2")
Heard = list[tuple[str, int, float]]


@pytest.mark.skipif(not FILES, reason="the folder of real hymns is absent")
@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_steps_octaves_and_lengths(path):
    text = path.read_text("utf-8")
    hymn = read(text.encode(), path.name)
    for voice, ident in zip(hymn.voices, VOICES, strict=True):
        ours = [
            (n.pitches[-1].step, n.pitches[-1].octave, float(n.duration_q))
            for n in voice.notes
            if n.pitches
        ]
        assert ours == theirs(text, ident)


def theirs(text: str, ident: str) -> Heard:
    """One voice as music21 reads it, decorations and grace notes taken off."""
    rows = text.splitlines()
    header = [row for row in rows if re.match(r"[XTMLK]:", row)]
    music = [row.partition("]")[2] for row in rows if row.startswith(f"[V: {ident}]")]
    bare = [re.sub(r"![^!]*!|\"[^\"]*\"|\{[^}]*\}", "", row) for row in music]
    score = converter.parseData("\n".join([*header, *bare]) + "\n", format="abc")
    found = []
    for note in score.recurse().notes:
        high = max(note.pitches, key=lambda pitch: pitch.midi)
        found.append((high.step, high.octave, float(note.quarterLength)))
    return found
