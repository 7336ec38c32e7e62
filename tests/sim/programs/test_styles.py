"""Words that shops write in one way or the other: jumps by M99 P, slashes, names, zero points moved, offsets written.

What they mean is common practice, no source.
"""

from __future__ import annotations

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
