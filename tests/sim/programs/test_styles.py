"""Words that shops write in one way or the other: jumps by M99 P, slashes, names, zero points moved, offsets written.

What they mean is common practice, no source.
"""

from __future__ import annotations

import math
from collections.abc import Callable

import pytest

from sim.programs.program import Program, read, switches
from sim.programs.reading import Reading
from sim.programs.words import ProgramError

START = (50.0, 50.0)


def program(text: str, **options: object) -> Program:
    return read(text, Reading(start=START, code_system="G90 cycles", diameter=False, **options))  # type: ignore[arg-type]


def ends(text: str, **options: object) -> list[tuple[float, float]]:
    return [move.end for move in program(text, **options).moves]


def test_m99_with_p_goes_back_to_a_block_of_the_program_that_has_called() -> None:
    text = "O1\nM98 P2\nG0 X1\nN7 G0 X2\nM30\nO2\nG0 X9\nN7 G0 X8\nM99 P7"
    assert [x for x, _ in ends(text)] == [9.0, 8.0, 2.0]


def test_m99_with_p_leaves_a_loop_but_enters_none() -> None:
    out = "O1\n#1=0\nWHILE [#1 LT 5] DO1\n#1=#1+1\nM98 P2\nEND1\nN9 G0 X[#1]\nM30\nO2\nG0 X20\nM99 P9"
    assert [x for x, _ in ends(out)] == [20.0, 1.0]
    with pytest.raises(ProgramError, match=r"word P9 leads into the loop of line 3"):
        program("O1\nM98 P2\nWHILE [1 LT 0] DO1\nN9 G0 X1\nEND1\nM30\nO2\nM99 P9")


def test_m99_with_p_in_the_first_program_is_a_jump_and_ends_some_time() -> None:
    assert [x for x, _ in ends("G0 X1\nM99 P5\nG0 X2\nN5 G0 X3\nM30")] == [1.0, 3.0]
    with pytest.raises(ProgramError, match="a loop or a jump that does not end"):
        program("N5 G0 X3\nX4\nM99 P5")


@pytest.mark.parametrize(
    ("text", "line", "word", "what"),
    [
        ("M98 P2 L2\nN5 M30\nO2\nG0 X1\nM99 P5", 5, "P5", "call it once each time"),
        ("M98 P2\nN5 M30\nO2\nM99 P5 X1", 4, "X1", "on a line before"),
        ("M98 P2\nN5 M30\nO2\nM99 P5 M98", 4, "M98", "on a line before"),
        ("M98 P2\nN5 M30\nO2\nM99 P5.", 4, "P5.", "whole number"),
        ("N1 S2=500 M2=3", 1, "S2=500", "second spindle"),
        ("G0 X5 M2=3", 1, "M2=3", "by its number"),
        ("G34 Z-5. F1.", 1, "G34", "one lead by G32 or G33"),
        ("G68", 1, "G68", "second turret"),
        ("G10 L2 P1 Z-.5", 1, "G10", "state zero or offsets"),
        ("G10 P0 Z-.5", 1, "G10", "shifts the zero point"),
        ("G10 L11 P1 X.1", 1, "G10", "a tool's offset"),
        ("G10 P1 U-.02", 1, "G10", "as the program leaves"),
        ("G10 P1 U0 W.1", 1, "G10", "as the program leaves"),
        ("G10 L50", 1, "G10", "a parameter"),
        ("G10 P1 U0 G0", 1, "G0", "exclude"),
        ("G0 X5\n<TWO>\nX6", 2, "<TWO>", "number programs by O"),
        ("<A B>", 1, "<A", "number programs by O"),
        ("N4 G0 /X20.", 1, "/X20.", "at the start"),
        ("N4 // X20.", 1, "//", "at the start"),
        ("% X-4.5", 1, "X-4.5", "behind the %"),
        ("% S2=500", 1, "S2=500", "behind the %"),
        ("M30 M99", 1, "M99", "exclude"),
        ("M2 M30", 1, "M30", "exclude"),
        (":A", 1, ":A", "is no word"),
        (",A45.\nG0 X5", 1, ",A45.", "straight by G1"),
    ],
)
def test_what_is_refused(text: str, line: int, word: str, what: str) -> None:
    with pytest.raises(ProgramError) as error:
        program(text)
    assert (error.value.line, error.value.word) == (line, word)
    assert what in str(error.value)
    assert "\n" not in str(error.value)


def test_g10_that_adds_nothing_changes_nothing() -> None:
    found = program("G10 P1 U0 W0.\nG0 X5\nM30")
    assert [move.end[0] for move in found.moves] == [5.0]
    assert "line 1: G10 adds nothing to an offset" in found.notes


def test_d_beside_a_constant_cutting_speed_can_be_its_limit() -> None:
    with pytest.raises(ProgramError, match=r"word D2500 beside G96 is a limit of the speed"):
        read("G96 S200 D2500", Reading(code_system="ISO"))
    assert read("D1\nG96 S200\nG0 X5.", Reading(code_system="ISO")).moves


@pytest.mark.parametrize("line", ["/N4 G0 X20", "N4 /G0 X20", "N4/G0X20", "N 4 / G0 X20", "n4 /g0x20"])
def test_a_slash_stands_before_the_n_word_or_right_behind_it(line: str) -> None:
    text = f"G0 X30\n{line}\nX10"
    assert switches(text) == ("/",)
    assert [x for x, _ in ends(text)] == [30.0, 20.0, 10.0]
    assert [x for x, _ in ends(text, skip_optional=True)] == [30.0, 10.0]
    with pytest.raises(ProgramError, match="line 2: word / lets an operator skip"):
        program(text, skip_optional=None)


def test_a_slash_behind_the_n_word_may_have_a_number_and_a_statement() -> None:
    text = "#1=5\nN4 /2 #1=6\nG0 X#1"
    assert switches(text) == ("/2",)
    assert [x for x, _ in ends(text)] == [6.0]
    assert [x for x, _ in ends(text, skipped=frozenset({"/2"}))] == [5.0]


def test_a_name_in_angle_brackets_at_the_head_is_noted() -> None:
    found = program("%\n<RING-7.A>(COMMENT)\nO12\nG0 X5\n%")
    assert len(found.moves) == 1
    assert "line 2: <RING-7.A> is taken as the program's name" in found.notes


def test_coordinates_moved_by_w_move_the_zero_point_the_other_way() -> None:
    """At Z2 with W-3 the tip is called Z-1: the zero point lies 3 mm higher, so Z-10 is 7 below the old zero."""
    assert ends("G0 Z2.\nG50 W-3.\nG1 Z-10. F.1", z_offset=100.0)[-1][1] == pytest.approx(93.0)
    assert ends("G0 Z2.\nG50 U0 W-3.\nG1 W-9. F.1")[-1][1] == pytest.approx(-7.0)


@pytest.mark.parametrize("words", ["M1 M3", "M3 M1", "M3 M0 M8", "M0 M8 M3"])
def test_the_order_of_m_words_does_not_count(words: str) -> None:
    """A stop of the program comes behind the block: whether the spindle still turns then differs."""
    machine = program(f"S500 G0 X30\n{words}\nX20").machine
    assert [one.spin for one in machine] == ["unsaid", "unclear"]


def line_through(point: tuple[float, float], degrees: float) -> Callable[[tuple[float, float]], float]:
    """Return the signed distance (mm) from a line by a point (x, z) on it and its angle from z, x up."""
    angle = math.radians(degrees)
    return lambda p: (p[0] - point[0]) * math.cos(angle) - (p[1] - point[1]) * math.sin(angle)


@pytest.mark.parametrize(
    ("first", "second", "end"),
    [
        (150.0, 180.0, (20.0, -20.0)),
        (90.0, 135.0, (25.0, -8.0)),
        (-30.0, 0.0, (20.0, -20.0)),
        (180.0, 95.0, (22.0, -9.0)),
    ],
)
def test_a_line_by_its_angle_alone_ends_where_the_next_one_crosses_it(
    first: float, second: float, end: tuple[float, float]
) -> None:
    """The corner lies on both lines, by their distance from it; the turning angles of both moves are those stated."""
    text = f"G0 X10. Z0.\nG1 ,A{first} F.1\nX{end[0]} Z{end[1]} ,A{second}"
    approach, one, other = program(text).moves
    assert line_through((10.0, 0.0), first)(one.end) == pytest.approx(0.0, abs=1e-9)
    assert line_through(end, second)(one.end) == pytest.approx(0.0, abs=1e-9)
    assert (one.start, other.start, other.end) == (approach.end, one.end, end)
    assert (one.line, other.line, one.feed, other.feed) == (2, 3, 0.1, 0.1)


def test_the_crossing_may_be_rounded_and_so_may_the_corners_beside_it() -> None:
    """The arcs' centres lie one radius from both of their lines."""
    text = "G0 X0 Z0\nG1 X10. ,R1. F.1\n,A150. ,R2.\nX20. Z-40. ,A180. ,C1.\nX25."
    arcs = [move for move in program(text).moves if move.centre is not None]
    assert len(arcs) == 2
    face, cone, cylinder = (
        line_through((0.0, 0.0), 90.0),
        line_through((10.0, 0.0), 150.0),
        line_through((20.0, 0.0), 180.0),
    )
    for arc, radius, lines in zip(arcs, (1.0, 2.0), ((face, cone), (cone, cylinder)), strict=True):
        assert arc.centre is not None
        for line in lines:
            assert abs(line(arc.centre)) == pytest.approx(radius, abs=1e-9)


def test_a_line_by_its_angle_alone_may_be_the_first_of_a_roughed_contour() -> None:
    contour = "N1 G0 X10.\nG1 Z0. F.1\n,A150.\nX20. Z-40. ,A180.\nN2 X30."
    text = f"G0 X30. Z2.\nG71 U1. R.5\nG71 P1 Q2 F.2\n{contour}\nG70 P1 Q2"
    finish = [move.end for move in program(text).moves if move.stage.startswith("finish")]
    assert any(end == pytest.approx((20.0, -10.0 / math.tan(math.radians(30.0)))) for end in finish)


@pytest.mark.parametrize(
    ("text", "word", "what"),
    [
        ("G1 ,A150. F.1", ",A150.", "a next block by G1"),
        ("G1 ,A150. F.1\nX20. Z-5.", ",A150.", "a next block by G1"),
        ("G1 ,A150. F.1\nX20. ,A180.", ",A150.", "a next block by G1"),
        ("G1 ,A150. F.1\nU20. W-5. ,A180.", ",A150.", "a next block by G1"),
        ("G1 ,A150. F.1\n,A150.\nX20. Z-5. ,A90.", ",A150.", "a next block by G1"),
        ("G1 ,A150. F.1\nM8\nX20. Z-5. ,A180.", ",A150.", "a next block by G1"),
        ("G1 ,A150. F.1\nG4 X1.", ",A150.", "a next block by G1"),
        ("G1 ,A150. F.1\nG0 X20. Z-5.", ",A150.", "a next block by G1"),
        ("G1 ,A150. F.1\nG90 X20. Z-5.", ",A150.", "a next block by G1"),
        ("G1 ,A150. F.1\nX20. Z-5. ,A-30.", ",A150.", "never meets"),
        ("G1 ,A150. F.1\nX20. Z-5. ,A150.02", ",A150.", "never meets"),
        ("G1 ,A90. F.1\nX20. Z50. ,A80.", ",A90.", "one of them has no length"),
        ("G1 ,A135. F.1\nX40. Z60. ,A-45.", ",A135.", "never meets"),
    ],
)
def test_lines_that_do_not_meet_are_refused(text: str, word: str, what: str) -> None:
    with pytest.raises(ProgramError) as error:
        program(text)
    assert (error.value.line, error.value.word) == (1, word)
    assert what in str(error.value)


@pytest.mark.parametrize(
    "block", ["G97 S800 M3 G4", "S800 M3 G4 X1.", "G4 X1. S800", "G4 P500 F.2", "G4 S2. F.2"]
)
def test_a_word_beside_a_dwell_that_may_be_its_time_is_refused(block: str) -> None:
    """One control dwells by S turns and F seconds, another by X, U or P and takes S as the speed."""
    with pytest.raises(
        ProgramError, match=r"line 2: word [SF]\S* may be the time of G4 or what holds from then on"
    ):
        read(
            f"G90 G95 G97 S500 M3 F0.2\n{block}\nG0 X50. Z10.\nG1 Z0.\n",
            Reading(start=(100.0, 200.0), code_system="ISO"),
        )


@pytest.mark.parametrize("block", ["G4 X1.", "G4 P500", "G4 S2.", "G4 F1.", "M3 G4 X1."])
def test_a_dwell_leaves_speed_and_feed_as_they_are(block: str) -> None:
    found = read(
        f"G90 G95 G97 S500 M3 F0.2\n{block}\nG0 X50. Z10.\nG1 Z0.\n",
        Reading(start=(100.0, 200.0), code_system="ISO"),
    )
    assert [(move.speed, move.feed) for move in found.moves] == [(500.0, None), (500.0, 0.2)]


@pytest.mark.parametrize(
    "block", ["G90 X46. Z-30. F.3 G94", "G94 X46. G90 Z-30. F.3", "G92 G90 X46. Z-30. F.3"]
)
def test_two_cycles_in_a_block_are_refused(block: str) -> None:
    """The first was run and the other dropped: which of them is meant depends on the order of words."""
    with pytest.raises(ProgramError, match=r"line 2: word G9[0-9] and G9[0-9] exclude each other in a block"):
        read(f"T0101 G97 S900 M3\n{block}\n", Reading(start=(100.0, 50.0), code_system="G90 cycles"))
