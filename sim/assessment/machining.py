"""The program that machines a part: clearance to everything that turns with it, and the grip at each move's speed."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import NamedTuple

import numpy as np
import shapely
from shapely import affinity
from shapely.geometry.base import BaseGeometry

from meshes.insert import Insert
from meshes.turning_tool import Cutter, TurningTool
from sim.assessment.bars import bars_of
from sim.assessment.demand import breaks_through, demand_of, impact_of, metal_of
from sim.assessment.figures.cut import CutDemand
from sim.assessment.figures.machining import AskedByMove, AskedByMoves, HeldMoves, MachiningFigures, MoveGrip
from sim.assessment.figures.operation import OperationFigures
from sim.assessment.images import JAWS, hardware_bodies, jaws_image, stop_bodies, support_bodies
from sim.assessment.operation import Gripped, grip_left
from sim.assessment.read_program import ReadProgram
from sim.assessment.side import share_on_the_jaws
from sim.assessment.supports import bearers, outermost, prop_cases
from sim.assessment.threads import ThreadPass, Threads, groove_width, threads_of
from sim.base.errors import ScenarioError
from sim.base.tables import Material
from sim.clearance import image
from sim.clearance.limits import safe_plane, swing_diameter
from sim.clearance.result import Body, ClearanceResult
from sim.clearance.runs import Run, check_runs
from sim.clearance.tool import Tool
from sim.mechanics import cutting, drilling, kienzle
from sim.mechanics.threading import thread_forces
from sim.programs.path import Move, speed_at
from sim.scenario import Operation, PartProgram
from sim.scenario.cut_limits import LEAST_FEED
from sim.setup.held import held_zone
from sim.setup.parts import Parts

WORKPIECE = "workpiece"
OUTSIDE_RAW = 0.01  # mm2 by which rounded corners of the finished outline may lie outside of the raw one
PLACES = 5  # along a move with constant cutting speed at which the grip is looked at
LOOKED_AT = 5  # cuts, the worst by closed forms, that are judged by everything at once,
LOOKED_AT_EACH_WAY = 2  # and as many with feed each way: closed forms err most where the feed pulls
MORE = 3  # times as many where a centre or a steady rest bears the part, of which closed forms know nothing
SHORT = 0.5  # mm of a move within which lever and diameter count as the same
CENTRED = 1e-3  # mm; a tool by its outline that reaches as far on both sides of the axis is a drill on it


def part_program(parts: Parts, index: int) -> ReadProgram | None:
    """Return the program of an operation as read; None without one.

    Raises
    ------
    ScenarioError
        If the program cannot be followed.
    """
    scenario = parts.scenario
    stated = scenario.operations[index].program
    if stated is None:
        return None
    from sim.assessment.program import read_program

    seat, limit = held_zone(scenario, index).seat, scenario.machine.speed_limit
    return read_program(
        stated, f"operations[{index}].program", scenario.folder, parts.part_tools[index], seat, limit
    )


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
        _asked_by_moves(known, path.program.runs, path.program.tools, path.clearance) for path in paths
    )


def asked_again(known: Gripped, machining: MachiningFigures | None) -> tuple[AskedByMoves, ...]:
    """Return what the moves of a judged program ask of another grip: its path stays as it is."""
    if machining is None:
        return ()
    return tuple(_asked_by_moves(known, way.runs, way.drawn, way.clearance) for way in machining.readings)


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


def _threads(runs: tuple[Run, ...], drawn: tuple[TurningTool, ...], found: ClearanceResult) -> Threads:
    return threads_of(
        runs, [tool.cuts == "outward" for tool in drawn], found.depth_of_cut, found.stock_left, WORKPIECE
    )


def _with_crests(
    runs: tuple[Run, ...], drawn: tuple[TurningTool, ...], found: ClearanceResult
) -> ClearanceResult:
    """Return a result with what its half plane does not know of threads: depths, and touches of their crests."""
    threads = _threads(runs, drawn, found)
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


def _asked_by_moves(
    figures: Gripped,
    runs: tuple[Run, ...],
    drawn: tuple[TurningTool, ...],
    found: ClearanceResult,
) -> AskedByMoves:
    """Judge each cutting move at its own speed: where it is held least along it, asks for most grip, pushes most."""
    operation = figures.operation
    moves = [move for run in runs for move in run.moves]
    fallback = operation.gripping.speed_high
    feed = max(cut.feed for cut in operation.cuts)
    speeds = np.array([fallback if move.speed is None else move.speed for move in moves])
    left = np.array([grip_left(figures, float(speed)) for speed in speeds])
    needed = np.zeros(len(moves))
    passes = _threads(runs, drawn, found).passes
    cuts = [
        number
        for number, move in enumerate(moves)
        if move.kind == "feed" and found.depth_of_cut[number] > 0.0
    ]
    beyond = outermost(prop_cases(operation, figures.zone.seat))

    def push(one: AskedByMove) -> float:
        height = figures.zone.seat + one.demand.forces.height
        return one.demand.side_force * share_on_the_jaws(height, figures.zone, beyond)

    harshest = _harshest(operation, figures.metal)
    least, most, pushing = [], [], []
    tools = [(run.tool, tool) for run, tool in zip(runs, drawn, strict=True) for _ in run.moves]
    for number in cuts:
        move, depth = moves[number], float(found.depth_of_cut[number])
        outline, tool = tools[number]
        along = []
        for share in _shares(move):
            place = _place(move, share)
            there, demand = (
                _left_and_asked(figures, tool, move, depth, place, move.feed or feed, fallback, harshest)
                if number not in passes
                else _thread_asked(figures, tool, outline, move, passes[number], place, fallback, harshest)
            )
            along.append(AskedByMove(number, demand, there))
        least.append(min(along, key=lambda one: one.factor))
        most.append(max(along, key=lambda one: one.demand.needed))
        pushing.append(max(along, key=push))
        left[number], needed[number] = least[-1].left, least[-1].demand.needed
    grip = MoveGrip(
        speed=speeds,
        left=left,
        needed=needed,
        assumed_feed=feed if any(moves[n].feed is None for n in cuts) else None,
        assumed_speed=fallback if any(move.speed is None for move in moves) else None,
    )
    # The closed forms know of no centre: with one, more are looked at, and those farthest out.
    times = MORE if bearers(operation) else 1
    held_least = _first(sorted(least, key=lambda one: one.factor), times)
    heaviest = _first(sorted(most, key=lambda one: -one.demand.needed), times)
    far_out = sorted(least, key=lambda one: -one.demand.forces.height) if bearers(operation) else []
    chosen = dict.fromkeys([*held_least, *heaviest, *far_out[: times * LOOKED_AT_EACH_WAY]])
    worst = sorted(chosen, key=lambda one: one.factor)
    return AskedByMoves(grip, tuple(worst), max(pushing, key=push, default=None))


def _first(ranked: list[AskedByMove], times: int) -> Iterator[AskedByMove]:
    """Yield the first of all moves, and the first of those with their feed each way, so many times as many."""
    yield from ranked[: times * LOOKED_AT]
    ways: dict[str, list[AskedByMove]] = {}
    for one in ranked:
        ways.setdefault(one.demand.forces.feed_towards, []).append(one)
    for way in ways.values():
        yield from way[: times * LOOKED_AT_EACH_WAY]


def _shares(move: Move) -> list[float]:
    """Where along a move to look: at its ends, and between them where the speed follows the diameter.

    One place does for a move over which neither lever nor diameter changes.
    """
    across, along = abs(move.end[0] - move.start[0]), abs(move.end[1] - move.start[1])
    if max(across, along) < SHORT:
        return [0.0]
    if move.surface_speed is None or across < SHORT:
        return [0.0, 1.0]
    return [float(share) for share in np.linspace(0.0, 1.0, PLACES)]


def _place(move: Move, share: float) -> tuple[float, float]:
    (x0, z0), (x1, z1) = move.start, move.end
    return x0 + share * (x1 - x0), z0 + share * (z1 - z0)


class Harshest(NamedTuple):
    """The least favourable of an operation's own cuts: rake (rad), wear, blows (factors) and what cutting takes."""

    rake: float
    wear: float
    impact: float
    metals: frozenset[kienzle.CutMetal]


def _harshest(operation: Operation, metal: Material) -> Harshest:
    return Harshest(
        min(cut.rake_angle for cut in operation.cuts),
        max(cut.wear_factor for cut in operation.cuts),
        max(impact_of(cut) for cut in operation.cuts),
        frozenset(metal_of(cut, metal) for cut in operation.cuts),
    )


def _left_and_asked(
    figures: Gripped,
    tool: TurningTool,
    move: Move,
    depth: float,
    place: tuple[float, float],
    feed: float,
    fallback: float,
    harshest: Harshest,
) -> tuple[float, CutDemand]:
    """Return total grip left (N) and what is asked of it with the tip at a place of a cutting move.

    A feed so small that the edge only rubs asks for no less than the least at which it cuts.
    The diameter is the largest that is cut: on an outer diameter it lies the depth of cut outside of the tip.
    """
    operation, feed = figures.operation, max(feed, LEAST_FEED)
    rake, wear, impact, metals = harshest
    speed = speed_at(move, place[0]) or fallback
    towards = _fed_towards(move, place[0])
    along = towards in ("chuck", "tailstock")
    if along and abs(place[0]) < CENTRED and _drills(tool):
        drills = (
            drilling.drill_forces(
                metal,
                cutting.cutting_speed(2.0 * depth, speed),
                feed=feed,
                rake_angle=rake,
                wear_factor=wear,
                diameter=2.0 * depth,
                height=place[1] - figures.zone.seat,
                feed_towards=towards,
            )
            for metal in metals
        )
        forces = drilling.opening(max(drills, key=lambda one: one.tangential), _width_of_drill(tool)).struck(
            impact
        )
        stated = [cut for cut in operation.cuts if cut.kind == "drilling"]
        if not stated or any(breaks_through(cut) for cut in stated):
            forces = drilling.breaking_through(forces)
        asked = demand_of(forces, _line(move), speed, operation, figures.zone, figures.grip.friction)
        return grip_left(figures, speed), asked
    outer = tool.cuts == "inward" and along
    edge = isinstance(tool.cutter, Insert) and tool.cutter.shape != "R"
    edges = (
        cutting.kienzle_forces(
            metal,
            speed,
            feed=feed,
            depth_of_cut=depth,
            approach_angle=tool.approach_angle if edge else 0.5 * math.pi,
            rake_angle=rake,
            wear_factor=wear,
            diameter=2.0 * (abs(place[0]) + (depth if outer else 0.0)),
            height=place[1] - figures.zone.seat,
            feed_towards=towards,
            kind="boring" if tool.cuts == "outward" else "turning",
        )
        for metal in metals
    )
    forces = max(edges, key=lambda one: one.tangential).struck(impact)
    asked = demand_of(forces, _line(move), speed, operation, figures.zone, figures.grip.friction)
    return grip_left(figures, speed), asked


def _thread_asked(
    figures: Gripped,
    tool: TurningTool,
    outline: Tool,
    move: Move,
    cut: ThreadPass,
    place: tuple[float, float],
    fallback: float,
    harshest: Harshest,
) -> tuple[float, CutDemand]:
    """Return total grip left (N) and what is asked of it with the tip at a place of a thread, by tap or by insert.

    The diameter is that of the crests outside.
    """
    operation, pitch = figures.operation, move.feed or 0.0
    rake, wear, impact, metals = harshest
    speed = speed_at(move, place[0]) or fallback
    height, towards = place[1] - figures.zone.seat, _fed_towards(move, place[0])
    forces: list[cutting.CutForces[float]]
    if abs(place[0]) < CENTRED and _drills(tool):
        across = _width_of_drill(tool)
        forces = [
            drilling.tap_forces(
                metal, pitch=pitch, rake_angle=rake, wear_factor=wear, diameter=across, height=height
            )
            for metal in metals
        ]
    else:
        along = towards in ("chuck", "tailstock")
        inside = tool.cuts == "outward"
        width = min(pitch, groove_width(outline, cut.depth)) if along else pitch
        forces = [
            thread_forces(
                metal,
                cutting.cutting_speed(2.0 * abs(place[0]), speed),
                pitch=pitch,
                infeed=cut.over_a_width(width),
                width=width,
                rake_angle=rake,
                wear_factor=wear,
                diameter=2.0 * (abs(place[0]) + (0.0 if inside else cut.depth)),
                height=height,
                feed_towards=towards,
                inside=inside,
            )
            for metal in metals
        ]
    worst = max(forces, key=lambda one: one.tangential).struck(impact)
    asked = demand_of(worst, _line(move), speed, operation, figures.zone, figures.grip.friction)
    return grip_left(figures, speed), asked


def _line(move: Move) -> str:
    return "a move of the program" if move.line is None else f"line {move.line} of the program"


def _fed_towards(move: Move, x: float) -> cutting.FeedTowards:
    """Return where a cutting move feeds with the tip at a radius (mm, negative beyond the axis)."""
    dx, dz = move.end[0] - move.start[0], move.end[1] - move.start[1]
    if abs(dz) >= abs(dx):
        return "chuck" if dz < 0.0 else "tailstock"
    return "axis" if dx * x <= 0.0 else "outward"


def _drills(tool: TurningTool) -> bool:
    """Tell whether a tool's cutting part reaches as far on both sides of its tip: on the axis it then is a drill."""
    if not isinstance(tool.cutter, Cutter):
        return False
    across = [x for x, _ in tool.cutter.outline]
    return min(across) < 0.0 < max(across) and abs(min(across) + max(across)) < CENTRED


def _width_of_drill(tool: TurningTool) -> float:
    """Return the diameter (mm) of a drill or tap by its outline."""
    return 2.0 * max(x for x, _ in tool.cutter.outline) if isinstance(tool.cutter, Cutter) else 0.0


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
