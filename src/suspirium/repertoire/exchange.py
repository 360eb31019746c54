"""Other tunes for a text: those that fit its metre, best first, with the reason."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import accumulate

from suspirium.tables import load
from suspirium.verse.accents import stressed_against
from suspirium.verse.readings import line_readings

Words = tuple[str, ...]

_STRONG = 2  # beat strengths from here on are strong: the first beat and the half bar


@dataclass(frozen=True, slots=True)
class TuneFacts:
    """What an exchange asks of a hymn: syllables and beat strengths of its lines, the range
    and the mode of its tune, and its stanzas, lines of words in small letters."""

    metre: str
    beats: tuple[str, ...]
    low_midi: int
    high_midi: int
    mode: str
    stanzas: tuple[tuple[Words, ...], ...] = ()


@dataclass(frozen=True, slots=True)
class Fit:
    """How well a tune fits a text: its cost (0 is best), why, and how many stanzas of the
    text go to one of the tune."""

    cost: float
    reason: str
    stanzas_together: int = 1


def fit(text: TuneFacts, tune: TuneFacts, language: str = "en") -> Fit | None:
    """The fit of `tune` to the words of `text`; None where the metres differ."""
    if not text.metre or not tune.metre:
        return None
    if text.metre == tune.metre:
        together, beats = 1, text.beats
    elif f"{text.metre}.{text.metre}" == tune.metre:
        together, beats = 2, text.beats * 2
    else:
        return None
    table = load("repertoire")
    astray = _astray(beats, tune.beats)
    against = _against(text.stanzas, tune.beats, together, language)
    beyond = max(0, tune.high_midi - int(table["exchange.comfortable_high"])) + max(
        0, int(table["exchange.comfortable_low"]) - tune.low_midi
    )
    other_mode = _minor(text.mode) != _minor(tune.mode)
    cost = (
        table.number("exchange.stress") * astray
        + table.number("exchange.words") * against
        + table.number("exchange.beyond") * beyond
        + table.number("exchange.mode") * other_mode
        + table.number("exchange.doubled") * (together - 1)
    )
    return Fit(cost, _reason(tune, together, astray, against, beyond, other_mode), together)


def _minor(mode: str) -> bool:
    return mode in ("minor", "aeolian", "dorian", "phrygian", "locrian")


def _astray(text: Sequence[str], tune: Sequence[str]) -> float:
    """Share of syllables that are strong in one tune and weak in the other."""
    pairs = [
        (a, b)
        for line, other in zip(text, tune, strict=False)
        for a, b in zip(line, other, strict=False)
    ]
    if not pairs:
        return 1.0
    return sum((int(a) >= _STRONG) != (int(b) >= _STRONG) for a, b in pairs) / len(pairs)


def _against(
    stanzas: Sequence[Sequence[Words]], beats: Sequence[str], together: int, language: str
) -> float:
    """Share of the words of several syllables that the tune would stress wrongly.

    As everywhere, the first word of a line may be turned; lines whose syllables are not as
    many as the tune has say nothing.
    """
    whole = len(beats) // together
    found = [
        stressed_against(word, [int(beat) for beat in under], language) is not None
        for number, stanza in enumerate(stanzas)
        for line, row in zip(stanza, beats[number % together * whole :], strict=False)
        for word, under in _under(line, row, language)
    ]
    return sum(found) / len(found) if found else 0.0


def _under(line: Words, beats: str, language: str) -> Iterator[tuple[str, str]]:
    """The words of a line after the first with their beats; only those of two or more."""
    counts = line_readings(line, len(beats), language) or ()
    ends = list(accumulate(counts))
    for word, start, end in zip(line[1:], ends, ends[1:], strict=False):
        if end - start > 1:
            yield word, beats[start:end]


def _reason(
    tune: TuneFacts, together: int, astray: float, against: float, beyond: int, other_mode: bool
) -> str:
    parts = ["the same metre" if together == 1 else "two stanzas fill this doubled tune"]
    if astray < load("repertoire").number("exchange.little"):
        parts.append("its strong beats fall where the text's own tune has them")
    else:
        parts.append(f"{astray:.0%} of the syllables change between strong and weak beats")
    if against >= load("repertoire").number("exchange.little"):
        parts.append(f"{against:.0%} of the longer words would be stressed wrongly")
    if beyond:
        steps = "a semitone" if beyond == 1 else f"{beyond} semitones"
        parts.append(f"it goes {steps} beyond what people sing with comfort")
    if other_mode:
        parts.append("it is " + ("minor" if _minor(tune.mode) else "major") + ", the own tune not")
    text = "; ".join(parts)
    return f"{text[0].upper()}{text[1:]}."
