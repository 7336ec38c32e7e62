"""Which tools a program calls, and the table that asks for them."""

from __future__ import annotations

import tomllib

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sim.programs.tool_list import (
    LONGEST_NAME,
    CalledTool,
    called_otherwise,
    called_tools,
    lacking,
    table_to_fill_in,
)

TEXT = """%
O0100 (FLANGE T9 IS NOT CALLED HERE)
(ROUGH TURNING)
N10 T0101 M6
G0 X100. Z5.
(DRILL "20 MM")
t3 (SHORT DRILL) m6
G0 Z5.
N20 T0300
T0101
T 0707 ; groove 3 mm
"""


def test_tools_come_with_what_stands_beside_them() -> None:
    assert called_tools(TEXT) == (
        CalledTool(1, "T0101", 4, "ROUGH TURNING"),
        CalledTool(3, "T3", 7, "SHORT DRILL"),
        CalledTool(7, "T0707", 11, "groove 3 mm"),
    )


def test_a_list_of_tools_at_the_head_names_those_without_a_comment_of_their_own() -> None:
    text = "(T0101 - ROUGH)\n(T4: GROOVE 3)\n(T0909 DRILL 22)\n(T7)\nO7\nT0101\nT0404 (BLADE)\nT909\nT0707\n"
    assert [(one.station, one.name) for one in called_tools(text)] == [
        (1, "ROUGH"), (4, "BLADE"), (9, "DRILL 22"), (7, ""),
    ]  # fmt: skip
    assert called_tools("(PART 12)\n(T1 ROUGH)\nT0101\n")[0].name == "ROUGH"
    assert called_tools("(T11 ROUGH)\n(T1 DRILL)\nG0 X5.\nT0101 M6\n")[0].name == "DRILL"


def test_the_digits_of_a_word_are_read_by_their_rule() -> None:
    """T10105 is station 101 where three digits name the offset (as 105), station 10 where two of six are wear."""
    assert [one.station for one in called_tools("T010105")] == [101]
    assert [one.station for one in called_tools("T010105", "TSSOOWW")] == [1]
    assert [one.station for one in called_tools("T010105", "TNNSSOO")] == [1]
    assert [one.station for one in called_tools("T020305", "TNNSSOO")] == [3]


@pytest.mark.parametrize("text", ["", "G1 X1.", "T0", "T0000", "T#1", "T1.5", "(T0101)", "; T0101"])
def test_what_calls_no_tool_gives_none(text: str) -> None:
    assert called_tools(text) == ()


@given(st.text(max_size=300), st.text(max_size=80))
def test_the_table_is_read_and_asks_for_what_is_not_known(text: str, comment: str) -> None:
    tools = called_tools(f"{text}\nT0101 ({comment}")
    table = tomllib.loads(table_to_fill_in(tools, "operations.program.tools"))["operations"]["program"][
        "tools"
    ]
    assert [one["number"] for one in table] == [tool.station for tool in tools]
    for one in table:
        assert len(one["name"]) <= LONGEST_NAME
        assert one["insert"] == "?"
        assert set(one["holder"].values()) == {"? mm"}


def test_tools_that_a_table_lacks() -> None:
    """Stated by the station or by the whole word."""
    called = called_tools(TEXT)
    assert [tool.station for tool in lacking(called, {1, 9})] == [3, 7]
    assert [tool.station for tool in lacking(called, {101, 3})] == [7]
    assert lacking(called, {1, 3, 7}) == ()


@pytest.mark.parametrize(
    ("name", "doubted"),
    [
        ("rough turning tool", False),
        ("ROUGH", False),
        ("", False),
        ("boring bar S16", True),
        ("Schruppstahl", True),
    ],
)
def test_a_tool_that_the_program_calls_otherwise_is_doubted(name: str, doubted: bool) -> None:
    """T1 of another turret is another tool, and nothing but the comment tells."""
    notes = called_otherwise(called_tools(TEXT), {1: name})
    assert notes == (
        (
            f"line 4: T0101 stands beside 'ROUGH TURNING', and the table calls tool 1 '{name}': see that the turret "
            "holds the tool that is stated",
        )
        if doubted
        else ()
    )


def test_the_table_says_where_it_is_put() -> None:
    text = table_to_fill_in(called_tools(TEXT), "operations.program.tools", "below [operations.program]")
    assert text.startswith("# below [operations.program]\n[[operations.program.tools]]  # T0101 of line 4\n")
    assert len(tomllib.loads(text)["operations"]["program"]["tools"]) == 3
