"""Which tunes fit a text, and why."""

from __future__ import annotations

from dataclasses import replace

from suspirium.repertoire.exchange import TuneFacts, fit

COMMON = TuneFacts("8.6.8.6", ("03020302", "030203", "03020302", "030203"), 60, 74, "major")


def test_the_same_metre_and_beats_fit_best() -> None:
    same = fit(COMMON, COMMON)
    assert same is not None
    assert same.cost == 0
    assert "strong beats fall where" in same.reason


def test_another_metre_does_not_fit_and_an_unknown_one_neither() -> None:
    assert fit(COMMON, replace(COMMON, metre="8.8.8.8")) is None
    assert fit(COMMON, replace(COMMON, metre="")) is None


def test_two_stanzas_fill_a_doubled_tune() -> None:
    doubled = replace(COMMON, metre="8.6.8.6.8.6.8.6", beats=COMMON.beats * 2)
    found = fit(COMMON, doubled)
    assert found is not None
    assert found.stanzas_together == 2
    assert fit(doubled, COMMON) is None


def test_each_misfit_costs_and_is_said() -> None:
    others = {
        "changes between": replace(COMMON, beats=tuple("30203020"[: len(b)] for b in COMMON.beats)),
        "beyond what people sing": replace(COMMON, high_midi=78),
        "minor": replace(COMMON, mode="minor"),
    }
    for words, tune in others.items():
        found = fit(COMMON, tune)
        assert found is not None
        assert found.cost > 0
        assert words.replace("changes", "change") in found.reason


def test_words_that_would_be_stressed_wrongly_cost_and_are_said() -> None:
    line = ("the", "morning", "light", "upon", "the", "hill")
    words = replace(COMMON, stanzas=((line,),))
    good = fit(words, COMMON)
    bad = fit(words, replace(COMMON, beats=("30203020", *COMMON.beats[1:])))
    assert good is not None
    assert bad is not None
    assert good.cost == 0
    assert "stressed wrongly" in bad.reason
    deaf = fit(replace(words, stanzas=()), replace(COMMON, beats=("30203020", *COMMON.beats[1:])))
    assert deaf is not None
    assert bad.cost > deaf.cost
