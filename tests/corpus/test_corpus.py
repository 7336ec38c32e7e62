"""Own lathe programs, written as shops write them, read as `meaning.toml` says that a turning control runs them.

The meanings are derived by hand from how turning controls are commonly programmed (common practice, and the
words of DIN 66025, the standard beside ISO 6983-1, as a control maker's public tables quote them: infosys.beckhoff.com,
G00 to G04, G17 to G19, G33, G40 to G42, G53 to G59, G90 to G97, M00 to M05, M19, M30), before the reader was looked
at. All parts are invented.
"""

from __future__ import annotations

import math
from typing import Any

import pytest
from corpus import HERE, TABLE, reading_of, text_of

from sim.programs.path import Move
from sim.programs.program import Program, read
from sim.programs.words import ProgramError

STYLES = {
    "single cycles by G90, hand-written", "absolute and incremental by G90 G91", "G20 cycles", "near to the standard",
    "conversational output", "posted",
}  # fmt: skip
NEAR = 2e-3  # mm, mm/rev: what a control rounds to, twice


def _is(move: Move, expected: list[Any]) -> bool:
    """Tell whether a move is [kind, X, Z] or [kind, X, Z, feed]: X as a diameter, mm, mm/rev."""
    kind, diameter, z, *feed = expected
    wanted = [(2.0 * move.end[0], diameter), (move.end[1], z)]
    if feed:
        wanted.append((math.inf if move.feed is None else move.feed, feed[0]))
    return move.kind == kind and all(abs(found - want) <= NEAR for found, want in wanted)


def _told(moves: list[Move]) -> list[list[Any]]:
    return [[m.kind, round(2.0 * m.end[0], 3), round(m.end[1], 3), m.feed] for m in moves]


def _moving(program: Program) -> list[Move]:
    return [
        move for move in program.moves if move.centre is not None or math.dist(move.start, move.end) > 1e-9
    ]


def _extremes(moves: list[Move]) -> dict[str, float]:
    """Return the extremes of the cuts: X as a diameter and z in mm, rev/min, mm/rev."""
    cuts = [move for move in moves if move.kind == "feed"]
    return {
        "least_cut_x": min(2.0 * move.end[0] for move in cuts),
        "largest_cut_x": max(2.0 * move.end[0] for move in cuts),
        "lowest_z": min(move.end[1] for move in cuts),
        "highest_speed": max(move.speed or 0.0 for move in cuts),
        "largest_feed": max(move.feed or 0.0 for move in cuts),
    }


def _compare(program: Program, case: dict[str, Any]) -> None:
    """Compare what was read with what is expected, as far as the table states it."""
    moves = _moving(program)
    assert len(moves) == case.get("moves", len(moves)), _told(moves)
    first, last = case.get("first", []), case.get("last", [])
    for expected, move in zip(first, moves[: len(first)], strict=True):
        assert _is(move, expected), (expected, _told([move]))
    for expected, move in zip(last, moves[len(moves) - len(last) :], strict=True):
        assert _is(move, expected), (expected, _told([move]))
    rest = iter(moves)
    for expected in case.get("has", []):
        assert any(_is(move, expected) for move in rest), (expected, _told(moves))
    for key, found in _extremes(moves).items():
        if key in case:
            assert found == pytest.approx(case[key], rel=1e-5, abs=NEAR), key
    turns = [move.clockwise for move in moves if move.centre is not None]
    assert turns == case.get("clockwise", turns)
    stations = [call.station for call in program.calls]
    assert stations == case.get("tools", stations)


def _cases() -> list[Any]:
    return [
        pytest.param(
            name, id=name, marks=[pytest.mark.xfail(reason=case["differs"])] if "differs" in case else []
        )
        for name, case in TABLE.items()
    ]


@pytest.mark.parametrize("name", _cases())
def test_a_program_means_what_a_control_makes_of_it(name: str) -> None:
    case = TABLE[name]
    if "refused" not in case:
        _compare(read(text_of(name), reading_of(case)), case)
        return
    line, word, _why = case["refused"]
    with pytest.raises(ProgramError) as caught:
        read(text_of(name), reading_of(case))
    assert caught.value.line == line
    assert caught.value.word.upper().startswith(word)


def test_every_program_has_its_meaning_and_a_known_style() -> None:
    assert {path.stem for path in (HERE / "programs").glob("*.nc")} == set(TABLE)
    assert {case["style"] for case in TABLE.values()} <= STYLES
    known = {"moves", "first", "last", "has", "least_cut_x", "largest_cut_x", "lowest_z", "highest_speed"}
    known |= {"largest_feed", "clockwise", "tools", "style", "reading", "differs", "refused"}
    for name, case in TABLE.items():
        assert set(case) <= known, name
        assert "refused" in case or {"moves", "first", "last", "has"} & set(case), name
