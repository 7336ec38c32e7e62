"""The program that bores the jaws: the text with what the setter must know at its head, and how it is read back."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import numpy as np

from sim.assessment.boring_paths import BoringPath, boring_paths
from sim.assessment.results import CAUTIONS, Assessment
from sim.assessment.verdict import Verdict
from sim.assessment.verdicts.path import TOOL_CLEARANCE
from sim.base.errors import ScenarioError
from sim.base.rounding import usual_decimals
from sim.programs.code_groups import CodeSystem
from sim.programs.path import Move
from sim.programs.program import read
from sim.programs.reading import Reading
from sim.programs.words import ProgramError
from sim.programs.writing import Wording, program_text
from sim.scenario.boring import NoFixture, Plug, Ring

UNPROVEN = (
    "Unproven: this program has never run on a machine.",
    "Dry-run it above the jaws, at low rapid override, block by block, before it cuts.",
    "A competent person releases it on the machine; local rules stand above it.",
)
BORING = "boring"
TOOL = (TOOL_CLEARANCE.key, BORING)
_BORED = (BORING, "jaws")  # stages of the verdicts that stand between a setup and its program
_ROUNDED = 1e-3  # mm by which an end may differ from the path as rounded in the text
_LATEST = 5e-3  # mm or another unit as shown, by which a figure may differ when the program is read back


@dataclass(frozen=True, slots=True)
class Asked:
    """How programs are to be written.

    Attributes
    ----------
    code_system : CodeSystem
    station : int
        Of the boring bar, 1 to 99; its offset has the same number.
    number : int, optional
        Of the first program (O word).
    zero : float, optional
        Height of the zero point above the serrated plane, mm; None for the jaws' top face.
    """

    code_system: CodeSystem
    station: int = 1
    number: int | None = None
    zero: float | None = None


@dataclass(frozen=True, slots=True)
class WrittenProgram:
    """A program's text and the path that it was written from.

    Attributes
    ----------
    what : {'seat', 'pockets'}
    text : str
    moves : tuple of Move
    zero : float
        Height of its zero point above the serrated plane, mm.
    code_system : CodeSystem
    """

    what: str
    text: str
    moves: tuple[Move, ...]
    zero: float
    code_system: CodeSystem


def written_programs(assessment: Assessment, asked: Asked) -> tuple[WrittenProgram, ...]:
    """Return the programs that bore the jaws, in the order in which they are run.

    Raises
    ------
    ScenarioError
        If a verdict on jaws or boring fails, or there is no made path to write.
    """
    failed = [v for v in assessment.verdicts if v.status == "fail" and v.stage in _BORED]
    if failed:
        worst = failed[0]
        raise ScenarioError(
            f"no program is written of a setup whose boring fails: {worst.name} ({worst.message.rstrip('.')})"
        )
    paths = boring_paths(assessment)
    zero = assessment.scenario.soft_jaw.height if asked.zero is None else asked.zero
    return tuple(_written(assessment, path, asked, zero, count) for count, path in enumerate(paths))


def _written(
    assessment: Assessment, path: BoringPath, asked: Asked, zero: float, count: int
) -> WrittenProgram:
    boring = assessment.scenario.boring
    wording = Wording(
        asked.code_system,
        f"{asked.station:02d}{asked.station:02d}",
        boring.passes.feed,
        boring.speed,
        zero,
        None if asked.number is None else asked.number + count,
    )
    comments = (*UNPROVEN, *_setup(assessment, path, zero, wording), *CAUTIONS)
    return WrittenProgram(
        path.what, program_text(path.moves, comments, wording), path.moves, zero, asked.code_system
    )


def _setup(assessment: Assessment, path: BoringPath, zero: float, wording: Wording) -> Iterator[str]:
    """Yield the figures of the setup that the setter needs at the machine."""
    scenario, parts = assessment.scenario, assessment.parts
    jaw, boring, tool = scenario.soft_jaw, scenario.boring, scenario.boring.tool
    yield f"Setup: {scenario.title}"
    yield f"This program: {'seat of the fixture' if path.what == 'seat' else 'pockets'}"
    yield f"Chuck: {scenario.chuck.name}" if scenario.chuck.name else "Chuck as in the setup"
    yield (
        f"Jaws: {jaw.material}, {_mm(jaw.length)} x {_mm(jaw.width)} x {_mm(jaw.height)} mm, serration "
        f"{jaw.serration_index} from where the setup counts, inner ends at radius {_mm(jaw.mounting_radius)} mm there "
        "with the chuck open"
    )
    yield (
        f"Boring at a travel of {_mm(boring.travel)} mm of {_mm(scenario.chuck.stroke)} mm, "
        f"{_mm(10.0 * boring.pressure)} bar, {_mm(boring.speed)} rpm, feed {_mm(boring.passes.feed)} mm/rev"
    )
    yield _held(assessment, path)
    if tool is not None:
        yield (
            f"Tool T{wording.tool}: bar {_mm(tool.bar_diameter)} mm, reach {_mm(tool.reach)} mm, f "
            f"{_mm(tool.functional_offset)} mm, insert {tool.insert}; no nose compensation, the path is that of the tip"
        )
    yield "M3 as written: change it to M4 where bar and turret need it"
    if path.what == "pockets":
        for number, (stated, pocket) in enumerate(zip(scenario.pockets, parts.pockets, strict=True), start=1):
            name = f" {stated.name}" if stated.name else ""
            yield f"Pocket {number}{name}: {_mm(pocket.diameter)} mm, {_mm(pocket.depth)} mm deep"
    yield "X0 on the spindle's axis, diameters; Z0 " + (
        "on the jaws' top face" if zero == jaw.height else f"{_mm(zero)} mm above the serrated plane"
    )
    yield (
        f"Begin with the tool clear of everything: Z moves first, to Z{_mm(path.safe_plane - zero)}, then X. The zero "
        "offset of the work must be in force"
    )
    failed = [v for v in assessment.verdicts if v.status == "fail"]
    if failed:
        yield "The setup fails: " + ", ".join(f"{v.name} ({v.stage})" for v in failed)


def _held(assessment: Assessment, path: BoringPath) -> str:
    """Say what the jaws are loaded against while they are bored."""
    stated = assessment.scenario.boring.fixture
    if path.what == "seat":
        top = path.safe_plane - assessment.scenario.soft_jaw.height
        return (
            "While the seat is bored the jaws must be loaded against a fixture of their own, which this setup does "
            f"not state and nobody has judged; it may stand up to {_mm(top)} mm above the jaws where the tool does "
            "not pass"
        )
    if isinstance(stated, NoFixture):
        return "Jaws bored without a fixture, on the stop at the end of their stroke"
    if isinstance(stated, Ring):
        return (
            f"Fixture: ring {_mm(stated.outer_diameter)} / {_mm(stated.inner_diameter)} x {_mm(stated.thickness)} mm, "
            f"pins {_mm(stated.pin_diameter)} mm in the counterbores of screw {stated.screw + 1} from the inside"
        )
    if isinstance(stated, Plug):
        return (
            f"Fixture: plug {_mm(stated.diameter)} x {_mm(stated.thickness)} mm, its lower face {_mm(stated.height)} "
            "mm above the serrated plane, in the seat that is bored first"
        )
    return (
        f"Fixture: ring around the jaws, {_mm(stated.outer_diameter)} / {_mm(stated.inner_diameter)} x "
        f"{_mm(stated.thickness)} mm, its lower face {_mm(stated.height)} mm above the serrated plane"
    )


def _mm(value: float) -> str:
    """Return a number as short as it is exact to 1e-4."""
    text = f"{value:.4f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def require_same_moves(written: WrittenProgram) -> None:
    """Read a program's text and hold its moves to the path that it was written from.

    Raises
    ------
    ScenarioError
        If the text cannot be read, or a move ends or runs elsewhere.
    """
    reading = Reading(start=written.moves[0].start, z_offset=written.zero, code_system=written.code_system)
    try:
        read_back = read(written.text, reading).moves
    except ProgramError as error:
        raise ScenarioError(f"the program as written is not read back: {error}") from None
    moved = [move for move in written.moves if move.end != move.start or move.centre is not None]
    same = len(read_back) == len(moved) and all(
        one.kind == other.kind and math.dist(one.end, other.end) < _ROUNDED
        for one, other in zip(read_back, moved, strict=True)
    )
    if not same:
        raise ScenarioError("the program as written does not run its path when it is read back")


def as_stated_program(
    assessment: Assessment, written: WrittenProgram, file: str, station: int
) -> dict[str, Any]:
    """Return the table boring.program that reads a written program with the bar that it was written for."""
    tool = assessment.scenario.boring.tool
    if tool is None:
        raise ScenarioError("boring.tool must be stated for a program to be written")
    bar = {
        "diameter": f"{tool.bar_diameter!r} mm",
        "reach": f"{tool.reach!r} mm",
        "functional_offset": f"{tool.functional_offset!r} mm",
        "shank": tool.shank,
    }
    if tool.least_bore is not None:
        bar["least_bore"] = f"{tool.least_bore!r} mm"
    return {
        "file": file,
        "zero": f"{written.zero!r} mm",
        "code_system": written.code_system,
        "tools": [
            {
                "number": station,
                "name": "boring bar",
                "cuts": "outward" if assessment.parts.direction == "outside" else "inward",
                "insert": tool.insert,
                "approach_angle": f"{tool.approach_angle!r} rad",
                "bar": bar,
            }
        ],
    }


def judged_otherwise(made: Assessment, read: Assessment) -> list[str]:
    """Return what a setup's verdicts say otherwise of the path as made and of its program as read back.

    Verdicts that only one of them has count if they fail. The program has a way in, which the path as made has not: if
    the tool is nearest to something on it and its clearance passes, that of the other moves is held against the path's.
    """
    before, after = ({(v.key, v.stage): v for v in one.verdicts} for one in (made, read))
    told = []
    for place, verdict in after.items():
        other = before.get(place)
        if other is None:
            if verdict.status == "fail":
                told.append(f"{verdict.name} ({verdict.stage}) fails")
        elif not _same(verdict, other) and not (
            place == (TOOL_CLEARANCE.key, BORING)
            and verdict.status == other.status
            and _nearest_on_the_way_in(made, read)
        ):
            told.append(
                f"{verdict.name} ({verdict.stage}) {verdict.status} at {verdict.value:.4g} instead of {other.status} "
                f"at {other.value:.4g}"
            )
    told += [f"{v.name} ({v.stage}) is not judged" for place, v in before.items() if place not in after]
    return told


def _nearest_on_the_way_in(made: Assessment, read: Assessment) -> bool:
    """Tell whether a program differs from the path as made only by a way in that comes nearer, but not too near."""
    path, program = (dict(one.paths)[BORING].clearance for one in (made, read))
    if program.least_clearance < program.required:
        return False
    more = len(program.clearance) - len(path.clearance)
    if not 0 <= program.least_move < more:
        return False
    return bool(np.allclose(program.clearance[more:], path.clearance, rtol=0.0, atol=_LATEST))


def _same(one: Verdict, other: Verdict) -> bool:
    step = 10.0 ** -usual_decimals(other.value)
    return one.status == other.status and abs(one.value - other.value) <= max(_LATEST, step)
