"""Where a word parts into its syllables: the cheapest cuts for a given number of them."""

from __future__ import annotations

import re
from functools import cache, lru_cache
from itertools import accumulate
from math import inf

import pyphen

from suspirium.tables import load

_DICTIONARIES = {"en": "en_US"}  # it parts as words are sung: some-times, gath-er


@lru_cache(maxsize=8192)
def split(printed: str, count: int, language: str = "en") -> tuple[str, ...]:
    """A printed word in `count` parts, marks kept; fewer where it has not enough letters.

    A part needs a vowel; one consonant goes with the vowel after it, of several those that
    can open a word; letters that make one sound stay together; where a dictionary of
    hyphens knows the word, its places are cheaper. Where a word is parted moves no note, so
    this is a proposal that people may edit.
    """
    count = min(count, sum(sign.isalpha() for sign in printed))
    if count < 2:
        return (printed,)
    known = _hyphens(printed.lower(), language)
    best: list[list[tuple[float, tuple[int, ...]]]] = [[(0.0, ()), *((inf, ()) for _ in printed)]]
    for part in range(1, count + 1):
        row: list[tuple[float, tuple[int, ...]]] = [(inf, ())]
        for end in range(1, len(printed) + 1):
            if (part == count) != (end == len(printed)):
                row.append((inf, ()))
                continue
            cut = 0.0 if end == len(printed) else _cut(printed.lower(), end, language)
            cut += _cost("dictionary") if end in known else 0.0
            row.append(
                min(
                    (
                        before[0] + cut + _part(printed.lower()[start:end], language),
                        (*before[1], end),
                    )
                    for start, before in enumerate(best[-1][:end])
                )
            )
        best.append(row)
    ends = best[count][-1][1]
    return tuple(printed[a:b] for a, b in zip((0, *ends), ends, strict=False))


def _hyphens(word: str, language: str) -> frozenset[int]:
    """Where custom or the dictionary parts a word; nowhere where neither knows it."""
    return frozenset(
        run.start() + place
        for run in re.finditer(r"[^\W\d_]+", word)
        for place in _places(run.group(), language)
    )


def _places(letters: str, language: str) -> list[int]:
    by_custom = load("syllables")["split.words"].get(letters)
    if by_custom is not None:
        return list(accumulate(len(part) for part in by_custom.split()[:-1]))
    dictionary = _dictionary(language)
    return [] if dictionary is None else dictionary.positions(letters)


@cache
def _dictionary(language: str) -> pyphen.Pyphen | None:
    found = pyphen.language_fallback(_DICTIONARIES.get(language, language))
    return pyphen.Pyphen(lang=found) if found else None


def _part(piece: str, language: str) -> float:
    """What is wrong with a syllable: no vowel in it, or only a silent one."""
    letters = "".join(sign for sign in piece if sign.isalpha())
    if not letters:
        return _cost("no_letter")
    vowels = [sign for sign in letters if sign in _vowels(language)]
    if not vowels:
        return _cost("no_vowel")
    if language == "en" and len(letters) > 1 and letters[-1] == "e" and len(vowels) == 1:
        return 0.0 if letters.endswith("le") else _cost("silent")
    return 0.0


def _cut(word: str, at: int, language: str) -> float:
    """What it costs to part before the letter at `at`."""
    before, after = word[at - 1], word[at]
    if before in "-‐‑":
        return _cost("hyphen")
    if not after.isalpha() or not (before.isalpha() or before in "'’"):
        return _cost("mark")
    vowels = _vowels(language)
    left, right = before in vowels, after in vowels
    if left and right:
        soft = language == "en" and word[at - 2 : at + 1] in _letters("soft")
        return _cost("sound" if soft or before + after in _together(language) else "vowels")
    if before + after in _letters("together"):
        return _cost("doubled" if before == after else "sound")
    if not left and right:  # a consonant torn from the vowel after it
        ending = word[at:].rstrip(".,;:!?’'\"") in _letters("endings")
        return _cost("ending" if ending else "torn")
    onset = word[at:]
    cluster = onset[: next((n for n, sign in enumerate(onset) if sign in vowels), len(onset))]
    legal = 0.0 if cluster in _letters("onsets") else _cost("cluster")
    if language == "en" and len(cluster) == 2 and cluster[1] == "l" and onset[2:3] == "e" and left:
        return legal  # ta-ble
    if not left:
        return legal + _cost("after_consonant")
    return legal + (_cost("open") if len(cluster) > 1 else 0.0)


def _cost(what: str) -> float:
    return float(load("syllables")["split.cost"][what])


@cache
def _letters(what: str) -> frozenset[str]:
    return frozenset(load("syllables")[f"split.{what}"].split())


@cache
def _vowels(language: str) -> frozenset[str]:
    return frozenset(load("syllables")[f"{language}.vowels"]["letters"])


@cache
def _together(language: str) -> frozenset[str]:
    return frozenset(load("syllables")[f"{language}.vowels"]["together"].split())
