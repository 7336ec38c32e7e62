"""G70 to G73 in programs: their words, their contour, what holds in them and behind them.

How the cycles run and what their words mean is common practice, no source; arithmetic stands beside each check.
"""

from __future__ import annotations

from collections.abc import Iterable

import pytest

from sim.programs import cycle_moves
from sim.programs.compensation import Nose
from sim.programs.cycles.amounts import Amounts
from sim.programs.path import Move
from sim.programs.program import Program, read
from sim.programs.reading import Reading
from sim.programs.words import ProgramError

START = (50.0, 50.0)
CONTOUR = "N10 G0 X20.\nG1 Z-10. F.1 S1200\nX30. Z-20.\nN20 X44."
HEAD = "G21 G97 S800 M3 F.3\nG0 X44. Z2."


def program(*lines: str, **options: object) -> Program:
    return read("\n".join(lines), Reading(start=START, **options))  # type: ignore[arg-type]


def of(moves: Iterable[Move], word: str) -> list[Move]:
    return [move for move in moves if word in move.stage]


def ends(moves: Iterable[Move]) -> list[tuple[str, float, float]]:
    return [(move.kind[0], round(2.0 * move.end[0], 6), round(move.end[1], 6)) for move in moves]


TWO = program(HEAD, "G71 U4. R1.", "G71 P10 Q20 U.4 W.1 F.25", CONTOUR, "G70 P10 Q20", "G0 X100.")


def test_roughing_and_finishing_a_shaft() -> None:
    """Radii 22 to 10, depth 4, allowance 0.2 (U0.4 on the diameter) and 0.1: levels 18.2 and 14.2, 10.2 is the contour.

    The taper runs from (10.2, -9.9) to (15.2, -19.9), 1 mm of radius in 2 mm: level 14.2 ends 4 * 2 behind its start,
    at -17.9; level 18.2 at the shoulder, -19.9. Diameters are written here.
    """
    assert ends(of(TWO.moves, "(G71)")) == [
        ("r", 44.4, 2.1), ("r", 36.4, 2.1), ("f", 36.4, -19.9), ("r", 38.4, -18.9), ("r", 38.4, 2.1),
        ("r", 28.4, 2.1), ("f", 28.4, -17.9), ("r", 30.4, -16.9), ("r", 30.4, 2.1),
        ("r", 20.4, 2.1), ("f", 20.4, -9.9), ("f", 30.4, -19.9), ("f", 44.4, -19.9), ("r", 44.0, 2.0),
    ]  # fmt: skip
    assert ends(of(TWO.moves, "(G70)")) == [
        ("r", 20.0, 2.0), ("f", 20.0, -10.0), ("f", 30.0, -20.0), ("f", 44.0, -20.0), ("r", 44.0, 2.0),
    ]  # fmt: skip
    assert ends(TWO.moves[:1] + TWO.moves[-1:]) == [("r", 44.0, 2.0), ("r", 100.0, 2.0)]


def test_feed_and_speed_of_the_contour_hold_for_finishing_only() -> None:
    """F.25 of the cycle and S800 in force rough; F.1 and S1200 of the contour finish; a note says so."""
    assert {(move.feed, move.speed) for move in of(TWO.moves, "(G71)") if move.kind == "feed"} == {
        (0.25, 800.0)
    }
    assert {(move.feed, move.speed) for move in of(TWO.moves, "(G70)") if move.kind == "feed"} == {
        (0.1, 1200.0)
    }
    assert "line 4: F and S in the contour hold for finishing only, not for G71" in TWO.notes


def test_every_move_has_the_line_of_its_cycle() -> None:
    assert {move.line for move in of(TWO.moves, "(G71)")} == {4}
    assert {move.line for move in of(TWO.moves, "(G70)")} == {9}
    assert [move.stage for move in of(TWO.moves, "finish")] == [
        f"finish (G70), line {n}" for n in (5, 6, 7, 8)
    ]


def test_tool_and_machine_are_those_of_the_cycle_not_of_the_contour() -> None:
    """T1 roughs with M3, T2 finishes with M4: the contour stands among the blocks of T1."""
    tools = {1: Nose(0.8, (-1, -1)), 2: Nose(0.4, (-1, -1))}
    found = program(
        "T1", HEAD, "G71 U4. R1.", "G71 P10 Q20 U.4 W.1", CONTOUR, "G0 X100. Z50.", "T2", "M4", "G0 X44. Z2.",
        "G70 P10 Q20", tools=tools,
    )  # fmt: skip
    held = list(zip(found.moves, found.tools, found.machine, strict=True))
    assert {(tool, machine.spin) for move, tool, machine in held if "(G71)" in move.stage} == {(1, "forward")}
    assert {(tool, machine.spin) for move, tool, machine in held if "(G70)" in move.stage} == {
        (2, "backward")
    }


OWN = {"amounts": Amounts(roughing_retract=0.3)}


def test_one_block_says_the_same_as_two() -> None:
    one = program(
        HEAD,
        "G71 P10 Q20 U.4 W.1 D4. F.25",
        CONTOUR,
        "G70 P10 Q20",
        "G0 X100.",
        amounts=Amounts(roughing_retract=1.0),
    )
    assert [(m.kind, m.start, m.end, m.feed, m.speed, m.stage.split(",")[0]) for m in one.moves] == [
        (m.kind, m.start, m.end, m.feed, m.speed, m.stage.split(",")[0]) for m in TWO.moves
    ]


@pytest.mark.parametrize(
    ("lines", "options", "retract", "said"),
    [
        (("G71 U4. R1.", "G71 P10 Q20"), {}, 1.0, "retract amount 1 mm"),
        (("G71 U4.", "G71 P10 Q20"), {}, 0.5, "retract amount taken as 0.5 mm"),
        (("G71 P10 Q20 D4.",), {}, 0.5, "retract amount taken as 0.5 mm"),
        (
            ("G71 P10 Q20 D4.",),
            OWN,
            0.3,
            "retract amount 0.3 mm as the scenario states it",
        ),
        (
            ("G71 U4. R1.", "G71 P10 Q20"),
            OWN,
            1.0,
            "retract amount 1 mm",
        ),
        (("G71 U4. R0", "G71 P10 Q20"), {}, 0.0, "retract amount 0 mm"),
    ],
)
def test_where_the_retract_comes_from_is_said(
    lines: tuple[str, ...], options: dict[str, Amounts], retract: float, said: str
) -> None:
    found = program(HEAD, *lines, CONTOUR, **options)
    first = next(move for move in of(found.moves, "pass 1") if move.kind == "feed")
    after = found.moves[found.moves.index(first) + 1]
    assert after.end[0] - first.end[0] == pytest.approx(retract)
    assert any(said in note for note in found.notes)


def test_facing_by_hand() -> None:
    """Steps of 3 mm in z from z 2 to the bottom at -8: levels -1, -4, -7; radii from 22 in.

    The contour goes at rapid to z -8, then from diameter 44 in to 30 at z -8, and out to z 0 at diameter 20.
    Its taper has 5 mm of radius in 8 mm: level -7 meets it at radius 15 - 5/8, diameter 28.75; -4 at 25; -1 at 21.25.
    """
    found = program(
        HEAD,
        "G72 W3. R.5",
        "G72 P10 Q20 U0 W0 F.2",
        "N10 G0 Z-8.",
        "G1 X30.",
        "X20. Z0.",
        "N20 Z2.",
        "G70 P10 Q20",
    )
    assert ends(of(found.moves, "(G72)")) == [
        ("r", 44.0, -1.0), ("f", 21.25, -1.0), ("r", 22.25, -0.5), ("r", 44.0, -0.5),
        ("r", 44.0, -4.0), ("f", 25.0, -4.0), ("r", 26.0, -3.5), ("r", 44.0, -3.5),
        ("r", 44.0, -7.0), ("f", 28.75, -7.0), ("r", 29.75, -6.5), ("r", 44.0, -6.5),
        ("r", 44.0, -8.0), ("f", 30.0, -8.0), ("f", 20.0, 0.0), ("f", 20.0, 2.0), ("r", 44.0, 2.0),
    ]  # fmt: skip


def test_boring_by_hand() -> None:
    """A bore of diameter 20 opened to 30 and 40 at its mouth: passes step outwards, the allowance U is negative.

    Start at diameter 20, z 2; depth 3: levels at radius 9.8 + 3 = 12.8, 15.8 and 18.8; the deepest place, 19.8, is left
    to the contour. The shoulder at z -10 + 0.1 ends those over radius 14.8, the bottom at -25 + 0.1 the first one.
    """
    found = program(
        HEAD, "G0 X20.", "G71 U3. R.5", "G71 P10 Q20 U-.4 W.1", "N10 G0 X40.", "G1 Z-10.", "X30.", "Z-25.", "N20 X20.",
        "G70 P10 Q20",
    )  # fmt: skip
    assert [row[1:] for row in ends(of(found.moves, "rough pass")) if row[0] == "f"] == [
        (25.6, -24.9), (31.6, -9.9), (37.6, -9.9),
    ]  # fmt: skip
    assert ends(of(found.moves, "pass 1"))[:4] == [
        ("r", 19.6, 2.1), ("r", 25.6, 2.1), ("f", 25.6, -24.9), ("r", 24.6, -24.4),
    ]  # fmt: skip
    assert ends(of(found.moves, "contour pass")) == [
        ("r", 39.6, 2.1), ("f", 39.6, -9.9), ("f", 29.6, -9.9), ("f", 29.6, -24.9), ("f", 19.6, -24.9),
    ]  # fmt: skip


def test_a_pattern_in_two_blocks_and_in_one() -> None:
    """U3. and I3. are radii; the allowance U.4 is a diameter: the first pass stands off by 3.2 mm, the last by 0.2."""
    two = program(HEAD, "G73 U3. W0 R3", "G73 P10 Q20 U.4 W0 F.2", CONTOUR)
    one = program(HEAD, "G73 P10 Q20 I3. K0 D3 U.4 W0 F.2", CONTOUR)
    assert [(m.kind, m.end) for m in one.moves] == [(m.kind, m.end) for m in two.moves]
    firsts = [of(two.moves, f"pass {n} of 3")[1].end[0] for n in (1, 2, 3)]
    assert firsts == [pytest.approx(10.0 + by) for by in (3.2, 1.7, 0.2)]


def test_type_two_only_where_the_first_block_names_both_axes() -> None:
    neck = "G1 Z-10.\nX16. Z-14.\nZ-18.\nN20 X44."
    found = program(HEAD, "G71 U2. R.5", "G71 P10 Q20", f"N10 G0 X20. W0\n{neck}")
    assert any("type II" in note for note in found.notes)
    with pytest.raises(ProgramError, match=r"program line 7: runs back in x: .* \(type II\) only if"):
        program(HEAD, "G71 U2. R.5", "G71 P10 Q20", f"N10 G0 X20.\n{neck}")


def test_a_cycle_in_inches_and_by_radius() -> None:
    """U and R of the opening block are radii however X is meant; all lengths are inches after G20."""
    inch = program(
        "G20 G97 S800 F.01", "G0 X2. Z.1", "G71 U.1 R.02", "G71 P1 Q2 U.02", "N1 G0 X1.5\nN2 G1 Z-1."
    )
    assert ends(of(inch.moves, "pass 1")) == [
        ("r", 51.308, 2.54), ("r", 46.228, 2.54), ("f", 46.228, -25.4), ("r", 47.244, -24.892), ("r", 47.244, 2.54),
    ]  # fmt: skip
    radius = program(
        "G21 G97 S800 F.3", "G0 X22. Z2.", "G71 U4. R1.", "G71 P10 Q20 U.2 W.1 F.25", "N10 G0 X10.",
        "G1 Z-10. F.1 S1200", "X15. Z-20.", "N20 X22.", "G70 P10 Q20", "G0 X50.", diameter=False,
    )  # fmt: skip
    assert [(m.kind, m.end) for m in radius.moves] == [(m.kind, pytest.approx(m.end)) for m in TWO.moves]


def test_the_third_code_system_has_its_cycles_two_codes_higher() -> None:
    third = program(
        "G97 S800 M3 F.3", "G0 X44. Z2.", "G73 U4. R1.", "G73 P10 Q20 U.4 W.1 F.25", CONTOUR, "G72 P10 Q20", "G0 X100.",
        code_system="G20 cycles",
    )  # fmt: skip
    assert [(m.kind, m.end) for m in third.moves] == [(m.kind, m.end) for m in TWO.moves]
    with pytest.raises(ProgramError, match="is not followed"):
        program(HEAD, "G71 P10 Q20 D4.", CONTOUR, code_system="ISO")


def test_finishing_with_nose_radius_compensation() -> None:
    """G42 in the contour: the tip (nose 0.4) runs on the journal and the shoulder, and shifted along the taper.

    The circle touches a taper of angle a to the axis when its imaginary tip is shifted by r (1 - tan(a/2)) along z
    (from the right triangle of tip, centre and touch; handbooks print the same). Here tan a = 0.5, tan(a/2) = 0.2361:
    0.3056 mm along z are 0.1528 mm of radius, so that the tip meets the shoulder at z -20 on radius 15 - 0.1528.
    """
    contour = CONTOUR.replace("N10 G0", "N10 G42 G0").replace("N20 X44.", "X40.\nN20 G40 X44.")
    text = (HEAD, "G71 U4. R1.", "G71 P10 Q20 U.4 W.1 F.25", contour, "G70 P10 Q20", "G0 X100.")
    nosed = read("\n".join(text), Reading(start=START, nose_radius=0.4, tip_direction=(-1, -1)))
    roughed = [(m.kind, m.end) for m in of(nosed.moves, "(G71)")]
    assert roughed[:-3] == [(m.kind, m.end) for m in of(TWO.moves, "(G71)")][:-2]
    assert any("followed without nose radius compensation" in note for note in nosed.notes)
    finished = of(nosed.moves, "finish")
    assert finished[1].end[0] == pytest.approx(10.0)
    assert any(move.end == pytest.approx((15.0 - 0.1528, -20.0), abs=1e-4) for move in finished)
    written_out = read(
        "\n".join((HEAD, contour, "G0 X44. Z2.")),
        Reading(start=START, nose_radius=0.4, tip_direction=(-1, -1)),
    )
    assert [m.end for m in finished] == [pytest.approx(m.end) for m in written_out.moves[1:6]]


@pytest.mark.parametrize(
    ("behind", "what"),
    [
        ("X60.", "without G0, G1, G2 or G3 after G70 of line 9"),
        ("G0 X60.", ""),
        ("G4 P100\nG1 X60. F.1", ""),
    ],
)
def test_what_holds_behind_a_cycle_must_be_written(behind: str, what: str) -> None:
    lines = (HEAD, "G71 U4. R1.", "G71 P10 Q20 U.4 W.1 F.25", CONTOUR, "G70 P10 Q20", behind)
    if not what:
        assert program(*lines).moves[-1].end == (30.0, 2.0)
        return
    with pytest.raises(ProgramError, match=what):
        program(*lines)


def test_a_feed_behind_finishing_is_not_guessed() -> None:
    """F.1 of the contour or F.25 before it: a cut behind G70 without F has none, which fails further on."""
    lines = (HEAD, "G71 U4. R1.", "G71 P10 Q20 U.4 W.1 F.25", CONTOUR, "G70 P10 Q20", "G1 X60.")
    assert program(*lines).moves[-1].feed is None
    assert program(*[line.replace("F.1", "F.25") for line in lines]).moves[-1].feed == 0.25


def test_compensation_that_a_contour_leaves_on_must_be_settled() -> None:
    on = CONTOUR.replace("N10 G0", "N10 G42 G0")
    lines = (HEAD, "G71 U4. R1.", "G71 P10 Q20 U.4", on, "G70 P10 Q20")
    with pytest.raises(
        ProgramError, match="line 10: moves an axis after G70 of line 9, whose contour leaves G41"
    ):
        program(*lines, "G0 X60.", nose_radius=0.4)
    for settled in ("G40 G0 X60.", "G40\nG0 X60."):
        assert program(*lines, settled, nose_radius=0.4).moves[-1].end == (30.0, 2.0)


def test_a_contour_before_its_cycle_runs_where_it_stands_too() -> None:
    """A program that cuts a contour and finishes it by G70 later: both are its moves."""
    found = program(HEAD, CONTOUR, "G0 X44. Z2.", "G70 P10 Q20", "G0 X60.")
    assert len(of(found.moves, "finish")) == 4
    assert [(m.kind, m.end) for m in found.moves[1:5]] == [(m.kind, m.end) for m in of(found.moves, "finish")]


def test_only_the_escape_keeps_its_line_where_rapid_moves_may_stray() -> None:
    """45 deg over 1 mm, the retract, is never bent; the way to the allowance and the one back run as any rapid does."""
    lines = (HEAD, "G71 U4. R1.", "G71 P10 Q20 U.4 W.1", CONTOUR)
    stray = [m for m in of(program(*lines, rapid="unknown").moves, "(G71)") if m.astray]
    assert ends(stray) == [("r", 44.4, 2.1), ("r", 44.0, 2.0)]
    bent = of(program(*lines, rapid="dogleg", rapid_ratio=0.5).moves, "rough pass 1")
    assert ends(bent)[-2:] == [("r", 38.4, -18.9), ("r", 38.4, 2.1)]
    assert ends(bent)[-3] == ("f", 36.4, -19.9)


def test_blocks_between_slashes_of_a_contour_are_skipped() -> None:
    lines = ("G71 U4. R1.", "G71 P10 Q20", "N10 G0 X20.", "/G1 Z-10.", "G1 X30. Z-20.", "N20 X44.")
    run = program(HEAD, *lines, skip_optional=False)
    skipped = program(HEAD, *lines, skip_optional=True)
    assert any(move.end == (10.0, -10.0) for move in run.moves)
    assert not any(move.end == (10.0, -10.0) for move in skipped.moves)


@pytest.mark.parametrize(
    ("text", "line", "word", "what"),
    [
        ("G71 P10 Q20 U.4\n" + CONTOUR, 3, "G71", "must state its depth of cut"),
        ("G71 U4.\nG71 P10 Q30\n" + CONTOUR, 4, "Q30", "names a block N30 that is not in the program"),
        ("G71 U4.\nG71 P20 Q10\n" + CONTOUR, 4, "Q10", "must stand behind block 20"),
        ("G71 U4.\nG71 P10\n" + CONTOUR, 4, "G71", "found no Q"),
        ("G71 U4.\nG0 X50.\n", 3, "G71", "the next one must be G71 with P and Q"),
        ("G71 U4.\nG71 R1.\n", 4, "G71", "opens the cycle of line 3 again"),
        ("G71 U4.\nG72 P10 Q20 D2.\n" + CONTOUR, 3, "G71", "the next one must be G71"),
        ("G71 U4.\nG71 P10 Q20 D2.\n" + CONTOUR, 4, "D2.", "belongs to the form of G71 in one block"),
        ("G71 P10 Q20 D4. R1.\n" + CONTOUR, 3, "R1.", "retract amount on some controls and a type"),
        ("G71 P10 Q20 D4. I.1\n" + CONTOUR, 3, "I.1", "differs from control to control"),
        ("G71 U0\nG71 P10 Q20\n" + CONTOUR, 3, "U0", "greater than 0 as a depth"),
        ("G71 U-2.\nG71 P10 Q20\n" + CONTOUR, 3, "U-2.", "greater than 0 as a depth"),
        ("G71 U2. R-1.\nG71 P10 Q20\n" + CONTOUR, 3, "R-1.", "must not be negative"),
        ("G71 U2.\nG71 P10 Q20 X5.\n" + CONTOUR, 4, "X5.", "has no meaning here"),
        ("G71 U2.\nG71 P10.5 Q20\n" + CONTOUR, 4, "P10.5", "a whole number"),
        ("G71 U2.\nG71 P10 Q20 U-.4\n" + CONTOUR, 6, "", "into the part"),
        ("G71 U2.\nG71 P10 Q20\nG0 X50.\n" + CONTOUR, 4, "P10", "must name the block behind the cycle"),
        ("G71 U2.\nG71 P10 Q20\n" + CONTOUR + "\nN10 X50.", 4, "P10", "stands in lines 5 and 9"),
        ("G71 U2.\nG71 P10 Q20\n" + CONTOUR.replace("N10 G0", "N10"), 5, "", "must have G0 or G1"),
        ("G71 U2.\nG71 P10 Q20\n" + CONTOUR.replace("G0 X20.", "G0 Z1."), 5, "", "must move X"),
        (
            "G71 U2.\nG71 P10 Q20\n" + CONTOUR.replace("X30.", "T2 X30."),
            7,
            "T2",
            "must not stand in the contour",
        ),
        (
            "G71 U2.\nG71 P10 Q20\n" + CONTOUR.replace("X30.", "G91 X30."),
            7,
            "G91",
            "must not stand in the contour",
        ),
        (
            "G71 U2.\nG71 P10 Q20\n" + CONTOUR.replace("X30.", "M3 X30."),
            7,
            "M3",
            "must not stand in the contour",
        ),
        ("G71 U2.\nG71 P10 Q20\n" + CONTOUR.replace("X44.", "X45."), 8, "", "beyond the start of G71"),
        ("G71 U2.\nG71 P10 Q20 G0\n" + CONTOUR, 4, "G0", "exclude each other"),
        ("T2\nG71 U2.\nG71 P10 Q20 T3\n" + CONTOUR, 5, "T3", "in a block that feeds"),
        ("G70 P10 Q20 U.1\n" + CONTOUR, 3, "U.1", "allowance on the finished contour"),
        ("G72 P10 Q20\n" + CONTOUR, 3, "G72", "code_system must state which"),
        ("G73 U3. R3\nG73 P10 Q20 U.4\n" + CONTOUR, 4, "G73", "code_system must state which"),
        ("G73 P10 Q20 U.4 D3\n" + CONTOUR, 3, "G73", "code_system must state which"),
        ("G73 U3. W0 R2.5\nG73 P10 Q20\n" + CONTOUR, 3, "R2.5", "a whole number from 1"),
        ("G73 U3. W0\nG73 P10 Q20\n" + CONTOUR, 4, "G73", "how many passes"),
        ("G73 U-3. W0 R3\nG73 P10 Q20\n" + CONTOUR, 6, "", "into the part"),
        ("G71 U2.\nG71 P10 Q20\nN10 G0 X20.\nM8\nN20 Z2.", 5, "", "is all of the contour"),
        ("G71 U2. X4.", 3, "G71", "is not followed"),
    ],
)
def test_what_is_refused(text: str, line: int, word: str, what: str) -> None:
    with pytest.raises(ProgramError, match=r"^program line \d+: ") as error:
        program(HEAD, *text.split("\n"))
    assert (error.value.line, error.value.word) == (line, word), str(error.value)
    assert what in str(error.value)


def test_a_depth_without_a_point_can_count_increments() -> None:
    """D2000 is 2 mm where a number without a point counts 0.001 mm, and refused where that is not stated."""
    text = (HEAD, "G71 P10 Q20 D2000", CONTOUR)
    with pytest.raises(
        ProgramError, match=r"word D2000 has no decimal point .* without_point must state which"
    ):
        program(*text, point_required=True)
    found = program(*text, least_increment=0.001)
    assert of(found.moves, "pass 1")[0].end[0] == pytest.approx(20.0)


def test_a_block_of_the_contour_behind_a_slash_may_not_end_it() -> None:
    lines = ("G71 U2.", "G71 P10 Q20", CONTOUR.replace("N20 X44.", "/N20 X44."))
    with pytest.raises(ProgramError, match="word Q20 names a block N20 that is not in the program"):
        program(HEAD, *lines, skip_optional=True)
    assert program(HEAD, *lines, skip_optional=False).moves


def _long(blocks: int) -> str:
    return "\n".join(
        ["N10 G0 X4.", *[f"G1 X{4 + n / 1000:.3f} Z-{n / 100:.2f}" for n in range(1, blocks)], "N20 X44."]
    )


@pytest.mark.parametrize(
    ("lines", "word", "what"),
    [
        (("G71 P10 Q20 D.02", _long(900)), "G71", "their product must be at most 300000"),
        (("G73 P10 Q20 I3. D200", _long(900)), "G73", "at most 100000 are followed"),
        (("G71 P10 Q20 D2.", _long(6000)), "G71", "a contour of over 5000 blocks"),
    ],
)
def test_no_program_runs_for_ever(lines: tuple[str, ...], word: str, what: str) -> None:
    with pytest.raises(ProgramError, match=what) as error:
        program(HEAD, *lines)
    assert error.value.word == word


def test_a_contour_called_again_and_again_ends(monkeypatch: pytest.MonkeyPatch) -> None:
    """Of 200 moves that cycles may make here, each call makes 51: the fourth call in line 62 is one too many."""
    monkeypatch.setattr(cycle_moves, "MOST_MOVES", 200)
    calls = ["G0 X44. Z2.", "G70 P10 Q20"] * 4
    with pytest.raises(ProgramError, match="over 200 moves, more than are followed") as error:
        program(HEAD, _long(49), *calls)
    assert error.value.line == 2 + 50 + 8
    assert program(HEAD, _long(49), *calls[:-2]).moves


def test_many_calls_of_a_far_contour_are_found_at_once() -> None:
    """Where N numbers stand is looked up once: 300 calls in a program of 7000 blocks."""
    filler = "\n".join(f"N{n} S800" for n in range(1000, 7_000))
    found = program(HEAD, CONTOUR, filler, *["G0 X44. Z2.\nG70 P10 Q20"] * 300)
    assert len(of(found.moves, "finish")) == 300 * 4
