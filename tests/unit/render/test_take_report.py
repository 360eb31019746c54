"""The take report as a page, on paper and as values."""

from __future__ import annotations

import json
from functools import cache
from pathlib import Path

import pypdfium2
from lxml import etree, html

from suspirium.desk.listening import write_report
from suspirium.desk.planning import plan_file
from suspirium.plan.model import LeadingPlan
from suspirium.render.take_plots import gap_plot, lift_plot, pulse_plot
from suspirium.render.take_report import report_html, report_pdf, report_values
from suspirium.take.listen import listen
from suspirium.take.model import Take
from suspirium.take.report import TakeReport
from tests.conftest import PARISH
from tests.playing import Playing, play


@cache
def plan() -> LeadingPlan:
    return plan_file(PARISH / "fallowmere.abc")


@cache
def report() -> TakeReport:
    return listen(plan(), Take(tuple(play(plan(), Playing(seed=4, errors=0.02)).notes)))


def test_the_page_needs_nothing_beside_it_and_says_all() -> None:
    page = html.fromstring(report_html(report_values(report(), plan(), "tuesday.mid")).decode())
    assert not page.xpath("//link | //script | //img | //*[starts-with(@src, 'http')]")
    assert len(page.xpath("//*[local-name()='svg' and not(ancestor::*[local-name()='svg'])]")) > 3
    rows = page.xpath("//table/tr")
    assert len(rows) == 1 + len(report().line_ends)
    text = page.text_content()
    for sentence in report().advice:
        assert sentence in text


def test_markup_in_a_title_stays_text() -> None:
    from dataclasses import replace

    page = report_html(
        report_values(replace(report(), title="<b>Lamps & light</b>"), plan(), "a.mid")
    ).decode()
    assert "<b>Lamps" not in page


def test_the_paper_is_a_page_of_figures_and_a_page_of_the_score() -> None:
    pages = pypdfium2.PdfDocument(report_pdf(report_values(report(), plan(), "tuesday.mid")))
    assert len(pages) == 2
    figures, score = (page.get_textpage().get_text_bounded() for page in pages)
    assert "Stanza gaps" in figures
    assert report().faults
    for fault in report().faults:
        assert (fault.expected_name or fault.played_name).replace("\u266d", "") in score


def test_a_faultless_take_has_no_score_at_its_end() -> None:
    from dataclasses import replace

    clean = replace(report(), faults=(), line_ends=(), gaps=())
    assert len(pypdfium2.PdfDocument(report_pdf(report_values(clean, plan(), "a.mid")))) == 1


def test_plots_are_the_same_every_time_and_well_formed() -> None:
    for plot in (pulse_plot, lift_plot, gap_plot):
        once, again = plot(report()), plot(report())
        assert once is not None
        assert once == again
        assert etree.fromstring(once).tag.endswith("svg")


def test_nothing_to_plot_is_no_plot() -> None:
    from dataclasses import replace

    empty = replace(report(), pulse=(), line_ends=(), gaps=(), tempos=())
    assert pulse_plot(empty) is lift_plot(empty) is gap_plot(empty) is None
    assert report_pdf(report_values(empty, plan(), "a.mid")).startswith(b"%PDF")
    assert b"Lifts" not in report_html(report_values(empty, plan(), "a.mid"))


def test_a_second_report_replaces_the_first(tmp_path: Path) -> None:
    for _ in range(2):
        page = write_report(report(), plan(), Path("tuesday.mid"), tmp_path)
    assert sorted(p.name for p in page.parent.iterdir()) == ["take.html", "take.json", "take.pdf"]
    assert json.loads((page.parent / "take.json").read_text())["stanzas_found"] == 3
