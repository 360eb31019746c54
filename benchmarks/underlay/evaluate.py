"""How many syllables of hidden stanzas come back under their right notes.

``python benchmarks/underlay/evaluate.py [FOLDER]`` takes hymns in ABC whose stanzas stand under
the notes, hides all but the first, types the others as plain text (one line of the poem a
line) and lays them again. Lines of the tune are those found by `find_phrases` with the first
stanza alone. *Hard* text spells elisions out (heaven for heav'n, over for o'er).
"""

from __future__ import annotations

import sys
from collections import Counter
from dataclasses import dataclass, field
from pathlib import Path

from hidden import Hidden, hidden_stanzas, spelt_out

from suspirium.plan.phrases import find_phrases
from suspirium.score.reading import read
from suspirium.verse.underlay import Laid, lay_stanza

HYMNS = Path(__file__).resolve().parents[2].parent / "shared" / "hymns"


@dataclass
class Figures:
    """Counts over all hidden stanzas."""

    syllables: int = 0
    right: int = 0
    stanzas: int = 0
    perfect: int = 0
    lines: int = 0
    flagged: int = 0
    wrong_untold: list[str] = field(default_factory=list)

    @property
    def share(self) -> float:
        return self.right / self.syllables

    def add(self, hidden: Hidden, laid: Laid) -> None:
        got = Counter(s.onset_q for s in laid.stanza.syllables)
        want = Counter(hidden.onsets_q)
        right = (got & want).total()
        self.syllables += max(got.total(), want.total())
        self.right += right
        self.stanzas += 1
        self.perfect += got == want
        self.lines += len(laid.lines)
        told = sum(bool(line.doubts) or not line.fits for line in laid.lines)
        self.flagged += told
        if got != want and not told:
            self.wrong_untold.append(f"{hidden.hymn.title}: {' / '.join(hidden.text)}")


def evaluate(folder: Path, *, hard: bool = False) -> Figures:
    """Figures over every hymn of the folder."""
    figures = Figures()
    for path in sorted(folder.glob("*.abc")):
        hymn = read(path.read_bytes(), path.name)
        first = [(s.first_onset_q, s.last_onset_q) for s in find_phrases(hymn)]
        for hidden in hidden_stanzas(hymn, first):
            text = spelt_out(hidden.text) if hard else hidden.text
            alone = [(s.first_onset_q, s.last_onset_q) for s in find_phrases(hidden.hymn)]
            figures.add(hidden, lay_stanza(hidden.hymn, text, 2, alone))
    return figures


def main() -> None:
    folder = Path(sys.argv[1]) if len(sys.argv) > 1 else HYMNS
    for name, hard in (("plain", False), ("hard", True)):
        found = evaluate(folder, hard=hard)
        print(
            f"{name}: {found.share:.2%} of {found.syllables} syllables right, "
            f"{found.perfect} of {found.stanzas} stanzas perfect, "
            f"{found.flagged} of {found.lines} lines flagged, "
            f"{len(found.wrong_untold)} stanzas wrong without a word"
        )


if __name__ == "__main__":
    main()
