"""What the service needs of a hymn, as JSON values: its introduction and its key."""

from __future__ import annotations

from typing import Any

from suspirium.plan.model import LeadingPlan
from suspirium.render.numbers import number
from suspirium.service.introductions import Introduction, propose_introductions
from suspirium.service.keys import propose_key


def introduction_values(plan: LeadingPlan) -> dict[str, Any]:
    """The introductions proposed, best first, in written onsets."""
    return {"choices": [_introduction(choice) for choice in propose_introductions(plan)]}


def key_values(plan: LeadingPlan) -> dict[str, Any]:
    """The printed key and the one that suits a mixed assembly, with the reason."""
    found = propose_key(plan)
    return {
        "printed": found.printed,
        "proposed": found.proposed,
        "semitones": found.semitones,
        "reason": found.reason,
    }


def _introduction(choice: Introduction) -> dict[str, Any]:
    return {
        "shape": choice.shape,
        "lines": list(choice.line_numbers),
        "spans": [
            {
                "first_onset_q": number(piece.first_onset_q),
                "last_onset_q": number(piece.last_onset_q),
            }
            for piece in choice.pieces
        ],
        "first_onset_q": number(choice.first_onset_q),
        "last_onset_q": number(choice.last_onset_q),
        "seconds": round(choice.seconds, 2),
        "reason": choice.reason,
    }
