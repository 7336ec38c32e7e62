"""Spindle, chuck, turret and end of a shop's program: what they do beside the moves.

M3, M4, M5, M0 and M30 are those of ISO 6983-1: the standard was not at hand, but a control maker's public table lists
its own beside the DIN/ISO code and has each as here. The rest is common practice, no source.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from sim.assessment.boring import bore
from sim.assessment.figures.boring import BoringFigures
from sim.assessment.verdict import Verdict
from sim.assessment.verdicts.program import program_verdicts
from sim.base.errors import ScenarioError
from sim.scenario import Scenario
from sim.setup import parts

BY_PROGRAM = "cast_hub_by_program"
JAWS = Path(__file__).parents[3] / "scenarios" / "programs" / "cast_hub_jaws.nc"
START, FINISH, LAST = "N40 G97 S300 M3\n", "N400 G97 S400 M3\n", "N510 X300. Z150. M9\n"
CHUCK = {"boring.program.chuck_opens": "M69", "boring.program.chuck_closes": "M68"}
Bored = Callable[..., BoringFigures]


@pytest.fixture
def bored(varied: Callable[..., Scenario], tmp_path: Path) -> Bored:
    """Bore the jaws by the shipped program with some of its text replaced."""

    def with_text(*replaced: tuple[str, str], changes: dict[str, Any] | None = None) -> BoringFigures:
        text = JAWS.read_text(encoding="utf-8")
        for old, new in replaced:
            assert text.count(old) == 1, old
            text = text.replace(old, new)
        file = tmp_path / "jaws.nc"
        file.write_text(text, encoding="utf-8")
        return bore(parts.build(varied(BY_PROGRAM, {"boring.program.file": str(file), **(changes or {})})))

    return with_text


def judged(path: BoringFigures, name: str, *, boring: bool = True) -> Verdict:
    (found,) = (v for v in program_verdicts(path, "boring", boring=boring) if v.name == name)
    return found


def test_the_shipped_program_is_a_good_one(bored: Bored) -> None:
    found = {v.name: v.status for v in program_verdicts(bored(), "boring", boring=True)}
    assert found == dict.fromkeys(
        ("tool change", "spindle turns", "speed and feed stated", "end of the program"), "pass"
    )


@pytest.mark.parametrize(
    ("replaced", "status", "says"),
    [
        # The finishing bar ends 2 mm over the floor of the pocket, 21 mm deep, its radius 40 mm.
        ([("N500 G0 Z20.\n", ""), (LAST, "N505 M9\n")], "fail", "M30 in line"),
        ([("N500 G0 Z20.\n", ""), (LAST, ""), ("N520 M30", "N520 M2")], "fail", "M2 in line"),
        ([("N500 G0 Z20.\n", ""), (LAST, ""), ("N520 M30\n%", "")], "fail", "the program ends with the tip"),
        # Ring of 14 mm and 1.5 mm of clearance: Z15.5.
        ([("N500 G0 Z20.", "N500 G0 Z15.4"), (LAST, "")], "fail", "M30 in line"),
        ([("N500 G0 Z20.", "N500 G0 Z15.5"), (LAST, "")], "pass", "M30 in line"),
        ([("N520 M30", "N520 M99")], "warn", "M99 begins the program again without a stop"),
        # Beside all that turns, but below its top; nearer than the wanted clearance it is not beside it.
        ([(LAST, "N510 X256. Z150. M9\nN515 Z-20.\n")], "fail", "M30 in line"),
        ([(LAST, "N510 X300. Z150. M9\nN515 Z-20.\n")], "warn", "M30 in line"),
        ([("N520 M30\n%", "")], "warn", "Neither M2 nor M30 stands at its end"),
    ],
)
def test_a_program_ends_clear_of_what_turns(
    bored: Bored, replaced: list[tuple[str, str]], status: str, says: str
) -> None:
    found = judged(bored(*replaced), "end of the program")
    assert found.status == status
    assert says in found.message


def test_a_program_that_calls_what_it_does_not_hold_is_refused(bored: Bored) -> None:
    with pytest.raises(ScenarioError, match="word M98 calls a subprogram and must name it by P"):
        bored(("N520 M30", "N520 M98"))


FAILS, WARNS, PASSES = "fail", "warn", "pass"
SPINDLE = [
    # Nobody starts it; nobody starts it again.
    ([(START, "N40 G97 S300\n"), (FINISH, "N400 G97 S400\n")], {}, FAILS, "no M3 or M4 has started the spindle"),
    ([(START, "N40 G97 S300\n")], {}, FAILS, "no M3 or M4"),
    ([("N100 X92.", "N100 X92. M5")], {}, FAILS, "M5 in line"),
    ([("N100 X92.", "N100 X92.\nM19")], {}, FAILS, "M19 in line"),
    ([("N380 X300. Z150.", "N380 X300. Z150.\nM5"), (FINISH, "N400 G97 S400\n")], {}, FAILS, "M5 in line"),
    # M13 starts spindle and coolant, or a driven tool.
    ([(START, "N40 G97 S300 M13\n")], {}, FAILS, "M13 and M14 start a driven tool"),
    ([(START, "N40 G97 S300 M3\nM13\n")], {}, PASSES, "turns the spindle under every cut"),
    ([(START, "N40 G97 S300 M3\nM14\n")], {}, WARNS, "after M14 in line"),
    # Stopped and started again.
    ([("N380 X300. Z150.", "N380 X300. Z150. M5")], {}, PASSES, "turns the spindle under every cut"),
    # A stop of the program stops the spindle on some controls; one that stands goes on standing.
    ([("N370 G0 Z20.", "N370 G0 Z20. M0"), (FINISH, "N400 G97 S400\n")], {}, WARNS, "after M0 in line"),
    ([("N370 G0 Z20.", "N370 G0 Z20. M1"), (FINISH, "N400 G97 S400\n")], {}, WARNS, "after M1 in line"),
    ([("N370 G0 Z20.", "N370 G0 Z20. M0")], {}, PASSES, "turns the spindle under every cut"),
    ([("N370 G0 Z20.", "N370 G0 Z20. M5\nM0"), (FINISH, "N400 G97 S400\n")], {}, FAILS, "M5 in line"),
    # M5 in the block of a cut: before the motion on some controls, behind it on others.
    ([("N470 Z-23.", "N470 Z-23. M5")], {}, FAILS, "M5 in line"),
    ([("N480 X84.", "N480 X84. M5\nM3")], {}, WARNS, "after M5 in line"),
    # Backward: the hand of the tools is known only where it is stated.
    ([(START, "N40 G97 S300 M4\n")], {}, WARNS, "turns backward after M4 in line"),
    ([(START, "N40 G97 S300 M4\n")], {"boring.program.tools.0.spindle": "backward"}, PASSES, "under every cut"),
    ([], {"boring.program.tools.0.spindle": "backward"}, FAILS, "the spindle turns forward, its tool cuts backward"),
    (
        [(START, "N40 G97 S300 M4\n")], {"boring.program.tools.0.spindle": "forward"}, FAILS,
        "the spindle turns backward, its tool cuts forward",
    ),
]  # fmt: skip


@pytest.mark.parametrize(("replaced", "changes", "status", "says"), SPINDLE)
def test_the_spindle_turns_under_every_cut(
    bored: Bored, replaced: list[tuple[str, str]], changes: dict[str, Any], status: str, says: str
) -> None:
    found = judged(bored(*replaced, changes=changes), "spindle turns")
    assert found.status == status
    assert says in found.message


def test_a_standing_spindle_may_be_fed_in_the_air(bored: Bored) -> None:
    """A bar stop or a probe is fed to its place with the spindle at rest: nothing is cut there."""
    air = ("N40 G97 S300 M3\n", "N35 G97 S300\nG0 X250. Z60.\nG1 X240. F0.5\nN40 M3\n")
    assert judged(bored(air), "spindle turns").status == "pass"


@pytest.mark.parametrize(
    ("replaced", "status", "says"),
    [
        ([(START, "N40 M3\n"), (FINISH, "N400 M3\n")], "fail", "without a speed (S)"),
        ([("N70 G1 Z-22.8 F0.2", "N70 G1 Z-22.8"), ("X122. Z1. F0.15", "X122. Z1.")], "fail", "without a feed (F)"),
        ([(START, "N40 G97 M3\n")], "fail", "without a speed (S)"),
        ([(START, "N40 G96 M3\n")], None, ""),
    ],
)  # fmt: skip
def test_speed_and_feed_are_the_programs_own(
    bored: Bored, replaced: list[tuple[str, str]], status: str | None, says: str
) -> None:
    """Without S or F the control goes on with what it has kept; after G96 without S it is refused what S counts."""
    if status is None:
        with pytest.raises(ScenarioError, match="after G96 of line 8 without S"):
            bored(*replaced)
        return
    found = judged(bored(*replaced), "speed and feed stated")
    assert found.status == status
    assert says in found.message
    assert found.limit == 0.0  # not one cut


@pytest.mark.parametrize("word", ["M10", "M11", "M68", "M69"])
def test_a_word_that_may_open_the_chuck_must_be_stated(bored: Bored, word: str) -> None:
    with pytest.raises(ScenarioError, match=f"line 57: word {word} opens the chuck on some makes") as caught:
        bored(("N520 M30", f"N515 {word}\nN520 M30"))
    assert "chuck_opens and chuck_closes must state" in str(caught.value)


OPENED = [
    # Behind the last cut, the spindle at rest: how a part is taken out.
    ([("N520 M30", "N515 M5\nM69\nN520 M30")], "pass", "pass", "no cut behind it"),
    ([("N520 M30", "N515 M69\nN520 M30")], "fail", "fail", "while the spindle may turn"),
    ([("N520 M30", "N515 M5 M69\nN520 M30")], "fail", "fail", "while the spindle may turn"),
    ([("N520 M30", "N515 M0\nM69\nN520 M30")], "fail", "fail", "while the spindle may turn"),
    # Amid the cuts, closed again or not.
    ([("N390 T0202", "M5\nM69\nN390 T0202")], "fail", "fail", "with the chuck open"),
    ([("N390 T0202", "M5\nM69\nM68\nN390 T0202")], "fail", "warn", "opens the chuck between cuts"),
    ([("N120 X90.", "N120 X90. M69")], "fail", "fail", "with the chuck open"),
    # Before the first: closed again on the ring or on a new part.
    ([("N30 T0101", "M69\nM0\nM68\nN30 T0101")], "pass", "pass", "no cut behind it"),
    ([("N30 T0101", "M69\nN30 T0101")], "fail", "fail", "with the chuck open"),
]


@pytest.mark.parametrize(("replaced", "boring", "part", "says"), OPENED)
def test_the_chuck_stays_closed_under_the_cuts(
    bored: Bored, replaced: list[tuple[str, str]], boring: str, part: str, says: str
) -> None:
    """Bored jaws lose the load on their ring when the chuck opens between two cuts; a part lies anew."""
    path = bored(*replaced, changes=CHUCK)
    for status, of_boring in ((boring, True), (part, False)):
        found = judged(path, "chuck closed", boring=of_boring)
        assert found.status == status
        assert says in found.message
        # What is wrong is told with the way out, and what is right without one.
        assert ("M5 in a block before" in found.advice) == (status != "pass")
        assert (found.value > found.limit) == (status != "pass")
        assert found.limit == 0.0


def test_the_words_of_the_chuck_are_those_that_are_stated(bored: Bored) -> None:
    """Another make has them the other way round: the program that lets a part go by one holds it by the other."""
    replaced = ("N390 T0202", "M5\nM69\nN390 T0202")
    swapped = {"boring.program.chuck_opens": "M68", "boring.program.chuck_closes": "M69"}
    assert judged(bored(replaced, changes=CHUCK), "chuck closed").status == "fail"
    path = bored(replaced, changes=swapped)
    assert "chuck closed" not in {v.name for v in program_verdicts(path, "boring", boring=True)}
    # M10 then is no word of this chuck.
    noted = bored(("N390 T0202", "M10\nN390 T0202"), changes=CHUCK).notes
    assert any("neither axis nor chuck: M3, M8, M10" in note for note in noted)


def test_a_word_of_the_machine_maker_may_be_the_chucks(bored: Bored) -> None:
    """M25 opens the chuck on one make and does something else on another: it warns until the chuck's are stated."""
    amid = ("N120 X90.", "N120 X90.\nM25")
    found = judged(bored(amid), "chuck closed")
    assert found.status == "warn"
    assert "what M25 (first in line " in found.message
    path = bored(amid, changes=CHUCK)
    assert "chuck closed" not in {v.name for v in program_verdicts(path, "boring", boring=True)}
    assert judged(bored(("N520 M30", "M25\nN520 M30")), "chuck closed").status == "pass"


def test_words_of_the_chuck_in_a_subprogram_count_where_it_is_called(bored: Bored) -> None:
    """It stands behind all cuts of the file and runs between them: its lines are no order."""
    called = ("N390 T0202", "M5\nM98 P2\nN390 T0202")
    path = bored(called, ("N520 M30\n", "N520 M30\nO2\nM69\nM68\nM99\n"), changes=CHUCK)
    for status, of_boring in (("fail", True), ("warn", False)):
        found = judged(path, "chuck closed", boring=of_boring)
        assert found.status == status
        assert "opens the chuck between cuts" in found.message
    found = judged(bored(called, ("N520 M30\n", "N520 M30\nO2\nM25\nM99\n")), "chuck closed")
    assert found.status == "warn"
    assert "what M25 (first in line " in found.message


def test_passes_in_a_loop_of_a_subprogram_are_judged_as_if_written_out(bored: Bored) -> None:
    """The rough passes of the shipped program, X88 and on by 4 mm to X115, by a counter: the same moves."""
    text = JAWS.read_text(encoding="utf-8")
    passes = text[text.index("N70 G1") : text.index("N350")]
    loop = (
        "O3\nWHILE [#1 LT 115] DO1\nG1 Z-22.8 F0.2\nX[#1 - 2]\nG0 Z2.\n#1=#1+4\nIF [#1 GT 115] THEN #1=115\nX#1\nEND1\n"
        "M99\n"
    )
    found = bored((passes, "#1=88\nM98 P3\n"), ("M30\n", f"M30\n{loop}"))
    longhand = bored()
    assert [move.end for move in found.moves] == [move.end for move in longhand.moves]
    assert [v.status for v in program_verdicts(found, "boring", boring=True)] == [
        v.status for v in program_verdicts(longhand, "boring", boring=True)
    ]
    assert any(note.endswith(": run 7 times") for note in found.notes)


@pytest.mark.parametrize(
    ("changes", "says"),
    [
        ({"boring.program.chuck_opens": "M69"}, "must state both chuck_opens and chuck_closes"),
        ({**CHUCK, "boring.program.chuck_closes": "M69"}, "must state different words"),
        ({**CHUCK, "boring.program.chuck_opens": "M5"}, "found M5, which means something else"),
        ({**CHUCK, "boring.program.chuck_opens": "G69"}, "chuck_opens"),
    ],
)
def test_words_that_cannot_be_the_chucks(bored: Bored, changes: dict[str, Any], says: str) -> None:
    with pytest.raises(ScenarioError, match=says):
        bored(changes=changes)


TURRET = [
    # In the block of a rapid move the turret may turn anywhere along it.
    ([("N390 T0202\n", ""), ("N410 G0 X114. Z20.", "N410 G0 X114. Z20. T0202")], {}, "pass"),
    ([("N390 T0202\n", ""), ("N410 G0 X114. Z20.", "N410 G0 X114. Z3. T0202")], {}, "fail"),
    # The tip goes down into the pocket before a tool is known to stand there.
    ([("N30 T0101\n", ""), ("N60 Z2. M8", "N60 Z2. M8\nT0101")], {}, "fail"),
    ([("N30 T0101\n", ""), ("N60 Z2. M8", "N60 Z2. M8\nT0101")], {"boring.program.first_tool": 1}, "pass"),
    ([("N30 T0101\n", "N25 G0 X200. Z100.\nN30 T0101\n")], {}, "pass"),
    # The turret turns where the tool stands before the first block.
    ([], {"boring.program.start_height": "10 mm", "boring.program.start_diameter": "150 mm"}, "fail"),
    ([], {"boring.program.start_height": "10 mm", "boring.program.start_diameter": "300 mm"}, "warn"),
    # The tool that stands there already, and its offset again, turn nothing.
    ([("N100 X92.", "T0101\nN100 X92.")], {}, "pass"),
    # Called and not used.
    ([("N500 G0 Z20.", "T0101\nN500 G0 Z20.")], {}, "fail"),
]  # fmt: skip


@pytest.mark.parametrize(("replaced", "changes", "status"), TURRET)
def test_the_turret_turns_clear_wherever_a_tool_is_called(
    bored: Bored, replaced: list[tuple[str, str]], changes: dict[str, Any], status: str
) -> None:
    assert judged(bored(*replaced, changes=changes), "tool change").status == status


def test_a_tool_called_in_a_block_that_feeds_is_refused(bored: Bored) -> None:
    with pytest.raises(ScenarioError, match="word T0202 calls a tool in a block that feeds"):
        bored(("N390 T0202\n", ""), ("N430 G41 G1", "N430 T0202 G41 G1"))


def test_two_tools_in_one_station_are_two_tools(bored: Bored) -> None:
    """A double holder in station 1: its second edge, T0117, is called like another tool, and judged as one."""
    two = {"boring.program.tools.1.number": 117}
    assert judged(bored(("T0202", "T0117"), changes=two), "tool change").status == "pass"
    low = [("N370 G0 Z20.\n", ""), ("N380 X300. Z150.\n", ""), ("T0202", "T0117")]
    assert judged(bored(*low, changes=two), "tool change").status == "fail"


def test_a_second_tool_is_not_taken_for_the_only_one_known(
    varied: Callable[..., Scenario], tmp_path: Path
) -> None:
    """Without a table of tools all that is known is boring.tool: a program that calls two is refused."""
    text = "G97 S300 M3\nG0 X88. Z20.\nG1 Z15. F.2\nG0 Z20.\n{}G1 Z16.\nG0 Z60.\nM30"
    file = tmp_path / "jaws.nc"
    changes: dict[str, Any] = {"boring.program": {"file": str(file), "zero": "50 mm"}}

    def read(first: str, second: str = "", **more: Any) -> BoringFigures:
        file.write_text(first + text.format(second), encoding="utf-8")
        program = {**changes["boring.program"], **more}
        return bore(parts.build(varied("cast_hub_on_ring", {"boring.program": program})))

    assert read("T0101\n").moves
    assert read("T0101\n", "T0111\n").moves
    assert read("", first_tool=1).moves
    with pytest.raises(ScenarioError, match="T0202 calls a second tool"):
        read("T0101\n", "T0202\n")
    with pytest.raises(ScenarioError, match="T0202 calls a second tool"):
        read("", "T0202\n", first_tool=1)
    with pytest.raises(ScenarioError, match="line 3: cuts before a tool is called by a T word"):
        read("")
