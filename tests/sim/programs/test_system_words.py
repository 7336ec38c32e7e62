"""Which code system a program is written in: stated, told by its words, or asked for.

What the codes mean in each system is common practice, no source; G90, G91, G94, G95, G70, G71 and G92 as in the
standard (quoted in `tests/corpus`).
"""

from __future__ import annotations

from typing import get_args

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sim.programs.code_groups import SYSTEMS, CodeSystem
from sim.programs.program import Program, read
from sim.programs.reading import Reading
from sim.programs.system_words import systems_of
from sim.programs.words import ProgramError, block_of, code_lines

START = (50.0, 50.0)


def possible(text: str) -> set[str]:
    found = [block_of(code.line, code.text) for code in code_lines(text)[0]]
    return set(systems_of(found, None).possible)


@pytest.mark.parametrize(
    ("text", "systems"),
    [
        ("G90 G94 G98 G20 G92 S100\nG0 X10", set(SYSTEMS)),
        ("G0 X10\nG91", {"G77 cycles", "G20 cycles", "ISO"}),
        ("G0 X10\nG95 F.2", {"G77 cycles", "G20 cycles", "ISO"}),
        # A tapping cycle of driven tools on some controls.
        ("G0 X10\nG95 Z-5", set(SYSTEMS)),
        ("G0 X10\nW-5", {"G90 cycles", "G77 cycles", "G20 cycles"}),
        ("G4 U2", set(SYSTEMS)),
        ("G85 U2 W1", set(SYSTEMS)),
        ("G50 S2000", {"G90 cycles", "ISO"}),
        ("G50 X200 Z100 S2000", set(SYSTEMS)),
        ("G50 S2000\nG28 U0", {"G90 cycles"}),
        ("G95\nG50 S2000", {"ISO"}),
        ("G70", {"G20 cycles", "ISO"}),
        ("G71", {"G20 cycles", "ISO"}),
        ("G71 P10 Q20", set(SYSTEMS)),
        ("G71 U2 R1", set(SYSTEMS)),
        ("G96 S200 LIMS=2500", {"ISO"}),
        # What stands behind the end is no part of it.
        ("G0 X10\nM30\nG91", set(SYSTEMS)),
        ("G0 X10\n/M30\nG91", {"G77 cycles", "G20 cycles", "ISO"}),
    ],
)
def test_words_that_cannot_mean_two_things_decide(text: str, systems: set[str]) -> None:
    assert possible(text) == systems


def test_the_output_says_which_words_have_decided() -> None:
    text = "G50 S2000\nG0 X40. Z5.\nG1 U2. F.2"
    notes = read(text, Reading(start=START)).notes
    assert "line 3: code_system is not stated: G50 of line 1 and U2. of line 3 leave 'G90 cycles'" in notes
    assert not any("code_system" in note for note in read("G0 X40.", Reading(start=START)).notes)
    stated = read(text, Reading(start=START, code_system="G90 cycles")).notes
    assert not any("code_system" in note for note in stated)


@pytest.mark.parametrize(
    ("text", "system", "end", "feed", "speed"),
    [
        # 100 mm/min at 500 rev/min; G98 and G94 are feed per minute each in its own system.
        ("G97 S500\nG98\nG0 X20\nG1 U10. F2.", "G90 cycles", 15.0, 2.0 / 500.0, 500.0),
        ("G97 S500\nG99\nG0 X20\nG1 U10. F2.", "G90 cycles", 15.0, 2.0, 500.0),
        ("G97 S500\nG94\nG0 X20\nG1 X30 F2.", "G77 cycles", 15.0, 2.0 / 500.0, 500.0),
        ("G97 S500\nG95 G98\nG0 X20\nG91 G1 X10 F2.", "G20 cycles", 15.0, 2.0, 500.0),
        ("G97 S500\nG90 G0 X20\nG94 X30 G1 F2.", "ISO", 15.0, 2.0 / 500.0, 500.0),
        # Absolute words and increments beside an axis word, where G90 and G91 are no cycles.
        ("G1 F.2\nG90 X20\nG91 X10", "G77 cycles", 15.0, 0.2, None),
        # v = 100 pi m/min on 30 mm is 3333 rev/min.
        ("G50 S900\nG96 S314.159265\nG0 X20\nG1 X30 F.1", "G90 cycles", 15.0, 0.1, 900.0),
        ("G92 S900\nG96 S314.159265\nG0 X20\nG1 X30 F.1", "G77 cycles", 15.0, 0.1, 900.0),
        ("G96 S314.159265 LIMS=900\nG0 X20\nG1 X30 F.1", "ISO", 15.0, 0.1, 900.0),
        ("LIMS = 900 S314.159265 G96\nG0 X20\nG1 X30 F.1", "ISO", 15.0, 0.1, 900.0),
        ("G71\nG0 X20\nX30\nG1 Z0 F.1", "G20 cycles", 15.0, 0.1, None),
        ("G70\nG0 X2.\nX3.\nG1 Z0 F.1", "G20 cycles", 1.5 * 25.4, 2.54, None),
    ],
)
def test_a_stated_system_is_followed(
    text: str, system: CodeSystem, end: float, feed: float, speed: float | None
) -> None:
    move = read(text, Reading(start=START, code_system=system)).moves[-1]
    assert move.end[0] == pytest.approx(end)
    assert move.feed == pytest.approx(feed)
    assert move.speed == pytest.approx(speed)


@pytest.mark.parametrize(
    ("text", "system", "line", "word", "what"),
    [
        # Asked, because the text leaves it open and it matters.
        ("G1 F.2\nG94 X20 Z-2 F0.2", None, 2, "G94", "code_system must state 'G90 cycles' or 'G77 cycles' or "),
        ("G1 F.2\nG95 Z-5", None, 2, "G95", "a tapping cycle on some controls; code_system must state"),
        ("G50 S900\nG90 X20", None, 2, "G90", "code_system must state 'G90 cycles' or 'ISO', or write cycles out"),
        ("G98 S500\nG1 X20 F.2", None, 2, "F.2", "code_system must state"),
        ("G1 X10 F.2\nG98 S500\nX20", None, 3, "X20", "feeds without F after G98 of line 2"),
        ("G92 S900\nG96 S200\nG0 X20", None, 1, "G92", "code_system must state"),
        ("G95\nG98", None, 2, "G98", "code_system must state 'G77 cycles' or 'G20 cycles' or 'ISO', or write G94"),
        ("G91\nG71\nG70\nG1 X20", None, 3, "G70", "unit must state 'inch'"),
        # No system has all of them.
        ("G95\nG50 S900\nG0 U2", None, 3, "U2", "does not go with G95 of line 1 and G50 of line 2"),
        # Not of the system that is stated.
        ("G0 X20\nG91", "G90 cycles", 2, "G91", "is of code system 'G77 cycles' or 'G20 cycles' or 'ISO', and"),
        ("G95 F.2", "G90 cycles", 1, "G95", "code_system states 'G90 cycles'"),
        ("G50 S900", "G77 cycles", 1, "G50", "is of code system 'G90 cycles' or 'ISO'"),
        ("G0 U2", "ISO", 1, "U2", "code_system states 'ISO'"),
        ("G71", "G90 cycles", 1, "G71", "is of code system 'G20 cycles' or 'ISO'"),
        ("LIMS=900", "G90 cycles", 1, "LIMS=900", "is of code system 'ISO'"),
        ("G92 S900", "G90 cycles", 1, "G92", "write a speed limit as G50 S"),
        ("G20\nG0 X2.", "G20 cycles", 1, "G20", "write G70 for inches"),
        ("G94 F2.", "G90 cycles", 0, "", ""),
        # Cycles.
        ("G0 X20\nG90\nX18", "G90 cycles", 3, "X18", "after G90 of line 2, which is a cycle in this code system"),
        ("G0 X20\nG78\nX18", "G77 cycles", 3, "X18", "after G78 of line 2"),
        # Whether feeds follow G70 and G20 differs between controls near to the standard.
        ("G70\nG0 X2.", "ISO", 1, "G70", "unit must state 'inch'"),
        ("G20\nG0 X2.", "ISO", 1, "G20", "unit must state 'inch'"),
        ("G0 X2. LIMS=0", "ISO", 1, "LIMS=0", "greater than 0"),
        ("LIMS=R1", "ISO", 1, "LIMS=R1", "address letter"),
        ("LIMS=900", None, 0, "", ""),
        ("G20\nG0 X2.", "G77 cycles", 0, "", ""),
    ],
)  # fmt: skip
def test_what_is_asked_and_what_is_refused(
    text: str, system: CodeSystem | None, line: int, word: str, what: str
) -> None:
    """Line 0 stands for a program that is read."""
    reading = Reading(start=START, code_system=system)
    if not line:
        read(text, reading)
        return
    with pytest.raises(ProgramError) as error:
        read(text, reading)
    assert (error.value.line, error.value.word) == (line, word)
    assert what in str(error.value)
    assert "\n" not in str(error.value)


def test_inches_of_a_control_near_to_the_standard_are_those_of_the_stated_unit() -> None:
    moves = read("G70\nG0 X2. Z0", Reading(start=START, inch=True, code_system="ISO")).moves
    assert moves[0].end[0] == pytest.approx(25.4)


def test_the_radius_of_an_arc_near_to_the_standard() -> None:
    """CR= is R; common practice, no source."""
    told = Reading(start=START)
    for sign in ("", "-"):
        named = read(f"G0 X40 Z0\nG3 X60 Z-10 CR={sign}10 F.2", told).moves
        assert named == read(f"G0 X40 Z0\nG3 X60 Z-10 R{sign}10 F.2", told).moves
    with pytest.raises(ProgramError, match="word CR=10 is of code system 'ISO'"):
        read("G0 X40 Z0\nG3 X60 Z-10 CR=10", Reading(start=START, code_system="G90 cycles"))
    with pytest.raises(ProgramError, match="gives R a second time"):
        read("G3 X60 Z-10 R10 CR=10", told)


def test_an_offset_is_called_by_d_near_to_the_standard() -> None:
    """T1 D1; D0 takes the offset off (common practice, no source)."""
    told = Reading(start=START, code_system="ISO", tool_word="TS")
    assert read("T1 D1\nG0 X40. Z5.\nG1 Z-5. F.2", told).moves[-1].end == (20.0, -5.0)
    with pytest.raises(ProgramError, match="feeds after D0 of line 3, which takes the tool's offset off"):
        read("T1 D1\nG0 X40. Z5.\nD0\nG1 Z-5. F.2", told)
    assert any("D2 calls another offset" in note for note in read("T1 D2", told).notes)
    for system in (None, "G90 cycles"):
        with pytest.raises(
            ProgramError, match=r"word D1 is an address .* offset, code_system must state 'ISO'"
        ):
            read("T1 D1", Reading(start=START, code_system=system))  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("line", "word", "change"),
    [
        ("L100 P2", "L100", "write M98 P with its number"),
        ("G1 X=IC(-2.) F.2", "X=IC", "write the block under G91 or G90"),
        ("G1 Z = AC(-5.) F.2", "Z", "write the block under G91 or G90"),
        ("G1 Z-5. E1.5", "E1.5", "write it as F"),
        ("G0 H90.", "H90.", "check the turning alone"),
        ("G1 X10. Y2. F.1", "Y2.", "axes are X, Z, U, W"),
    ],
)
def test_what_is_not_followed_says_what_to_write(line: str, word: str, change: str) -> None:
    """Common practice, no source."""
    with pytest.raises(ProgramError) as error:
        read(f"G97 S500\nG0 X40. Z5.\n{line}", Reading(start=START, code_system="ISO"))
    assert (error.value.line, error.value.word) == (3, word)
    assert change in str(error.value)


PIECES = st.lists(
    st.sampled_from(
        ["G0", "G1", "G90", "G91", "G92", "G94", "G95", "G98", "G99", "G20", "G21", "G70", "G71", "G96", "G97", "G50",
         "S100", "S2000", "LIMS=900", "X10", "X-20.5", "Z3", "U1", "W-2", "F.1", "F100", "G28", "G77", "G79", "G4",
         "M30", "\n", "\n", "\n", "\n"]
    ), max_size=30,
).map(" ".join)  # fmt: skip


def tried(text: str, system: CodeSystem | None) -> Program | ProgramError:
    reading = Reading(start=START, home=(150.0, 300.0), first_tool=1, code_system=system)
    try:
        return read(text, reading)
    except ProgramError as error:
        return error


@settings(max_examples=600, deadline=None)
@given(PIECES)
def test_stating_the_code_system_never_changes_the_meaning_in_silence(text: str) -> None:
    """Read without a statement, it means the same in every system that is possible, or that system refuses it."""
    unstated = tried(text, None)
    if isinstance(unstated, ProgramError):
        return
    left = possible(text)
    for system in get_args(CodeSystem):
        stated = tried(text, system)
        if system not in left:
            assert isinstance(stated, ProgramError)
        elif not isinstance(stated, ProgramError):
            assert (stated.moves, stated.tools, stated.machine) == (
                unstated.moves, unstated.tools, unstated.machine,
            )  # fmt: skip
        else:
            assert len(left) > 1
