"""Wrong stresses: words whose stressed syllable has a weaker beat than the one beside it."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction

from suspirium.score.model import Syllable
from suspirium.tables import load
from suspirium.verse.poem import SungStanza, SungWord
from suspirium.verse.stress import main_stress

Strength = Callable[[Fraction], int]


@dataclass(frozen=True, slots=True)
class WrongStress:
    """A word sung against its stress: where it is (stanza and line from 0), the syllable that
    should be strong and the one that the tune makes strong."""

    stanza: int
    line: int
    word: str
    stressed: Syllable
    heavy: Syllable


def wrong_stresses(
    poem: Sequence[SungStanza], strength: Strength, language: str = "en"
) -> tuple[WrongStress, ...]:
    """Words of several syllables that the tune stresses where they have no stress.

    `strength` gives the strength of the beat at an onset in quarter notes, more is stronger.
    A turned first foot is usual in verse: a line's first word is let pass. A stressed
    syllable on a longer note than its neighbour's is strong by its length.
    """
    return tuple(
        WrongStress(number, place, word.letters, *pair)
        for number, stanza in enumerate(poem)
        for place, line in enumerate(stanza)
        for word in line[1:]
        for pair in _astray(word, strength, language)
    )


def _astray(
    word: SungWord, strength: Strength, language: str
) -> Iterator[tuple[Syllable, Syllable]]:
    """The stressed syllable and its heavier neighbour, where there is one."""
    syllables = word.syllables
    beats = [strength(syllable.onset_q) for syllable in syllables]
    against = stressed_against(word.letters, beats, language)
    if against is None:
        return
    stressed, heavy = (syllables[place] for place in against)
    if stressed.end_q - stressed.onset_q <= heavy.end_q - heavy.onset_q:
        yield stressed, heavy


def stressed_against(
    word: str, beats: Sequence[int], language: str = "en"
) -> tuple[int, int] | None:
    """The stressed syllable of a word and a neighbour that has a much stronger beat, from 0.

    `beats` are the strengths of the beats of its syllables; None where nothing is wrong.
    """
    main = main_stress(word, len(beats), language)
    if main is None or len(beats) < 2:
        return None
    beside = [place for place in (main - 1, main + 1) if 0 <= place < len(beats)]
    heavy = max(beside, key=lambda place: beats[place])
    least = load("stress").number("accent.least")
    return (main, heavy) if beats[heavy] - beats[main] >= least else None
