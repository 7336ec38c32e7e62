"""Variables, jumps, loops and subprograms: which block comes next.

What the words mean is common practice, no source; ISO 6983-1 leaves them open.
"""

from __future__ import annotations

import time

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sim.programs import flow
from sim.programs.compensation import Nose
from sim.programs.program import Program, read, switches
from sim.programs.reading import Reading
from sim.programs.words import ProgramError

START = (50.0, 50.0)


def program(text: str, **options: object) -> Program:
    return read(text, Reading(start=START, **options))  # type: ignore[arg-type]


def ends(text: str, **options: object) -> list[tuple[float, float]]:
    return [move.end for move in program(text, **options).moves]


def xs(text: str, **options: object) -> list[float]:
    return [x for x, _ in ends(text, diameter=False, **options)]


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("#1=40\n#2=#1/8\nG0 X#1 Z-#2\nX[#1*2] Z-[#2-.5]\nx[ #1 + #2 ]", [(40, -5), (80, -4.5), (45, -4.5)]),
        ("#1=5\nG0X#1Z-#1F.2", [(5, -5)]),
        ("N5 #100=2\nG0 X+#100 Z+[1+1]", [(2, 2)]),
        ("#1=1\n#[#1+1]=8\nG0 X#2 Z#[1+1]", [(8, 8)]),
        ("G#1 X1", None),
        ("#1=1\nG#1 X4 Z4\nG[0] X1", [(4, 4), (1, 4)]),
        ("R1=5 R2=R1*2\nN10 G0 X=R2 Z=-R1\nX=R2+1 Z=3", [(10, -5), (11, 3)]),
        ("(#1=7) #1=5 (#1=8)\nG0 X#1 Z1 (#1=9)", [(5, 1)]),
        ("#1=3\nIF [#1 GT 2] THEN #1=8\nIF[#1LT2]THEN#1=9\nG0 X#1 Z0", [(8, 0)]),
        ("#1=1\nIF [#1 EQ 1] GOTO 20\nG0 X1 Z1\nN20 G0 X2 Z2", [(2, 2)]),
        ("#1=2\nIF [#1 EQ 1] GOTO 20\nG0 X1 Z1\nN20 G0 X2 Z2", [(1, 1), (2, 2)]),
        ("#1=30\nGOTO#1\nN20 G0 X2 Z2\nN30 X3 Z3 G0", [(3, 3)]),
        ("GOTO [10+10]\nN10 G0 X1 Z1\nN20 G0 X2 Z2", [(2, 2)]),
        # Backwards, with a count.
        ("#1=0\nN10 #1=#1+1\nG0 X#1 Z0\nIF [#1 LT 3] GOTO 10", [(1, 0), (2, 0), (3, 0)]),
        ("#1=3\nWHILE [#1 GT 0] DO1\nG0 X#1 Z0\n#1=#1-1\nEND1\nX9", [(3, 0), (2, 0), (1, 0), (9, 0)]),
        ("#1=0\nWHILE [#1 GT 0] DO1\nG0 X#1 Z0\nEND1\nG0 X9 Z9", [(9, 9)]),
        # One loop in another, and a number used again behind it.
        (
            "#1=0\nWHILE[#1LT2]DO1\n#2=0\nWHILE[#2LT2]DO2\nG0X#1Z#2\n#2=#2+1\nEND2\n#1=#1+1\nEND1\nWHILE[#1LT3]DO1\n"
            "X7\n#1=#1+1\nEND1",
            [(0, 0), (0, 1), (1, 0), (1, 1), (7, 1)],
        ),
        # Out of a loop without an end of its own, and to its END.
        ("#1=0\nDO1\n#1=#1+1\nIF [#1 GE 2] GOTO 5\nG0 X#1 Z1\nEND1\nN5 G0 X9 Z1", [(1, 1), (9, 1)]),
        (
            "#1=0\nWHILE[#1LT3]DO1\n#1=#1+1\nIF[#1EQ2]GOTO7\nG0 X#1 Z1\nN7 END1",
            [(1, 1), (3, 1)],
        ),
    ],
)  # fmt: skip
def test_what_is_computed_and_where_it_goes_on(text: str, expected: list[tuple[float, float]] | None) -> None:
    if expected is None:
        with pytest.raises(ProgramError, match="no value in this program"):
            program(text)
        return
    assert ends(text, diameter=False) == expected


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("O1\nM98 P2\nG0 X5\nM30\nO2\nG0 X1 Z1\nM99", [1, 5]),
        ("O1\nM98 P2 L3\nM30\n:2\nG0 U-1\nM99", [49, 48, 47]),
        ("O0001\nM98 P0030002\nM30\nO0002\nG0 U-1\nM99", [49, 48, 47]),
        ("O1\nM98 P20002\nM30\nO20002\nG0 X7\nN5 M99", [7]),
        # In one another; the same one twice; a return with a move of its own.
        ("M98P10\nM98P11\nM30\nO10\nM98P11\nG0X3\nM99\nO11\nG0X1\nX2M99", [1, 2, 3, 1, 2]),
        ("M98 P10", None),
        # By an N word of its own program.
        ("M97 P100 L2\nG0 X5\nM30\nN100 G0 U-1\nM99", [49, 48, 5]),
        # Variables are those of the caller, but in a macro.
        ("O1\n#1=4\nM98 P2\nG0 X#1\nM2\nO2\n#1=#1*2\nM99", [8]),
        ("O1\n#1=4\nG65 P2 A7. X3.\nG0 X#1\nX#100\nM2\nO2\n#100=#1+#24\n#1=0\nM99", [4, 10]),
        ("O1\n#5=2\nG65 P2 A#5 K[#5+1]\nM2\nO2\nIF [#2 EQ #0] THEN #2=.5\nG0 X[#1+#2+#6]\nM99", [5.5]),
        ("O1\n#1=2\nG65 P2 A1.\nM2\nO2\n#2=9\nM98 P3\nM99\nO3\nG0 X#2\nM99", [9]),
        # The end in a subprogram ends all.
        ("O1\nM98 P2\nG0 X5\nM30\nO2\nG0 X1\nM30", [1]),
    ],
)
def test_subprograms(text: str, expected: list[float] | None) -> None:
    if expected is None:
        with pytest.raises(ProgramError, match="which this file does not hold"):
            program(text)
        return
    assert xs(text) == expected


@pytest.mark.parametrize(
    ("text", "line", "word", "what"),
    [
        # Nothing may run for ever.
        ("N1 GOTO 1", 1, "", "does not end"),
        ("G0 X5\nN1 X6\nX7\nGOTO 1", None, "", "does not end"),
        ("WHILE [1 EQ 1] DO1\nEND1", 1, "", "does not end"),
        ("DO1\nG0 X5\nEND1", None, "", "does not end"),
        ("O1\nM98 P2 L999999999\nM30\nO2\nG0 X1\nM99", None, "", "does not end"),
        ("O1\nM98 P1\nM30", 2, "P1", "does a subprogram call itself?"),
        ("O1\nM98 P2\nM30\nO2\nM98 P3\nM99\nO3\nG65 P2\nM99", 8, "P2", "does a subprogram call itself?"),
        ("M97 P5\nM30\nN5 M97 P5\nM99", 3, "P5", "does a subprogram call itself?"),
        # Where a jump leads.
        ("GOTO 5", 1, "GOTO", "leads to N5, which its program does not hold"),
        ("GOTO 5\nN5 G0 X1\nN5 X2", 1, "GOTO", "which stands in line 2 and 3"),
        ("GOTO 5\nM30\nO2\nN5 G0 X1\nM99", 1, "GOTO", "does not hold"),
        ("GOTO 5\n#1=0\nWHILE [#1 LT 2] DO1\nN5 G0 X1\n#1=#1+1\nEND1", 1, "GOTO", "into the loop of line 3"),
        ("#1=0\nGOTO 5\nWHILE [#1 LT 2] DO1\n#1=#1+1\nN5 END1", 2, "GOTO", "into the loop of line 3"),
        ("M97 P5\nM30\nDO1\nN5 G0 X1\nM99\nEND1", 1, "P5", "into the loop of line 3"),
        ("GOTO 1.5\nN1", 1, "GOTO", "whole number"),
        ("GOTO -1", 1, "GOTO", "whole number"),
        ("GOTO", 1, "GOTO", "must follow"),
        ("GOTO 5 G0 X1\nN5", 1, "G0", "on a line of its own"),
        ("GOTOF WEITER", 1, "F", "no number"),
        # Loops.
        ("WHILE [#1 LT 2] DO1\nG0 X1", 1, "", "without END1"),
        ("G0 X1\nEND1", 2, "END1", "must end the loop of its number"),
        ("DO1\nDO2\nEND1\nEND2", 3, "END1", "must end the loop of its number"),
        ("DO1\nDO1\nEND1\nEND1", 2, "DO1", "of the same number"),
        ("DO4\nEND4", 1, "DO4", "1 to 3"),
        ("DO1\nM30\nO2\nEND1\nM99", 1, "", "without END1 in its program"),
        ("WHILE [1 EQ 1]\nENDW", 1, "WHILE", "must go on with DO1"),
        ("WHILE [1] DO1\nEND1", 1, "WHILE", "comparison in square brackets"),
        ("WHILE 1 EQ 1 DO1\nEND1", 1, "1", "in square brackets"),
        ("/DO1\nG0 X1\nEND1", 1, "/", "beginning or the end of a loop"),
        # IF.
        ("IF [1 EQ 1]\nG0 X5\nENDIF", 1, "IF", "must go on with GOTO"),
        ("IF [1 EQ 1] G0 X5", 1, "IF", "must go on with GOTO"),
        ("IF [1 EQ 1] THEN G0 X5", 1, "G0", "must be a variable"),
        ("IF [5] GOTO 1", 1, "IF", "comparison in square brackets"),
        ("IF R1>5 GOTOF A", 1, "R1>5", "square brackets"),
        # Variables.
        ("G1 X#101", 1, "#101", "has no value in this program"),
        ("G1 X[1+#2]", 1, "#2", "has no value in this program"),
        ("#1=#0\nG0 X#1", 2, "#1", "has no value"),
        ("G0 X#0", 1, "X#0", "must have a number"),
        ("#0=5", 1, "#0=5", "cannot be given a value"),
        ("#3000=1 (STOP)", 1, "#3000", "the control's"),
        ("G0 X5 Z5\n#1=#5042", 2, "#5042", "the control's"),
        ("#1=5 #2=6", 1, "#2=6", "on a line of its own"),
        ("G0 X5 #1=6", 1, "#1=6", "no word or statement"),
        ("#1", 1, "#1", "must be given a value"),
        ("#1=[1 EQ 1]", 1, "#1=[1", "found a comparison"),
        ("#1=5\nG0 X#1+2", 2, "X#1+2", "in square brackets"),
        ("#1=5\nG0 X#1.5", 2, "X#1.5", "in square brackets"),
        ("#1=5\nG0 X[ROUND[#1]]", 2, "X[ROUND[#1]]", "rounds to the least increment"),
        ("#1=5\nN#1 G0 X5", 2, "N#1", "written number"),
        ("#1=1.5\nG#1 X5", 2, "G#1", "whole number"),
        ("#1=0\nG0 X[5/#1]", 2, "/#1]", "divides by 0"),
        ("#1=1000000\nG0 X#1", 2, "X#1", "within 10000 mm"),
        # Round brackets are comments, or brackets of the expression.
        ("R1=(5)+3", 1, "(", "stands where a number is expected"),
        ("#1=2*(3)4", 1, "(", "stands where a number is expected"),
        ("R1=SIN(30)", 1, "SIN", "square brackets"),
        # R beside words with =.
        ("R1=4\nG2 X=R1 Z5 R3", 2, "R3", "a parameter beside words with ="),
        ("G=R1", 1, "G=R1", "words with = are"),
        ("X==5", 1, "=5", "no number"),
        ("G0 X5 LIMS=R1", 1, "LIMS=R1", "address letter with a number"),
        ("R=5", 1, "R=5", "words with = are"),
        # Calls.
        ("M98", 1, "M98", "calls a subprogram and must name it by P"),
        ("M97", 1, "M97", "calls or ends a subprogram"),
        ("M98 P2.\nM30\nO2\nM99", 1, "P2.", "without a decimal point"),
        ("M98 P2 L0\nM30\nO2\nM99", 1, "L0", "1 or more"),
        ("M98 P2 L1.5\nM30\nO2\nM99", 1, "L1.5", "whole number"),
        ("G0 X5 M98 P2\nM30\nO2\nM99", 1, "G0", "write it apart"),
        ("M98 P2 P3\nM30\nO2\nM99", 1, "P3", "write it apart"),
        ("M98 P2 Q5\nM30\nO2\nM99", 1, "Q5", "write it apart"),
        ("M98 P30002\nM30\nO2\nM99\nO30002\nM99", 1, "P30002", "can be program O30002, or O2 run 3 times"),
        ("M98 P2\nM30\nO2\nM99\nO2\nM99", 1, "P2", "begins in line 3 and 5"),
        ("M98 P2\nM30\nO2\nG0 X5", 4, "", "must return by M99"),
        ("M98 P2\nM30\nO2\nG0 X5\nO3\nM99", 4, "", "must return by M99"),
        ("M98 P2\nM30\nO2\nM99 P10", 4, "P10", "leads to N10"),
        ("O1\nG0 X10\nO2\nG0 X20", 3, "O2", "begins another program than that of line 1"),
        ("G0 X1\nO2 X[5]\nM30", 2, "O2", "without computed numbers"),
        ("G65 P2 A5 G0\nM30\nO2\nM99", 1, "G0", "is no argument"),
        ("G65 P2 I5. J2. I6.\nM30\nO2\nM99", 1, "I6.", "a second time"),
        ("G65 P2 A5. L2\nM30\nO2\nM99", 1, "G65", "whether it gets its arguments anew"),
        ("G66 P2", 1, "G66", "is not followed"),
    ],
)  # fmt: skip
def test_what_cannot_be_told_is_refused_with_line_and_word(
    text: str, line: int | None, word: str, what: str
) -> None:
    with pytest.raises(ProgramError, match=r"^program line \d+: ") as error:
        program(text)
    assert (error.value.line if line else None, error.value.word) == (line, word)
    assert what in str(error.value)
    assert "\n" not in str(error.value)


def test_an_argument_without_a_point_counts_units_where_that_is_stated() -> None:
    text = "O1\nG65 P2 A5\nM30\nO2\nG0 X#1\nM99"
    assert xs(text) == [5.0]
    for options in ({"point_required": True}, {"least_increment": 1e-3}):
        with pytest.raises(ProgramError, match="word A5 has no decimal point"):
            program(text, **options)


def test_computed_numbers_count_units_whatever_a_number_without_a_point_counts() -> None:
    text = "#1=20\nG0 X#1 Z[5]"
    assert ends(text, least_increment=1e-3) == ends(text, point_required=True) == ends(text) == [(10.0, 5.0)]


def test_a_line_that_runs_again_does_so_with_the_tool_and_machine_of_then() -> None:
    """One cutting line of a subprogram: tool 1 with the spindle forward, then tool 2 with it at rest and open chuck."""
    text = "O1\nT1 M3\nM98 P2\nM5\nT2\nM69\nM98 P2\nM68\nM98 P2\nM30\nO2\nG0 X10 Z9\nG1 X8 F.2\nM99"
    found = program(text, tools={1: Nose(0.4, (1, -1)), 2: Nose(0.8, (1, -1))}, chuck=(69, 68))
    assert [move.line for move in found.moves] == [12, 13] * 3
    assert found.tools == (1, 1, 2, 2, 2, 2)
    assert [one.spin for one in found.machine] == ["forward"] * 2 + ["standing"] * 4
    assert [one.open_by is not None for one in found.machine] == [False, False, True, True, False, False]
    ordinals = [move.ordinal or 0 for move in found.moves]
    assert ordinals == sorted(ordinals)
    assert ordinals[1] < found.openings[0].ordinal < ordinals[2]


def test_compensation_runs_through_a_subprogram() -> None:
    """The same contour called twice, on the nose of the tool that is in force: 0.4 and 0.8 mm beside it."""
    text = "O1\nT1\nM98 P2\nT2\nM98 P2\nM30\nO2\nG0 X60 Z5\nG42 G1 X40 F.2\nZ-20\nG40 X60\nM99"
    noses = {1: Nose(0.4, (0, 0)), 2: Nose(0.8, (0, 0))}
    cut = [move for move in program(text, tools=noses).moves if move.line == 10]
    assert [move.end[0] for move in cut] == pytest.approx([20.4, 20.8])


def test_notes_say_what_ran_again_and_what_never() -> None:
    text = "O1\nM98 P2 L2\nGOTO 9\nG0 X1\nX2\nN9 G0 X3\nM30\nX4\nO2\nG0 X5\nM99\nO3\nM99"
    notes = program(text).notes
    assert "lines 4 to 5: never run" in notes
    assert "line 8: never run" in notes
    assert "lines 12 to 13: never run" in notes
    assert "lines 9 to 11: run 2 times" in notes
    assert len(set(notes)) == len(notes)
    assert not any("never run" in note or "times" in note for note in program("O1\nG0 X1\nM30").notes)
    many = "O1\n" + "\n".join(f"GOTO {n}\nG0 X1\nN{n}" for n in range(1, 31))
    assert "the same of 10 other stretches of lines" in program(many).notes


def test_blocks_that_may_be_skipped() -> None:
    """Skipped: an assignment, a jump, a call; the switches of lines that hold no plain block are known, too."""
    text = "O1\n#1=5\n/#1=6\n/2 GOTO 8\n/M98 P2\nN8 G0 X#1\nM30\nO2\nG0 X1\nM99"
    assert switches(text) == ("/", "/2")
    assert xs(text) == [6.0]
    assert xs(text, skipped=frozenset({"/2"})) == [1.0, 6.0]
    assert xs(text, skipped=frozenset({"/"})) == [5.0]
    with pytest.raises(ProgramError, match="line 3: word / lets an operator skip"):
        program(text, skip_optional=None)


@pytest.mark.parametrize(
    "text",
    [
        "N1 GOTO 1",
        "DO1\n" + "M8" * 490 + "\nEND1",
        "DO1\nG0 X[" + "+".join(["1"] * 490) + "]\nEND1",
        "#1=0\nN1 #1=#1+1\nG1 X[#1 MOD 7] Z[#1 MOD 5] F.2\nGOTO 1",
        "O1\nM98 P2 L99999\nM30\nO2\nM98 P3 L99999\nM99\nO3\nM98 P4 L99999\nM99\nO4\nM99",
        "\n".join(["N5"] * 50_000) + "\nGOTO 5",
        "\n".join(f"O{n}\nM98 P{n + 1}" for n in range(20_000)),
        "G0 X" + "[" * 990,
        "#1=" + "-" * 990,
        "IF " * 300,
    ],
)
def test_no_text_runs_on_and_on(text: str) -> None:
    """Bounded work: processor time under 20 s even on a slow machine, where it would else never end."""
    begun = time.process_time()
    with pytest.raises(ProgramError):
        program(text)
    assert time.process_time() - begun < 20.0


def test_the_bound_counts_what_runs_again_not_how_long_a_program_is(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(flow, "MOST_BLOCKS", 50)
    assert len(xs("\n".join(f"G0 X{n % 7}" for n in range(1, 300)))) > 200
    with pytest.raises(ProgramError, match="after 50 blocks"):
        program("#1=0\nWHILE [#1 LT 99] DO1\n#1=#1+1\nEND1")


WORDS = ["G0 X5", "G1 Z-1 F.2", "#1=#1+1", "#1=2", "#2=#1*3", "X#1", "Z-[#2/4]", "M30", "M99", "M98 P2", "M98 P2 L2",
         "M98 P20002", "M97 P1", "O1", "O2", "O3", "N1", "N2 G0 X1", "GOTO 1", "GOTO 2", "IF [#1 LT 5] GOTO 1",
         "IF [#1 EQ #0] GOTO 2", "WHILE [#1 LT 4] DO1", "END1", "DO2", "END2", "G65 P3 A1. B2.", "R1=5", "X=R1",
         "/#1=7", "/GOTO 2", "IF [#1 GT 2] THEN #1=0", "T0101", "T0202", "M3", "M5"]  # fmt: skip


@settings(max_examples=300, deadline=None)
@given(st.lists(st.sampled_from(WORDS), max_size=25), st.booleans())
def test_any_flow_ends_in_moves_that_join_or_in_one_sentence(lines: list[str], skip: bool) -> None:
    refused = None
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(flow, "MOST_BLOCKS", 3000)
        try:
            found = program("\n".join(lines), skip_optional=skip)
        except ProgramError as error:
            refused = error
    if refused is not None:
        assert refused.line >= 1
        assert "\n" not in str(refused)
        return
    assert len(found.machine) == len(found.tools) == len(found.moves)
    ordinals = [move.ordinal or 0 for move in found.moves]
    assert ordinals == sorted(ordinals)
    for before, after in zip(found.moves[:-1], found.moves[1:], strict=True):
        assert before.end == pytest.approx(after.start, abs=1e-6)


@given(st.integers(1, 6), st.integers(1, 5), st.integers(-8, 8), st.integers(1, 8))
def test_a_loop_gives_the_moves_of_the_lines_written_out(
    passes: int, deep: int, start: int, step: int
) -> None:
    """A loop in a loop against the same lines longhand; steps of an eighth are exact in every arithmetic."""
    looped = (
        f"#1=0\n#3={start}/8\nWHILE [#1 LT {passes}] DO1\n#2=0\nWHILE [#2 LT {deep}] DO2\nG0 X[#3+#1*{step}/8] "
        "Z[#2-#1]\nG1 Z-#1 F.2\n#2=#2+1\nEND2\n#1=#1+1\nEND1"
    )
    longhand = []
    for i in range(passes):
        for j in range(deep):
            longhand += [f"G0 X{start / 8 + i * step / 8:.3f} Z{j - i:.3f}", f"G1 Z{-i:.3f} F.2"]
    assert ends(looped) == ends("\n".join(longhand))
