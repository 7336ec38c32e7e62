"""The shop's own program: read from its file into runs of moves, each with its tool and its speed."""

from __future__ import annotations

import dataclasses
import itertools
import math
import re

from meshes.points import Point
from meshes.turning_tool import TurningTool
from sim.assessment.read_program import ReadProgram
from sim.base.errors import ScenarioError, in_field
from sim.base.limits import MOVES
from sim.clearance.runs import Run
from sim.clearance.tool import Tool, of_turning_tool
from sim.programs.compensation import Corners, Nose
from sim.programs.cycles.amounts import Amounts
from sim.programs.idle_words import NOTED
from sim.programs.machine_words import AtWork
from sim.programs.path import Move
from sim.programs.program import Program, read, switches
from sim.programs.reading import Reading
from sim.programs.tool_digits import station_of_tool
from sim.programs.tool_list import CalledTool, called_otherwise, called_tools, lacking, table_to_fill_in
from sim.programs.tool_words import ToolNotStatedError
from sim.programs.words import ProgramError
from sim.scenario import CuttingProgram
from sim.scenario.cycle_amounts import CycleAmounts

MOST_SWITCHES = 4  # of optional blocks: 16 ways
_COMPENSATES = re.compile(r"G[ \t]*(?:0*4[12](?![0-9])|[#\[])", re.IGNORECASE)  # or may: a computed G word
_CORNERS: dict[Corners, str] = {
    "rolled": "outer corners rolled round",
    "intersection": "outer corners run to where the parallels meet",
}
LEAST_INCREMENT = 1e-3  # mm, of a number without a decimal point that counts increments (common practice)


def read_program(
    stated: CuttingProgram,
    field: str,
    text: str,
    tools: tuple[TurningTool, ...],
    datum: float,
    speed_limit: float,
) -> ReadProgram:
    """Read a program.

    Parameters
    ----------
    stated : CuttingProgram
    field : str
        Its place in the scenario, for messages.
    text : str
        What its file holds.
    tools : tuple of TurningTool
        In the order of `stated.tools`; one for all T numbers where there are none.
    datum : float
        z of the height from which `stated.zero` counts, chuck frame, mm.
    speed_limit : float
        Of the machine, rev/min: no move turns faster.

    Raises
    ------
    ScenarioError
        If a word cannot be followed; names file, field, line and word.
    """
    called = called_tools(text, stated.tool_word)
    if not tools:
        raise _tools_to_state(stated, field, called)
    where = f"{field}.file {stated.file}"
    made = _outlines(tools, field)
    asked = dataclasses.replace(_reading(stated, tools, datum + stated.zero), speed_limit=speed_limit)
    programs = _in_every_way(text, asked, stated, called, where)
    told = [
        dataclasses.replace(
            _as_read(program, stated, made, tools, speed_limit, f"{where} ({words})" if words else where),
            reading=words,
        )
        for words, program in programs.items()
    ]
    names = {tool.number: tool.name for tool in stated.tools}
    doubts = called_otherwise(called, names)
    told = [dataclasses.replace(one, notes=(*one.notes, *doubts)) for one in told] if doubts else told
    if len(programs) > 1:
        note = f"judged in {len(programs)} ways ({'; '.join(programs)}), shown in the first"
        told = [dataclasses.replace(one, notes=(*one.notes, note)) for one in told]
    return dataclasses.replace(told[0], others=tuple(told[1:]))


def _tools_to_state(stated: CuttingProgram, field: str, called: tuple[CalledTool, ...]) -> ScenarioError:
    """Return the error of an empty table of tools, with a table of those that the program calls to be filled in."""
    if not called:
        return ScenarioError(
            f"{field}.tools must state the tool that stands at the cut, with its number as first_tool: {stated.file} "
            "calls none by a T word"
        )
    listed = ", ".join(f"{tool.word}{f' ({tool.name})' if tool.name else ''}" for tool in called)
    error = ScenarioError(
        f"{field}.tools must state the tools that {stated.file} calls, {listed}; below they stand as tables to be "
        "filled in"
    )
    error.offered = _to_fill_in(called, field)
    return error


def _to_fill_in(called: tuple[CalledTool, ...], field: str) -> str:
    """Return tables to be filled in for the program of a field, with where they are put."""
    found = re.match(r"operations\[([0-9]+)\]", field)
    program = "boring.program" if found is None else "operations.program"
    which = "" if found is None else f" of operation {int(found.group(1)) + 1}"
    where = f"below [{program}]{which}; or in a file that shop_files names, each as [[tools]]"
    return table_to_fill_in(called, f"{program}.tools", where)


def _outlines(tools: tuple[TurningTool, ...], field: str) -> tuple[Tool, ...]:
    made = []
    try:
        for number, tool in enumerate(tools):
            with in_field(f"{field}.tools[{number}]"):
                made.append(of_turning_tool(tool))
    except ValueError as error:
        raise ScenarioError(str(error)) from None
    return tuple(made)


def _refused(
    error: ProgramError, read_as: str, called: tuple[CalledTool, ...], stated: CuttingProgram, where: str
) -> ScenarioError:
    """Return a program's error as the scenario's, with tables for the tools that its table lacks."""
    refused = ScenarioError(f"{read_as}: {error}")
    if isinstance(error, ToolNotStatedError) and stated.tools:
        lack = lacking(called, {tool.number for tool in stated.tools})
        refused.offered = _to_fill_in(lack, where)
    return refused


def _in_every_way(
    text: str, asked: Reading, stated: CuttingProgram, called: tuple[CalledTool, ...], where: str
) -> dict[str, Program]:
    """Return the program as it runs with its optional blocks run and skipped, by the words for it.

    Each switch ('/' and '/1' to '/9') is on or off for the whole program, and so is how corners are run where that is
    not stated; first stands what is to be shown. Ways that come to the same are given once.
    """
    try:
        names = switches(text)
    except ProgramError as error:
        raise ScenarioError(f"{where}: {error}") from None
    if len(names) > MOST_SWITCHES:
        raise ScenarioError(
            f"{where}: has blocks behind {len(names)} different slashes ({', '.join(names)}); at most {MOST_SWITCHES} "
            "are judged run and skipped in every way"
        )
    ways = sorted(itertools.product((False, True), repeat=len(names)), key=lambda way: len(set(way)))
    if stated.optional_blocks == "skip":
        ways = sorted(ways, key=lambda way: not all(way))
    found: dict[str, Program] = {}
    seen: list[Program] = []
    for way in ways:
        words = _way_in_words(names, way)
        skipped = frozenset(name for name, skips in zip(names, way, strict=True) if skips)
        try:
            programs = {
                corners: read(text, dataclasses.replace(asked, skipped=skipped, corners=corners))
                for corners in _corners(stated, text)
            }
        except ProgramError as error:
            raise _refused(error, f"{where}{f' ({words})' if words else ''}", called, stated, where) from None
        alike = len({program.moves for program in programs.values()}) == 1
        for corners, program in programs.items():
            bare = dataclasses.replace(program, notes=())
            if bare not in seen:
                seen.append(bare)
                found[words if alike else " and ".join(filter(None, (words, _CORNERS[corners])))] = program
    return found


def _corners(stated: CuttingProgram, text: str) -> tuple[Corners, ...]:
    """Return how outer corners are run: as stated, or in both ways if the program may compensate a nose."""
    if stated.corners is not None:
        return (stated.corners,)
    return ("rolled", "intersection") if _COMPENSATES.search(text) else ("rolled",)


def _way_in_words(names: tuple[str, ...], way: tuple[bool, ...]) -> str:
    """Say which switches run their blocks and which skip them; empty without any."""
    run = [name for name, skips in zip(names, way, strict=True) if not skips]
    skipped = [name for name, skips in zip(names, way, strict=True) if skips]
    told = [
        f"behind {' and '.join(which)} {how}" for which, how in ((run, "run"), (skipped, "skipped")) if which
    ]
    return f"blocks {', '.join(told)}" if told else ""


def _as_read(
    program: Program,
    stated: CuttingProgram,
    made: tuple[Tool, ...],
    tools: tuple[TurningTool, ...],
    speed_limit: float,
    where: str,
) -> ReadProgram:
    """Return one way of running the program as runs of moves with one tool each."""
    if not program.moves:
        raise ScenarioError(f"{where}: must move an axis, found no move")
    if len(program.moves) > MOVES.most:
        raise ScenarioError(f"{where}: must make at most {MOVES.most} moves, found {len(program.moves)}")
    notes = [*_taken(stated, program.moves), *_grouped(program.notes, stated.chuck)]
    moves = _within_limit(program.moves, speed_limit, notes)
    by_number = {tool.number: n for n, tool in enumerate(stated.tools)}
    which = _tools_in_force(program, stated, by_number, where)
    starts = [0, *(n for n in range(1, len(which)) if which[n] != which[n - 1]), len(which)]
    if len(starts) > 2:
        notes.append("a tool that is called is taken to stand where the tip of the one before it stood")
    runs = tuple(
        Run(
            made[which[a]],
            moves[a:b],
            stated.tools[which[a]].largest_depth_of_cut if stated.tools else None,
            stated.tools[which[a]].spindle if stated.tools else None,
        )
        for a, b in itertools.pairwise(starts)
    )
    return ReadProgram(
        file=stated.file,
        runs=runs,
        tools=tuple(tools[which[a]] for a in starts[:-1]),
        notes=tuple(notes),
        at_work=AtWork(
            program.machine,
            program.calls,
            program.openings,
            program.ended,
            _early(program),
            program.makers_own,
        ),
    )


def _early(program: Program) -> int:
    """Return how many moves run before a tool is known to stand at the cut."""
    return next((n for n, tool in enumerate(program.tools) if tool is not None), len(program.tools))


def _taken(stated: CuttingProgram, moves: tuple[Move, ...]) -> list[str]:
    """Note what the scenario leaves open and the program cannot tell."""
    notes = []
    if "x" not in stated.model_fields_set:
        notes.append("x is not stated: X and U are read as diameters")
    astray = sum(move.astray for move in moves)
    if astray:
        what = "rapid is" if stated.rapid is None else "rapid_rates are"
        notes.append(
            f"{what} not stated: {astray} rapid move{'s' if astray > 1 else ''} of both axes judged along the line and "
            "anywhere else that axes running each at its own rate can lead to"
        )
    return notes


def _reading(stated: CuttingProgram, tools: tuple[TurningTool, ...], zero: float) -> Reading:
    noses = [_nose(tool) for tool in tools]
    return Reading(
        diameter=stated.x == "diameter",
        start=(0.5 * stated.start_diameter, zero + stated.start_height),
        inch=stated.unit == "inch",
        nose_radius=noses[0].radius,
        tip_direction=noses[0].direction,
        tools={tool.number: nose for tool, nose in zip(stated.tools, noses, strict=False)},
        least_increment=LEAST_INCREMENT if stated.without_point == "increments" else None,
        point_required=stated.without_point is None,
        rapid="straight"
        if stated.rapid == "straight"
        else "unknown"
        if stated.rapid_rates is None
        else "dogleg",
        rapid_ratio=1.0 if stated.rapid_rates is None else stated.rapid_rates.x / stated.rapid_rates.z,
        z_offset=zero,
        datums={}
        if stated.offsets is None
        else {number: zero - stated.zero + height for number, height in stated.offsets.heights.items()},
        home=_tip(stated.home_diameter, stated.home_height, zero),
        second_home=_tip(stated.second_home_diameter, stated.second_home_height, zero),
        bare_home=stated.home_without_axes,
        machine_zero=_tip(stated.machine_zero_diameter, stated.machine_zero_height, zero),
        chuck=stated.chuck,
        first_tool=stated.first_tool,
        tool_word=stated.tool_word,
        code_system=stated.code_system,
        corner_words=stated.corner_words,
        amounts=_amounts(stated.cycle_amounts),
    )


def _amounts(stated: CycleAmounts) -> Amounts:
    return Amounts(
        roughing_retract=stated.roughing_retract,
        pull_out=stated.thread_pull_out,
        least_pass=stated.thread_least_pass,
        finish_allowance=stated.thread_finish_allowance,
        back_off=stated.peck_back_off,
        peck_return=stated.peck_return,
        plane=stated.drill_plane,
    )


def _tip(diameter: float | None, height: float | None, zero: float) -> Point | None:
    """Return a place of the tip, radius and z in the frame of the chuck, mm; None where it is not stated."""
    return None if diameter is None or height is None else (0.5 * diameter, zero + height)


def _nose(tool: TurningTool) -> Nose:
    return Nose(tool.cutter.nose_radius, (1 if tool.cuts == "outward" else -1, -1))


def _tools_in_force(
    program: Program, stated: CuttingProgram, by_number: dict[int, int], where: str
) -> list[int]:
    """Return the place in the table of the tool of each move; before the first call it is the one called first.

    Raises
    ------
    ScenarioError
        If it is open which tool stands at the cut, or one is called that is not stated.
    """
    early = program.moves[: _early(program)]
    cutting = next((move for move in early if move.kind == "feed"), None)
    if cutting is not None or (early and len(early) == len(program.moves)):
        which = f" {', '.join(map(str, sorted(by_number)))}" if by_number else ""
        line = (
            ""
            if cutting is None
            else f"program line {cutting.line}: cuts before a tool is called by a T word; "
        )
        raise ScenarioError(
            f"{where}: {line}must call one of its tools{which} by a T word before it cuts, or first_tool must state "
            "which one stands at the cut when the program starts"
        )
    if not by_number:
        first = program.calls[0].station if program.calls else 0
        if stated.first_tool is not None:
            first = station_of_tool(stated.first_tool, stated.tool_word)
        other = next((call for call in program.calls if call.station != first), None)
        if other is not None:
            raise ScenarioError(
                f"{where}: program line {other.place.line}: {other.place.text} calls a second tool, and only one is "
                "known (boring.tool): state both in the program's table tools"
            )
        return [0] * len(program.moves)
    called = [number for number in program.tools if number is not None]
    return [by_number[called[0] if number is None else number] for number in program.tools]


def _grouped(notes: tuple[str, ...], chuck: tuple[int, int] | None) -> list[str]:
    """Put what moves no axis into a few notes; all others stay as they are. `chuck` are the M words that move it."""
    functions: dict[str, None] = {}
    lines: dict[str, dict[str, None]] = {}
    rest = []
    for note in notes:
        line, _, what = note.partition(": ")
        if what.startswith("machine function "):
            word = what.removeprefix("machine function ")
            if float(word[1:]) not in (chuck or ()):
                functions[word] = None
        elif (
            what in ("dwell", "skipped (block delete)", "text behind ';', taken as a comment")
            or NOTED in what
        ):
            lines.setdefault(what, {})[line.removeprefix("line ")] = None
        elif not what.startswith("tool "):  # every move names its tool
            rest.append(note)
    found = (
        [f"machine functions, taken to move neither axis nor chuck: {', '.join(functions)}"]
        if functions
        else []
    )
    found += [f"{what} in line {', '.join(numbers)}" for what, numbers in lines.items()]
    return [*found, *rest]


def _within_limit(moves: tuple[Move, ...], limit: float, notes: list[str]) -> tuple[Move, ...]:
    """Hold the speeds to the machine's limit, and note the first block that asks for more."""
    over = [move for move in moves if move.speed is not None and move.speed > limit]
    if not over:
        return moves
    asked = "no limit" if math.isinf(over[0].speed or 0.0) else f"{over[0].speed:.0f} rev/min"
    notes.append(
        f"line {over[0].line}: the speed ({asked}) is held to the machine's limit, {limit:.0f} rev/min, here and in "
        f"{len(over) - 1} other moves"
    )
    return tuple(
        dataclasses.replace(move, speed=limit) if move.speed is not None and move.speed > limit else move
        for move in moves
    )
