"""Words that move nothing here, and those that look like them (common practice, no source)."""

from __future__ import annotations

import pytest

from sim.programs.code_groups import CodeSystem
from sim.programs.program import read
from sim.programs.reading import Reading
from sim.programs.words import ProgramError

START = (50.0, 50.0)
PATH = "G0 X40. Z5.\nG1 Z-5. F.2\nX44."


@pytest.mark.parametrize(
    "word", ["G80", "G49", "G64", "G61", "G9", "G69", "G67", "G25", "G26", "G40 G49 G80"]
)
def test_what_moves_nothing_is_noted_and_changes_no_move(word: str) -> None:
    bare = read(PATH, Reading(start=START)).moves
    head = read(f"{word}\n{PATH}", Reading(start=START))
    assert [(move.kind, move.start, move.end, move.feed) for move in head.moves] == [
        (move.kind, move.start, move.end, move.feed) for move in bare
    ]
    last = word.split()[-1]
    assert any(note.startswith(f"line 1: {last} moves no axis here") for note in head.notes)
    if word in ("G25", "G26"):  # refused beside axis words
        return
    among = read(PATH.replace("G1 Z", f"{word} G1 Z"), Reading(start=START))
    assert among.moves == bare
    assert any(note.startswith(f"line 2: {last} moves no axis here") for note in among.notes)


@pytest.mark.parametrize(
    ("text", "system", "line", "word", "what"),
    [
        # Whether the motion goes on after it differs from control to control.
        ("G0 X40.\nG80 X30.", None, 2, "G80", "write G0 or G1 beside it"),
        # A limit of the speed near to the standard, and a speed elsewhere.
        ("G25 S300", None, 1, "G25", "code_system must state"),
        ("G26 S3000", "G90 cycles", 1, "G26", "write S3000 on a line of its own"),
        ("G25 S300", "ISO", 1, "G25", "with S300 sets a limit on some controls"),
        ("G0 X40.\nG26 X30.", None, 2, "G26", "with X30."),
        ("G26 X30. S900", "ISO", 1, "X30.", "no meaning"),
        ("G23", None, 1, "G23", "code_system must state"),
        ("G23", "ISO", 1, "G23", "is not followed"),
        ("G0 G22 X40. Z5.", "G90 cycles", 1, "G0", "exclude each other"),
        ("G69", "ISO", 1, "G69", "is not followed"),
        ("G68", None, 1, "G68", "is not followed"),
        ("G43", None, 1, "G43", "is not followed"),
        ("G80 G80", None, 1, "G80", "exclude"),
        ("M99 P10", None, 1, "P10", "does not hold"),
    ],
)
def test_what_could_be_another_function_is_refused(
    text: str, system: CodeSystem | None, line: int, word: str, what: str
) -> None:
    with pytest.raises(ProgramError) as error:
        read(text, Reading(start=START, code_system=system))
    assert (error.value.line, error.value.word) == (line, word)
    assert what in str(error.value)


def test_limits_of_the_slides_move_nothing() -> None:
    text = "G0 X40. Z5.\nG22 X300. Z200. I-10. K-300.\nX30.\nG23\nX20."
    moves = read(text, Reading(start=START, code_system="G90 cycles")).moves
    assert [move.end for move in moves] == [(20.0, 5.0), (15.0, 5.0), (10.0, 5.0)]


def test_a_limit_of_the_speed_near_to_the_standard() -> None:
    text = "G26 S900\nG96 S314\nG0 X10."
    assert read(text, Reading(start=START, code_system="ISO")).moves[0].speed == 900.0


def test_a_main_program_may_begin_again_at_its_end() -> None:
    """M99 at the end of a main program: common practice, no source."""
    program = read("G0 X40.\nM99\nG0 X-60.", Reading(start=START))
    assert program.ended == (2, "M99")
    assert len(program.moves) == 1
    assert any(note.startswith("line 2: M99 begins the program again") for note in program.notes)
    assert program.makers_own == ()
