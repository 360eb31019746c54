"""The take report as a page, on paper and as values."""

from __future__ import annotations

import json
import re
from functools import cache
from pathlib import Path

import pypdfium2
from lxml import etree, html

from suspirium.desk.listening import write_report
from suspirium.desk.planning import plan_file
from suspirium.plan.model import LeadingPlan
from suspirium.render.take_plots import gap_plot, lift_plot, pulse_plot
from suspirium.render.take_report import report_html, report_pdf, report_values
from suspirium.render.take_rows import touch_rows
from suspirium.take.listen import listen
from suspirium.take.model import Take
from suspirium.take.report import TakeReport
from tests.conftest import PARISH
from tests.playing import Playing, play

TABLES = ("Tempo", "Every line end", "Touch")


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
    tables = [page.xpath(f"//h2[.='{name}']/..//table/tr") for name in TABLES]
    tempo, ends, touch = (len(rows) - 1 for rows in tables)
    assert tempo == 1 + len(report().tempos)  # the plan's own is the first
    assert (ends, touch) == (len(report().line_ends), len(report().touches))
    played = [
        f"{tempo.quarter_bpm:.0f} ± {tempo.quarter_bpm * tempo.error_percent / 100:.1f}"
        for tempo in report().tempos
    ]
    assert [row.xpath("string(td[2])") for row in tables[0][2:]] == played
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
        name = (fault.expected_name or fault.played_name).replace("\u266d", "")
        assert name.rstrip("0123456789") in score


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


def test_more_stanzas_than_fit_side_by_side_are_all_drawn() -> None:
    from dataclasses import replace

    many = replace(
        report(),
        pulse=tuple(
            replace(point, stanza=point.stanza + 3 * times)
            for times in range(4)
            for point in report().pulse
        ),
    )
    drawn = pulse_plot(many)
    assert drawn is not None
    titles = "".join(str(text) for text in etree.fromstring(drawn).xpath("//comment()"))
    assert all(re.search(rf"stanza {n}\b", titles) for n in range(1, 13))


def test_touch_is_told_in_milliseconds_planned_and_played() -> None:
    rows = {row[0]: row for row in touch_rows(report())}
    measured = {touch.kind: touch for touch in report().touches}
    pedal = rows["The pedal, against the hands"]
    played_ms = 1000 * measured["bass_after_melody"].played_s
    assert pedal[1] == "together"
    assert pedal[2].startswith(f"{abs(played_ms):.0f} ± ")
    assert pedal[2].endswith("late" if played_ms > 0 else "early")
    repeat = rows["A repeated note of the melody let go before it comes again"]
    assert repeat[1] == f"{1000 * measured['repeat'].planned_s:.0f} ms of silence"
