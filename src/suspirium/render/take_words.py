"""Figures of a take in words, the same in plots, text and score."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from suspirium.take.report import Restart, TakeReport

_TIMES = ("", "once", "twice", "three times", "four times", "five times", "six times")


def beats(length_q: float) -> str:
    """A length to the nearest quarter of a beat: "½ beat", "1 beat", "1¾ beats"."""
    quarters = max(1, round(4 * length_q))
    whole, part = divmod(quarters, 4)
    number = f"{whole or ''}{('', '¼', '½', '¾')[part]}"
    return f"{number} {'beats' if quarters > 4 else 'beat'}"


def drift(percent: float) -> str:
    """A change of tempo: "+3 % to its end", "−2 % to its end", "even to its end"."""
    whole = round(percent)
    if not whole:
        return "even to its end"
    return f"{'+' if whole > 0 else '−'}{abs(whole)} % to its end"


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
            yield (
                f"In {where} you stopped in measure {restart.stopped_measure} and began again in "
                f"measure {restart.again_measure}{f', {times(count - 1)}' * (count > 2)}."
            )
