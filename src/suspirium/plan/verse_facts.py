"""The verse of a planned hymn: its metre, its foot, and where the tune goes against the words."""

from __future__ import annotations

from suspirium.plan.model import LeadingPlan
from suspirium.plan.touch import beat_strength
from suspirium.score.words import plain_text
from suspirium.verse.accents import WrongStress, wrong_stresses
from suspirium.verse.foot import Foot, foot
from suspirium.verse.languages import language_of
from suspirium.verse.metre import tune_metre
from suspirium.verse.poem import SungStanza, poem


def plan_metre(plan: LeadingPlan) -> str:
    """The printed poetic metre, or the one that the words under the tune have; or nothing."""
    if plan.hymn.metre:
        return plan.hymn.metre
    found = tune_metre(plan.hymn, [(p.first_onset_q, p.last_onset_q) for p in plan.phrases])
    return str(found) if found else ""


def plan_foot(plan: LeadingPlan) -> Foot | None:
    """The stress foot of the words under the tune; None without any, or where unknown."""
    rows = [
        [[(word.letters, len(word.syllables)) for word in line] for line in stanza]
        for stanza in plan_poem(plan)
    ]
    return foot(rows, plan_language(plan))


def plan_wrong_stresses(plan: LeadingPlan) -> tuple[WrongStress, ...]:
    """Words under the tune that are sung against their stress, in order."""
    return wrong_stresses(
        plan_poem(plan), lambda onset_q: beat_strength(plan.hymn, onset_q), plan_language(plan)
    )


def plan_poem(plan: LeadingPlan) -> tuple[SungStanza, ...]:
    """The words under the tune, by stanzas and the plan's phrases."""
    return poem(plan.hymn, [(p.first_onset_q, p.last_onset_q) for p in plan.phrases])


def plan_language(plan: LeadingPlan) -> str:
    """The language of the words under the tune."""
    return language_of([plain_text(stanza.syllables) for stanza in plan.hymn.stanzas])
