"""Syllables of words in languages that spell as they speak: vowels, alone or together."""

from __future__ import annotations

import re
from functools import cache

from suspirium.tables import load

_ANY = "aeiouyáéíóúäëïöüàâêîôûæœ"
_CONSONANTS = {  # vowel letters that are consonants here
    "de": ((r"qu", "q"), (r"^y(?=[aeou])", "j")),
    "la": (
        (r"qu|ngu(?=[aeiouæœ])", "q"),
        (rf"^i(?=[{_ANY}])|(?<=[aeouæœ])i(?=[aeouæœ])", "j"),
        (r"^(in|con|ad|per|ob|sub)i(?=[aeou])", r"\1j"),
    ),
    "fr": (
        (r"qu|gu(?=[eéèêiîy])", "q"),
        (r"ge(?=[aoâô])", "j"),
        (rf"(?<=[{_ANY}])y(?=[{_ANY}])", "j"),
        (r"(?<=[aeou])ill(?=[eéèa])", "j"),
    ),
    "es": ((r"qu|gu(?=[eiéí])", "q"), (rf"y(?=[{_ANY}])|^y(?=.)", "j")),
    "cy": (
        (r"^(g?)w(?=[lrn][aeiouyâêîôûŵŷ])", r"\1v"),
        (r"^(g|ch|ngh)?w(?=[aeioâêîô]|y[^nr]?$|y[dn])", r"\1v"),
        (r"(?<=[aeiouy])w(?=[aeio])", "v"),
        (r"(?<![aeouyâêôŷ])i(?=[aeouwyâêôŵŷ])(?!w$)", "j"),
    ),
}  # fmt: skip
_HIATUS_FR = re.compile(r"[iy](?=on|eux|euse|ant|ence|ent|a$|as$|er$|ez$|é)")
_MUTE_FR = re.compile(r"[^aeiouyàâäéèêëîïôöùûüœæq]es?$|[^aeiouyàâäéèêëîïôöùûüœæ]ent$|qes?$")
_MUTE_AFTER_VOWEL_FR = re.compile(r"[iuéyo]es?$|[io]ent$")
_SYNCOPE_DE = re.compile(r"[aeiouäöü][^aeiouäöü]+[ei](?=[glnr](?:e|en|er|es|em)$)")


def foreign(word: str, language: str) -> tuple[int, list[tuple[int, str]]]:
    """The usual number of syllables, and other numbers with their class of cost."""
    letters = word.replace("'", "")
    for pattern, to in _consonants(language):
        letters = pattern.sub(to, letters)
    usual = max(1, len(_vowel(language).findall(letters)))
    others: list[tuple[int, str]] = []
    if language == "fr":
        apart = len(_HIATUS_FR.findall(letters))
        if apart:
            others.append((usual + apart, "contracted"))
        if usual > 1 and _MUTE_FR.search(letters):
            others.append((usual - 1, "contracted"))
        if _MUTE_AFTER_VOWEL_FR.search(letters):
            others.append((usual + 1, "contracted"))
    if language == "de" and _SYNCOPE_DE.search(letters):
        others.append((usual - 1, "contracted"))
    return usual, others


@cache
def _consonants(language: str) -> tuple[tuple[re.Pattern[str], str], ...]:
    return tuple((re.compile(pattern), to) for pattern, to in _CONSONANTS[language])


@cache
def _vowel(language: str) -> re.Pattern[str]:
    """One sung vowel: the longest letters that go together, else a single one."""
    row = load("syllables")[f"{language}.vowels"]
    together = sorted(row["together"].split(), key=len, reverse=True)
    return re.compile("|".join([*together, f"[{row['letters']}]"]))
