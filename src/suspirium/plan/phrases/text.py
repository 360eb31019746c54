"""What the words say at each boundary, over all stanzas."""

from __future__ import annotations

from bisect import bisect_left
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from suspirium.plan.phrases.line import Line
from suspirium.plan.phrases.music import Columns
from suspirium.plan.phrases.rhyme import CLOSE, rhyme
from suspirium.plan.phrases.vocabulary import BOUND, HELPERS, NAMES, OPENERS, PREPOSITIONS
from suspirium.score.model import Syllable

_CLOSERS = "\"'”’»“‘)]*"
_OPENERS = "\"'“‘«„(["
_MARKS = {
    ",": "comma",
    ";": "semi",
    ":": "semi",
    ".": "stop",
    "!": "stop",
    "?": "stop",
    "…": "stop",
    "—": "dash",
    "–": "dash",
}


@dataclass(frozen=True, slots=True)
class Juncture:
    """Two words of one stanza that meet at a boundary.

    `broken` is False where a word goes on across it (`last` is then empty).
    """

    broken: bool
    last: str = ""
    mark: str = ""
    following: str = ""


def read_junctures(line: Line) -> tuple[tuple[Juncture | None, ...], ...]:
    """For each stanza what meets at each boundary and, last, at the end of the melody.

    None where a stanza has no words on both sides.
    """
    return tuple(_stanza_junctures(line, syllables) for syllables in line.sung)


def _stanza_junctures(
    line: Line, syllables: Sequence[tuple[int, Syllable]]
) -> tuple[Juncture | None, ...]:
    begins = [start for start, _ in syllables]
    found: list[Juncture | None] = []
    for b in range(1, line.count + 1):
        at = line.starts[b]
        index = bisect_left(begins, at)
        final = b == line.count
        if index == 0 or (index == len(syllables) and not final):
            found.append(None)
        elif final:
            found.append(_juncture(syllables, len(syllables)))
        elif begins[index] != at or syllables[index - 1][1].joins_next:
            found.append(Juncture(False))
        else:
            found.append(_juncture(syllables, index))
    return tuple(found)


def _juncture(syllables: Sequence[tuple[int, Syllable]], index: int) -> Juncture:
    first = index - 1
    while first > 0 and syllables[first - 1][1].joins_next:
        first -= 1
    word = "".join(syllable.text for _, syllable in syllables[first:index]).split()
    after = index
    while after < len(syllables) and syllables[after][1].joins_next:
        after += 1
    following = "".join(s.text for _, s in syllables[index : after + 1]).split()
    last = word[-1] if word else ""
    end = last.rstrip(_CLOSERS)[-1:]
    return Juncture(
        True, strip(last), _MARKS.get(end, ""), following[0].lstrip(_OPENERS) if following else ""
    )


def strip(word: str) -> str:
    """A word without the signs around it."""
    return word.strip("".join(_MARKS) + _CLOSERS + _OPENERS + "-")


_NAMES = (
    "joined",
    "joined_any",
    "comma",
    "semi",
    "stop",
    "dash",
    "mark",
    "mark_all",
    "mark_none",
    "upper",
    "upper_opener",
    "upper_plain",
    "upper_all",
    "lower_opener",
    "bound",
    "preposition",
    "helper",
    "bound_any",
    "stanzas_comma",
    "stop_any",
    "upper_unmarked",
    "one_stanza",
)


def text_columns(line: Line, junctures: Sequence[Sequence[Juncture | None]]) -> Columns:
    """All columns from the words; zeros where there are none."""
    columns: Columns = {name: [0.0] * (line.count - 1) for name in _NAMES}
    seen = _Capitals(line)
    for b in range(line.count - 1):
        here = [stanza[b] for stanza in junctures]
        present = [j for j in here if j is not None]
        if present:
            for name, value in _features(present, seen).items():
                columns[name][b] = value
    return columns


class _Capitals:
    """How this hymn uses capitals: which words it also writes small."""

    def __init__(self, line: Line) -> None:
        small: Counter[str] = Counter()
        large: Counter[str] = Counter()
        for syllables in line.sung:
            starts = True
            for _, syllable in syllables:
                if starts and syllable.text:
                    word = syllable.text.lstrip(_OPENERS)
                    (large if word[:1].isupper() else small)[word.lower()] += 1
                starts = not syllable.joins_next
        self._small = small
        total = sum(small.values()) + sum(large.values())
        self.density = sum(large.values()) / total if total else 1.0
        self.used = bool(small) and bool(large)

    def common(self, word: str) -> bool:
        """Whether the capital of `word` can't be its own: the hymn also writes it small."""
        low = word.lower()
        return low in OPENERS or self._small[low] > 0


def _features(present: Sequence[Juncture], capitals: _Capitals) -> dict[str, float]:
    count = len(present)
    broken = [j for j in present if j.broken]
    marks = Counter(j.mark for j in broken)
    marked = sum(n for mark, n in marks.items() if mark)
    uppers = [j for j in broken if j.following[:1].isupper()]
    plain = [j for j in uppers if strip(j.following).lower() not in NAMES]
    opener = [j for j in plain if strip(j.following).lower() in OPENERS]
    lows = [j.last.lower() for j in broken]
    bound = sum(word in BOUND for word in lows)
    return {
        "joined": 1 - len(broken) / count,
        "joined_any": float(len(broken) < count),
        "comma": marks["comma"] / count,
        "semi": marks["semi"] / count,
        "stop": marks["stop"] / count,
        "dash": marks["dash"] / count,
        "mark": marked / count,
        "mark_all": float(marked == count),
        "mark_none": float(marked == 0),
        "stop_any": float(marks["stop"] > 0),
        "upper": len(uppers) / count,
        "upper_plain": len(plain) / count,
        "upper_opener": len(opener) / count,
        "upper_all": float(capitals.used and len(uppers) == count),
        "upper_unmarked": sum(not j.mark for j in plain) / count,
        "lower_opener": sum(
            j.following[:1].islower() and j.following.lower() in OPENERS for j in broken
        )
        / count,
        "bound": bound / count,
        "bound_any": float(bound > 0),
        "preposition": sum(word in PREPOSITIONS for word in lows) / count,
        "helper": sum(word in HELPERS for word in lows) / count,
        "stanzas_comma": float(marks["comma"] > 0),
        "one_stanza": float(count == 1),
    }


def rhyming_lines(
    junctures: Sequence[Sequence[Juncture | None]], ends: Sequence[int]
) -> dict[int, tuple[int, float]]:
    """For each line (from 1) that rhymes, the line it rhymes best with and how well."""
    found: dict[int, tuple[int, float]] = {}
    for one, end in enumerate(ends, 1):
        for other, stop in enumerate(ends, 1):
            if one == other:
                continue
            value = mean_rhyme(junctures, end, stop)
            if value >= CLOSE / 2 and value > found.get(one, (0, 0.0))[1]:
                found[one] = (other, value)
    return found


def mean_rhyme(junctures: Sequence[Sequence[Juncture | None]], one: int, other: int) -> float:
    """Mean over the stanzas of the rhyme of the words before two boundaries."""
    total = 0.0
    for stanza in junctures:
        first, second = stanza[one - 1], stanza[other - 1]
        if first and second and first.last and second.last:
            total += rhyme(first.last, second.last)
    return total / len(junctures) if junctures else 0.0
