"""Why a stanza has its registration, in one plain sentence."""

from __future__ import annotations

from suspirium.service.organ.feet import feet_words
from suspirium.service.organ.model import Organ
from suspirium.service.registration.candidates import Candidate
from suspirium.service.registration.changes import Change
from suspirium.service.registration.character import Read
from suspirium.service.registration.solve import Stage
from suspirium.service.registration.steps import recipe

MANY = 3  # words quoted
NEAR = 0.75  # steps


def reason(
    organ: Organ,
    stage: Stage,
    row: Candidate,
    before: Candidate | None,
    moved: Change,
    read: Read,
) -> str:
    """One sentence: what the stanza asks for, what the organ gives, how it is changed."""
    parts = [_asks(stage, read), _gives(stage, row)]
    if missing := _missing(organ, stage):
        parts.append(f"in place of the {' and '.join(missing)} that this organ has not")
    if row.registration.solo:
        parts.append(f"the melody alone on the {row.registration.solo}")
    if before is not None:
        parts.append(_change(row, before, moved))
    if organ.pedal is not None and not row.registration.pedal:
        parts.append("the hands play alone")
    text = ", ".join(part for part in parts if part)
    return f"{text[0].upper()}{text[1:]}."


def _asks(stage: Stage, read: Read) -> str:
    if stage.stanza == 0:
        return "the introduction"
    if read.set_by_organist:
        return f"you call this stanza {read.character}"
    if not read.told_by:
        return "the words are plain"
    words = ", ".join(f"“{word}”" for word in read.told_by[:MANY])
    return f"the words are {read.character} ({words})"


def _gives(stage: Stage, row: Candidate) -> str:
    text = f"step {row.step:.1f} of 5"
    if row.registration.solo:
        return text
    if row.step < stage.asked - NEAR:
        return f"{text} where {stage.asked:.1f} was asked: the organ has no more within reach"
    if row.step > stage.asked + NEAR:
        return f"{text} where {stage.asked:.1f} was asked: the organ has nothing softer in reach"
    return text


def _missing(organ: Organ, stage: Stage) -> list[str]:
    """What the step usually has and no manual of this organ: "principal 8", "mixture"."""
    here = {(stop.foot, stop.family) for manual in organ.manuals for stop in manual.stops}
    families = {stop.family for manual in organ.manuals for stop in manual.stops}
    return [
        stop.family if stop.family == "mixture" else f"{stop.family} {feet_words(stop.foot)}"
        for stop in recipe(round(stage.asked))
        if (
            stop.family not in families
            if stop.family == "mixture"
            else (stop.foot, stop.family) not in here
        )
    ]


def _change(row: Candidate, before: Candidate, moved: Change) -> str:
    if moved.moves == 0 and row.registration == before.registration:
        return "nothing changes"
    if moved.moves == 0:
        if row.registration.main != before.registration.main:
            return f"the hands go to the {row.registration.main}"
        return (
            "only the swell box moves" if row.registration.shut != before.registration.shut else ""
        )
    if moved.by_piston:
        return "one piston"
    what = "one stop" if moved.moves == 1 else f"{moved.moves} stops"
    return f"{what} by hand in {moved.seconds:.1f} s"
