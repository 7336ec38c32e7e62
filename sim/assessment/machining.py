"""The program that machines a part: clearance to everything that turns with it, and how it is held along it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import shapely
from shapely import affinity
from shapely.geometry.base import BaseGeometry

from meshes.turning_tool import TurningTool
from sim.assessment.bars import bars_of
from sim.assessment.figures.machining import AskedByMoves, HeldMoves, MachiningFigures, MoveGrip
from sim.assessment.figures.operation import OperationFigures
from sim.assessment.images import JAWS, WORKPIECE, hardware_bodies, jaws_image, stop_bodies, support_bodies
from sim.assessment.move_demand import asked_by_moves
from sim.assessment.operation import Gripped
from sim.assessment.read_program import ReadProgram
from sim.assessment.threads import threads_cut
from sim.base.errors import ScenarioError
from sim.clearance import image
from sim.clearance.limits import safe_plane, swing_diameter
from sim.clearance.result import Body, ClearanceResult
from sim.clearance.runs import Run, check_runs
from sim.scenario import PartProgram
from sim.setup.held import held_zone
from sim.setup.parts import Parts

OUTSIDE_RAW = 0.01  # mm2 by which rounded corners of the finished outline may lie outside of the raw one


def part_program(parts: Parts, index: int) -> ReadProgram | None:
    """Return the program of an operation as read; None without one.

    Raises
    ------
    ScenarioError
        If the program cannot be followed.
    """
    scenario = parts.scenario
    stated, text = scenario.operations[index].program, parts.part_texts[index]
    if stated is None or text is None:
        return None
    from sim.assessment.program import read_program

    seat, limit = held_zone(scenario, index).seat, scenario.machine.speed_limit
    return read_program(stated, f"operations[{index}].program", text, parts.part_tools[index], seat, limit)


@dataclass(frozen=True, slots=True, eq=False)
class ProgramPath:
    """One way of running a program past what turns: known before the part is pressed.

    Attributes
    ----------
    program : ReadProgram
    zero : float
        Its zero point above the part's back face, mm.
    bodies, stock, wanted :
        As in `MachiningFigures`.
    clearance : ClearanceResult
    """

    program: ReadProgram
    zero: float
    bodies: tuple[Body, ...]
    stock: BaseGeometry
    wanted: BaseGeometry | None
    clearance: ClearanceResult


def program_paths(parts: Parts, known: Gripped, program: ReadProgram | None) -> tuple[ProgramPath, ...]:
    """Return every way of running the program of an operation; none without one.

    Raises
    ------
    ScenarioError
        If the finished part does not lie within the raw one.
    """
    stated = known.operation.program
    if stated is None or program is None:
        return ()
    field, swept = f"operations[{known.index}].program", parts.workpieces[known.index].swept
    stock, wanted = _outlines(stated, known, field, swept)
    bodies, clearance = _bodies(parts, known), parts.scenario.limits.clearance
    return tuple(
        ProgramPath(
            way,
            stated.zero,
            bodies,
            stock,
            wanted,
            _with_crests(
                way.runs,
                way.tools,
                check_runs(way.runs, bodies, stock, wanted, clearance, stock_name=WORKPIECE),
            ),
        )
        for way in program.readings
    )


def asked_by_program(known: Gripped, paths: Sequence[ProgramPath]) -> tuple[AskedByMoves, ...]:
    """Return what the moves of a program ask of the grip, for each way of running it."""
    return tuple(
        asked_by_moves(known, path.program.runs, path.program.tools, path.clearance) for path in paths
    )


def asked_again(known: Gripped, machining: MachiningFigures | None) -> tuple[AskedByMoves, ...]:
    """Return what the moves of a judged program ask of another grip: its path stays as it is."""
    if machining is None:
        return ()
    return tuple(asked_by_moves(known, way.runs, way.drawn, way.clearance) for way in machining.readings)


def held_again(machining: MachiningFigures | None, figures: OperationFigures) -> MachiningFigures | None:
    """Return a judged program with how it is held by another grip, as in `figures`."""
    if machining is None:
        return None
    shown, *others = (
        replace(
            way,
            grip=moves.asked.grip,
            held=moves.least,
            notes=(
                *(note for note in way.notes if note not in _assumed(way.grip)),
                *_assumed(moves.asked.grip),
            ),
        )
        for way, moves in zip(machining.readings, figures.moves, strict=True)
    )
    return replace(shown, others=tuple(others))


def machine(parts: Parts, figures: OperationFigures, paths: Sequence[ProgramPath]) -> MachiningFigures | None:
    """Return what the program of an operation does; None without one."""
    if not paths:
        return None
    pairs = zip(paths, figures.moves, strict=True)
    shown, *others = (_machined(parts, figures, path, moves) for path, moves in pairs)
    return replace(shown, others=tuple(others))


def _machined(
    parts: Parts, figures: OperationFigures, path: ProgramPath, held: HeldMoves
) -> MachiningFigures:
    program, bodies, stock, found = path.program, path.bodies, path.stock, path.clearance
    images = [stock, *(body.image for body in bodies)]
    moves = tuple(move for run in program.runs for move in run.moves)
    cuts = figures.operation.cuts
    material = parts.scenario.metal(figures.operation.workpiece.material)
    grip = held.asked.grip
    return MachiningFigures(
        file=program.file,
        runs=program.runs,
        drawn=program.tools,
        moves=moves,
        bodies=bodies,
        stock=stock,
        wanted=path.wanted,
        stock_name=WORKPIECE,
        clearance=found,
        zero=figures.zone.seat + path.zero,
        swing=swing_diameter(images),
        safe_plane=safe_plane(images, parts.scenario.limits.clearance),
        notes=(*program.notes, *_assumed(grip)),
        bars=bars_of(program.runs, program.tools, moves, found, material, max(cut.feed for cut in cuts)),
        operation=figures.index,
        grip=grip,
        held=held.least,
        at_work=program.at_work,
        reading=program.reading,
    )


def _with_crests(
    runs: tuple[Run, ...], drawn: tuple[TurningTool, ...], found: ClearanceResult
) -> ClearanceResult:
    """Return a result with what its half plane does not know of threads: depths, and touches of their crests."""
    threads = threads_cut(runs, drawn, found)
    if not threads.passes:
        return found
    depths = found.depth_of_cut.copy()
    for number, one in threads.passes.items():
        depths[number] = one.infeed
    for number, below in threads.turned.items():
        depths[number] = max(depths[number], below)
    touches = tuple(sorted((*found.touches, *threads.dragged), key=lambda touch: touch.move))
    return replace(found, depth_of_cut=depths, touches=touches)


def _outlines(
    stated: PartProgram, figures: Gripped, field: str, swept: BaseGeometry | None
) -> tuple[BaseGeometry, BaseGeometry | None]:
    """Return raw and finished part on its seat."""
    raw: BaseGeometry = _outline(
        stated.raw_outline or figures.operation.workpiece.outline, figures, f"{field}.raw_outline"
    )
    if swept is not None:  # lugs turn with the raw part, too
        raw = shapely.union(raw, affinity.translate(swept, yoff=figures.zone.seat))
    if stated.finished_outline is None:
        return raw, None
    finished = _outline(stated.finished_outline, figures, f"{field}.finished_outline")
    outside = shapely.difference(finished, raw)
    if outside.area > OUTSIDE_RAW:
        raise ScenarioError(
            f"{field}.finished_outline must lie within the raw outline, but {outside.area:.2f} mm2 near radius "
            f"{outside.centroid.x:.1f} mm, height {outside.centroid.y - figures.zone.seat:.1f} mm lie outside"
        )
    return raw, finished


def _outline(corners: tuple[tuple[float, float], ...], figures: Gripped, field: str) -> shapely.Polygon:
    try:
        return image.of_outline([(r, z + figures.zone.seat) for r, z in corners])
    except ValueError as error:
        raise ScenarioError(f"{field}: {error}") from None


def _bodies(parts: Parts, figures: Gripped) -> tuple[Body, ...]:
    travel = figures.grip_travel
    return (
        *hardware_bodies(parts, travel),
        Body(JAWS, jaws_image(parts, travel, "bored"), "jaw hardware"),
        *stop_bodies(parts, figures.index),
        *support_bodies(parts, figures.index),
    )


def _assumed(grip: MoveGrip) -> tuple[str, ...]:
    found = []
    if grip.assumed_speed is not None:
        found.append(
            f"moves without a speed are judged at {grip.assumed_speed:.0f} rev/min, gripping.speed_high"
        )
    if grip.assumed_feed is not None:
        found.append(
            f"cuts without a feed are judged at {grip.assumed_feed:g} mm/rev, the largest of the operation's cuts"
        )
    return tuple(found)
