"""Finding the technique of a plan: hands and feet as one cheapest whole each."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from suspirium.errors import Place, Remark
from suspirium.plan.model import LeadingPlan
from suspirium.score.sounding import measure_at
from suspirium.tables import load
from suspirium.technique.effort.measure import effort_of
from suspirium.technique.feet.notes import pedal_notes, tread, within
from suspirium.technique.fingers.matrices import Costs
from suspirium.technique.fingers.notes import manual_notes
from suspirium.technique.fingers.solve import finger
from suspirium.technique.instead import Party, by_feet, by_hands, suggestions
from suspirium.technique.model import Arrangement, PlayedNote, Technique
from suspirium.technique.player import Player, check_note, fixed_fingers
from suspirium.technique.share import share

A_START = "Two good players disagree on three fingers in ten: these marks are a start."
CARE = (
    "Stop at pain or numbness, force no stretch, take breaks, and see a professional "
    "if it does not pass."
)


def find_technique(
    plan: LeadingPlan,
    player: Player | None = None,
    arrangement: Arrangement = "pedal",
    stanza: int | None = None,
) -> Technique:
    """Who plays what, every finger and foot, and the effort, for one stanza of `plan`.

    The first stanza unless told. Raises `OverrideError` where a fixed finger or foot names
    nothing in this hymn.
    """
    player = player or Player()
    for one in player.treads:
        check_note(plan.hymn, one.voice, one.written_q)
    fixed = fixed_fingers(plan.hymn, player)
    number = plan.stanza_numbers[0] if stanza is None else stanza
    shared = share(plan, arrangement, number)
    costs = Costs(player.hand, player.level)
    parties: list[Party] = []
    hand_cost = 0.0
    for sides, keys in shared.manual:
        found = finger(keys, costs, sides, fixed)
        hand_cost += found.points
        fingered = manual_notes(keys, found, costs, fixed)
        parties.append(Party(keys, fingered, by_hands(costs, sides)))
    keys, octaves = within(shared.pedal, player.board)
    pedalling = tread(keys, player.board, player.treads)
    trodden = pedal_notes(keys, pedalling, player.board, octaves, player.treads)
    parties.append(Party(keys, trodden, by_feet(player.board)))
    notes = [note for party in parties for note in party.notes]
    notes.sort(key=lambda note: (note.onset_q, -note.midi_pitch, note.plays))
    return Technique(
        arrangement=arrangement,
        stanza=number,
        notes=tuple(notes),
        effort=effort_of(plan, notes),
        hand_cost=hand_cost,
        pedal_cost=pedalling.points,
        remarks=tuple(_remarks(plan, notes, suggestions(parties))),
    )


def _remarks(
    plan: LeadingPlan, notes: Sequence[PlayedNote], instead: Mapping[PlayedNote, str]
) -> Iterator[Remark]:
    """What can't be played as written, with a suggestion."""
    for note in notes:
        place = Place(measure=measure_at(plan.hymn, note.written_q).number, voice=note.voice)
        if note in instead:
            yield Remark(instead[note], place)
        elif note.octaves:
            yield Remark("the pedalboard lacks this key: it is played an octave away", place)
        elif note.plays != "pedal" and not _on_manual(note.midi_pitch):
            yield Remark("many manuals lack this key: play it an octave away", place)


def _on_manual(midi: int) -> bool:
    table = load("hands")
    return bool(table["keys.lowest"] <= midi <= table["keys.highest"])
