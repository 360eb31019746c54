"""Learns the weights from all examples and writes the table `phrases`.

python benchmarks/phrases/train.py
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path

from examples import Example, chorale_examples, hymn_examples
from learn import items, learn
from styles import learn_style
from tunes import TUNES

from suspirium.plan.phrases.style import style
from suspirium.plan.phrases.weights import Weights

TABLE = Path(__file__).resolve().parents[2] / "src" / "suspirium" / "tables" / "phrases.toml"
HEADING = """# What makes the end of a line of verse likely in a melody. Written by
# benchmarks/phrases/train.py; weights are for the features of suspirium.plan.phrases.

"""
HYMNS = (
    "Learnt by benchmarks/phrases/train.py from hymns of the Open Hymnal (2013 edition, "
    "public domain) with line ends by printed metre"
)
CHORALES = (
    "Learnt by benchmarks/phrases/train.py from the Bach chorales of music21's corpus with "
    "fermatas as line ends"
)


def main() -> None:
    """Train on everything and write the table."""
    hymns, chorales = hymn_examples(), chorale_examples()
    parts = [_metres(), _style(hymns, chorales)]
    for kind in ("words", "notes", "melody", "florid"):
        parts += _rows(kind, learn(items(chorales if kind == "florid" else hymns, kind)))
    TABLE.write_text(HEADING + "\n".join(parts))


def _metres() -> str:
    source = "Metrical indexes of English-language hymnals, from memory; rare metres left out"
    values = {_name(metre): count for metre, count in TUNES.items()}
    return _row("metres", _map(values), "tunes in a thousand", "from-memory", source)


def _style(hymns: Sequence[Example], chorales: Sequence[Example]) -> str:
    found = [
        [style(item.reading.line, item.reading.columns) for item in items(examples, "notes")]
        for examples in (hymns, chorales)
    ]
    source = (
        "Learnt by benchmarks/phrases/train.py: hymns of the Open Hymnal (2013 edition, public "
        "domain) against the Bach chorales of music21's corpus"
    )
    return _row("style", _map(learn_style(*found)), "log-odds", "measured", source)


def _rows(kind: str, known: Weights) -> Iterator[str]:
    source = CHORALES if kind == "florid" else HYMNS
    yield _row(f"ends.{kind}", _map(known.ends), "log-odds", "measured", source)
    yield _row(f"spans.{kind}", _map(known.spans), "log-odds", "measured", source)
    lengths = ", ".join(f"{x:.4g}" for x in known.lengths)
    yield _row(f"lengths.{kind}", f"[{lengths}]", "log-odds", "measured", source)
    yield _row(f"whole.{kind}", _map(known.whole), "log-odds", "measured", source)
    metres = known.metres
    seen = {_name((n,)): count for n, count in sorted(metres.lengths.items())}
    seen |= {_name(pair): count for pair, count in sorted(metres.pairs.items())}
    yield _row(f"seen.{kind}", _map(seen), "lines and pairs of lines", "measured", source)


def _name(metre: tuple[int, ...]) -> str:
    return ".".join(map(str, metre))


def _map(values: Mapping[str, float]) -> str:
    pairs = (f'"{name}" = {value:.4g}' for name, value in values.items())
    return "{ " + ", ".join(pairs) + " }"


def _row(key: str, value: str, unit: str, kind: str, source: str) -> str:
    return f'[{key}]\nvalue = {value}\nunit = "{unit}"\nkind = "{kind}"\nsource = "{source}"\n'


if __name__ == "__main__":
    main()
