"""Syllables of English words by rule: groups of vowels, and where spelling departs from them."""

from __future__ import annotations

import re

_ELISIONS = (
    (re.compile(r"n't$"), "nit"),  # couldn't
    (re.compile(r"(s|x|z|ch|sh|ce|ge|se|ze)'s$"), r"\1is"),  # church's
    (re.compile(r"'"), ""),
    (re.compile(r"[èé](?=d$|st$)"), "i"),  # blessèd
)
_CONSONANTS = (
    (re.compile(r"^y(?=[aeiou])|(?<=[aeiou])y(?=[aeiou])"), "j"),
    (re.compile(r"qu|gu(?=[aeiy])"), "q"),
    (re.compile(r"eau"), "o"),
)
_SUFFIXES = (
    "(?:ful|lid|tell|told|well|groom|by|less|ness|ly|ment|some|fore|hood|work|thing|time|ward|land)"
)
_LOST = (  # written vowels that are not sung
    re.compile(r"(?<=[^aeiouyl])e$|(?<=[aeiouyr]l)e$"),
    re.compile(r"(?<=[^aeiouysxzcgl])(?<!ch)(?<!sh)es$|(?<=[aeiouyr]l)es$"),
    re.compile(r"(?<=[^aeiouytd])(?<![^aeiouyrl]l)ed$"),
    re.compile(rf"(?:(?<=[aeiouy][^aeiouyl])|(?<=[aeiouy][^aeiouy][^aeiouyl]))e(?={_SUFFIXES})"),
    re.compile(r"(?<=[aeiouy]l)e(?=(?:ful|less|ness|hood))"),
    re.compile(r"^(?:wher|ther|bridg|fir)e(?=[^aeiouyrsfvl])"),
)
_HIATUS = (  # two vowels in one group, each sung
    re.compile(r"^i(?=a)|(?<![tcsxg])i(?=a(?!n?ge))|(?<=[aeiou]st)i(?=al)"),
    re.compile(r"(?<![tcsxglh])io(?!us)|(?<=ch)io"),
    re.compile(r"(?<=[crdl])iu|^iu"),
    re.compile(r"(?<=[^aeioutcsx])i(?=en[ct])"),
    re.compile(r"[aeiouy](?=ing)"),
    re.compile(r"(?<=[a-z]{2})(?<!qu)i(?=e(?:st|th|r|rs)$)(?<!sold.)(?<!fr.)(?<!pr.)"),
    re.compile(r"(?<=[sdgr])e(?=eth$|est$)"),
    re.compile(r"(?<=[aou])(?=eth$|est$)"),
    re.compile(r"u(?=al|ous|ate|ity)"),
    re.compile(r"o(?=et|em$|ah)"),
    re.compile(r"a(?=el|ism|ah$|oth$)"),
    re.compile(r"(?<![qr])e(?=um$|us$|an$|ator|ity$)|(?<=^r)e(?=(?:as|in)[^aeiouy])"),
    re.compile(r"(?<=[sz])(?=m$|ms$)|(?<=th)(?=m$|ms$)"),
    re.compile(r"[iy](?=e(?:t|ty)$)"),
)
_GROUP = re.compile(r"[aeiouy]+")
_SYNCOPE = re.compile(
    r"[aeiouy][^aeiouy]+[eo](?=[rnl](?:ing|ed|ous|y|ies|er|al|ance|ence|ent|ant|est))"
)
_VOICED_ED = re.compile(r"[^aeiouytd]ed$")
_OUS = re.compile(r"[^aeioutcsgx][ei]ous(?:ly)?$")
_SHORT_IA = re.compile(r"(?<=[rlndv])i(?=[ao](?:[ln]t?|r|n)?s?$)")


def spoken(word: str) -> str:
    """The letters with elisions resolved and vowels that are consonants replaced."""
    for pattern, to in (*_ELISIONS, *_CONSONANTS):
        word = pattern.sub(to, word)
    return word


def english(word: str) -> tuple[int, list[tuple[int, str]]]:
    """The usual number of syllables, and other numbers with their class of cost."""
    letters = spoken(word)
    groups = len(_GROUP.findall(letters))
    lost = sum(len(pattern.findall(letters)) for pattern in _LOST) if groups > 1 else 0
    apart = sum(len(pattern.findall(letters)) for pattern in _HIATUS)
    usual = max(1, groups - lost + apart)
    others: list[tuple[int, str]] = []
    if usual > 1 and (_SYNCOPE.search(letters) or _SHORT_IA.search(letters)):
        others.append((usual - 1, "contracted"))
    if _VOICED_ED.search(letters) and groups > 1:
        others.append((usual + 1, "expanded"))
    if _OUS.search(letters):
        others.append((usual + 1, "contracted"))
    return usual, others
