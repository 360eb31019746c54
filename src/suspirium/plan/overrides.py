"""The organist's own decisions: read from a small TOML file, kept on recomputing.

pulse_q = 2                 # the pulse is a half note
quarter_bpm = 96            # or pulse_bpm = 48
phrase_ends_q = [7, 15]     # onsets of the lines' last notes, the last one may be left out
same_breath_every_stanza = true
fermatas_hold = true        # a fermata is a hold, not only a sign to breathe

[gap]
hold_q = 5
silence_q = 2

[ending]
hold_q = 6
broaden = 0.08

[phrases.2]                 # the second line
lift_q = 0.5
stretch_q = 0.1
breath = "carry"            # in all stanzas, or by stanza: { 1 = "carry", 3 = "full" }

[[touches]]
onset_q = 12
voice = "soprano"
gives_up_q = 0.25           # 0 ties the note to the next

[[fingers]]
onset_q = 12
voice = "alto"
fingers = [2, 4]            # 2, then silently 4 on the same key
hand = "left"               # may be left out

[[feet]]
onset_q = 12
voice = "bass"
foot = "left"
part = "toe"
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, field
from fractions import Fraction
from typing import Any, Literal, cast

from suspirium.errors import OverrideError
from suspirium.plan.model import BreathKind

_BREATHS = ("full", "part", "carry")
_LENGTHS_Q = {
    "pulse_q": (Fraction(1, 8), Fraction(8)),
    "hold_q": (Fraction(1, 8), Fraction(64)),
    "silence_q": (Fraction(0), Fraction(64)),
    "lift_q": (Fraction(0), Fraction(64)),
    "stretch_q": (Fraction(0), Fraction(8)),
    "gives_up_q": (Fraction(0), Fraction(64)),
}  # what can be played at all; beyond it a slip of the pen


@dataclass(frozen=True, slots=True)
class PhraseOverride:
    """What the organist set at one phrase end; `breaths` by stanza, 0 for all stanzas."""

    lift_q: Fraction | None = None
    stretch_q: Fraction | None = None
    breaths: Mapping[int, BreathKind] = field(default_factory=dict)

    def breath(self, stanza: int) -> BreathKind | None:
        return self.breaths.get(stanza, self.breaths.get(0))


@dataclass(frozen=True, slots=True)
class TouchOverride:
    """What the note of `voice` at `onset_q` gives up instead."""

    onset_q: Fraction
    voice: str
    gives_up_q: Fraction


@dataclass(frozen=True, slots=True)
class FingerOverride:
    """The organist's own fingers on the note of `voice` at `onset_q`; any hand where None."""

    onset_q: Fraction
    voice: str
    fingers: tuple[int, ...]
    hand: Literal["left", "right"] | None = None


@dataclass(frozen=True, slots=True)
class FootOverride:
    """The organist's own foot on the pedal note of `voice` at `onset_q`."""

    onset_q: Fraction
    voice: str
    foot: Literal["left", "right"]
    part: Literal["toe", "heel"] = "toe"


@dataclass(frozen=True, slots=True)
class Overrides:
    """Everything the organist may set; None or empty where the program decides."""

    pulse_q: Fraction | None = None
    quarter_bpm: float | None = None
    pulse_bpm: float | None = None
    phrase_ends_q: tuple[Fraction, ...] | None = None
    same_breath_every_stanza: bool = False
    fermatas_hold: bool = False
    gap_hold_q: Fraction | None = None
    gap_silence_q: Fraction | None = None
    ending_hold_q: Fraction | None = None
    broaden: float | None = None
    phrases: Mapping[int, PhraseOverride] = field(default_factory=dict)
    touches: tuple[TouchOverride, ...] = ()
    fingers: tuple[FingerOverride, ...] = ()
    feet: tuple[FootOverride, ...] = ()


NONE = Overrides()


def read_overrides(text: str) -> Overrides:
    """Overrides from TOML text; `OverrideError` says which entry is not understood."""
    try:
        tree = tomllib.loads(text)
    except tomllib.TOMLDecodeError as problem:
        raise OverrideError(f"the overrides are not valid TOML: {problem}") from None
    _known(
        tree,
        "the overrides",
        {
            "pulse_q",
            "quarter_bpm",
            "pulse_bpm",
            "phrase_ends_q",
            "same_breath_every_stanza",
            "fermatas_hold",
            "gap",
            "ending",
            "phrases",
            "touches",
            "fingers",
            "feet",
        },
    )
    gap = _section(tree, "gap", {"hold_q", "silence_q"})
    ending = _section(tree, "ending", {"hold_q", "broaden"})
    ends = _list(tree, "phrase_ends_q") if "phrase_ends_q" in tree else None
    phrases = _section(tree, "phrases")
    return Overrides(
        pulse_q=_length(tree, "pulse_q"),
        quarter_bpm=_number(tree, "quarter_bpm", 10, 400),
        pulse_bpm=_number(tree, "pulse_bpm", 5, 400),
        phrase_ends_q=None if ends is None else tuple(_fraction("phrase_ends_q", e) for e in ends),
        same_breath_every_stanza=bool(tree.get("same_breath_every_stanza", False)),
        fermatas_hold=bool(tree.get("fermatas_hold", False)),
        gap_hold_q=_length(gap, "hold_q"),
        gap_silence_q=_length(gap, "silence_q"),
        ending_hold_q=_length(ending, "hold_q"),
        broaden=_number(ending, "broaden", 0, 1),
        phrases={_count(key): _phrase(key, _section(phrases, key)) for key in phrases},
        touches=tuple(_touch(part) for part in _list(tree, "touches")),
        fingers=tuple(_finger(part) for part in _list(tree, "fingers")),
        feet=tuple(_foot(part) for part in _list(tree, "feet")),
    )


def _known(tree: Mapping[str, Any], where: str, names: set[str]) -> None:
    unknown = sorted(set(tree) - names)
    if unknown:
        raise OverrideError(
            f"{where} name {unknown[0]!r}, which is not one of {', '.join(sorted(names))}"
        )


def _section(
    tree: Mapping[str, Any], name: str, names: set[str] | None = None
) -> Mapping[str, Any]:
    """A section of the file; `names` are what it may hold, None for anything."""
    part = tree.get(name, {})
    if not isinstance(part, Mapping):
        raise OverrideError(f"the override {name} must be a section [{name}]")
    if names is not None:
        _known(part, f"the overrides of {name}", names)
    return part


def _list(tree: Mapping[str, Any], name: str) -> list[Any]:
    found = tree.get(name, [])
    if not isinstance(found, list):
        raise OverrideError(f"the override {name} = {found!r} must be a list in brackets")
    return found


def _fraction(name: str, value: object) -> Fraction:
    try:
        return Fraction(str(value)).limit_denominator(960)
    except (ValueError, ZeroDivisionError):
        raise OverrideError(
            f"the override {name} = {value!r} is not a number of quarters"
        ) from None


def _length(tree: Mapping[str, Any], name: str) -> Fraction | None:
    if name not in tree:
        return None
    length = _fraction(name, tree[name])
    low, high = _LENGTHS_Q[name]
    if not low <= length <= high:
        raise OverrideError(
            f"the override {name} = {tree[name]!r} must lie between {low} and {high} quarters"
        )
    return length


def _number(tree: Mapping[str, Any], name: str, low: float, high: float) -> float | None:
    value = tree.get(name)
    if value is None:
        return None
    if not isinstance(value, int | float) or not low <= value <= high:
        raise OverrideError(
            f"the override {name} = {value!r} must lie between {low:g} and {high:g}"
        )
    return float(value)


def _count(key: str) -> int:
    if not key.isdigit() or int(key) < 1:
        raise OverrideError(
            f"the override of phrase {key!r} must name a line by its number, from 1"
        )
    return int(key)


def _phrase(key: str, part: Mapping[str, Any]) -> PhraseOverride:
    _known(part, f"the overrides of phrase {key}", {"lift_q", "stretch_q", "breath"})
    breath = part.get("breath", {})
    by_stanza = breath if isinstance(breath, Mapping) else {"0": breath}
    for stanza, kind in by_stanza.items():
        if kind not in _BREATHS or not stanza.isdigit():
            raise OverrideError(
                f"the override of phrase {key}: breath is full, part or carry by stanza number, "
                f"not {stanza} = {kind!r}"
            )
    breaths = {int(stanza): cast(BreathKind, kind) for stanza, kind in by_stanza.items()}
    return PhraseOverride(_length(part, "lift_q"), _length(part, "stretch_q"), breaths)


def _entry(part: object, kind: str, needed: tuple[str, ...], free: str) -> Mapping[str, Any]:
    """One section of a list with all that it needs; `free` may be left out."""
    if not isinstance(part, Mapping):
        raise OverrideError(f"the override of {kind} {part!r} must be a section [[{kind}]]")
    _known(part, f"the overrides of {kind}", {*needed, *filter(None, [free])})
    missing = [name for name in needed if name not in part]
    if missing:
        raise OverrideError(f"an override of {kind} lacks {', '.join(missing)}")
    return part


def _one_of(tree: Mapping[str, Any], name: str, kind: str, known: tuple[str, ...]) -> str:
    value = tree[name]
    if value not in known:
        raise OverrideError(
            f"the override of {kind}: {name} is {' or '.join(known)}, not {value!r}"
        )
    return str(value)


def _finger(part: object) -> FingerOverride:
    entry = _entry(part, "fingers", ("onset_q", "voice", "fingers"), "hand")
    fingers = entry["fingers"]
    listed = fingers if isinstance(fingers, list) else [fingers]
    if not listed or any(type(one) is not int or not 1 <= one <= 5 for one in listed):
        raise OverrideError(
            f"the override of fingers: fingers = {fingers!r} must be numbers from 1 to 5"
        )
    hand = _one_of(entry, "hand", "fingers", ("left", "right")) if "hand" in entry else None
    return FingerOverride(
        _fraction("onset_q", entry["onset_q"]),
        str(entry["voice"]),
        tuple(listed),
        cast(Literal["left", "right"] | None, hand),
    )


def _foot(part: object) -> FootOverride:
    entry = _entry(part, "feet", ("onset_q", "voice", "foot"), "part")
    foot = _one_of(entry, "foot", "feet", ("left", "right"))
    played = _one_of(entry, "part", "feet", ("toe", "heel")) if "part" in entry else "toe"
    return FootOverride(
        _fraction("onset_q", entry["onset_q"]),
        str(entry["voice"]),
        cast(Literal["left", "right"], foot),
        cast(Literal["toe", "heel"], played),
    )


def _touch(part: object) -> TouchOverride:
    entry = _entry(part, "touches", ("onset_q", "voice", "gives_up_q"), "")
    return TouchOverride(
        _fraction("onset_q", entry["onset_q"]),
        str(entry["voice"]),
        _length(entry, "gives_up_q") or Fraction(0),
    )
