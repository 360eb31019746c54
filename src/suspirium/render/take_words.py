"""Figures of a take in words, the same in plots, text and score."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from math import nan

from suspirium.render.words import ranges
from suspirium.take.report import NoteFault, Restart, TakeReport, measure_name

_LIFT = re.compile(r"the lift of line (\d+) in (stanzas? [^:]*): (.*)")
_STANZA = re.compile(r"stanza (\d+)")
_TIMES = ("", "once", "twice", "three times", "four times", "five times", "six times")


def beats(length_q: float) -> str:
    """A length to the nearest quarter of a beat: "½ beat", "1 beat", "1¾ beats"."""
    quarters = max(1, round(4 * length_q))
    whole, part = divmod(quarters, 4)
    number = f"{whole or ''}{('', '¼', '½', '¾')[part]}"
    return f"{number} {'beats' if quarters > 4 else 'beat'}"


def drift(percent: float) -> str:
    """A change of tempo: "quickens 3 %", "slows 2 %", "even"."""
    whole = round(percent)
    if not whole:
        return "even"
    return f"{'quickens' if whole > 0 else 'slows'} {abs(whole)} %"


def gap_spread_s(report: TakeReport) -> float:
    """The longest stanza gap less the shortest, in seconds; NaN with fewer than two."""
    lengths_s = [gap.onset_to_onset_s for gap in report.gaps]
    return max(lengths_s) - min(lengths_s) if len(lengths_s) > 1 else nan


def note_names(fault: NoteFault) -> tuple[str, str]:
    """What was played and what is written, with the octave only where nothing else differs."""
    names = fault.played_name, fault.expected_name
    plain = tuple(name.rstrip("-0123456789") for name in names)
    return names if plain[0] == plain[1] else (plain[0], plain[1])


def together(texts: Iterable[str]) -> Iterator[str]:
    """Sentences that differ by their stanza alone as one, "line 2 in stanzas 1–3: ...", and all
    lifts that are left out for the same reason: "the lifts of lines 1, 3 in stanzas 1–3, of
    line 4 in stanza 2: ..."."""
    lifts: dict[str, dict[str, list[int]]] = {}
    merged = [(text, _LIFT.match(text)) for text in _stanzas_together(texts)]
    for _, lift in merged:
        if lift is not None:
            line, stanzas, reason = lift.groups()
            lifts.setdefault(reason, {}).setdefault(stanzas, []).append(int(line))
    for text, lift in merged:
        if lift is None:
            yield text
        elif places := lifts.pop(lift[3], None):
            yield f"{_lifts(places)}: {lift[3]}"


def _lifts(places: Mapping[str, Sequence[int]]) -> str:
    named = [
        f"of line{'s' * (len(lines) > 1)} {ranges(lines)} in {stanzas}"
        for stanzas, lines in places.items()
    ]
    several = len(named) > 1 or "stanzas" in named[0] or "lines" in named[0]
    return f"the lift{'s' * several} {', '.join(named)}"


def _stanzas_together(texts: Iterable[str]) -> Iterator[str]:
    found: dict[tuple[str, str], list[int]] = {}
    for text in texts:
        before, number, after = [*_STANZA.split(text, maxsplit=1), "", ""][:3]
        found.setdefault((before, after), []).extend([int(number)] if number else [])
    for (before, after), numbers in found.items():
        several = "s" * (len(numbers) > 1)
        named = f"stanza{several} {ranges(numbers)}" if numbers else ""
        yield f"{before}{named}{after}"


def times(count: int) -> str:
    """How often: "twice", "three times", "12 times"."""
    return _TIMES[count] if count < len(_TIMES) else f"{count} times"


def repeated(report: TakeReport) -> Iterator[tuple[Restart, int]]:
    """Every stretch that was begun again, and how often it was played in all."""
    for restart, count in Counter(report.restarts).items():
        yield restart, count + 1


def restart_words(report: TakeReport) -> Iterator[str]:
    """A sentence for every stretch that was begun again."""
    for restart, count in repeated(report):
        where = f"stanza {restart.stanza}" if restart.stanza else "the introduction"
        if restart.phrase:
            yield f"Line {restart.phrase} of {where} was played {times(count)}."
        else:
            stopped, again = map(measure_name, (restart.stopped_measure, restart.again_measure))
            often = f", {times(count - 1)}" if count > 2 else ""
            yield f"In {where} you stopped in {stopped} and began again in {again}{often}."
