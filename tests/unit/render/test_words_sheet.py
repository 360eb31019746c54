"""The text sheet: every stanza with its lifts and carries."""

from __future__ import annotations

from dataclasses import replace

import pypdfium2
import pytest

from suspirium.desk.planning import plan_file
from suspirium.render.words_sheet import sheet_stanzas, words_pdf, words_text
from tests.conftest import HYMNS, PARISH


@pytest.mark.parametrize("name", ["fallowmere", "netherwick", "osmerley", "quillerby"])
def test_all_words_stand_on_one_page_with_the_breaths_of_the_plan(name: str) -> None:
    plan = plan_file(PARISH / f"{name}.abc")
    stanzas = sheet_stanzas(plan)
    assert [stanza.number for stanza in stanzas] == [1, 2, 3]
    for stanza in stanzas:
        assert len(stanza.lines) == len(plan.phrases)
        for line, phrase in zip(stanza.lines, plan.phrases, strict=True):
            assert line.breath == phrase.breath(stanza.number)
    pdf = words_pdf(plan)
    assert pdf is not None
    pages = pypdfium2.PdfDocument(pdf)
    assert len(pages) == 1
    printed = " ".join(pages[0].get_textpage().get_text_bounded().split())
    for stanza in stanzas:
        for line in stanza.lines:
            assert " ".join(line.text.split()[:-1]) in printed


def test_plain_text_marks_lifts_and_carries() -> None:
    plan = plan_file(PARISH / "fallowmere.abc")
    rows = words_text(plan).splitlines()
    assert max(map(len, rows)) <= 78
    stanza = [row for row in rows if row.startswith(("1  ", "   "))]
    kinds = {"full": " |", "part": " (|)", "carry": " ~"}
    for row, phrase in zip(stanza, plan.phrases[:-1], strict=False):
        assert row.endswith(kinds[phrase.breath(1)])
    assert not stanza[3].endswith(("|", ")", "~"))  # after a stanza comes the gap


def test_a_hymn_without_words_has_no_sheet() -> None:
    plan = plan_file(PARISH / "fallowmere.abc")
    bare = replace(plan, hymn=replace(plan.hymn, stanzas=(), plain_stanzas=()))
    assert words_pdf(bare) is None
    assert words_text(bare) == ""


def test_a_refrain_is_written_out_once(hymn_labels: dict[str, object]) -> None:
    plan = plan_file(HYMNS / "lift-high-the-cross-crucifier.abc")
    text = words_text(plan)
    assert text.count("Lift high the cross, the love of Christ proclaim") == 1
    assert text.count("Refrain") == 4
