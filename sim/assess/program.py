"""The shop's own program: read from its file into runs of moves, each with its tool and its speed."""

from __future__ import annotations

import dataclasses
import itertools
import math
from dataclasses import dataclass
from pathlib import Path

from meshes.turning_tool import TurningTool
from sim.clearance.compensation import Nose
from sim.clearance.path import Move
from sim.clearance.program import LARGEST_PROGRAM, Program, Reading, read
from sim.clearance.runs import Run
from sim.clearance.tool import of_turning_tool
from sim.clearance.words import ProgramError
from sim.errors import ScenarioError, in_field
from sim.files import regular_bytes
from sim.scenario import CuttingProgram

LEAST_INCREMENT = 1e-3  # mm, of a number without a decimal point that counts increments (common practice)


@dataclass(frozen=True, slots=True)
class ReadProgram:
    """A program as read.

    Attributes
    ----------
    file : str
        As the scenario names it.
    runs : tuple of Run
        At least one; the whole program.
    tools : tuple of TurningTool
        Of each run.
    notes : tuple of str
        What was assumed, and what moves no axis.
    """

    file: str
    runs: tuple[Run, ...]
    tools: tuple[TurningTool, ...]
    notes: tuple[str, ...]


def read_program(
    stated: CuttingProgram,
    field: str,
    folder: Path,
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
    folder : Path
        From which its file is named.
    tools : tuple of TurningTool
        In the order of `stated.tools`; one for all T numbers where there are none.
    datum : float
        z of the height from which `stated.zero` counts, chuck frame, mm.
    speed_limit : float
        Of the machine, rev/min: no move turns faster.

    Raises
    ------
    ScenarioError
        If the file cannot be read, or a word cannot be followed; names file, field, line and word.
    """
    text = program_text(stated, field, folder)
    try:
        made = tuple(in_field(f"{field}.tools[{n}]", of_turning_tool, tool) for n, tool in enumerate(tools))
    except ValueError as error:
        raise ScenarioError(str(error)) from None
    reading = dataclasses.replace(_reading(stated, tools, datum + stated.zero), speed_limit=speed_limit)
    try:
        program = read(text, reading)
    except ProgramError as error:
        raise ScenarioError(f"{field}.file {stated.file}: {error}") from None
    if not program.moves:
        raise ScenarioError(f"{field}.file {stated.file}: must move an axis, found no move")
    notes = [*_taken(stated, program.moves), *_grouped(program.notes)]
    moves = _within_limit(program.moves, speed_limit, notes)
    by_number = {tool.number: n for n, tool in enumerate(stated.tools)}
    which = _tools_in_force(program, by_number, f"{field}.file {stated.file}")
    starts = [0, *(n for n in range(1, len(which)) if which[n] != which[n - 1]), len(which)]
    if len(starts) > 2:
        notes.append("a tool that is called is taken to stand where the tip of the one before it stood")
    runs = tuple(
        Run(made[which[a]], moves[a:b], stated.tools[which[a]].largest_depth_of_cut if stated.tools else None)
        for a, b in itertools.pairwise(starts)
    )
    return ReadProgram(stated.file, runs, tuple(tools[which[a]] for a in starts[:-1]), tuple(notes))


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


def program_text(stated: CuttingProgram, field: str, folder: Path) -> str:
    """Return the text of a program's file.

    Raises
    ------
    ScenarioError
        If there is no such file, or it is no text.
    """
    path = folder / stated.file
    try:
        if not path.is_file():
            raise ScenarioError(f"{field}.file must name a program file, found none at {path}")
        if path.stat().st_size > LARGEST_PROGRAM:
            raise ScenarioError(
                f"{field}.file {stated.file} must be under {LARGEST_PROGRAM // 1_000_000} MB, found "
                f"{path.stat().st_size} bytes"
            )
        data = regular_bytes(path, LARGEST_PROGRAM)
    except OSError as error:
        raise ScenarioError(f"{field}.file {stated.file} cannot be read ({error.strerror})") from None
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError:
        return data.decode("latin-1")  # comments in a national alphabet; words are ASCII


def _reading(stated: CuttingProgram, tools: tuple[TurningTool, ...], zero: float) -> Reading:
    noses = [_nose(tool) for tool in tools]
    home = None
    if stated.home_diameter is not None and stated.home_height is not None:
        home = (0.5 * stated.home_diameter, zero + stated.home_height)
    return Reading(
        diameter=stated.x == "diameter",
        start=(0.5 * stated.start_diameter, zero + stated.start_height),
        inch=stated.unit == "inch",
        nose_radius=noses[0].radius,
        tip_direction=noses[0].direction,
        tools={tool.number: nose for tool, nose in zip(stated.tools, noses, strict=False)},
        skip_optional=None if stated.optional_blocks is None else stated.optional_blocks == "skip",
        least_increment=LEAST_INCREMENT if stated.without_point == "increments" else None,
        point_required=stated.without_point is None,
        rapid="straight"
        if stated.rapid == "straight"
        else "unknown"
        if stated.rapid_rates is None
        else "dogleg",
        rapid_ratio=1.0 if stated.rapid_rates is None else stated.rapid_rates.x / stated.rapid_rates.z,
        z_offset=zero,
        home=home,
    )


def _nose(tool: TurningTool) -> Nose:
    return Nose(tool.cutter.nose_radius, (1 if tool.cuts == "outward" else -1, -1))


def _tools_in_force(program: Program, by_number: dict[int, int], where: str) -> list[int]:
    """Return the place in the table of the tool of each move; before the first call it is the one called first."""
    if not by_number:
        return [0] * len(program.moves)
    called = [number for number in program.tools if number is not None]
    if not called:
        if len(by_number) > 1:
            raise ScenarioError(
                f"{where}: must call one of the tools {', '.join(map(str, sorted(by_number)))} by a T word, found none"
            )
        return [0] * len(program.moves)
    first = called[0]
    early = [
        move.line
        for move, number in zip(program.moves, program.tools, strict=True)
        if number is None and move.kind == "feed"
    ]
    if early and len(by_number) > 1:
        raise ScenarioError(f"{where}: program line {early[0]}: cuts before a tool is called by a T word")
    return [by_number[first if number is None else number] for number in program.tools]


def _grouped(notes: tuple[str, ...]) -> list[str]:
    """Put what moves no axis into a few notes; all others stay as they are."""
    functions: dict[str, None] = {}
    lines: dict[str, dict[str, None]] = {}
    rest = []
    for note in notes:
        line, _, what = note.partition(": ")
        if what.startswith("machine function "):
            functions[what.removeprefix("machine function ")] = None
        elif what in ("dwell", "skipped (block delete)", "text behind ';', taken as a comment"):
            lines.setdefault(what, {})[line.removeprefix("line ")] = None
        elif not what.startswith("tool "):  # every move names its tool
            rest.append(note)
    found = [f"machine functions, taken to move no axis: {', '.join(functions)}"] if functions else []
    found += [f"{what} in line {', '.join(numbers)}" for what, numbers in lines.items()]
    return [*found, *rest]


def _within_limit(moves: tuple[Move, ...], limit: float, notes: list[str]) -> tuple[Move, ...]:
    """Hold the speeds to the machine's limit, and note the first block that asks for more."""
    over = [move for move in moves if move.speed is not None and move.speed > limit]
    if not over:
        return moves
    asked = "no limit" if math.isinf(over[0].speed or 0.0) else f"{over[0].speed:.0f} rpm"
    notes.append(
        f"line {over[0].line}: the speed ({asked}) is held to the machine's limit, {limit:.0f} rpm, here and in "
        f"{len(over) - 1} other moves"
    )
    return tuple(
        dataclasses.replace(move, speed=limit) if move.speed is not None and move.speed > limit else move
        for move in moves
    )
