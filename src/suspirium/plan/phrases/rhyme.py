"""How well two words rhyme, from their spelling alone.

A word's rhyme is what follows its last full vowel. English spellings of one sound are
brought together by a short list; where a language spells as it speaks, the list does
nothing and the bare ending decides.
"""

from __future__ import annotations

import re
import unicodedata
from functools import lru_cache

SAME_WORD = 0.5  # a word repeated is a weak rhyme
FULL, CLOSE, LOOSE = 1.0, 0.8, 0.45

_VOWELS = "aeiouy"
_UMLAUTS = str.maketrans({"ä": "e", "ö": "e", "ü": "i", "æ": "e", "œ": "e", "ß": "ss"})
_SPELLINGS = tuple(
    (re.compile(pattern), sound)
    for pattern, sound in (
        (r"eigh|aigh", "A"),
        (r"igh", "I"),
        (r"ough(?=t)|augh(?=t)", "O"),
        (r"ough", "O"),
        (r"(?:air|are|ear|eir|ere)$", "ER"),
        (r"(?:or|ore|oor|our|oar)$", "OR"),
        (r"(?:ire|yre|igher|ier)$", "IR"),
        (r"(?:eer|ier)$", "ER"),
        (r"(?:own|oun)(?=[dst]?$)", "WN"),
        (r"(?:old|oul)(?=[ds]?$)", "OL"),
        (r"ea(?=d$|th$)", "e"),
        (r"a([bcdgklmnpstvz]|st)e(?=s?$)", r"A\1"),
        (r"i([bcdgklmnpstvz]|nd)e(?=s?$)", r"I\1"),
        (r"o([bcdgklmnpstvz])e(?=s?$)", r"O\1"),
        (r"u([bcdgklmnpstvz])e(?=s?$)", r"U\1"),
        (r"e([bcdgklmnpstvz])e(?=s?$)", r"E\1"),
        (r"ai|ay|ey|ei", "A"),
        (r"ee|ea|ie(?=[a-z])", "E"),
        (r"ind(?=s?$)", "Ind"),
        (r"ie$|ye$|y$|ies$", "I"),
        (r"oa|oe|ow", "O"),
        (r"oo|ew|ue|ui|ou$|o$", "U"),
        (r"au|aw", "V"),
        (r"ou", "W"),
        (r"oi|oy", "Y"),
        (r"e$", ""),
    )
)
_CODA = (
    (re.compile(r"ck|k|c$|que"), "k"),
    (re.compile(r"ce|se|ss|s|z+e?"), "s"),
    (re.compile(r"ll"), "l"),
    (re.compile(r"dge|ge"), "j"),
    (re.compile(r"ph|ff"), "f"),
)
_RHYME = re.compile(r"[aeiouyAEIOUVWY]+[^aeiouyAEIOUVWY]*$")
_TAIL = re.compile(r"[aeiouy]+[^aeiouy]*(?:e[sd]?)?$")


def bare(word: str) -> str:
    """The letters of a word, lower case, without accents."""
    word = word.lower().translate(_UMLAUTS)
    letters = unicodedata.normalize("NFD", word)
    return "".join(c for c in letters if c.isascii() and c.isalpha())


@lru_cache(maxsize=4096)
def _keys(word: str) -> tuple[str, str, str]:
    """(letters, ending as spelt from the last full vowel, ending as it may sound)."""
    letters = bare(word)
    spelt = _TAIL.search(letters)
    sound = letters
    for pattern, to in _SPELLINGS:
        sound = pattern.sub(to, sound)
    for pattern, to in _CODA:
        sound = pattern.sub(to, sound)
    sounding = _RHYME.search(sound)
    return letters, spelt.group() if spelt else letters, sounding.group() if sounding else sound


@lru_cache(maxsize=65536)
def rhyme(one: str, other: str) -> float:
    """0 (none) to 1 (full rhyme)."""
    letters, spelt, sound = _keys(one)
    letters2, spelt2, sound2 = _keys(other)
    if not letters or not letters2:
        return 0.0
    if letters == letters2:
        return SAME_WORD
    if spelt == spelt2 and len(spelt) > 1:
        return FULL
    if sound == sound2:
        return FULL if len(sound) > 1 else CLOSE
    if {sound, sound2} == {"I", "E"}:  # mercy, eternity: sung as -ee and rhymed with -eye
        return CLOSE
    if sound[1:] and sound[1:] == sound2[1:]:
        return LOOSE
    return 0.0
