"""Work offsets, coordinates set by the program, and a local shift (common practice, no source)."""

from __future__ import annotations

from typing import Any

import pytest

from sim.programs.code_groups import CodeSystem
from sim.programs.program import Program, read
from sim.programs.reading import Reading
from sim.programs.words import ProgramError

DATUMS = {54: 10.0, 55: 40.0}


def followed(text: str, system: CodeSystem | None = "G90 cycles", **options: Any) -> Program:
    told: dict[str, Any] = {"start": (50.0, 60.0), "z_offset": 10.0, "home": (150.0, 310.0)} | options
    return read(text, Reading(code_system=system, **told))


def heights(program: Program) -> list[float]:
    return [move.end[1] for move in program.moves]


def test_each_work_offset_counts_from_its_own_zero() -> None:
    program = followed("G54 G0 X40. Z5.\nG55\nZ5.\nW1.\nG54 Z5.", datums=DATUMS)
    assert heights(program) == [15.0, 45.0, 46.0, 15.0]
    # One of them is the program's zero where none is stated.
    assert heights(followed("G0 Z4.\nG55 Z5.")) == [14.0, 15.0]


def test_coordinates_that_agree_with_where_the_tip_stands_move_no_zero() -> None:
    assert heights(followed("G50 X100. Z50.\nG0 X40. Z5.")) == [15.0]
    assert heights(followed("G92 X100. Z50.\nG0 X40. Z5.", "G77 cycles")) == [15.0]
    fast = followed("G50 X100. Z50. S900\nG96 S314\nG0 X10. Z5.")
    assert fast.moves[0].speed == 900.0


def test_coordinates_set_at_a_place_of_the_program_move_its_zero() -> None:
    """The tip is at z 15; called Z0, zero is there, and Z5 is 5 mm above it; the next shift adds to it."""
    program = followed("G0 X40. Z5.\nG50 Z0\nZ5.\nG50 Z15.\nZ0")
    assert heights(program) == [15.0, 20.0, 5.0]
    assert "line 2: G50 moves the zero point by 5 mm along Z" in program.notes


def test_a_local_shift_counts_from_the_work_offset() -> None:
    program = followed("G54 G0 X40. Z5.\nG52 X0 Z-3.\nZ5.\nG52 Z-1.\nZ5.\nG52 Z0\nZ5.", datums=DATUMS)
    assert heights(program) == [15.0, 12.0, 14.0, 15.0]


@pytest.mark.parametrize(
    ("text", "system", "options", "line", "word", "what"),
    [
        ("G54 G0 Z5.\nG55", None, {}, 2, "G55", "offsets must state the height of each"),
        ("G54 G0 Z5.\nG56", None, {"datums": DATUMS}, 2, "G56", "offsets must state G56"),
        ("G0 Z5.\nG54", None, {"datums": DATUMS}, 1, "", "before any of G54 to G59"),
        ("G28 Z5.", None, {"datums": DATUMS}, 1, "", "before any of G54 to G59"),
        # A shift by Z near to the standard.
        ("G0\nG59 Z5.", None, {}, 2, "G59", "code_system must state"),
        ("G0\nG59 Z5.", "ISO", {}, 2, "G59", "write G59 on a line of its own"),
        # Where the tip stands is stated otherwise.
        ("G50 X90. Z50.", "G90 cycles", {}, 1, "X90.", "it stands at X100.000 mm"),
        ("G50 X100. Z40.", "G90 cycles", {}, 1, "Z40.", "it stands at Z50.000 mm from the program's zero"),
        ("G0 Z5.\nG28 W0\nG50 Z5.", "G90 cycles", {}, 3, "Z5.", "it stands at Z300.000 mm"),
        ("G0 Z5.\nT2\nG50 Z0", "G90 cycles", {}, 3, "Z0", "it stands at Z5.000 mm"),
        ("T1\nT0100\nG0 Z5.\nG50 Z0", "G90 cycles", {}, 4, "Z0", "it stands at Z5.000 mm"),
        ("G50 W5.", "G90 cycles", {}, 1, "W5.", "bring the tip to a Z"),
        ("G0 Z5.\nG50 U2.", "G90 cycles", {}, 2, "U2.", "off the spindle axis"),
        ("G0 Z5.\nG50 X10. W2.", "G90 cycles", {}, 2, "X10.", "exclude"),
        ("G0 Z5.\nG52 Z1.\nG50 W2.", "G90 cycles", {}, 3, "G50", "while G52"),
        ("G0 G50 X100.", "G90 cycles", {}, 1, "G0", "exclude"),
        ("G50 X100.", None, {}, 1, "G50", "code_system must state"),
        ("G50 X100.", "ISO", {}, 1, "G50", "write G92"),
        ("G92 X100.", None, {}, 1, "G92", "code_system must state"),
        ("G41 G1 X90. Z50. F.1\nG50 X90.", "G90 cycles", {}, 2, "G50", "while G41 or G42 is on"),
        ("G52 Z5.", None, {}, 1, "G52", "code_system must state"),
        ("G52 X5.", "G90 cycles", {}, 1, "X5.", "off the spindle axis"),
        ("G52 W5.", "G90 cycles", {}, 1, "W5.", "no meaning"),
        ("G52", "G90 cycles", {}, 1, "G52", "must name X or Z"),
        ("G0 Z5.\nG52 Z5.\nG50 Z0", "G90 cycles", {}, 3, "G50", "while G52 has shifted"),
        ("G0 Z5.\nG50 Z0\nG52 Z5.", "G90 cycles", {}, 3, "G52", "once G50 or G92 has moved"),
        ("G54 G0 Z5.\nG52 Z5.\nG55", "G90 cycles", {"datums": DATUMS}, 3, "G55", "while it is shifted"),
        ("G10 L2 P1 Z5.", "G90 cycles", {}, 1, "G10", "state zero or offsets as it sets them"),
    ],
)  # fmt: skip
def test_a_zero_point_that_is_open_is_refused(
    text: str, system: CodeSystem | None, options: dict[str, Any], line: int, word: str, what: str
) -> None:
    with pytest.raises(ProgramError) as error:
        followed(text, system, **options)
    assert (error.value.line, error.value.word) == (line, word)
    assert what in str(error.value)
    assert "\n" not in str(error.value)
