"""Which tool a T word calls by a stated rule (common practice, no source)."""

from __future__ import annotations

from typing import get_args

import pytest

from sim.programs.compensation import Nose
from sim.programs.program import read
from sim.programs.reading import Reading
from sim.programs.tool_digits import ToolWord, digits, station_of_tool
from sim.programs.words import ProgramError

TOOLS = {number: Nose(0.4, (1, -1)) for number in (1, 2, 10, 12, 117)}


@pytest.mark.parametrize(
    ("number", "found"),
    [
        # By hand, in the order of the rules: TS, TSO, TSSOO, TSSSOOO, TSSOOWW, TNNSSOO.
        (1, [(1, None), (0, 1), (0, 1), (0, 1), (0, 0), (0, 1)]),
        (12, [(12, None), (1, 2), (0, 12), (0, 12), (0, 0), (0, 12)]),
        (101, [(101, None), (10, 1), (1, 1), (0, 101), (0, 1), (1, 1)]),
        (1203, [(1203, None), (20, 3), (12, 3), (1, 203), (0, 12), (12, 3)]),
        (12034, [(12034, None), (3, 4), (20, 34), (12, 34), (1, 20), (20, 34)]),
        (121314, [(121314, None), (31, 4), (13, 14), (121, 314), (12, 13), (13, 14)]),
    ],
)
def test_what_the_digits_name(number: int, found: list[tuple[int, int | None]]) -> None:
    assert [tuple(digits(number, rule)) for rule in get_args(ToolWord)] == found


@pytest.mark.parametrize(
    ("rule", "text", "tools"),
    [
        ("TS", "T1\nG0 X10\nT12\nX20", (1, 12)),
        ("TSO", "T11\nG0 X10\nT102\nX20", (1, 10)),
        ("TSSOO", "T0101\nG0 X10\nT1212\nX20", (1, 12)),
        ("TSSOO", "T101\nG0 X10\nT0117\nX20", (1, 117)),
        ("TSSOOWW", "T010101\nG0 X10\nT121212\nX20", (1, 12)),
        ("TNNSSOO", "T010101\nG0 X10\nT031202\nX20", (1, 12)),
        ("TSSSOOO", "T001001\nG0 X10\nT012012\nX20", (1, 12)),
        # Another offset for the tool that stands at the cut; it is no tool 12.
        ("TSSOO", "T0101\nG0 X10\nT0012\nX20", (1, 1)),
        ("TSSOO", "T0101\nG0 X10\nT0\nX20", (1, 1)),
    ],
)
def test_the_tool_that_is_called(rule: ToolWord, text: str, tools: tuple[int, ...]) -> None:
    program = read(text, Reading(tools=TOOLS, tool_word=rule))
    assert program.tools == tools
    assert len(program.calls) == len(set(tools))


@pytest.mark.parametrize(
    ("rule", "text", "what"),
    [
        ("TSSOO", "T1", "has 1 digit, and a word as tool_word = 'TSSOO' states it has 3 to 4"),
        ("TSSOO", "T010101", "has 6 digits"),
        ("TSO", "T0101", "has 4 digits, and a word as tool_word = 'TSO' states it has 2 to 3"),
        ("TSSOOWW", "T0101", "has 4 digits"),
        ("TSSOO", "T0303", "not among those stated"),
        ("TS", "T0", ""),
        ("TSSOO", "T1.5", "whole number"),
        (None, "T0012", "tool_word must state which digits name the station"),
    ],
)
def test_words_that_the_rule_does_not_fit_are_refused(rule: ToolWord | None, text: str, what: str) -> None:
    if not what:
        assert read(text, Reading(tools=TOOLS, tool_word=rule)).tools == ()
        return
    with pytest.raises(ProgramError, match=what) as error:
        read(text, Reading(tools=TOOLS, tool_word=rule))
    assert error.value.word == text


@pytest.mark.parametrize(
    ("rule", "word"),
    [("TS", "T0"), ("TSO", "T10"), ("TSSOO", "T0100"), ("TSSOOWW", "T010002"), ("TNNSSOO", "T010100")],
)
def test_a_feed_without_an_offset_is_refused(rule: ToolWord, word: str) -> None:
    with pytest.raises(ProgramError, match=f"feeds after {word} of line 1"):
        read(f"{word}\nG1 X10 F.2", Reading(tools=TOOLS, tool_word=rule))


def test_station_of_a_tool_that_is_stated() -> None:
    assert [station_of_tool(117, rule) for rule in (None, "TS", "TSSOO", "TSO")] == [1, 117, 1, 11]
    assert station_of_tool(12, "TSO") == 12
