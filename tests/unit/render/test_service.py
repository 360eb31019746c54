"""Sheets, text, JSON, calendar and sound of a service."""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import UTC, date, datetime, time

import numpy as np
import pypdfium2
import pytest
from icalendar import Calendar
from jsonschema import Draft202012Validator

from suspirium.errors import ServiceError
from suspirium.plan.build import plan_hymn
from suspirium.render.bench import bench_of
from suspirium.render.bench_sheet import bench_pdf
from suspirium.render.choir_sheet import choir_pdf
from suspirium.render.order_ics import order_ics
from suspirium.render.order_json import service_values
from suspirium.render.service_text import service_text
from suspirium.render.sound import render_sound
from suspirium.render.stops import drawn_stops, keyboard_of
from suspirium.room import Room
from suspirium.score.reading import read
from suspirium.service.order import HymnMoment, Moment, Order
from suspirium.service.organ import read_organ
from suspirium.service.served import serve
from suspirium.service.whole import whole_service
from tests.build import hymn
from tests.conftest import PARISH, ROOT

SCORES = {path.stem: read(path.read_bytes(), path.name) for path in PARISH.glob("*.abc")}
ORGANS = {
    path.stem: read_organ(path.read_text("utf-8"))
    for path in (ROOT / "examples" / "organs").glob("*.toml")
}
MOMENTS = (
    HymnMoment("fallowmere", "opening"),
    Moment("Sermon", 12.0),
    HymnMoment("netherwick", amen=True, stanzas=(1, 3)),
    HymnMoment("osmerley", new_tune=True, broaden=True),
    HymnMoment("quillerby", "closing", introduction=0),
)
MADE_AT = datetime(2026, 11, 30, 12, 0, tzinfo=UTC)


def service(organ: str = "netherwick", moments=MOMENTS, scores=SCORES):
    order = Order("Second Sunday", moments, date(2026, 12, 6), time(10, 0))
    stops = ORGANS.get(organ)
    served = [serve(one, plan_hymn(scores[one.hymn]), stops) for one in order.hymns]
    return whole_service(order, stops, served)


def pages(pdf: bytes) -> list[str]:
    return [page.get_textpage().get_text_bounded() for page in pypdfium2.PdfDocument(pdf)]


@pytest.mark.parametrize("organ", [*ORGANS, ""])
def test_the_bench_sheet_is_one_page_a_hymn(organ: str) -> None:
    made = service(organ)
    found = pages(bench_pdf(made))
    assert len(found) == 1 + len(made.served)
    for page, one in zip(found[1:], made.served, strict=True):
        assert one.title in page
        if len(one.stanzas) > 1:
            assert f"{one.plan.gap.value.silence_s:.1f} s" in page
        for row in one.rows:
            for name in row.draw if not row.by_piston else ():
                assert name.split(" ")[-1] in page
    assert len(pages(bench_pdf(made, overview=False))) == len(made.served)


def test_many_stanzas_stay_on_the_page() -> None:
    words = tuple(
        f"{n}.~A long and wind- ing line of words for stan- za num- ber" for n in range(1, 13)
    )
    long = hymn("C D E F | G A B c | c B A G | F E D C |]", words=words)
    made = service("quillerby", (HymnMoment("long"),), {"long": long})
    found = pages(bench_pdf(made, overview=False))
    assert len(found) == 1
    assert "12" in found[0]


def test_the_order_page_tells_times_and_total() -> None:
    made = service()
    first = pages(bench_pdf(made))[0]
    assert "Sunday 6 December 2026, 10:00" in first
    assert "Sermon" in first
    minutes, seconds = divmod(round(made.seconds), 60)
    assert f"{minutes}′ {seconds:02}″" in first
    assert "come first" in " ".join(first.split())  # the church's own order


def test_the_choir_sheet_has_the_stanzas_that_are_sung() -> None:
    text = " ".join(" ".join(pages(choir_pdf(service()))).split())
    assert "Come, you rivers" in text
    assert "Come, you people" not in text  # stanza 2 of Netherwick is left out
    assert "Giver of the rain" in text
    assert "the melody begins on" in text
    assert "Amen" in text


def test_text_and_sheet_say_the_same() -> None:
    made = service()
    text = " ".join(service_text(made).split())
    for one in made.served:
        bench = bench_of(one, made.organ)
        for said in (bench.gap, bench.ending, bench.introduction, *bench.lines):
            assert said in text
    assert all(len(line) <= 78 for line in service_text(made).splitlines())


@pytest.mark.parametrize("organ", [*ORGANS, ""])
def test_the_json_keeps_its_published_form(organ: str) -> None:
    schema = json.loads((ROOT / "docs" / "service.schema.json").read_text("utf-8"))
    values = json.loads(json.dumps(service_values(service(organ))))
    Draft202012Validator.check_schema(schema)
    assert list(Draft202012Validator(schema).iter_errors(values)) == []
    hymns = [one for one in values["moments"] if "hymn" in one]
    assert [bool(one["registrations"]) for one in hymns] == [bool(organ)] * 4


def test_the_calendar_file_is_read_by_a_calendar_library() -> None:
    """RFC 5545, read with the icalendar library."""
    made = service()
    event = Calendar.from_ical(order_ics(made, MADE_AT)).walk("VEVENT")[0]
    assert event.decoded("dtstart") == datetime(2026, 12, 6, 10, 0)
    lasts = event.decoded("dtend") - event.decoded("dtstart")
    assert 0 <= lasts.total_seconds() - made.seconds < 60
    assert "Netherwick" in str(event["description"])
    whole_day = replace(made, order=replace(made.order, begins=None))
    event = Calendar.from_ical(order_ics(whole_day, MADE_AT)).walk("VEVENT")[0]
    assert event.decoded("dtstart") == date(2026, 12, 6)
    with pytest.raises(ServiceError, match="has no date"):
        order_ics(replace(made, order=replace(made.order, on=None)), MADE_AT)


def drawn_for(one, organ):
    rows = {row.stanza: row.registration for row in one.rows}
    return drawn_stops(organ, rows, one.plan.hymn.melody.name)


@pytest.mark.parametrize("organ", ORGANS)
def test_every_key_sounds_the_ranks_that_are_drawn(organ: str) -> None:
    made = service(organ)
    for one in made.served:
        drawn = drawn_for(one, made.organ)
        for press in one.played.performance.keys:
            row = one.row(press.stanza) or one.rows[-1]
            registration = row.registration
            keyboard = keyboard_of(registration, press, one.plan.hymn.melody.name)
            sources = [c.source for c in registration.couplers if c.target == keyboard]
            stops = [s for d in (keyboard, *sources) for s in registration.of(d)]
            ranks = drawn(press)
            assert sorted(rank.feet for rank in ranks) == sorted(
                float(feet) for stop in stops for feet in stop.feet
            )
            assert ranks


def test_louder_steps_sound_louder() -> None:
    """The recording's level follows the step: measured on the sound, not on the table."""
    made = service()
    one = made.served[0]
    performance = one.played.performance
    sound = render_sound(performance, Room(0.3, 5.0), drawn=drawn_for(one, made.organ))
    levels = {}
    for part in one.played.parts[1:]:
        start, end = (int(44100 * (0.5 + at_s)) for at_s in (part.start_s, part.end_s))
        levels[int(part.name.split()[1])] = 10 * np.log10(np.mean(sound[start:end] ** 2))
    steps = {row.stanza: row.step for row in one.rows if row.stanza}
    softest, loudest = min(steps, key=steps.get), max(steps, key=steps.get)
    assert steps[loudest] - steps[softest] > 0.5
    assert levels[loudest] > levels[softest]
