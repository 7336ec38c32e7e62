"""Which tools a program calls, and the table that asks for them."""

from __future__ import annotations

import tomllib

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sim.programs.tool_list import LONGEST_NAME, CalledTool, called_tools, table_to_fill_in

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
