"""Effort of a plan's notes."""

from __future__ import annotations

from collections.abc import Sequence

from suspirium.plan.model import LeadingPlan
from suspirium.technique.model import Effort, PlayedNote


def effort_of(plan: LeadingPlan, notes: Sequence[PlayedNote]) -> Effort:
    return Effort(0.0, {}, (), (), "")
