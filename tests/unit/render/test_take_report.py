"""The take report as a page, on paper and as values."""

from __future__ import annotations

import json
from functools import cache
from pathlib import Path

import pypdfium2
from lxml import etree, html

from suspirium.desk.listening import write_report
from suspirium.desk.planning import plan_file
from suspirium.render.take_plots import gap_plot, lift_plot, pulse_plot
from suspirium.render.take_report import report_html, report_pdf
from suspirium.take.listen import listen
from suspirium.take.model import Take
from suspirium.take.report import TakeReport
from tests.conftest import PARISH
from tests.playing import Playing, play


@cache
def report(name: str = "fallowmere", **how: object) -> TakeReport:
    plan = plan_file(PARISH / f"{name}.abc")
    return listen(plan, Take(tuple(play(plan, Playing(seed=4, errors=0.02)).notes)))


def test_the_page_needs_nothing_beside_it_and_says_all() -> None:
    page = html.fromstring(report_html(report(), "tuesday.mid").decode())
    assert not page.xpath("//link | //script | //img | //*[starts-with(@src, 'http')]")
    assert len(page.xpath("//*[local-name()='svg']")) == 3
    rows = page.xpath("//table/tr")
    assert len(rows) == 1 + len(report().line_ends)
    text = page.text_content()
    for sentence in report().advice:
        assert sentence in text


def test_markup_in_a_title_stays_text() -> None:
    from dataclasses import replace

    page = report_html(replace(report(), title="<b>Lamps & light</b>"), "a.mid").decode()
    assert "<b>Lamps" not in page


def test_the_paper_fits_on_one_page_for_three_stanzas() -> None:
    pages = pypdfium2.PdfDocument(report_pdf(report(), "tuesday.mid"))
    assert len(pages) == 1
    text = pages[0].get_textpage().get_text_bounded()
    assert "Stanza gaps" in text


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
    assert report_pdf(empty, "a.mid").startswith(b"%PDF")
    assert b"Lifts" not in report_html(empty, "a.mid")


def test_a_second_report_replaces_the_first(tmp_path: Path) -> None:
    for _ in range(2):
        page = write_report(report(), Path("tuesday.mid"), tmp_path)
    assert sorted(p.name for p in page.parent.iterdir()) == ["take.html", "take.json", "take.pdf"]
    assert json.loads((page.parent / "take.json").read_text())["stanzas_found"] == 3
