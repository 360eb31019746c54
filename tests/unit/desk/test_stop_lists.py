"""A stop list as rows of a form, and back."""

from __future__ import annotations

from pathlib import Path

import pytest

from suspirium.desk.parish import parish_organs
from suspirium.desk.stop_lists import stop_list, stop_list_asked, stop_list_text
from suspirium.errors import OrganError
from suspirium.service.organ import read_organ

GREAT = {
    "name": "My church",
    "division-0-name": "Great",
    "division-0-compass": "C2-G6",
    "division-0-stop-0": "Open  Diapason",
    "division-0-feet-0": "8",
    "division-0-family-0": "principal",
    "division-0-stop-1": "",
    "division-0-feet-1": "",
    "division-0-family-1": "principal",
}
PEDAL = {
    "division-4-name": "Pedal",
    "division-4-pedal": "1",
    "division-4-compass": "C2-F4",
    "division-4-stop-2": "Bourdon",
    "division-4-feet-2": "16",
    "division-4-family-2": "stopped",
}


@pytest.mark.parametrize("path", parish_organs(), ids=lambda path: path.stem)
def test_rows_give_the_same_organ_back(path: Path) -> None:
    organ = read_organ(path.read_text("utf-8"))
    assert read_organ(stop_list_text(stop_list(organ))) == organ


def test_a_compass_with_black_keys_and_octave_couplers_come_back() -> None:
    text = (
        'name = "Odd"\ncouplers = ["Great to Great super"]\n'
        '[Great]\ncompass = ["C2", "F#6"]\nstops = ["Flute 8 flute"]\n'
    )
    organ = read_organ(text)
    assert read_organ(stop_list_text(stop_list(organ))) == organ


def test_empty_rows_and_divisions_are_left_out_and_couplers_follow_their_division() -> None:
    asked = GREAT | {"division-2-name": "", "coupler-0-4": "1"} | PEDAL
    organ = read_organ(stop_list_text(stop_list_asked(asked)))
    assert [one.name for one in organ.divisions] == ["Great", "Pedal"]
    assert [one.name for one in organ.divisions[0].stops] == ["Open Diapason"]
    assert [one.name for one in organ.couplers] == ["Great to Pedal"]
    assert organ.pedal is not None
    assert organ.pistons == 0


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"pistons": "six"}, "pistons"),
        ({"division-0-name": ""}, "Open Diapason"),
        ({"division-4-name": "Great"}, "two divisions"),
        ({"division-4-name": "couplers"}, "couplers"),
    ],
)
def test_what_can_not_be_written_down_is_said(change: dict[str, str], said: str) -> None:
    with pytest.raises(OrganError, match=said):
        stop_list_text(stop_list_asked(GREAT | PEDAL | change))
