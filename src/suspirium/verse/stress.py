"""Word stress: for each syllable of a word how likely it stands in a strong place.

English by lists, prefixes and endings; German by its first syllable that is no weak prefix;
Latin by the last but one. Other languages are not known: their syllables say nothing.
"""

from __future__ import annotations

import re
from functools import cache
from unicodedata import combining, normalize

from suspirium.tables import load, load_text
from suspirium.verse.words import compound

KNOWN = ("en", "de", "la")
_SHORTEST_STEM = 3  # letters
_LEFT_OUT = re.compile(r"(?<=[a-z])'(?=(?!s$)[a-z])")
_LATIN_SHORT = 3  # syllables from which on the stress may stand on the third from the end


def known_stress(language: str) -> bool:
    """Whether stresses of this language are known."""
    return language in KNOWN


def stresses(word: str, count: int, language: str = "en") -> tuple[float, ...]:
    """Log-odds of stress for the `count` syllables that a word (in small letters) is sung to.

    All 0 in languages whose stress is not known, and in words stressed in two ways.
    """
    if count < 1 or not known_stress(language):
        return (0.0,) * max(0, count)
    if count == 1:
        small = language != "la" and word in _words(f"{language}.small")
        return (_weight("small" if small else "content"),)
    main = main_stress(word, count, language)
    if main is None:
        return (0.0,) * count
    near = {0: "main", 1: "beside"}
    return tuple(_weight(near.get(abs(place - main), "apart")) for place in range(count))


def main_stress(word: str, count: int, language: str = "en") -> int | None:
    """Which of the `count` syllables, from 0, is stressed.

    None for words that are stressed in two ways ("present"), and in languages whose stress
    is not known.
    """
    if not known_stress(language):
        return None
    if count < 2:
        return 0
    if language == "la":
        return _latin(word, count)
    first = compound(word)[0]
    if first != word and language == "en":  # ever-blest, long-expected: the first part's
        return 0
    place = _german(word) if language == "de" else _english(word, count)
    return place if place is None else min(count - 1, place)


def _english(word: str, count: int) -> int | None:
    head = next((head for head in _words("en.heads") if word.startswith(head)), "")
    spelt = word.removeprefix(head)
    bare = _full(spelt)
    listed = _listed()
    for stem in (spelt, *stems(bare)):
        if stem in listed:
            return listed[stem] - 1 if listed[stem] else None
    return _by_rule(bare, count)


def _by_rule(word: str, count: int) -> int | None:
    """By the ending that draws the stress, else the stem's stress after any prefixes."""
    bare = word.removesuffix("'s")
    ending = max((e for e in _words("en.before") if bare.endswith(e)), key=len, default="")
    if ending:
        return max(0, count - 1 - _syllables(ending))
    prefix = max((p for p in _words("en.prefixes") if _opens(bare, p)), key=len, default="")
    if not prefix:
        return 0
    inside = _english(bare.removeprefix(prefix), count)
    return None if inside is None else inside + 1


def _full(word: str) -> str:
    """A word without accents and with the vowel that an apostrophe stands for (conqu'ring)."""
    plain = "".join(c for c in normalize("NFD", word) if not combining(c))
    return _LEFT_OUT.sub("e", plain)


@cache
def stems(word: str) -> tuple[str, ...]:
    """The English word itself, then what it may be made from, the longest first."""
    found = [word]
    for ending in sorted(_words("en.stems"), key=len):
        stem = word.removesuffix(ending)
        if stem == word or len(stem) < _SHORTEST_STEM:
            continue
        silent = [f"{stem}e"] if ending[0] in "ei" else []
        found += [*silent, stem]
        if stem.endswith("i"):
            found.append(f"{stem[:-1]}y")
        if stem[-1] == stem[-2]:
            found.append(stem[:-1])
    return tuple(dict.fromkeys(found))


@cache
def _listed() -> dict[str, int]:
    """Words of the lists with their stressed syllable from 1; 0 where it may be more than one."""
    words = load_text(str(load("stress")["en.listed"])).split()
    words += str(load("stress")["en.words"]).split()
    return {word: int(place) for word, _, place in (entry.rpartition("-") for entry in words)}


def _opens(word: str, prefix: str) -> bool:
    """Whether a word begins with a prefix that leaves enough for a stem; a lone a never."""
    return len(prefix) > 1 and word.startswith(prefix) and len(word) >= len(prefix) + 3


def _syllables(ending: str) -> int:
    """Syllables of an ending as it is sung: tion, cian and the like have one."""
    if ending.startswith(("tion", "sion", "cian", "ic", "eon")) and "ical" not in ending:
        return 1
    if ending.startswith(("ious", "eous", "ial", "ian", "ient", "ience")):
        return 1
    return 2


def _german(word: str) -> int:
    return int(any(_opens(word, prefix) for prefix in _words("de.prefixes")))


def _latin(word: str, count: int) -> int:
    """The last but one where two consonants or a double vowel follow it, or of two
    syllables; else the third from the end, which spelling alone does not always tell."""
    if count < _LATIN_SHORT:
        return 0
    vowels = "aeiouyæœ"
    groups: list[tuple[str, str]] = []
    for sign in word:
        if sign in vowels:
            if groups and not groups[-1][1]:
                groups[-1] = (groups[-1][0] + sign, "")
            else:
                groups.append((sign, ""))
        elif groups:
            groups[-1] = (groups[-1][0], groups[-1][1] + sign)
    if len(groups) < 2:
        return count - 2
    vowel, after = groups[-2]
    long = len(after) > 1 or vowel[-2:] in ("ae", "oe", "au") or vowel in "æœ"
    return count - 2 if long else count - 3


def _weight(name: str) -> float:
    return load("stress").number(f"weight.{name}")


@cache
def _words(row: str) -> frozenset[str]:
    return frozenset(str(load("stress")[row]).split())
