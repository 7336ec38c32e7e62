"""Blocks of plain motion, asked for no more than they say, mean the same as when they are asked for everything."""

from __future__ import annotations

import random
from typing import Any

import pytest
from corpus import TABLE, reading_of, text_of
from drawn_programs import mutated, plain

from sim.programs import program, statements, words
from sim.programs.code_groups import CodeSystem
from sim.programs.plain_motion import block_at
from sim.programs.program import read
from sim.programs.reading import Reading
from sim.programs.words import ProgramError


def told(text: str, reading: Reading) -> str:
    try:
        return repr(read(text, reading))
    except ProgramError as error:
        return str(error)


def ask_for_everything(monkeypatch: pytest.MonkeyPatch) -> None:
    """Let no line be read at one look, and no block be followed as plain motion."""
    for module in (words, statements):
        monkeypatch.setattr(module, "plain_line", lambda *_, **_more: None)
    monkeypatch.setattr(words, "_PLAIN", words.re.compile(r"(?!)"))
    monkeypatch.setattr(program, "plain_moves", lambda _found, first, state, *_: (first, state))


def test_asked_for_everything_they_mean_the_same(monkeypatch: pytest.MonkeyPatch) -> None:
    """A third of the corpus, 60 of its programs cut about and 400 of plain lines: moves, notes and refusals."""
    draw = random.Random(5)  # noqa: S311 - drawn, not guarded
    cases = [(text_of(name), reading_of(TABLE[name])) for name in sorted(TABLE)[::3]]
    cases += [mutated(draw) for _ in range(60)] + [plain(draw) for _ in range(400)]
    taken = increments = 0
    quick = program.plain_moves

    def counted(*given: Any) -> Any:
        nonlocal taken, increments
        place, state = quick(*given)
        taken += place - given[1]
        lines = given[0][given[1] : place]
        increments += sum(word.letter in "UW" for line in lines for word in block_at(line).words)
        return place, state

    monkeypatch.setattr(program, "plain_moves", counted)
    found = [told(*case) for case in cases]
    assert taken > 1500
    assert increments > 200
    assert sum(one.startswith("Program(") for one in found[-400:]) > 100
    ask_for_everything(monkeypatch)
    count = taken
    for case, expected in zip(cases, found, strict=True):
        assert told(*case) == expected
    assert taken == count


@pytest.mark.parametrize(
    "open_word",
    ["G1 X40. ,C1.", "G90 X38. Z10.", "G92 S2000", "G71 U1. R1.", "G28 U0", "G91"],
)
def test_what_is_open_is_answered(open_word: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """Behind a block that leaves something open the next one is asked for it, plain as it is."""
    lines = ["G18 G21 G40 G99", "T0101", "G97 S500 M3", "G0 X50. Z20.", "G1 X45. Z15. F0.1"]
    text = "\n".join([*lines, open_word, "X40. Z5.", "G0 X60. Z30.", "M30", ""])
    found = told(text, Reading(start=(100.0, 100.0)))
    ask_for_everything(monkeypatch)
    assert told(text, Reading(start=(100.0, 100.0))) == found


@pytest.mark.parametrize(
    "lines",
    [
        ["G1 Z10. F.2", "G98", "G1 Z8. F.2"],
        ["G1 Z10. F.2", "G98 F100.", "G1 Z8. F.2"],
        ["G1 Z10. F.1", "G20", "G1 Z.3 F.1", "Z.2"],
        ["G32 Z-5. F1.5", "Z-8. F2.", "G1 X44.", "X43. F2."],
        ["G92 X44. Z2. F1.5", "X43.5 F2.", "G0 X50.", "G1 X48. F2."],
        ["G42 G1 X40. Z8.", "Z2.", "X44. Z-4.", "G40", "G1 X60. Z-4.", "X60.", "X60. Z-4.", "Z1."],
        ["G42 G1 X40. Z8.", "Z2.", "X44. Z-4.", "G40", "X44.", "G1 X60. Z-4."],
        ["T0202", "G1 Z3.", "G50 Z7.", "G1 Z5."],
        ["T0202", "G1 X44.", "G50 Z7.", "G1 Z5."],
        ["T0202", "G91", "G1 Z-3.", "G90", "G50 Z7.", "G1 Z5."],
        ["T0100", "G0 Z30."],
        ["T0100", "G1 Z3."],
        ["G1 U-1. W-2.", "U3.", "X40. W-.5", "U.25 Z1.", "G3 U2. W-1. R5.", "G0 U20. W30."],
        ["G91", "G1 U-1. Z-2.", "X1. W-2.", "G90", "U1. Z4."],
        ["T0202", "G1 W-3.", "G50 Z7.", "G1 Z5."],
        ["T0202", "G1 X44. W-1.", "G50 W7.", "U1. W-1."],
        ["G42 G1 X40. Z8.", "W0.", "U4. W-12.", "G40", "W0.", "G1 X60. W1."],
        ["#1=2.", "G1 U#1 W-#1", "U[#1-2] W[1-#1]", "X#1 W#1"],
        ["#1=2.", "G1 X#1 U#1"],
        ["#1=2.", "G1 Z#1 W#1"],
        ["G1 W-9999.", "W-9999.", "W-9999."],
        ["G1 U9999.", "U9999.", "U9999.", "U9999.", "U9999."],
        ["G1 W-10001."],
        ["G20", "G1 U.1 W-.2 F.01", "U-393.", "U-394."],
    ],
)
def test_what_holds_changes_between_them(lines: list[str], monkeypatch: pytest.MonkeyPatch) -> None:
    """Feeds in another mode, compensation that has gone off, a tool whose z is not reached yet."""
    begin = ["G18 G21 G40 G99", "T0101", "G97 S500 M3", "G0 X50. Z20.", "G1 X45. Z15. F0.1"]
    text = "\n".join([*begin, *lines, "M30", ""])
    systems: tuple[CodeSystem, ...] = ("G90 cycles", "G77 cycles")
    readings = [Reading(start=(100.0, 100.0), nose_radius=0.8, code_system=system) for system in systems]
    found = [told(text, reading) for reading in readings]
    ask_for_everything(monkeypatch)
    assert [told(text, reading) for reading in readings] == found
