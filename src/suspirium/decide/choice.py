"""A decision: candidates × named cost terms, the cheapest, its margin and what decided it.

A `Problem` holds everything that a decision depends on. `choose` finds the candidate of
least total cost. `why` asks what decided, by trying: a **term** decided if without it
another value would have been chosen; an **input** decided if another value of it, all else
equal, would have led elsewhere. Nothing is said of a decision that was not found so.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from typing import Generic, TypeVar

V = TypeVar("V")
S = TypeVar("S")


@dataclass(frozen=True, slots=True)
class Term(Generic[V, S]):
    """One named cost: `weight` times `units(value, setting)`.

    `weight` is what the table row `row` says; `uses` names the inputs that the units depend
    on beside the value. `say(value, setting)` puts into words what the term holds of a
    value, as a clause without a full stop.
    """

    name: str
    row: str
    weight: float
    uses: tuple[str, ...]
    units: Callable[[V, S], float]
    say: Callable[[V, S], str] = field(default=lambda _value, _setting: "", compare=False)

    def cost(self, value: V, setting: S) -> float:
        """What the term costs at this value; nothing at zero weight."""
        return self.weight * self.units(value, setting) if self.weight else 0.0


@dataclass(frozen=True, slots=True)
class Input(Generic[S]):
    """One thing that a decision depends on: what it is here, and the settings that differ in
    it alone (`others`), which are tried to see whether it decides."""

    name: str
    here: Callable[[S], object]
    others: Callable[[S], Iterable[S]]


@dataclass(frozen=True, slots=True)
class Problem(Generic[V, S]):
    """A decision to take. `candidates(setting)` lists the values, the preferred of equals
    first; `alike(a, b)` says that two values are the same to whoever plays."""

    setting: S
    candidates: Callable[[S], Iterable[V]]
    terms: tuple[Term[V, S], ...]
    inputs: tuple[Input[S], ...] = ()
    alike: Callable[[V, V], bool] = lambda a, b: a == b


@dataclass(frozen=True, slots=True)
class Choice(Generic[V]):
    """The cheapest value, what each term costs there, and by how much it wins.

    `runner_up` is the cheapest value that is not alike, None where there is no other;
    `margin` is what it costs more, infinite without one.
    """

    value: V
    costs: Mapping[str, float]
    runner_up: V | None
    margin: float

    @property
    def cost(self) -> float:
        """The sum of all terms."""
        return sum(self.costs.values())


@dataclass(frozen=True, slots=True)
class Turn(Generic[V]):
    """Another value of an input, and what would then be chosen."""

    input: str
    other: object
    value: V


@dataclass(frozen=True, slots=True)
class Why(Generic[V]):
    """The terms without which another value would stand, in the order of the problem; and
    for every input that decides, the first other value of it that leads elsewhere."""

    terms: tuple[str, ...]
    turns: tuple[Turn[V], ...]

    @property
    def inputs(self) -> tuple[str, ...]:
        """Names of the inputs that decide."""
        return tuple(turn.input for turn in self.turns)


def choose(problem: Problem[V, S]) -> Choice[V]:
    """The candidate of least cost, the first of equals.

    Raises `ValueError` where there is no candidate.
    """
    rows = _rows(problem)
    best = min(rows, key=lambda row: row[1])
    others = [row for row in rows if not problem.alike(row[0], best[0])]
    second = min(others, key=lambda row: row[1], default=None)
    costs = {term.name: term.cost(best[0], problem.setting) for term in problem.terms}
    if second is None:
        return Choice(best[0], costs, None, float("inf"))
    return Choice(best[0], costs, second[0], second[1] - best[1])


def _rows(problem: Problem[V, S]) -> list[tuple[V, float]]:
    rows = [
        (value, sum(term.cost(value, problem.setting) for term in problem.terms))
        for value in problem.candidates(problem.setting)
    ]
    if not rows:
        raise ValueError("a decision needs at least one candidate")
    return rows


def why(problem: Problem[V, S]) -> Why[V]:
    """What decided: terms by leaving each out, inputs by trying other values of each."""
    chosen = choose(problem).value
    return Why(tuple(_deciding(problem, chosen)), tuple(_turns(problem, chosen)))


def _deciding(problem: Problem[V, S], chosen: V) -> Iterator[str]:
    for term in problem.terms:
        if not term.weight:
            continue
        rest = tuple(other for other in problem.terms if other is not term)
        if not problem.alike(choose(replace(problem, terms=rest)).value, chosen):
            yield term.name


def _turns(problem: Problem[V, S], chosen: V) -> Iterator[Turn[V]]:
    for one in problem.inputs:
        for setting in one.others(problem.setting):
            value = choose(replace(problem, setting=setting)).value
            if not problem.alike(value, chosen):
                yield Turn(one.name, one.here(setting), value)
                break


def clauses(problem: Problem[V, S], value: V, found: Why[V]) -> tuple[str, ...]:
    """What the deciding terms say of `value`, in the order of the problem.

    An input that decides and that no deciding term uses is spoken for by the first term of
    weight that uses it. Nothing is said twice.
    """
    wanted = set(found.terms)
    told = {name for term in problem.terms if term.name in wanted for name in term.uses}
    for name in found.inputs:
        if name not in told:
            speaker = next((t for t in problem.terms if t.weight and name in t.uses), None)
            if speaker is not None:
                wanted.add(speaker.name)
                told.update(speaker.uses)
    said = [t.say(value, problem.setting) for t in problem.terms if t.name in wanted]
    return tuple(dict.fromkeys(clause for clause in said if clause))
