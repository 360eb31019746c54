from __future__ import annotations

import pytest

from suspirium.plan.build import plan_hymn
from suspirium.render.reasons import page_reasons
from suspirium.render.words import ranges
from suspirium.score.reading import read
from tests.conftest import HYMNS, PARISH
from tests.oddities import ODDITIES

SCORES = [*sorted(PARISH.glob("*.abc")), *sorted(HYMNS.glob("*.abc"))[5::23]]


@pytest.mark.parametrize(
    ("numbers", "said"),
    [([1], "1"), ([1, 2], "1, 2"), ([1, 2, 3], "1–3"), ([9, 1, 3, 4, 5, 5], "1, 3–5, 9"), ([], "")],
)
def test_ranges(numbers, said) -> None:
    assert ranges(numbers) == said


@pytest.mark.parametrize("path", SCORES, ids=lambda path: path.stem)
def test_every_reason_is_on_the_page_once(path) -> None:
    plan = plan_hymn(read(path.read_bytes(), path.name))
    texts = [text for _, text in page_reasons(plan)]
    assert len(texts) == len(set(texts))
    wanted = {plan.pulse.reason, plan.tempo.reason, plan.ending.reason}
    for phrase in plan.phrases[:-1]:
        wanted.update(breath.reason for breath in phrase.breaths)
        if any(breath.kind != "carry" for breath in phrase.breaths):
            wanted.add(phrase.reason)
    assert wanted <= set(texts)


def test_heads_name_lines_and_stanzas() -> None:
    plan = plan_hymn(read((PARISH / "fallowmere.abc").read_bytes(), "fallowmere.abc"))
    for head, text in page_reasons(plan):
        if "no mark" in text or "comma:" in text.split("the")[0]:
            assert head.startswith("Line")
            assert head.endswith(".")


def test_a_repeat_has_its_own_reason() -> None:
    plan = plan_hymn(read(ODDITIES["all repeated"].replace("\nw:", "\n%").encode(), "odd.abc"))
    assert any("before the repeat" in head for head, _ in page_reasons(plan))
