"""How long a service of five hymns takes, everything written.

    python benchmarks/service.py [SCORES...]

Sheets, marked scores with hands and feet, plans and recordings on the stops of the example
organ, as a median of three runs; beside it the same five hymns prepared one after another.
Without scores, the parish of the examples and its first hymn again.
"""

from __future__ import annotations

import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from statistics import median

from suspirium.desk.preparing import prepare
from suspirium.desk.service_files import prepare_service
from suspirium.service.order import HymnMoment, Order, order_text

EXAMPLES = Path(__file__).parents[1] / "examples"
RUNS = 3


def seconds(work: Callable[[], object]) -> float:
    """The median of `RUNS` runs."""
    found = []
    for _ in range(RUNS):
        start = time.perf_counter()
        work()
        found.append(time.perf_counter() - start)
    return median(found)


def main(scores: list[Path]) -> None:
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        order = folder / "order.toml"
        organ = str((EXAMPLES / "organs" / "netherwick.toml").resolve())
        moments = tuple(HymnMoment(str(score.resolve())) for score in scores)
        order.write_text(order_text(Order("Five hymns", moments, organ=organ)), "utf-8")
        whole = seconds(lambda: prepare_service(order, folder / "whole"))

        def singly() -> None:
            for number, score in enumerate(scores):
                prepare(score, folder / f"hymn-{number}")

        apart = seconds(singly)
    print(
        f"a service of {len(scores)} hymns, everything: {whole:.1f} s; "
        f"the hymns alone, one after another: {apart:.1f} s (ratio {whole / apart:.2f})"
    )


if __name__ == "__main__":
    parish = sorted((EXAMPLES / "parish").glob("*.abc"))
    main([Path(name) for name in sys.argv[1:]] or [*parish, parish[0]][:5])
