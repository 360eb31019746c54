"""What the marked page shows of hands and feet, and what it says about it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from suspirium.plan.model import LeadingPlan
from suspirium.render.engrave.figures import Figures, figures_of
from suspirium.render.reasons import Reason
from suspirium.technique import Technique
from suspirium.technique.show import Show, shown


@dataclass(frozen=True, slots=True)
class Fingering:
    """The signs to draw, what they mean, and what is said beside the plan's reasons."""

    figures: Figures = Figures()  # noqa: RUF009 (frozen)
    legend: str = ""
    reasons: tuple[Reason, ...] = ()


NO_FINGERING = Fingering()


def fingering(plan: LeadingPlan, technique: Technique, show: Show) -> Fingering:
    """The fingering of `technique` as far as `show` wants it on the page."""
    starts_q = sorted({phrase.first_onset_q for phrase in plan.phrases})
    notes = shown(technique.notes, show, starts_q)
    if not notes:
        return NO_FINGERING
    solo = technique.arrangement == "solo"  # then the left hand has the alto throughout
    figures = figures_of(notes, plan.hymn, corners=not solo)
    return Fingering(figures, signs(figures), tuple(_reasons(technique)))


def _reasons(technique: Technique) -> Iterator[Reason]:
    for remark in technique.remarks:
        text = str(remark)
        yield "Note.", f"{text[:1].upper()}{text[1:].rstrip('.')}."


def signs(figures: Figures) -> str:
    """The legend, in few words: only signs that occur here."""
    found = list(figures.signs())
    said = []
    if any("–" in sign.text for sign in found):
        said.append("4–5: changed silently.")
    if any(sign.corner for sign in found):
        said.append("Corner: the other hand.")
    if any(sign.foot for sign in found):
        said.append("∧ toe, ∪ heel, right foot above, left below.")
    if any(sign.joins for sign in found):
        said.append("Dash: a foot takes over silently.")
    if any(sign.slides for sign in found):
        said.append("Stroke: slides from the key before.")
    letters = {sign.letter for sign in found} - {""}
    names = [f"{name[0]}: {text}" for name, text in _CROSSES if name[0] in letters]
    if names:
        said.append(f"{', '.join(names)} the other foot.")
    if any(sign.text == "×" for sign in found):
        said.append("×: see the note.")
    if any(sign.fixed for sign in found):
        said.append("Bold: as set by the score or you.")
    return " ".join(said)


_CROSSES = (("front", "in front of"), ("behind", "behind"))
