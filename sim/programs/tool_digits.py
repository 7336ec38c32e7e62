"""Which digits of a T word name the station of the turret and which the offset, by a stated rule.

Controls differ (common practice, no source): the whole number may be the station, its last one, two or three digits the
offset; of six digits the last two may be the wear offset, or the first two the number of the nose radius. Zeros before
the first digit may be left out, but not the station.
"""

from __future__ import annotations

from typing import Literal, NamedTuple

from sim.programs.words import Block, ProgramError, Word

# S a digit of the station, O of the offset, W of the wear offset, N of the nose radius.
ToolWord = Literal["TS", "TSO", "TSSOO", "TSSSOOO", "TSSOOWW", "TNNSSOO"]
_WHOLE = 100  # a tool's number of less is that of its station


class Digits(NamedTuple):
    """What the digits of a T word name.

    Attributes
    ----------
    station : int
        0 for none.
    offset : int, optional
        0 takes it off; None where the word names none.
    """

    station: int
    offset: int | None


class _Rule(NamedTuple):
    """Digits behind the station, those of it, those behind the offset and of it; least and most digits of a word."""

    behind_station: int
    station: int
    behind_offset: int
    offset: int
    least: int
    most: int


_RULES: dict[ToolWord, _Rule] = {
    "TS": _Rule(0, 8, 0, 0, 1, 8),
    "TSO": _Rule(1, 2, 0, 1, 2, 3),
    "TSSOO": _Rule(2, 2, 0, 2, 3, 4),
    "TSSSOOO": _Rule(3, 3, 0, 3, 4, 6),
    "TSSOOWW": _Rule(4, 2, 2, 2, 5, 6),
    "TNNSSOO": _Rule(2, 2, 0, 2, 3, 6),
}


def digits(number: int, rule: ToolWord) -> Digits:
    """Return what the number of a T word names by a rule."""
    by = _RULES[rule]
    station = number // 10**by.behind_station % 10**by.station
    return Digits(station, number // 10**by.behind_offset % 10**by.offset if by.offset else None)


def as_ruled(block: Block, word: Word, rule: ToolWord) -> Digits:
    """Return what the digits of a T word name by the stated rule.

    Raises
    ------
    ProgramError
        If the word has no digit of a station, or more digits than the rule.
    """
    by, written = _RULES[rule], word.text[1:].lstrip("+").split(".")[0]
    if (len(written) < by.least and word.value != 0.0) or len(written) > by.most:
        allowed = f"{by.least} to {by.most}" if by.least < by.most else f"{by.most}"
        raise ProgramError(
            block.line, word.text,
            f"has {len(written)} digit{'s' if len(written) > 1 else ''}, and a word as tool_word = {rule!r} states it "
            f"has {allowed}",
        )  # fmt: skip
    return digits(int(word.value), rule)


def station_of_tool(number: int, rule: ToolWord | None) -> int:
    """Return the station of the tool that is stated by a number: of its station, or of its whole T word."""
    if rule == "TS" or number < _WHOLE:
        return number
    return number // 100 if rule is None else digits(number, rule).station
