"""Places of the machine: G28 and G30, and the machine's own coordinates by G53 (common practice, no source)."""

from __future__ import annotations

from typing import Any

import pytest

from sim.programs.code_groups import CodeSystem
from sim.programs.program import read
from sim.programs.reading import Reading
from sim.programs.words import ProgramError

START = (50.0, 50.0)
HOME, SECOND, ZERO = (150.0, 300.0), (120.0, 200.0), (200.0, 400.0)


def reading(system: CodeSystem | None = "G90 cycles", **options: Any) -> Reading:
    places: dict[str, Any] = {"home": HOME, "second_home": SECOND, "machine_zero": ZERO} | options
    return Reading(start=START, z_offset=10.0, code_system=system, **places)


def ends(text: str, told: Reading) -> list[tuple[str, tuple[float, float]]]:
    return [(move.kind, move.end) for move in read(text, told).moves]


@pytest.mark.parametrize(
    ("text", "found"),
    [
        # Without an axis word straight from where the tip stands.
        ("G0 X40. Z5.\nG28", [(20.0, 15.0), HOME]),
        ("G0 X40. Z5.\nG30", [(20.0, 15.0), SECOND]),
        ("G0 X40. Z5.\nG30 P2 U0 W0", [(20.0, 15.0), SECOND]),
        ("G0 X40. Z5.\nG30 U0", [(20.0, 15.0), (120.0, 15.0)]),
        ("G0 X40. Z5.\nG30 W5.", [(20.0, 15.0), (20.0, 20.0), (20.0, 200.0)]),
        # The machine's coordinates: X in diameter like all others, and no zero point of the program in them.
        ("G0 X40. Z5.\nG53 X-100. Z-50.", [(20.0, 15.0), (150.0, 350.0)]),
        ("G1 X40. Z5. F.2\nG0 G53 X0", [(20.0, 15.0), (200.0, 15.0)]),
        ("G0 X40. Z5.\nG53 Z0\nZ5.", [(20.0, 15.0), (20.0, 400.0), (20.0, 15.0)]),
        ("G0 X40. Z5.\nG53", [(20.0, 15.0)]),
    ],
)
def test_places_of_the_machine(text: str, found: list[tuple[float, float]]) -> None:
    assert [end for _, end in ends(text, reading(bare_home="both axes"))] == found


def test_home_without_axes_may_move_nothing() -> None:
    program = read("G0 X40. Z5.\nG28", reading(bare_home="nothing", home=None))
    assert len(program.moves) == 1
    assert "line 2: G28 names no axis and moves none, as home_without_axes states" in program.notes


def test_machine_coordinates_move_at_rapid_and_in_inches_and_radii() -> None:
    told = reading("G77 cycles", diameter=False)
    assert ends("G20 G90\nG0 G53 X-1. Z-2.", told) == [("rapid", (200.0 - 25.4, 400.0 - 50.8))]


@pytest.mark.parametrize(
    ("text", "system", "options", "line", "word", "what"),
    [
        ("G28", "G90 cycles", {}, 1, "G28", "home_without_axes must state whether 'both axes' go home"),
        ("G30", "G90 cycles", {}, 1, "G30", "home_without_axes"),
        ("G28", "G90 cycles", {"bare_home": "both axes", "home": None}, 1, "G28", "home_diameter and home_height"),
        ("G30 U0", None, {"second_home": None}, 1, "G30", "second_home_diameter and second_home_height"),
        ("G30 P3 U0", None, {}, 1, "P3", "P2 only"),
        ("G28 P2 U0", None, {}, 1, "P2", "G4 only, and P2 with G30"),
        ("G41 G1 X1 Z1\nG30 U0", None, {}, 2, "G30", "while G41 or G42 is on"),
        ("G28 G30 U0", None, {}, 1, "G30", "exclude"),
        # Whether one block or all that follow are meant differs.
        ("G0 G53 X0", None, {}, 1, "G53", "code_system must state 'G90 cycles' or 'G77 cycles' or "),
        ("G0 G53 X0", "ISO", {}, 1, "G53", "is not followed"),
        ("G0 G53 X0", "G90 cycles", {"machine_zero": None}, 1, "G53", "machine_zero_diameter and machine_zero_height"),
        ("G1 F.1\nG53 X0", "G90 cycles", {}, 2, "G53", "write G0 beside it"),
        ("G53 X0", "G90 cycles", {}, 1, "G53", "write G0 beside it"),
        ("G0 G53 U0", "G90 cycles", {}, 1, "U0", "must be absolute with G53"),
        ("G91\nG0 G53 X0", "G77 cycles", {}, 2, "X0", "must be absolute with G53"),
        ("G0 G53 X0 R2", "G90 cycles", {}, 1, "R2", "no meaning"),
        ("G0 G53 G28 X0", "G90 cycles", {}, 1, "G53", "exclude"),
        ("G41 G1 X1 Z1\nG0 G53 X0", "G90 cycles", {}, 2, "G53", "while G41 or G42 is on"),
        ("G90\nG53 X0", "G90 cycles", {}, 2, "G53", "write G0 beside it"),
        ("G0\nG90\nG53 X0", "G90 cycles", {}, 3, "X0", "after G90 of line 2"),
    ],
)  # fmt: skip
def test_places_that_are_not_known_or_could_be_others_are_refused(
    text: str, system: CodeSystem | None, options: dict[str, Any], line: int, word: str, what: str
) -> None:
    with pytest.raises(ProgramError) as error:
        read(text, reading(system, **options))
    assert (error.value.line, error.value.word) == (line, word)
    assert what in str(error.value)
    assert "\n" not in str(error.value)
