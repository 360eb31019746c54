"""What speaks against an introduction, each counted in its own unit (``tables/introduction.toml``
has what a unit costs)."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from fractions import Fraction
from math import log2

from suspirium.plan.model import Phrase
from suspirium.service.introductions.candidates import Pieces
from suspirium.service.introductions.model import Piece
from suspirium.service.introductions.tune import Tune, at_rest, of_the_key
from suspirium.tables import load
from suspirium.units import quarters_to_seconds

Counts = Mapping[str, float]


@dataclass(frozen=True, slots=True)
class Judge:
    """Counts what speaks against the candidates of one tune; chords are looked up once."""

    tune: Tune
    _open: dict[Fraction, tuple[bool, bool]] = field(default_factory=dict)
    _strange: dict[Fraction, bool] = field(default_factory=dict)

    def counts(self, pieces: Pieces) -> Counts:
        """All counts of one candidate, by the rows under ``cost`` of the table."""
        table = load("introduction")
        seconds = seconds_of(self.tune, pieces)
        notes = sum(self.tune.notes(p.first_onset_q, p.last_onset_q) for p in pieces)
        pulses = played_q(pieces) / self.tune.plan.pulse.value.unit_q
        return {
            **self._end(pieces[-1]),
            **self._start(pieces[0]),
            **self._join(pieces),
            "length.short": max(0.0, log2(table.number("length.least_s") / seconds)),
            "length.long": max(0.0, log2(seconds / table.number("length.most_s"))),
            "length.second": seconds,
            "tune.few_notes": max(0.0, table["tune.least_notes"] - notes),
            "tune.no_opening": float(pieces[0].first_onset_q != self.tune.lines[0].first_onset_q),
            "pulse.few": max(0.0, float(table["pulse.least"] - pulses)),
        }

    def _end(self, piece: Piece) -> dict[str, float]:
        tune = self.tune
        line = ending(tune, piece)
        if line.end_q not in self._open:
            before, at = tune.chord_before(piece.end_q), tune.chord(piece.last_onset_q)
            sung = before or at
            self._open[line.end_q] = (
                not (at_rest(before) or at_rest(at)),
                bool(sung) and sung[-1] != 0,
            )
        open_chord, open_melody = self._open[line.end_q]
        other = line.number != tune.stanza_end
        return {
            "end.open_harmony": float(open_chord),
            "end.open_melody": float(open_melody),
            "end.section": float(other and line.number in tune.sections),
            "end.inside": float(other and line.number not in tune.sections),
        }

    def _start(self, piece: Piece) -> dict[str, float]:
        tune = self.tune
        line = next((p for p in tune.lines if p.first_onset_q == piece.first_onset_q), None)
        before = None if line is None or line.number == 1 else tune.lines[line.number - 2]
        if piece.first_onset_q not in self._strange:
            self._strange[piece.first_onset_q] = not of_the_key(tune.chord(piece.first_onset_q))
        return {
            "start.inside": float(line is None),
            "start.leans": _carried(before),
            "start.harmony": float(self._strange[piece.first_onset_q]),
        }

    def _join(self, pieces: Pieces) -> dict[str, float]:
        """Where two pieces meet: the harmony rests there, the metre goes on, no wide leap."""
        if len(pieces) == 1:
            return {"join.any": 0.0, "join.leap": 0.0}
        first, second = pieces
        leap = abs(self._key(second.first_onset_q) - self._key(first.last_onset_q))
        within = load("introduction")["join.within_semitones"]
        return {"join.any": 1.0, "join.leap": float(max(0, leap - within))}

    def _key(self, onset_q: Fraction) -> int:
        return next(t.pitch.midi for t in self.tune.melody if t.onset_q == onset_q)


def cost(counts: Counts) -> float:
    """The sum of all counts at their costs."""
    table = load("introduction")
    return sum(table.number(f"cost.{name}") * count for name, count in counts.items())


def played_q(pieces: Pieces) -> Fraction:
    """Quarters from the first note to the release of the last, what is left out not counted."""
    return sum((piece.end_q - piece.first_onset_q for piece in pieces), Fraction(0))


def seconds_of(tune: Tune, pieces: Pieces) -> float:
    """How long it lasts at the plan's tempo; the last note is held as at every stanza's end."""
    line = ending(tune, pieces[-1])
    hold_q = tune.plan.gap.value.hold_q if line.number == tune.stanza_end else line.written_q
    length_q = played_q(pieces) - line.written_q + hold_q
    return quarters_to_seconds(length_q, tune.plan.tempo.value.quarter_bpm)


def ending(tune: Tune, piece: Piece) -> Phrase:
    """The line with which a piece ends."""
    return next(line for line in tune.lines if line.last_onset_q == piece.last_onset_q)


def _carried(line: Phrase | None) -> float:
    """Share of the stanzas that run on over this line's end."""
    if line is None or not line.breaths:
        return 0.0
    return sum(breath.kind == "carry" for breath in line.breaths) / len(line.breaths)
