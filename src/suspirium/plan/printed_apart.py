"""Stanzas printed apart from the music, put under the notes so that they are led as well."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from suspirium.errors import Place, Remark
from suspirium.plan.phrases import PhraseSpan
from suspirium.score.model import Hymn
from suspirium.score.turns import stanza_numbers
from suspirium.score.words import shared_refrains, stretches
from suspirium.tables import load
from suspirium.verse.underlay import Laid, lay_stanzas


def with_printed_apart(hymn: Hymn, spans: Sequence[PhraseSpan]) -> Hymn:
    """The hymn with its `plain_stanzas` under the notes; remarks tell lines that don't fit.

    A stanza of which too many lines don't fit stays apart, and so do all that follow it, so
    that the numbers of the stanzas keep their order; so do stanzas of a tune that is sung in
    turn or in passes, where a stanza has no single stretch of notes.
    """
    if not hymn.plain_stanzas or not _one_stretch(hymn):
        return hymn
    lines = [(span.first_onset_q, span.last_onset_q) for span in spans]
    numbers = stanza_numbers(hymn)[len(hymn.stanzas) :]
    _, laid = lay_stanzas(hymn, hymn.plain_stanzas, lines, numbers=numbers)
    good = next((i for i, one in enumerate(laid) if not _usable(one)), len(laid))
    stanzas = (*hymn.stanzas, *(one.stanza for one in laid[:good]))
    remarks = [remark for one in laid[:good] for remark in one.remarks]
    if good < len(laid):
        remarks.append(_left(laid[good].stanza.number))
    return replace(
        hymn,
        stanzas=stanzas,
        plain_stanzas=hymn.plain_stanzas[good:],
        refrains=shared_refrains(stanzas, hymn.end_q) if good else hymn.refrains,
        remarks=(*hymn.remarks, *remarks),
    )


def _one_stretch(hymn: Hymn) -> bool:
    """Whether every stanza is sung to the same notes, each once."""
    if any(measure.repeat_end for measure in hymn.measures):
        return False
    return len({stretches(hymn, stanza.number) for stanza in hymn.stanzas}) < 2


def _usable(laid: Laid) -> bool:
    """Whether enough lines of a stanza fit for the rest to be set by hand."""
    misfits = sum(not line.fits for line in laid.lines)
    most = load("underlay").number("misfits.most") * len(laid.lines)
    return bool(laid.lines) and misfits <= most


def _left(number: int) -> Remark:
    return Remark(
        "too many lines of the words printed apart do not fit the tune; from this stanza on "
        "they are printed as text and not led.",
        Place(stanza=number),
    )
