"""Spindle speed along a program.

The meaning of the words is that of the standard (quoted in `tests/corpus`); what goes beyond it is common practice, no
source, and said beside the check.
"""

from __future__ import annotations

import math

import pytest

from sim.programs.program import read
from sim.programs.reading import Reading
from sim.programs.words import ProgramError

START = (50.0, 50.0)


def test_spindle_speed_of_every_move() -> None:
    """n = 1000 v / (pi d) up to the limit; a facing move has its highest speed at its end."""
    text = "G97 S800\nG0 X100\nG50 S2500\nG96 S157.0796327\nG1 X50\nX10\nX0\nG97 S300\nX20\nG95 G92 S100\nG96 S157 X10"
    speeds = [move.speed for move in read(text, Reading(start=START)).moves if move.start != move.end]
    assert speeds == pytest.approx([1000.0, 2500.0, 2500.0, 300.0, 100.0])
    # Many controls keep to the limit with G96 only (common practice, no source): the higher speed is judged.
    fast = read("G50 S1000\nG97 S3000\nG0 X90", Reading(start=START))
    assert fast.moves[0].speed == 3000.0
    assert any("over the speed limit of 1000 rev/min" in note for note in fast.notes)


def test_cutting_speed_in_feet_and_to_the_axis_without_limit() -> None:
    program = read("G20 G96 S328.084\nG0 X4. Z0\nG1 X0", Reading(start=START))
    assert program.moves[0].speed == pytest.approx(100e3 / (math.pi * 100.0), rel=1e-3)
    assert program.moves[1].speed == math.inf
    assert "without a speed limit" in program.notes[-1]


@pytest.mark.parametrize(
    ("text", "line", "says"),
    [
        ("G96 S200\nG1 X40 F.2\nG97\nX30", 4, "after G97 of line 3 without S"),
        ("G97 S300\nG96\nG0 X40\nG1 X30 F.2", 4, "after G96 of line 2 without S"),
        ("G96\nG1 X30 F.2", 2, "after G96 of line 1 without S"),
        ("G98 F100\nG1 X30", 2, "per minute without a spindle speed"),
        (
            "T0101\nG1 X40 F.2\nT0200\nG0 X45\nG1 X40",
            5,
            "after T0200 of line 3, which takes the tool's offset off",
        ),
        ("T0101\nG1 X40 F.2\nT0\nX30", 4, "after T0 of line 3"),
        ("G1 X8\uff10. F.2", 1, "address letter"),
        ("G1 X80. F.2 \u017f500", 1, "no word of a program"),
    ],
)
def test_a_speed_or_an_offset_that_is_left_open_is_refused(text: str, line: int, says: str) -> None:
    """What S counts changes with G96 and G97; letters of other scripts are no words (common practice, no source)."""
    with pytest.raises(ProgramError, match=says) as refused:
        read(text, Reading(start=START))
    assert refused.value.line == line
    assert (
        read("G96 S200\nG1 X40 F.2\nG97\nG0 X30\nS300\nG1 X20", Reading(start=START)).moves[-1].speed == 300.0
    )


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("G21 G1 X40. F.2\nG20 X2.", "feeds after G20 of line 2 without F"),
        ("G20 G1 X2. F.008\nG21 X40.", "feeds after G21 of line 2 without F"),
        ("G21 G96 S150 M3\nG20 G1 X2. F.008", "feeds after G20 of line 2 without S"),
    ],
)
def test_a_change_of_unit_asks_for_feed_and_cutting_speed_anew(text: str, said: str) -> None:
    """0.2 mm or 0.2 inch, 150 m or 150 feet a minute: one control keeps the length, another the number."""
    with pytest.raises(ProgramError, match=said):
        read(text, Reading(code_system="G90 cycles"))


def test_what_a_change_of_unit_leaves_as_it_was() -> None:
    text = "G21 G97 S800 M3\nG1 X40. F.2\nG20 X2. F.008\nG20 X3."
    moves = read(text, Reading(code_system="G90 cycles")).moves
    assert [move.feed for move in moves] == pytest.approx([0.2, 0.2032, 0.2032])
    assert {move.speed for move in moves} == {800.0}
