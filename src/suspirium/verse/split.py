"""Where a word parts into its syllables: the cheapest cuts for a given number of them."""

from __future__ import annotations

from functools import cache, lru_cache
from math import inf

from suspirium.tables import load

_TOGETHER = frozenset(
    [
        "ch",
        "sh",
        "th",
        "ph",
        "wh",
        "ck",
        "gh",
        "ng",
        "qu",
        "gn",
        "kn",
        "wr",
        "dd",
        "ll",
        "ss",
        "tt",
        "ff",
        "rr",
    ]
)
_ONSETS = frozenset(
    [
        "b",
        "c",
        "d",
        "f",
        "g",
        "h",
        "j",
        "k",
        "l",
        "m",
        "n",
        "p",
        "q",
        "r",
        "s",
        "t",
        "v",
        "w",
        "x",
        "y",
        "z",
        "ch",
        "sh",
        "th",
        "ph",
        "wh",
        "qu",
        "bl",
        "br",
        "cl",
        "cr",
        "dr",
        "fl",
        "fr",
        "gl",
        "gr",
        "pl",
        "pr",
        "sc",
        "sk",
        "sl",
        "sm",
        "sn",
        "sp",
        "st",
        "str",
        "spr",
        "scr",
        "sw",
        "tr",
        "tw",
        "thr",
        "shr",
        "gn",
        "kn",
        "wr",
        "pf",
        "zw",
        "schw",
        "sch",
    ]
)
_SOFT = frozenset(["tio", "cio", "sio", "tia", "cia", "sia", "tie", "cie"])
_ENDINGS = ("ing", "ings", "ed", "est", "eth", "er", "ers", "ly", "ful", "less", "ness", "ment")


@lru_cache(maxsize=8192)
def split(printed: str, count: int, language: str = "en") -> tuple[str, ...]:
    """A printed word in `count` parts, marks kept; fewer where it has not enough letters.

    A part needs a vowel; one consonant goes with the vowel after it, of several those that
    can open a word; letters that make one sound stay together. Where a word is parted moves
    no note, so this is a proposal that people may edit.
    """
    count = min(count, sum(sign.isalpha() for sign in printed))
    if count < 2:
        return (printed,)
    best: list[list[tuple[float, tuple[int, ...]]]] = [[(0.0, ()), *((inf, ()) for _ in printed)]]
    for part in range(1, count + 1):
        row: list[tuple[float, tuple[int, ...]]] = [(inf, ())]
        for end in range(1, len(printed) + 1):
            if (part == count) != (end == len(printed)):
                row.append((inf, ()))
                continue
            cut = 0.0 if end == len(printed) else _cut(printed.lower(), end, language)
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


def _part(piece: str, language: str) -> float:
    """What is wrong with a syllable: no vowel in it, or only a silent one."""
    letters = "".join(sign for sign in piece if sign.isalpha())
    if not letters:
        return 50.0
    vowels = [sign for sign in letters if sign in _vowels(language)]
    if not vowels:
        return 8.0
    if language == "en" and len(letters) > 1 and letters[-1] == "e" and len(vowels) == 1:
        return 0.0 if letters.endswith("le") or len(letters) == 2 else 1.5
    return 0.0


def _cut(word: str, at: int, language: str) -> float:
    """What it costs to part before the letter at `at`."""
    before, after = word[at - 1], word[at]
    if before in "-‐‑":
        return -5.0
    if not after.isalpha() or not (before.isalpha() or before in "'’"):
        return 40.0
    vowels = _vowels(language)
    left, right = before in vowels, after in vowels
    if left and right:
        if language == "en" and word[at - 2 : at + 1] in _SOFT:
            return 4.0
        return 4.0 if before + after in _together(language) else 0.5
    if before + after in _TOGETHER:
        return 1.0 if before == after else 4.0
    if not left and right:  # a consonant torn from the vowel after it
        return 1.0 if word[at:].rstrip(".,;:!?’'\"") in _ENDINGS else 2.5
    onset = word[at:]
    cluster = onset[: next((n for n, sign in enumerate(onset) if sign in vowels), len(onset))]
    legal = 0.0 if cluster in _ONSETS else 2.5
    if language == "en" and len(cluster) == 2 and cluster[1] == "l" and onset[2:3] == "e" and left:
        return legal  # ta-ble
    return legal + (0.0 if left else 0.1) + (0.4 if len(cluster) > 1 and left else 0.0)


@cache
def _vowels(language: str) -> frozenset[str]:
    return frozenset(load("syllables")[f"{language}.vowels"]["letters"])


@cache
def _together(language: str) -> frozenset[str]:
    return frozenset(load("syllables")[f"{language}.vowels"]["together"].split())
