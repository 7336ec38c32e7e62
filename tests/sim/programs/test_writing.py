"""A program as text: what a control reads of it, by hand, and by a reader written here."""

from __future__ import annotations

import math
import re
from typing import get_args

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sim.programs.code_groups import CodeSystem
from sim.programs.path import Move
from sim.programs.writing import LONGEST_COMMENT, Wording, program_text

WORDING = Wording("G77 cycles", "0303", 0.2, 400.9, zero=50.0, number=12)
PATH = (
    Move("rapid", (44.0, 70.0), (46.0, 70.0), stage="rough"),
    Move("rapid", (46.0, 70.0), (46.0, 51.0), stage="rough"),
    Move("feed", (46.0, 51.0), (46.0, 30.0), stage="rough"),
    Move("feed", (46.0, 30.0), (45.5, 30.5), stage="finish"),
)
coordinates = st.floats(-500.0, 500.0).map(lambda v: round(v, 4))


def test_a_path_by_hand() -> None:
    """X is the diameter, Z counts from a zero 50 mm up; a move names the axes that it moves."""
    assert program_text(PATH, ("Unproven (never run); dry-run it",), WORDING).splitlines() == [
        "%",
        "O0012",
        "(UNPROVEN NEVER RUN, DRY-RUN IT)",
        "G18 G21 G40 G90 G95",
        "T0303",
        "G97 S400 M3",
        "N10 G0 Z20.",
        "N20 G0 X88.",
        "N30 G0 X92. (ROUGH)",
        "N40 G0 Z1.",
        "N50 G1 Z-20. F0.2",
        "N60 G1 X91. Z-19.5 (FINISH)",
        "N70 M5",
        "N80 M30",
        "%",
    ]


def test_the_codes_are_those_of_the_system() -> None:
    """Feed per revolution is G99 where G90 turns, else G95; inch and metric are G70 and G71 where G20 turns."""
    modes = {
        system: program_text(PATH, (), Wording(system, "01", 0.2, 400.0)).splitlines()[1]
        for system in get_args(CodeSystem)
    }
    assert modes == {
        "G90 cycles": "G18 G21 G40 G99",
        "G77 cycles": "G18 G21 G40 G90 G95",
        "G20 cycles": "G18 G71 G40 G90 G95",
        "ISO": "G18 G71 G40 G90 G95",
    }


def test_an_arc_names_its_centre_from_its_start() -> None:
    arc = Move("feed", (10.0, 0.0), (15.0, -5.0), centre=(10.0, -5.0), clockwise=True)
    assert "G2 X30. Z-5. I0. K-5. F0.2" in program_text((arc,), (), Wording("G77 cycles", "1", 0.2, 400.0))


def test_moves_hang_together() -> None:
    with pytest.raises(ValueError, match="must start where the one before ends"):
        program_text((PATH[0], PATH[2]), (), WORDING)
    with pytest.raises(ValueError, match="must move an axis"):
        program_text((), (), WORDING)


@given(st.lists(st.tuples(coordinates, coordinates, st.booleans()), min_size=2, max_size=30), coordinates)
def test_words_lead_where_the_moves_do(points: list[tuple[float, float, bool]], zero: float) -> None:
    """A reader of a dozen lines: each axis stays where no word moves it."""
    ends = [(x, z) for x, z, _ in points]
    moves = [
        Move("feed" if cuts else "rapid", start, end)
        for start, end, (_, _, cuts) in zip(ends[:-1], ends[1:], points[1:], strict=True)
    ]
    text = program_text(moves, (), Wording("G77 cycles", "01", 0.1, 300.0, zero))
    at = {"X": math.nan, "Z": math.nan}
    found = []
    for line in text.splitlines():
        words = dict(re.findall(r"([GXZ])(-?\d*\.?\d*)", line))
        if words.keys() & {"X", "Z"}:
            assert all("." in words[axis] for axis in "XZ" if axis in words)
            at |= {axis: float(words[axis]) for axis in "XZ" if axis in words}
            found.append(("feed" if words["G"] == "1" else "rapid", at["X"] / 2.0, at["Z"] + zero))
    wanted = [(move.kind, *move.end) for move in moves]
    assert [one[0] for one in found[2:]] == [one[0] for one in wanted]
    for one, other in zip(found[2:], wanted, strict=True):
        assert one[1:] == pytest.approx(other[1:], abs=1.1e-4)
    assert found[1][1:] == pytest.approx(ends[0], abs=1.1e-4)


@given(st.text(max_size=200))
def test_a_comment_holds_nothing_that_ends_it(text: str) -> None:
    lines = program_text(PATH, (text,), WORDING).splitlines()
    for line in lines[2 : lines.index("G18 G21 G40 G90 G95")]:
        assert re.fullmatch(rf"\([ -~]{{1,{LONGEST_COMMENT}}}\)", line)
        assert not set("()%;abcdefghijklmnopqrstuvwxyz") & set(line[1:-1])
