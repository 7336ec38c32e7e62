"""What the moves of a program ask of the grip: each cutting move at its own speed; which are looked at more closely."""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import chain
from typing import NamedTuple

import numpy as np

from meshes.insert import Insert
from meshes.turning_tool import Cutter, TurningTool
from sim.assessment.demand import breaks_through, demand_of, impact_of, metal_of
from sim.assessment.figures.cut import CutDemand
from sim.assessment.figures.machining import AskedByMove, AskedByMoves, MoveGrip
from sim.assessment.operation import Gripped, grip_left
from sim.assessment.side import share_on_the_jaws
from sim.assessment.supports import bearers, outermost, prop_cases
from sim.assessment.threads import ThreadPass, groove_width, threads_cut
from sim.base.tables import Material
from sim.clearance.result import ClearanceResult
from sim.clearance.runs import Run
from sim.clearance.tool import Tool
from sim.mechanics import cutting, drilling, kienzle, spin
from sim.mechanics.threading import thread_forces
from sim.programs.path import Move, speed_at
from sim.scenario import Operation
from sim.scenario.cut_limits import LEAST_FEED

PLACES = 5  # along a move with constant cutting speed at which the grip is looked at
LOOKED_AT = 5  # cuts, the worst by closed forms, that are judged by everything at once,
LOOKED_AT_EACH_WAY = 2  # and as many with feed each way: closed forms err most where the feed pulls
MORE = 3  # times as many where a centre or a steady rest bears the part, of which closed forms know nothing
SHORT = 0.5  # mm of a move within which lever and diameter count as the same
CENTRED = 1e-3  # mm; a tool by its outline that reaches as far on both sides of the axis is a drill on it


def asked_by_moves(
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
    passes = threads_cut(runs, drawn, found).passes
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
    # Of those that are held alike under more grip, a fast one loses more of it than the heaviest: advice asks which.
    rest = figures.grip.rest_total
    under_more = sorted(most, key=lambda one: one.left - rest - spin.SAFETY * one.demand.needed)
    far_out = sorted(least, key=lambda one: -one.demand.forces.height) if bearers(operation) else []
    apart = (under_more[: times * LOOKED_AT_EACH_WAY], far_out[: times * LOOKED_AT_EACH_WAY])
    chosen = dict.fromkeys(chain(held_least, heaviest, *apart))
    worst = sorted(chosen, key=lambda one: one.factor)
    return AskedByMoves(grip, tuple(worst), max(pushing, key=push, default=None), tuple(most))


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
