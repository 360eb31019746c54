"""The organist's own decisions as the small TOML file that `overrides` reads."""

from __future__ import annotations

import json
from collections.abc import Iterator
from fractions import Fraction

from suspirium.plan.overrides import Overrides, PhraseOverride


def write_overrides(overrides: Overrides) -> str:
    """`overrides` as TOML; `read_overrides` gives back the same. Empty if nothing is set."""
    return "".join(f"{line}\n" for line in _lines(overrides)).lstrip("\n")


def _lines(own: Overrides) -> Iterator[str]:
    for name, length in (("pulse_q", own.pulse_q),):
        yield from _length(name, length)
    for name, number in (("quarter_bpm", own.quarter_bpm), ("pulse_bpm", own.pulse_bpm)):
        yield from _number(name, number)
    if own.phrase_ends_q is not None:
        yield f"phrase_ends_q = [{', '.join(_quarters(end) for end in own.phrase_ends_q)}]"
    for name, chosen in (
        ("same_breath_every_stanza", own.same_breath_every_stanza),
        ("fermatas_hold", own.fermatas_hold),
    ):
        if chosen:
            yield f"{name} = true"
    gap = [*_length("hold_q", own.gap_hold_q), *_length("silence_q", own.gap_silence_q)]
    yield from _section("[gap]", gap)
    ending = [*_length("hold_q", own.ending_hold_q), *_number("broaden", own.broaden)]
    yield from _section("[ending]", ending)
    for number_of, phrase in sorted(own.phrases.items()):
        yield from _section(f"[phrases.{number_of}]", [*_phrase(phrase)])
    yield from _entries(own)


def _entries(own: Overrides) -> Iterator[str]:
    """The lists of single notes: touches, fingers, feet."""
    for touch in own.touches:
        gives = f"gives_up_q = {_quarters(touch.gives_up_q)}"
        yield from _section("[[touches]]", [*_note(touch.onset_q, touch.voice), gives])
    for finger in own.fingers:
        listed = f"fingers = [{', '.join(map(str, finger.fingers))}]"
        hand = [f'hand = "{finger.hand}"'] if finger.hand else []
        where = _note(finger.onset_q, finger.voice)
        yield from _section("[[fingers]]", [*where, listed, *hand])
    for foot in own.feet:
        which = [f'foot = "{foot.foot}"', f'part = "{foot.part}"']
        yield from _section("[[feet]]", [*_note(foot.onset_q, foot.voice), *which])


def _section(head: str, lines: list[str]) -> list[str]:
    return ["", head, *lines] if lines else []


def _note(onset_q: Fraction, voice: str) -> list[str]:
    return [f"onset_q = {_quarters(onset_q)}", f"voice = {json.dumps(voice, ensure_ascii=False)}"]


def _phrase(own: PhraseOverride) -> Iterator[str]:
    yield from _length("lift_q", own.lift_q)
    yield from _length("stretch_q", own.stretch_q)
    if own.breaths:
        kinds = ", ".join(f'{stanza} = "{kind}"' for stanza, kind in sorted(own.breaths.items()))
        yield f"breath = {{ {kinds} }}"


def _length(name: str, value: Fraction | None) -> Iterator[str]:
    if value is not None:
        yield f"{name} = {_quarters(value)}"


def _number(name: str, value: float | None) -> Iterator[str]:
    if value is not None:
        yield f"{name} = {value!r}"


def _quarters(value: Fraction) -> str:
    """Whole numbers and exact decimals as numbers, thirds and the like as text: "1/3"."""
    if value.denominator == 1:
        return str(value.numerator)
    decimal = repr(float(value))
    return decimal if Fraction(decimal) == value else f'"{value}"'
