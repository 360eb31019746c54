"""The organist's own decisions for a hymn of the library: tried, kept, never overwritten unseen.

Lengths are asked for in counts of the hymn's counted beat, as they are spoken of. What is kept
carries a version: whoever saves must have seen what is there.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from fractions import Fraction
from hashlib import sha256
from typing import Any, cast

from suspirium.desk.finding import Found, found_in
from suspirium.desk.planning import Settings, overrides_of, plan_found
from suspirium.errors import OverrideError, SuspiriumError
from suspirium.plan.model import BreathKind, LeadingPlan
from suspirium.plan.overrides import Overrides, PhraseOverride, read_overrides
from suspirium.plan.overrides_toml import write_overrides
from suspirium.plan.pulse import counted_beat_q
from suspirium.store.hymnal import by_id
from suspirium.store.library import Library


class StaleError(SuspiriumError):
    """What was kept elsewhere meanwhile: decisions, or `what` it is; `kept` is its text."""

    def __init__(self, kept: str, what: str = "decisions") -> None:
        super().__init__(
            f"this hymn's {what} were changed in another window meanwhile; nothing was overwritten"
        )
        self.kept = kept


@dataclass(frozen=True, slots=True)
class Tried:
    """A plan by decisions that are not kept yet, and their text."""

    plan: LeadingPlan
    text: str


def version_of(text: str) -> str:
    """The version of kept decisions: by their content."""
    return sha256(text.encode()).hexdigest()[:16]


def try_decisions(found: Found, asked: Mapping[str, str], settings: Settings) -> Tried:
    """The plan as it would be with what is `asked` (see `asked_overrides`)."""
    before = plan_found(found, settings)
    own = asked_overrides(before, overrides_of(found), asked)
    text = write_overrides(own)
    return Tried(plan_found(replace(found, overrides=text), settings), text)


def keep_decisions(
    library: Library, number: int, asked: Mapping[str, str], version: str, settings: Settings
) -> None:
    """Keeps what is asked if `version` is what lies in the library; else `StaleError`.

    What no plan can be made with is refused, and nothing is changed.
    """
    found = found_in(library, number)
    tried = try_decisions(found, asked, settings)
    keep_text(library, number, tried.text, version)


def keep_text(library: Library, number: int, text: str, version: str) -> None:
    """Keeps decisions as text if `version` is what lies in the library; else `StaleError`."""
    read_overrides(text)
    with library.session() as session:
        row = by_id(session, number)
        if version_of(row.overrides) != version:
            raise StaleError(row.overrides)
        row.overrides = text


# What a form asks ----------------------------------------------------------------------


def asked_overrides(plan: LeadingPlan, own: Overrides, asked: Mapping[str, str]) -> Overrides:
    """`own` with what the fields of `asked` say; an empty field follows the plan.

    Fields: ``pulse_q``, ``tempo`` (in notes of ``tempo_unit_q`` a minute), ``gap_hold``,
    ``gap_lift``, ``ending`` (in counts), ``broaden`` (in percent); ``lift-2``, ``stretch-2``
    (in counts) and ``breath-2-1`` for line 2, stanza 1; with ``flags``, ``same_breath`` and
    ``fermatas_hold`` are set if named. What `asked` does not name stays as it is.
    `OverrideError` says what can't be read.
    """
    beat_q = counted_beat_q(plan.hymn)
    changes: dict[str, Any] = {}
    if "pulse_q" in asked:
        changes["pulse_q"] = _number(asked, "pulse_q")
    if "tempo" in asked:
        bpm = _number(asked, "tempo")
        unit_q = _number(asked, "tempo_unit_q") or Fraction(1)
        quarter_bpm = None if bpm is None else round(float(bpm * unit_q), 3)
        changes |= {"quarter_bpm": quarter_bpm, "pulse_bpm": None}
    for field, name in (
        ("gap_hold", "gap_hold_q"),
        ("gap_lift", "gap_silence_q"),
        ("ending", "ending_hold_q"),
    ):
        if field in asked:
            changes[name] = _counts(asked, field, beat_q)
    if "broaden" in asked:
        percent = _number(asked, "broaden")
        changes["broaden"] = None if percent is None else float(percent) / 100
    if "flags" in asked:  # boxes that are not ticked are not sent at all
        changes["same_breath_every_stanza"] = "same_breath" in asked
        changes["fermatas_hold"] = "fermatas_hold" in asked
    phrases = {
        phrase.number: _phrase(own.phrases.get(phrase.number), phrase.number, asked, beat_q)
        for phrase in plan.phrases
    }
    kept = {number: one for number, one in phrases.items() if one != PhraseOverride()}
    beyond = {n: one for n, one in own.phrases.items() if n not in phrases}
    return replace(own, phrases=beyond | kept, **changes)


def _phrase(
    own: PhraseOverride | None, number: int, asked: Mapping[str, str], beat_q: Fraction
) -> PhraseOverride:
    own = own or PhraseOverride()
    changes: dict[str, Any] = {}
    for field, name in ((f"lift-{number}", "lift_q"), (f"stretch-{number}", "stretch_q")):
        if field in asked:
            changes[name] = _counts(asked, field, beat_q)
    start = f"breath-{number}-"
    said = {int(f.removeprefix(start)): kind for f, kind in asked.items() if f.startswith(start)}
    if said:
        every = own.breaths.get(0)
        breaths = {} if every is None else dict.fromkeys(said, every)
        breaths |= {stanza: kind for stanza, kind in own.breaths.items() if stanza}
        breaths |= {stanza: cast(BreathKind, kind) for stanza, kind in said.items()}
        changes["breaths"] = {stanza: kind for stanza, kind in breaths.items() if kind}
    return replace(own, **changes)


def _counts(asked: Mapping[str, str], field: str, beat_q: Fraction) -> Fraction | None:
    number = _number(asked, field)
    return None if number is None else number * beat_q


def _number(asked: Mapping[str, str], field: str) -> Fraction | None:
    text = asked[field].strip().replace(",", ".").replace("½", ".5")
    if not text:
        return None
    try:
        return Fraction(text).limit_denominator(960)
    except (ValueError, ZeroDivisionError):
        raise OverrideError(f"{asked[field]!r} is no number; write it as 2 or 2.5") from None
