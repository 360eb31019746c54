"""Makes the list of English words whose stress the rules miss, from a pronouncing dictionary.

    python benchmarks/verse/list_stresses.py cmudict.dict LICENSE

The dictionary has a word and its sounds a line; vowels end in 1 where they are stressed.
Shorter words come first, so that words made from a listed one need no entry of their own.
"""

from __future__ import annotations

import re
import sys
from collections import defaultdict
from collections.abc import Collection
from pathlib import Path

from suspirium.verse import stress

TARGET = Path(stress.__file__).parents[1] / "tables" / "stress_en.txt"
_WIDTH = 100
_MADE = tuple(
    ending
    for row in (
        "ing ed ly ness ful less able ible ment tion sion ous ive ance ence ity ic al",
        "ant ent ary ory ate ise ize fy hood ship",
    )
    for ending in row.split()
)


def main() -> None:
    """Reads the dictionary and its licence, writes the list beside the tables."""
    dictionary, licence = (Path(name).read_text("utf-8") for name in sys.argv[1:3])
    TARGET.write_text("# (being made)\n", "utf-8")
    stress._listed.cache_clear()
    listed = stress._listed()
    own = set(listed)
    for word, places in sorted(stressed(dictionary).items(), key=lambda row: (len(row[0]), row)):
        counts, mains = zip(*places, strict=True)
        wanted = mains[0] if len(set(mains)) == 1 else None
        if word not in own and stress.main_stress(word, max(counts)) != wanted:
            listed[word] = 0 if wanted is None else wanted + 1
    for word, places in stressed(dictionary).items():  # what is made from it must find it first
        wanted = min(main for _, main in places)
        made = [f"{word.removesuffix('e')}{ending}" for ending in ("eth", "est", "ing", "ed")]
        if len({main for _, main in places}) == 1 and any(
            stress.main_stress(form, 1 + max(count for count, _ in places)) != wanted
            for form in made
            if form not in listed
        ):
            listed.setdefault(word, wanted + 1)
    entries = [f"{word}-{place}" for word, place in sorted(listed.items()) if word not in own]
    head = [
        "English words and the syllable they are stressed on, from 1; 0 where it may be several.",
        "Taken from the CMU Pronouncing Dictionary 0.7b, whose licence follows.",
        "",
        *licence.strip().splitlines(),
    ]
    TARGET.write_text(
        "".join(f"# {line}".rstrip() + "\n" for line in head) + "\n".join(_rows(entries)) + "\n",
        "utf-8",
    )
    print(f"{len(entries)} words, {TARGET.stat().st_size} bytes")


def stressed(dictionary: str) -> dict[str, set[tuple[int, int]]]:
    """Of every word of two syllables or more, in each pronunciation: how many it has, and
    which, from 0, is stressed.

    Names, of which a dictionary of sounds is full, are told by having no forms.
    """
    found: dict[str, set[tuple[int, int]]] = defaultdict(set)
    for line in dictionary.splitlines():
        name, *sounds = line.split("#")[0].split()
        word = re.sub(r"\(\d+\)$", "", name.lower())
        accents = [sound[-1] for sound in sounds if sound[-1].isdigit()]
        if word.isalpha() and len(accents) > 1 and "1" in accents:
            found[word].add((len(accents), accents.index("1")))
    return {word: places for word, places in found.items() if _is_common(word, found)}


def _is_common(word: str, known: Collection[str]) -> bool:
    """Whether a word is made from others or others are made from it."""
    stem = word.removesuffix("e")
    forms = [f"{word}s", f"{word}es", f"{word}d", f"{word}ly", f"{word}ness"]
    forms += [f"{stem}ed", f"{stem}ing", f"{stem}ation", f"{word.removesuffix('y')}ies"]
    return word.endswith(_MADE) or any(form in known for form in forms)


def _rows(entries: list[str]) -> list[str]:
    """Entries joined to lines."""
    rows = [""]
    for entry in entries:
        joined = f"{rows[-1]} {entry}".strip()
        if len(joined) > _WIDTH:
            rows.append(entry)
        else:
            rows[-1] = joined
    return rows


if __name__ == "__main__":
    main()
