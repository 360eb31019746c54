"""Learns the weights from all examples and writes the table `phrases`.

python benchmarks/phrases/train.py
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from examples import hymn_examples
from learn import KNOWN, Item, items, learn

from suspirium.plan.phrases.weights import Weights
from suspirium.plan.phrases.whole import NAMES

TABLE = Path(__file__).resolve().parents[2] / "src" / "suspirium" / "tables" / "phrases.toml"
DATA = (
    "Learnt by benchmarks/phrases/train.py from hymns of the Open Hymnal (2013 edition, "
    "public domain) with line ends by printed metre"
)


def main() -> None:
    """Train on everything and write the table."""
    hymns = hymn_examples()
    parts = [_metres()]
    for kind in ("words", "notes"):
        train: list[Item] = items(hymns, words=kind == "words")
        parts.append("\n".join(_rows(kind, learn(train))))
    TABLE.write_text("# What makes a line end likely; weights of log-odds.\n\n" + "\n".join(parts))


def _metres() -> str:
    names = ", ".join(f'"{".".join(map(str, metre))}"' for metre in KNOWN)
    return _row(
        "metres",
        f"[{names}]",
        "syllables",
        "common-practice",
        "Metres named in every hymnal's metrical index",
    )


def _rows(kind: str, known: Weights) -> Iterator[str]:
    yield _row(f"ends.{kind}", _map(known.ends), "log-odds", "measured", DATA)
    whole = dict(zip(NAMES, known.whole.tolist(), strict=True))
    yield _row(f"whole.{kind}", _map(whole), "log-odds", "measured", DATA)
    lengths = ", ".join(f"{x:.4g}" for x in known.metres.lengths)
    yield _row(f"lengths.{kind}", f"[{lengths}]", "log probability", "measured", DATA)
    yield _row(f"pairs.{kind}", _map_of_maps(known), "log probability", "measured", DATA)


def _map(values: dict[str, float]) -> str:
    return "{ " + ", ".join(f"{name} = {value:.5g}" for name, value in values.items()) + " }"


def _map_of_maps(known: Weights) -> str:
    firsts: dict[int, list[str]] = {}
    for (first, second), value in sorted(known.metres.pair_logs.items()):
        firsts.setdefault(first, []).append(f"{second} = {value:.3g}")
    return "{ " + ", ".join(f"{k} = {{ {', '.join(v)} }}" for k, v in firsts.items()) + " }"


def _row(key: str, value: str, unit: str, kind: str, source: str) -> str:
    return f'[{key}]\nvalue = {value}\nunit = "{unit}"\nkind = "{kind}"\nsource = "{source}"\n'


if __name__ == "__main__":
    main()
