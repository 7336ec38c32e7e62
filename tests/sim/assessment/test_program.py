"""A shop's program in a scenario: which tool turns where, and one sentence for what cannot be followed."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from sim.assessment.boring import bore
from sim.assessment.figures.boring import BoringFigures
from sim.assessment.machining import part_program
from sim.assessment.program import ReadProgram, read_program
from sim.assessment.verdict import Verdict
from sim.assessment.verdicts.path import path_verdicts
from sim.assessment.verdicts.program import program_verdicts
from sim.base.errors import ScenarioError
from sim.report.moves import move_rows
from sim.scenario import Scenario
from sim.setup import parts

BY_PROGRAM = "cast_hub_by_program"
FOLDER = Path(__file__).parents[3] / "scenarios"
Write = Callable[..., Scenario]


@pytest.fixture
def written(varied: Callable[..., Scenario], tmp_path: Path) -> Write:
    """Scenario whose part program is the text given."""

    def write(text: str | bytes, changes: dict[str, Any] | None = None) -> Scenario:
        file = tmp_path / "part.nc"
        file.write_bytes(text if isinstance(text, bytes) else text.encode())
        return varied(BY_PROGRAM, {"operations.0.program.file": str(file), **(changes or {})})

    return write


def as_read(scenario: Scenario) -> ReadProgram:
    program = part_program(parts.build(scenario), 0)
    assert program is not None
    return program


@pytest.mark.parametrize(
    ("retract", "status"),
    [
        ("N370 G0 Z20.\nN380 X300. Z150.\n", "pass"),
        ("N370 G0 Z15.5\n", "pass"),
        ("N370 G0 Z15.4\n", "fail"),
        ("", "fail"),
        ("N370 G0 Z20.\nN375 X300.\nN380 Z0.\n", "warn"),
    ],
)
def test_the_turret_turns_clear_of_what_turns(
    retract: str, status: str, tmp_path: Path, varied: Callable[..., Scenario]
) -> None:
    """Ring of 14 mm on jaws, zero on the jaws: with 1.5 mm of clearance Z15.5; outside of the swing a warning.

    In the pocket, where the rough bar ends its last pass, the other tools of the turret would meet jaws and ring.
    """
    text = (FOLDER / "programs" / "cast_hub_jaws.nc").read_text(encoding="utf-8")
    usual = "N360 U-2. W.5\nN370 G0 Z20.\nN380 X300. Z150.\n"
    assert usual in text
    file = tmp_path / "jaws.nc"
    file.write_text(text.replace(usual, "N360 U-6. W.5\n" + retract), encoding="utf-8")
    built = parts.build(varied("cast_hub_by_program", {"boring.program.file": str(file)}))
    path = bore(built)
    found = {v.name: v for v in path_verdicts(built, path, "boring", "pocket", "")}
    found |= {v.name: v for v in program_verdicts(path, "boring", boring=True)}
    assert found["tool change"].status == status
    assert found["tool contact"].status == ("fail" if status == "warn" else "pass")
    assert "T0202 in line " in found["tool change"].message


def test_two_tools_bore_the_jaws(varied: Callable[..., Scenario]) -> None:
    """The runs change where the T word stands; each run has its tool, its limit and its nose radius."""
    scenario = varied(BY_PROGRAM)
    stated = scenario.boring.program
    assert stated is not None
    built = parts.build(scenario)
    assert built.boring_text is not None
    program = read_program(stated, "boring.program", built.boring_text, built.boring_tools, 0.0, 3500.0)
    assert [run.tool.name for run in program.runs] == [
        "tool 1, rough boring bar",
        "tool 2, finish boring bar",
    ]
    assert [run.depth_limit for run in program.runs] == [4.5, 4.5]
    assert [run.tool.nose_radius for run in program.runs] == [0.8, 0.4]
    assert {move.block for move in program.runs[1].moves} == set(range(410, 520, 10))
    # X in diameter, Z from the jaws' top face at 50 mm.
    assert program.runs[0].moves[2].end == pytest.approx((44.0, 50.0 - 22.8))


def test_zero_point_of_a_part_counts_from_its_back_face(written: Write) -> None:
    """The pocket's back face lies at 50 - 23 mm, the zero point 58 mm above it."""
    program = as_read(written("T3 S500\nG0 X100. Z5.\nG1 X90. F.2"))
    assert program.runs[0].moves[0].end == pytest.approx((50.0, 27.0 + 58.0 + 5.0))
    assert program.runs[0].moves[0].start == pytest.approx((200.0, 27.0 + 58.0 + 200.0))


@pytest.mark.parametrize(
    ("text", "what"),
    [
        ("T3\nG0 X90. Z5.\nG71 P10 Q20 U.5", "line 3: word P10 names a block N10 that is not in the program"),
        ("T3\nG1 X#101", "line 2: word #101 has no value in this program"),
        ("T0404\nG0 X1", "line 1: word T0404 calls a tool that is not among those stated: 3"),
        ("T3\nG28 U0", "line 2: word G28 is followed only where the home position is stated"),
        ("(nothing)\nM30", "must move an axis, found no move"),
        (b"T3\nG0 X90.\n\x00\xff\xfeG1", "line 3"),
    ],
)
def test_what_cannot_be_followed_names_file_field_line_and_word(
    written: Write, text: str | bytes, what: str
) -> None:
    with pytest.raises(ScenarioError) as caught:
        as_read(written(text))
    assert str(caught.value).startswith("operations[0].program.file ")
    assert "part.nc: " in str(caught.value)
    assert what in str(caught.value)


def test_no_such_file(varied: Callable[..., Scenario]) -> None:
    with pytest.raises(
        ScenarioError, match=r"operations\[0\]\.program\.file must name a program file, found none"
    ):
        as_read(varied(BY_PROGRAM, {"operations.0.program.file": "programs/none.nc"}))


PLATE = {"outline": [["5 mm", "2 mm"], ["90 mm", "2 mm"], ["90 mm", "30 mm"]], "thickness": "20 mm"}
TWO = [{"number": n, "insert": "CNMG 120408", "plate": PLATE} for n in (3, 4)]


def test_a_cut_before_any_tool_is_called(written: Write) -> None:
    two = {"operations.0.program.tools": TWO}
    with pytest.raises(ScenarioError, match="line 2: cuts before a tool is called"):
        as_read(written("G0 X90. Z5.\nG1 X80.\nT3\nG1 X70.", two))
    with pytest.raises(ScenarioError, match="must call one of its tools 3, 4 by a T word"):
        as_read(written("G0 X90. Z5.\nG1 X80.", two))
    # At rapid it is the tool that is called first.
    program = as_read(written("G0 X90. Z5.\nT4\nG1 X80.\nT3\nG1 X70.", two))
    assert [run.tool.name for run in program.runs] == ["tool 4", "tool 3"]
    assert "a tool that is called is taken to stand where the tip of the one before it stood" in program.notes
    # One tool in the table does not say that it stands at the cut: another may have been left there.
    for text in ("G0 X90. Z5.\nG1 X80.", "G0 X90. Z5.\nG1 X80.\nT3\nG1 X70.", "G0 X90. Z5."):
        with pytest.raises(ScenarioError, match="first_tool must state which one stands at the cut"):
            as_read(written(text))
        assert len(as_read(written(text, {"operations.0.program.first_tool": 3})).runs) == 1
    with pytest.raises(ScenarioError, match="must have first_tool among the tools, 3, found 5"):
        written("T3\nG0 X90.", {"operations.0.program.first_tool": 5})


def test_speeds_are_held_to_the_machines_limit_and_said(written: Write) -> None:
    program = as_read(written("T3 G96 S200\nG0 X90. Z0\nG1 X0. F.2\nG97 S9000 X1."))
    assert [move.speed for move in program.runs[0].moves] == pytest.approx(
        [200e3 / (3.14159265 * 90.0), 3500, 3500]
    )
    assert any(
        "line 3: the speed (no limit) is held to the machine's limit, 3500 rev/min" in n
        for n in program.notes
    )


def test_notes_are_short(written: Write) -> None:
    text = "T3 M3\nG0 X90. Z5. M8\nG4 P100\nG4 X1.\nM30"
    text = text.replace("M30", "; off ; and away\n; home\nM30")
    program = as_read(written(text))
    assert program.notes == (
        "x is not stated: X and U are read as diameters",
        "rapid is not stated: 1 rapid move of both axes judged along the line and anywhere else that axes running each "
        "at its own rate can lead to",
        "machine functions, taken to move neither axis nor chuck: M3, M8, M30",
        "dwell in line 3, 4",
        "text behind ';', taken as a comment in line 5, 6",
        "line 2: the first move, before any G20 or G21; lengths are read in mm",
    )


def test_what_must_be_stated_where_the_program_asks_for_it(written: Write) -> None:
    text = "T3\nG0 X90 Z5."
    with pytest.raises(ScenarioError, match="without_point") as caught:
        as_read(written(text))
    assert "line 2: word X90 has no decimal point" in str(caught.value)
    assert as_read(written(text, {"operations.0.program.without_point": "units"})).runs


def test_rapid_rates_without_a_dogleg(written: Write) -> None:
    rates = {"operations.0.program.rapid_rates": {"x": "20 m/min", "z": "24 m/min"}}
    with pytest.raises(ScenarioError, match="rapid_rates with rapid = 'dogleg' only"):
        written("T3\nG0 X90.", rates)


def test_a_rapid_whose_rates_are_not_stated_may_stray(written: Write) -> None:
    text = "T3\nG0 X90. Z5."
    for changes, astray in (({}, True), ({"rapid": "dogleg"}, True), ({"rapid": "straight"}, False)):
        program = as_read(
            written(text, {f"operations.0.program.{key}": value for key, value in changes.items()})
        )
        assert [move.astray for move in program.runs[0].moves] == [astray]
        assert any("not stated: 1 rapid move of both axes" in note for note in program.notes) is astray


def test_reading_options_reach_the_reader(written: Write) -> None:
    options = {
        "x": "radius", "unit": "inch", "without_point": "increments", "rapid": "dogleg", "home_diameter": "300 mm",
        "home_height": "100 mm", "start_diameter": "100 mm", "start_height": "20 mm",
        "rapid_rates": {"x": "18 m/min", "z": "18 m/min"},
    }  # fmt: skip
    changes = {f"operations.0.program.{key}": value for key, value in options.items()}
    moves = as_read(written("T3\nG0 X10000 Z0\nG28 U0 W0", changes)).runs[0].moves
    zero = 27.0 + 58.0
    # 10000 increments are 1 inch in radius: 24.6 mm towards the axis and 20 down, both at one pace until z arrives.
    assert [move.end for move in moves[:2]] == [
        pytest.approx((30.0, zero)), pytest.approx((25.4, zero)),
    ]  # fmt: skip
    assert moves[-1].end == pytest.approx((150.0, zero + 100.0))


def test_places_of_the_machine_count_from_the_programs_zero(written: Write) -> None:
    options = {
        "home_diameter": "300 mm", "home_height": "100 mm", "second_home_diameter": "260 mm",
        "second_home_height": "90 mm", "home_without_axes": "both axes", "machine_zero_diameter": "400 mm",
        "machine_zero_height": "200 mm", "code_system": "G90 cycles",
    }  # fmt: skip
    changes = {f"operations.0.program.{key}": value for key, value in options.items()}
    moves = as_read(written("T3\nG0 X90. Z5.\nG28\nG30\nG53 X0 Z-20.", changes)).runs[0].moves
    zero = 27.0 + 58.0
    assert [move.end for move in moves[1:]] == [
        pytest.approx((150.0, zero + 100.0)), pytest.approx((130.0, zero + 90.0)), pytest.approx((200.0, zero + 180.0)),
    ]  # fmt: skip
    with pytest.raises(ScenarioError, match="must state both machine_zero_diameter and machine_zero_height"):
        written("T3", {"operations.0.program.machine_zero_height": "100 mm"})


def test_work_offsets_are_heights_as_the_zero_is(written: Write) -> None:
    text = "T3\nG54 G0 X90. Z5.\nG56 Z5."
    changes: dict[str, Any] = {"operations.0.program.offsets": {"G54": "58 mm", "G56": "30 mm"}}
    moves = as_read(written(text, changes)).runs[0].moves
    assert [move.end[1] for move in moves] == pytest.approx([27.0 + 58.0 + 5.0, 27.0 + 30.0 + 5.0])
    with pytest.raises(
        ScenarioError, match="word G56 calls a zero point that is not stated: offsets must state G56"
    ):
        as_read(written(text, {"operations.0.program.offsets": {"G54": "58 mm"}}))
    with pytest.raises(ScenarioError, match="must state one of G54 to G59 at least"):
        written(text, {"operations.0.program.offsets": {}})


def test_a_corner_without_a_comma_is_one_where_that_is_stated(written: Write) -> None:
    text = "T3\nG0 X90. Z5.\nG1 Z0. C1. F.2\nX100."
    with pytest.raises(ScenarioError, match="corner_words must state 'without comma'"):
        as_read(written(text))
    moves = as_read(written(text, {"operations.0.program.corner_words": "without comma"})).runs[0].moves
    assert [2.0 * move.end[0] for move in moves] == pytest.approx([90.0, 90.0, 92.0, 100.0])


def test_a_comment_in_a_national_alphabet_is_a_comment(written: Write) -> None:
    assert as_read(written("T3 (größe)\nG0 X90.".encode("latin-1"))).runs


def bored_with_a_slanting_retract(
    varied: Callable[..., Scenario], folder: Path, options: dict[str, Any]
) -> tuple[BoringFigures, Verdict, Verdict]:
    """From the floor of the bore (X80 Z-21) up and out over the ring in one rapid: figures, contact, clearance."""
    shipped = varied(BY_PROGRAM)
    assert shipped.boring.program is not None
    text = (shipped.folder / shipped.boring.program.file).read_text()
    assert "N500 G0 Z20." in text
    file = folder / "jaws.nc"
    file.write_text(text.replace("N500 G0 Z20.", "N500 G0 X130. Z60."))
    changes = {f"boring.program.{key}": value for key, value in options.items()}
    built = parts.build(varied(BY_PROGRAM, {"boring.program.file": str(file), **changes}))
    figures = bore(built)
    contact, clearance, *_ = path_verdicts(built, figures, "boring", "pocket", "Other way.")
    return figures, contact, clearance


@pytest.mark.parametrize(
    ("options", "passes", "off_the_line"),
    [
        ({"rapid": "straight"}, True, False),
        ({}, False, True),
        ({"rapid": "dogleg"}, False, True),
        ({"rapid": "dogleg", "rapid_rates": {"x": "20 m/min", "z": "20 m/min"}}, False, False),
        # z is up before x is out.
        ({"rapid": "dogleg", "rapid_rates": {"x": "2 m/min", "z": "24 m/min"}}, True, False),
    ],
)
def test_a_rapid_that_meets_the_jaw_only_as_a_dogleg(
    varied: Callable[..., Scenario], tmp_path: Path, options: dict[str, Any], passes: bool, off_the_line: bool
) -> None:
    """The line leaves the bore 12 mm from its wall; with x as fast as z the tip is in the jaw before it is above it."""
    figures, verdict, clearance = bored_with_a_slanting_retract(varied, tmp_path, options)
    assert verdict.status == ("pass" if passes else "fail")
    assert {touch.astray for touch in figures.clearance.touches} == (set() if passes else {off_the_line})
    for one in (verdict, clearance):
        assert ("each at its own rate (state rapid = 'straight'" in one.message) is off_the_line
    if not passes:
        touch = figures.clearance.touches[0]
        assert touch.block == 500
        assert "soft jaws" in {one.body for one in figures.clearance.touches}
        assert figures.moves[touch.move].line == touch.line
        row = move_rows(figures)[touch.move]
        assert (row.block, row.line, row.touches) == (500, touch.line, "rapid contact")
        assert row.off_the_line is off_the_line


def test_the_remedy_clears_every_way_that_a_rapid_may_run(
    varied: Callable[..., Scenario], tmp_path: Path
) -> None:
    """Beside the line the slanting retract needs a larger hole of the ring."""
    straight, *_ = bored_with_a_slanting_retract(varied, tmp_path, {"rapid": "straight"})
    free, *_ = bored_with_a_slanting_retract(varied, tmp_path, {})
    assert straight.fixture is not None
    assert free.fixture is not None
    assert free.fixture.ring.least_inner_diameter > straight.fixture.ring.least_inner_diameter


@pytest.mark.parametrize(
    ("text", "said", "offered"),
    [
        ("T0101 (ROUGH)\nG0 X100. Z5.\nT12 (BORE)", "calls, T0101 (ROUGH), T12 (BORE); below",
         ["number = 1\n", "number = 12\n"]),
        ("G0 X100. Z5.", "calls none by a T word", []),
    ],
)  # fmt: skip
def test_tools_that_are_not_stated_are_listed(
    text: str, said: str, offered: list[str], written: Write
) -> None:
    scenario = written(text, {"operations.0.program.tools": []})
    with pytest.raises(ScenarioError, match=r"operations\[0\].program.tools") as told:
        as_read(scenario)
    assert said in str(told.value)
    assert "\n" not in str(told.value)
    assert told.value.offered.count("[[operations.program.tools]]") == len(offered)
    assert all(line in told.value.offered for line in offered)


def test_tools_that_the_table_lacks_are_offered(written: Write) -> None:
    """All of them at once, not one at each try, and none that is there."""
    with pytest.raises(
        ScenarioError, match="line 2: word T12 calls a tool that is not among those stated: 3"
    ) as told:
        as_read(written("T3\nT12 (BORE)\nT5 (THREAD)\nG0 X90. Z5."))
    offered = told.value.offered
    assert offered.startswith(
        "# below [operations.program] of operation 1; or in a file that shop_files names"
    )
    assert [line for line in offered.splitlines() if line.startswith("number")] == [
        "number = 12",
        "number = 5",
    ]


def test_a_tool_by_another_name_is_noted(written: Write) -> None:
    tools = {"operations.0.program.tools.0.name": "boring bar"}
    program = as_read(written("T3 (FACE)\nG0 X90. Z5.\nG1 X80.", tools))
    assert any(
        "T3 stands beside 'FACE', and the table calls tool 3 'boring bar'" in note for note in program.notes
    )
