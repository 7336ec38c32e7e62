"""Reading and writing of programs.

The meaning of the words is that of the standard (quoted in `tests/corpus`); what goes beyond it is common
practice, no source, and said beside the check.
"""

from __future__ import annotations

import itertools
import math
from typing import Literal, get_args

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from program_writer import write

from sim.programs import flow
from sim.programs.code_groups import CodeSystem
from sim.programs.compensation import Nose
from sim.programs.path import Move, arc_points
from sim.programs.program import read, switches
from sim.programs.reading import Reading
from sim.programs.tool_digits import ToolWord
from sim.programs.words import ProgramError

START = (50.0, 50.0)


def ends(text: str, **options: object) -> list[tuple[float, float]]:
    return [move.end for move in read(text, Reading(start=START, **options)).moves]  # type: ignore[arg-type]


def only_move(text: str, **options: object) -> Move:
    moves = read(text, Reading(start=START, **options)).moves  # type: ignore[arg-type]
    assert len(moves) == 1
    return moves[0]


@pytest.mark.parametrize(
    "text",
    [
        "G1 X40. Z-5.",
        "g1x40.z-5.",
        "N10G01X+40.0Z-5.0",
        "G1 X 40. Z -5. (to the wall)",
        "G1 (go) X40 Z-5 ; and so on",
        "%\r\nO1234 (name)\r\nG1 X40 Z-5\r\nM30\r\nG0 X999\r\n%",
        "/G1 X40 Z-5",
        "/1 N5 G1 X40 Z-5",
        "G18 G40 G97 G21 G90 G95 S300 M3 F.2 T0101\nG1 X40\t Z-5",
        ":12\nG1 X40 Z-5",
        "G1\nX40 Z-5",
    ],
)
def test_one_move_written_in_many_ways(text: str) -> None:
    move = only_move(text)
    assert (move.kind, move.start, move.end, move.centre) == ("feed", START, (20.0, -5.0), None)


def test_diameters_radii_inches_and_increments() -> None:
    assert ends("G0 X40 Z-5", diameter=False) == [(40.0, -5.0)]
    assert ends("G20\nG0 X2. Z.5")[0] == pytest.approx((25.4, 12.7))
    assert ends("G0 X2. Z.5", inch=True)[0] == pytest.approx((25.4, 12.7))
    assert ends("G91 G0 X10 Z-5\nX10\nG90\nX10") == [(55.0, 45.0), (60.0, 45.0), (5.0, 45.0)]
    # U and W as increments beside absolute X and Z: common practice, no source.
    assert ends("G90\nG0 U-10 W-5\nX20 W-5\nU4 Z0") == [(45.0, 45.0), (10.0, 40.0), (12.0, 0.0)]
    assert ends("G0 X40 Z-5", z_offset=50.0) == [(20.0, 45.0)]
    assert ends("G0 X40000 Z-5.", least_increment=0.001) == [(20.0, -5.0)]


def test_modal_motion_and_blocks_without_axes() -> None:
    moves = read(
        "N1 G0 X40 Z2\nN2 S500 M3\nN3 G1 Z-5 F.1\nZ-9\nN5 G4 P500\nG0 X10", Reading(start=START)
    ).moves
    assert [(move.kind, move.block, move.line) for move in moves] == [
        ("rapid", 1, 1), ("feed", 3, 3), ("feed", None, 4), ("rapid", None, 6),
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("text", "clockwise", "length"),
    [
        # From (x 20, z 0) to (x 30, z -10): a quarter about (20, -10) or about (30, 0).
        ("G3 X60 Z-10 R10", False, 0.5 * math.pi * 10.0),
        ("G2 X60 Z-10 R10", True, 0.5 * math.pi * 10.0),
        ("G3 X60 Z-10 R-10", False, 1.5 * math.pi * 10.0),
        ("G2 X60 Z-10 R-10", True, 1.5 * math.pi * 10.0),
        ("G3 X60 Z-10 I0 K-10", False, 0.5 * math.pi * 10.0),
        ("G3 X60 Z-10 K-10.", False, 0.5 * math.pi * 10.0),
        ("G2 X60 Z-10 I10", True, 0.5 * math.pi * 10.0),
        ("G2 I10", True, 2.0 * math.pi * 10.0),
    ],
)
def test_arcs_by_radius_and_by_centre(text: str, clockwise: bool, length: float) -> None:
    move = read(f"G0 X40 Z0\n{text}", Reading(start=START)).moves[1]
    assert move.clockwise is clockwise
    points = arc_points(move, 1e-6)
    chords = sum(math.dist(a, b) for a, b in zip(points[:-1].tolist(), points[1:].tolist(), strict=True))
    assert chords == pytest.approx(length, rel=1e-6)


@pytest.mark.parametrize(
    ("text", "line", "word", "what"),
    [
        ("G1 X10\nG75 P1 Q2 U.5", 2, "G75", "code_system must state"),
        ("G71 X10", 1, "G71", "is not followed"),
        ("G17 X10", 1, "G17", "is not followed"),
        ("G28 U0 W0", 1, "G28", "only where the home position is stated"),
        ("G1 X10 F0", 1, "F0", "greater than 0"),
        ("T1.5", 1, "T1.5", "whole number"),
        ("X10", 1, "X10", "before any of G0"),
        ("\n\nG1 Y10", 3, "Y10", "address"),
        ("G1 C90", 1, "C90", "corner_words must state"),
        ("G1 X#101", 1, "#101", "no value in this program"),
        ("IF [#1 GT 2] GOTO 5", 1, "#1", "no value in this program"),
        ("M98 P1000", 1, "P1000", "does not hold"),
        ("G1 X10 P1000", 1, "P1000", "G4 only"),
        ("M98", 1, "M98", "subprogram"),
        ("G1 X10,C2", 1, ",C2", "in a next block"),
        ("G1 X10,E2", 1, ",E2", "address"),
        ("G1 X12,7", 1, ",7", "comma"),
        ("G1 X10 X20", 1, "X20", "second time"),
        ("G1 X10 U20", 1, "U20", "both move X"),
        ("G0 G1 X10", 1, "G1", "exclude"),
        ("G2 X10", 1, "G2", "must have R"),
        ("G2 X10 R1", 1, "R1", "too small"),
        ("G2 R5", 1, "R5", "full circle"),
        ("G2 X10 R5 I5", 1, "R5", "exclude"),
        ("G2 X10 I5", 1, "I5", "agree within"),
        ("G1 X10 R5", 1, "R5", "corner_words must state"),
        ("G1 X10 (open", 1, "(", "must end with )"),
        ("G1 X1e5", 1, "E5", "address"),
        ("G1 X99999", 1, "X99999", "within 10000 mm"),
        ("G50 X100", 1, "G50", "sets coordinates in one code system of lathes only"),
        ("G92", 1, "G92", "must set a speed limit"),
        ("G54\nG0 X1\nG55", 3, "G55", "zero point"),
        ("G1 X10 / 2", 1, "/", "start of a block"),
        ("G1 X", 1, "X", "address letter with a number"),
        ("G1 ß", 1, "\\xdf", "no word"),
        ("G1 \u6f22", 1, "\\u6f22", "no word"),
        ("R5", 1, "R5", "no meaning"),
        ("S-5", 1, "S-5", "negative"),
        ("G41 G2 X10 R50", 1, "G41/G42", "straight move"),
        ("G41 G1 X10\nG42 X20", 2, "G41/G42", "without G40"),
    ],
)
def test_what_is_not_followed_is_named_with_line_and_word(text: str, line: int, word: str, what: str) -> None:
    with pytest.raises(ProgramError, match=r"^program line \d+: ") as error:
        read(text, Reading(start=START, nose_radius=0.4))
    assert (error.value.line, error.value.word) == (line, word)
    assert what in str(error.value)
    assert "\n" not in str(error.value)


@pytest.mark.parametrize(
    ("text", "line", "word", "what"),
    [
        # G90, G92, G94 with an axis word are single cycles in the commonest code system, G20, G21 in another.
        ("G1 F.2\nG94 X20 Z-2 F0.2", 2, "G94", "single cycles"),
        ("G90 X90 Z-22.8", 1, "G90", "single cycles"),
        ("G0 G90 U-2 Z-22.8", 1, "G90", "single cycles"),
        ("G92 X20 Z-5 F1.5", 1, "G92", "single cycles"),
        ("G21 X40. Z-5.", 1, "G21", "single cycles"),
        # ... and stay in force there: the next axis words without a motion of their own would be a cycle.
        ("G0 X100 Z5\nG90\nX90 Z-22.8", 3, "X90", "without G0, G1, G2 or G3 after G90 of line 2"),
        ("G0 X100 Z5\nG94\nX90", 3, "X90", "after G94 of line 2"),
        ("G0 X100 Z5\nG95\nG21\nX90", 4, "X90", "after G21 of line 3"),
        # Feed per minute, a facing cycle, or how far a cycle returns.
        ("G97 S500\nG94\nG1 X90 F100", 2, "G94", "facing cycle"),
        ("G97 S500\nG98\nG1 X90 F.2", 3, "F.2", "a revolution where G98 of line 2"),
        ("G95\nG98\nG1 X90 F100", 2, "G98", "write G94"),
        ("G95\nG94 F100\nG99\nG1 X90", 3, "G99", "write G95"),
        ("G98 F100\nG95\nG1 X90", 1, "G98", "write G94"),
        ("G97 S500\nG95\nG94 F.2\nG1 X90", 4, "", "0.0004 mm a revolution only"),
        ("G92 S2000\nG96 S200\nG0 X10", 1, "G92", "thread cycle"),
        ("G50 S0", 1, "S0", "greater than 0"),
        ("S0\nG1 X10 F.2", 2, "", "at rest"),
        ("G1 X10 F20", 1, "F20", "20 mm a revolution"),
        ("G1 X10 F100", 1, "F100", "at most 5 mm"),
        # Behind a semicolon: a comment on some controls, the next block on others.
        ("G0 Z20.; G0 Z-60.", 1, "G0", "behind ';'"),
        ("G0 Z20.;Z-60.", 1, "Z-60.", "behind ';'"),
        ("G0 Z20. (up); (down) /N5 z - .5", 1, "N5", "behind ';'"),
        ("G0 Z20.; back; x 5", 1, "x", "behind ';'"),
        ("; GOTO 10", 1, "GOTO", "behind ';'"),
        ("; #1 and so on", 1, "#1", "behind ';'"),
        ("G0 Z20. ; (open", 1, "(", "must end with )"),
        ("(rough (first) G0 Z-60.", 1, "(", "differs from control to control"),
        # The closing % ends the program.
        ("%\nO1\nG0 X10\n%\nG0 Z-60", 5, "G0", "after the % of line 4"),
        ("G0 X10\n%\nO2", 3, "O2", "after the % of line 2"),
        ("%\n%\nG0 X10", 3, "G0", "after the % of line 2"),
        ("% G0 X10", 1, "G0", "behind the %"),
        ("O1\nG0 X10\nO2\nG0 X20", 3, "O2", "begins another program than that of line 1"),
        # Tools.
        ("T0012", 1, "T0012", "can mean tool 12, or offset 12"),
        ("T012", 1, "T012", "can mean tool 12, or offset 12"),
        ("T1\nG0 X10\nM6", 1, "T1", "must stand in one block"),
        ("T1 M6\nT2\nG0 X10", 2, "T2", "must stand in one block"),
        # One of two would vanish.
        ("G4 Z-60", 1, "Z-60", "no meaning"),
        ("G0 G4 X10", 1, "G0", "exclude"),
        ("G4 G28 U0", 1, "G28", "exclude"),
        ("M198", 1, "M198", "subprogram"),
        ("M3.5", 1, "M3.5", "whole number"),
    ],
)
def test_what_can_mean_two_things_is_refused(text: str, line: int, word: str, what: str) -> None:
    """What the codes mean in the three code systems of lathes is common practice, no source."""
    with pytest.raises(ProgramError) as error:
        read(text, Reading(start=START, nose_radius=0.4, home=(150.0, 300.0)))
    assert (error.value.line, error.value.word) == (line, word)
    assert what in str(error.value)
    assert "\n" not in str(error.value)


def test_codes_that_mean_the_same_in_every_code_system_are_followed() -> None:
    """An explicit motion ends a cycle; G91 and G95 do not exist where G90 and G94 are cycles."""
    assert ends("G21 G40 G90\nG0 X40. Z5.\nX20.") == [(20.0, 5.0), (10.0, 5.0)]
    assert ends("G95\nG0 X40. Z5.\nG90\nX20.") == [(20.0, 5.0), (10.0, 5.0)]
    minutes = read("G95\nG94 G97 S500 F100\nG1 X10", Reading(start=START)).moves
    assert [move.feed for move in minutes] == [0.2]
    assert read("G92 S2000\nG95\nG96 S200\nG0 X10", Reading(start=START)).moves[0].speed == 2000.0
    assert read("G97 S500 G98 F100\nG1 X10", Reading(start=START)).moves[0].feed == 0.2


def test_numbers_without_a_point_are_refused_where_it_is_not_stated_what_they_count() -> None:
    asked = Reading(start=START, point_required=True)
    assert read("G0 X0 Z0\nG1 X20. F.2", asked).moves[-1].end == (10.0, 0.0)
    for text, word in (
        ("G0 X20", "X20"),
        ("G0 X1. W-5", "W-5"),
        ("G2 X20. Z-5. R10", "R10"),
        ("G1 X9. F2", "F2"),
    ):
        with pytest.raises(ProgramError, match="decimal point") as error:
            read(text, asked)
        assert error.value.word == word
    with pytest.raises(ProgramError, match="F20 has no decimal point"):
        read("G1 X20. F20", Reading(start=START, least_increment=0.001))
    # Feed per minute counts mm with or without a point (common practice, no source).
    assert read("G95\nG94 G97 S500 F100\nG1 X9.", asked).moves[0].feed == 0.2


def test_an_optional_block_is_refused_where_it_is_not_stated_whether_it_is_run() -> None:
    with pytest.raises(ProgramError, match="line 2: word / lets an operator skip"):
        read("G0 X10\n/G0 X20", Reading(start=START, skip_optional=None))


@pytest.mark.parametrize(
    ("text", "note"),
    [
        ("G0 X10 ; to the wall", "line 1: text behind ';', taken as a comment"),
        ("G0 X10\nM30\nG0 Z-60\nX5", "line 3: not followed, nor what comes after it: M30 of line 2"),
        ("G0 X10", "line 1: the first move, before any G20 or G21; lengths are read in mm"),
        ("S160 M3\nG0 X10", "line 1: S160, before any G96 or G97, is read as rev/min"),
        ("G95\nG0 X10\nU-2", "line 3: U-2, U and W are read as increments of X and Z"),
        ("T0117\nG0 X10", "line 1: T0117 calls offset 17 in station 1"),
        ("T0100\nG0 X10", "line 1: T0100 takes the offset off; moves are judged as if it stayed on"),
    ],
)
def test_what_is_taken_for_granted_is_noted(text: str, note: str) -> None:
    assert any(found.startswith(note) for found in read(text, Reading(start=START)).notes)


def test_notes_name_what_moves_no_axis() -> None:
    program = read("T0303 M8\n/G0 X10\nG4 X1.5\nM30", Reading(start=START, skip_optional=True))
    assert program.moves == program.tools == program.machine == ()
    assert program.notes == (
        "line 1: tool T0303", "line 1: machine function M8", "line 3: dwell", "line 4: machine function M30",
        "line 2: skipped (block delete)",
    )  # fmt: skip


def test_tools_in_force() -> None:
    assert read("T0101\nG0 X10\nT0202\nX20\nX30", Reading(start=START)).tools == (101, 202, 202)


TOOLS = {1: Nose(0.4, (1, -1)), 2: Nose(0.8, (-1, -1)), 117: Nose(1.2, (1, -1))}


def test_a_tool_is_called_by_its_number_or_by_its_station() -> None:
    """T1, T01, T0101 and T0100 mean station 1, T0117 its second edge if that is stated; common practice, no source."""
    text = "T0101\nG0 X10\nT0117\nX20\nT2\nX30\nT0200\nX40\nT0\nX50\nT01 X60"
    assert read(text, Reading(start=START, tools=TOOLS)).tools == (1, 117, 2, 2, 2, 1)
    with pytest.raises(ProgramError, match=r"line 2: word T0303 calls a tool .* stated: 1, 2, 117"):
        read("G0 X10\nT0303", Reading(start=START, tools=TOOLS))


def test_what_the_machine_does_in_each_move() -> None:
    """M5 in the block of a move stops the spindle before or behind it; M3 starts it for the move."""
    first = "T1\nG0 X10 Z9\nS500 M3 X11\nX12 M5\nX13\nM4\nX14 M0\nX15\n"
    text = f"{first}M69\nX16\nX17 M68\nX18\nT2\nX19 T1\n/2X20\nM30\nX21"
    program = read(text, Reading(start=START, tools=TOOLS, chuck=(69, 68), skipped=frozenset({"/"})))
    assert [one.spin for one in program.machine] == [
        "unsaid", "forward", "unclear", "standing", "backward", "unclear", "unclear", "unclear", "unclear", "unclear",
        "unclear",
    ]  # fmt: skip
    opened = [one.open_by is not None for one in program.machine]
    assert opened == [False, False, False, False, False, False, True, True, False, False, False]
    assert [(one.place, one.spin) for one in program.openings] == [((9, "M69"), "unclear")]
    assert [(call.place.text, call.tool, call.at, len(call.moves)) for call in program.calls] == [
        ("T1", 1, START, 0), ("T2", 2, (9.0, 9.0), 0), ("T1", 1, (9.0, 9.0), 1),
    ]  # fmt: skip
    assert program.ended == (16, "M30")
    assert read("G0 X1", Reading(start=START)).ended is None


@pytest.mark.parametrize(
    ("text", "word", "what"),
    [
        ("M3 M5", "M5", "exclude each other"),
        ("M3 M4", "M4", "exclude each other"),
        ("M68", "M68", "opens the chuck on some makes"),
        ("G0 X5 M11", "M11", "opens the chuck on some makes"),
        ("T1\nG1 X5 F.1 T2", "T2", "in a block that feeds"),
    ],
)
def test_words_of_the_machine_that_are_refused(text: str, word: str, what: str) -> None:
    with pytest.raises(ProgramError, match=what) as error:
        read(text, Reading(start=START, tools=TOOLS))
    assert error.value.word == word
    chuck = Reading(start=START, tools=TOOLS, chuck=(69, 68))
    with pytest.raises(ProgramError, match="exclude each other"):
        read("M69 M68", chuck)
    assert read("M10 M11\nM69 M69", chuck).openings


def test_switches_of_a_program() -> None:
    """A slash, and a slash with a number, before a block; none behind it, in comments, or in text without words."""
    assert switches("G0 X1 (/2)\nG0 X2") == ()
    assert switches("/2 G0 X1\n/G0 X2\n/2X3\n(/9)\n/9") == ("/2", "/")
    with pytest.raises(ProgramError, match="start of a block only"):
        switches("G0 X1 /2")


def test_increments_in_an_inch_program() -> None:
    """A number without a point counts 0.001 mm, or 0.0001 inch: common practice, no source."""
    assert ends("G20\nG0 X10000 Z5000", least_increment=0.001) == [pytest.approx((12.7, 12.7))]


coordinates = st.floats(-200.0, 200.0).map(lambda value: round(value, 4))
points = st.tuples(coordinates, coordinates)


@st.composite
def paths(draw: st.DrawFn) -> list[Move]:
    at = draw(points)
    moves = []
    for _ in range(draw(st.integers(0, 12))):
        kind = draw(st.sampled_from(["rapid", "feed", "arc"]))
        if kind == "arc":
            radius, first, turn = (
                draw(st.floats(0.5, 80.0)),
                draw(st.floats(0.0, 6.28)),
                draw(st.floats(0.05, 6.2)),
            )
            clockwise = draw(st.booleans())
            centre = (at[0] - radius * math.sin(first), at[1] - radius * math.cos(first))
            last = first - turn if clockwise else first + turn
            end = (centre[0] + radius * math.sin(last), centre[1] + radius * math.cos(last))
            moves.append(Move("feed", at, end, centre, clockwise, feed=0.15))
        else:
            end = draw(points)
            if end == at:
                continue
            moves.append(Move(kind, at, end))  # type: ignore[arg-type]
        at = moves[-1].end
    return moves


@settings(max_examples=150, deadline=None)
@given(paths(), st.booleans())
def test_a_path_written_is_read_again(moves: list[Move], diameter: bool) -> None:
    start = moves[0].start if moves else START
    again = read(
        write(moves, diameter=diameter, name="(no) name"), Reading(diameter=diameter, start=start)
    ).moves
    again = tuple(move for move in again if move.start != move.end or move.centre is not None)
    if again and moves and len(again) == len(moves) + 1:  # start rounded: a move of less than 1e-4 mm before
        assert math.dist(again[0].start, again[0].end) < 1e-3
        again = again[1:]
    assert [move.kind for move in again] == [move.kind for move in moves]
    for found, move in zip(again, moves, strict=True):
        assert found.end == pytest.approx(move.end, abs=1e-4)
        assert found.clockwise == move.clockwise
        assert move.feed is None or found.feed == move.feed
        assert (found.centre is None) == (move.centre is None)
        if move.centre is not None:
            assert found.centre == pytest.approx(move.centre, abs=2e-4)


GARBAGE = st.text(
    alphabet=st.sampled_from(list("GXZUWIKRFSTMNOPCA0123456789.+-/()%;:, \n\r\t#[]=eEgxz\x00\xb5")),
    max_size=200,
)
PIECES = st.lists(
    st.sampled_from(
        ["G0", "G1", "G2", "G3", "G41", "G42", "G40", "G90", "G91", "G20", "G21", "G96", "G97", "G50", "G4", "S100",
         "X10", "X-20.5", "Z3", "Z-.5", "U1", "W-2", "R5", "R-7", "I2", "K-3", "N10", "T0101", "T0202", "T0", "M3",
         "M4", "M5", "M19", "M0", "M13", "M68", "M69", "M30", "M99", "F.1", "G28", "G30", "G53", "G52", "G92", "G54",
         "G55", "G80", "G22", "G25", "T12", "LIMS=900", "\n", "\n", "\n", "\n/",
         ",C1", ",R.5", ",A170.", "C2", "A30", "#1=5", "X#1", "Z[#1-7]", "N1", "GOTO 1", "M98 P1", "O1", "M99",
         "\n/2", "(", ")", "%"]
    ), max_size=60,
).map(" ".join)  # fmt: skip


@settings(max_examples=400, deadline=None)
@given(
    st.one_of(GARBAGE, PIECES),
    st.floats(0.0, 3.0),
    st.sampled_from([(1, -1), (-1, -1), (0, 0)]),
    st.sampled_from([None, (69, 68), (68, 69)]),
    st.sampled_from([None, 1, 202]),
    st.sampled_from(["straight", "dogleg", "unknown"]),
    st.sets(st.sampled_from(["/", "/2"])),
    st.sampled_from([None, *get_args(CodeSystem)]),
    st.sampled_from([None, *get_args(ToolWord)]),
    st.sampled_from(["with comma", "without comma"]),
)
def test_any_text_is_read_or_refused_in_one_sentence(
    text: str,
    radius: float,
    tip: tuple[int, int],
    chuck: tuple[int, int] | None,
    first_tool: int | None,
    rapid: Literal["straight", "dogleg", "unknown"],
    skipped: set[str],
    system: CodeSystem | None,
    tool_word: ToolWord | None,
    corner_words: Literal["with comma", "without comma"],
) -> None:
    reading = Reading(
        code_system=system, tool_word=tool_word, bare_home="both axes", second_home=(90.0, 200.0),
        machine_zero=(200.0, 400.0), datums={} if system is None else {54: 10.0, 55: 40.0}, nose_radius=radius,
        tip_direction=tip, home=(150.0, 300.0), rapid=rapid, chuck=chuck, first_tool=first_tool,
        skipped=frozenset(skipped), corner_words=corner_words,
    )  # fmt: skip
    refused = None
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(flow, "MOST_BLOCKS", 2000)
        try:
            program = read(text, reading)
        except ProgramError as error:
            refused = error
    if refused is not None:
        assert refused.line >= 1
        assert "\n" not in str(refused)
        return
    assert len(program.machine) == len(program.tools) == len(program.moves)
    assert all(math.isfinite(value) for call in program.calls for value in call.at)
    if chuck is None:
        assert not program.openings
    ordinals = [move.ordinal for move in program.moves if move.ordinal is not None]
    assert len(ordinals) == len(program.moves)
    assert ordinals == sorted(ordinals)
    for before, after in zip(program.moves[:-1], program.moves[1:], strict=True):
        assert before.end == pytest.approx(after.start, abs=1e-6)


@pytest.mark.parametrize(
    "text",
    [
        # A rapid that rolls round a corner under compensation, with dogleg rapids: found by fuzzing.
        "G41 G1 X10. Z-.5\nG2 X3 Z5 R-7\nG0 X9",
    ],
)
def test_findings_of_the_fuzzer(text: str) -> None:
    for reading in (
        Reading(nose_radius=0.4),
        Reading(nose_radius=1.2, tip_direction=(-1, -1), diameter=False, rapid="dogleg"),
        Reading(nose_radius=0.8, tip_direction=(0, 0), inch=True, least_increment=0.001),
    ):
        try:
            moves = read(text, reading).moves
        except ProgramError:
            continue
        for before, after in itertools.pairwise(moves):
            assert math.dist(before.end, after.start) < 1e-5
