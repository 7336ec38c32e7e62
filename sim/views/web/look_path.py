"""What the verdicts on a cutting path are about: the tool at its touch, where it is nearest, where it cuts too much."""

from __future__ import annotations

import itertools
import math

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from sim.assessment.figures.machining import MachiningFigures
from sim.assessment.figures.path import PathFigures
from sim.assessment.state import BORING, States
from sim.assessment.verdicts.path import APART
from sim.assessment.verdicts.program import without_spindle
from sim.clearance.standing import along_move, point_on
from sim.views.web.looking import SIDE, THROUGH_JAW, Look

PLACES = 40  # looked at along the move with the least clearance
NEAR = 130.0  # mm seen from the top to the bottom of the picture
NEARER = 40.0  # the same where a tenth of a millimetre matters


def path_look(states: States, stage: str, path: PathFigures, view: str) -> Look | None:
    """Return the view of a path that a rule asks for; None for a view of something else, and without moves."""
    if stage not in states.tracks:
        return None
    if view == "touch":
        return _touch(states, stage, path)
    if view == "nearest":
        return _nearest(states, stage, path)
    if view == "cut too deep":
        return _region(states, stage, path, path.clearance.gouge)
    if view == "stock left":
        return _region(states, stage, path, path.clearance.leftover)
    number = _move_of(path, view)
    if number is not None:
        return _at_move(states, stage, number)
    if isinstance(path, MachiningFigures) and view == "worst move":
        return _at_move(states, stage, int(path.grip.factor.argmin()), path)
    if isinstance(path, MachiningFigures) and view == "fastest move":
        return _at_move(states, stage, int(path.grip.speed.argmax()), path)
    return None


def _move_of(path: PathFigures, view: str) -> int | None:
    """Return the move that a verdict on depth, bar, rapid plane, spindle, tool change or end is about."""
    if view == "deepest move":
        return int(path.clearance.depth_of_cut.argmax())
    if view == "rapid move":
        return int(np.minimum(path.clearance.clearance, path.clearance.approach).argmin())
    if view == "bar":
        bent = max(path.bars, key=lambda one: one.bend, default=None)
        return None if bent is None else bent.move
    if view == "last move":
        return len(path.moves) - 1
    if view == "spindle":
        return next(iter(without_spindle(path)), None)
    if view == "tool change":
        starts = list(itertools.accumulate(len(run.moves) for run in path.runs))[:-1]
        changes = [number for number in starts if number < len(path.moves)]
        return min(changes, key=lambda number: path.moves[number].start[1], default=None)
    return None


def above_path(states: States, stage: str) -> dict[str, float]:
    """Return the end of a path, where the tool stands clear; nothing without one."""
    return {"position_mm": states.tracks[stage].length} if stage in states.tracks else {}


def group_of(body: str) -> str:
    """Return the group of a body of the clearance check: 'jaw screw 2' belongs to 'jaw screws'."""
    plain = body.rstrip(" 0123456789")
    fixtures = {"boring ring", "plug", "outer ring", "back stop", "centre", "steady rest"}
    single = {"chuck body", "workpiece", *fixtures}
    return plain if plain.endswith("s") or plain in single else f"{plain}s"


def _touch(states: States, stage: str, path: PathFigures) -> Look:
    found = [t for t in path.clearance.touches if t.kind not in APART]
    if not found:
        return _nearest(states, stage, path)
    touch, on = found[0], states.tracks[stage]
    move = on.moves[touch.move]
    gone = min(
        math.dist(move.start, touch.tool_at) + 0.2,
        float(on.ends[touch.move]) - _start(states, stage, touch.move),
    )
    target = (touch.place[0], 0.0, touch.place[1])
    position = {"position_mm": _start(states, stage, touch.move) + gone}
    return Look(stage, position, SIDE, target, NEAR, THROUGH_JAW, (group_of(touch.body),), pair=True)


def _nearest(states: States, stage: str, path: PathFigures) -> Look:
    number, on = path.clearance.least_move, states.tracks[stage]
    start = _start(states, stage, number)
    gone = np.linspace(0.0, float(on.ends[number]) - start, PLACES)
    best = min(along_move(on, number, [float(g) for g in gone]), key=lambda s: s.distance)
    middle = np.mean(best.ends, axis=0) if best.ends is not None else np.array(best.tip)
    target = (float(middle[0]), 0.0, float(middle[1]))
    position = {"position_mm": start + best.position}
    bodies = (group_of(best.body),) if best.body else ()
    return Look(stage, position, SIDE, target, NEAR, THROUGH_JAW, bodies, pair=True)


def _region(states: States, stage: str, path: PathFigures, region: BaseGeometry) -> Look:
    bodies = ("soft jaws",) if stage == BORING else ("workpiece",)
    at_end = above_path(states, stage)
    shape = region if not region.is_empty else path.wanted
    if shape is None or shape.is_empty:
        return Look(stage, at_end, SIDE, section=THROUGH_JAW, bodies=bodies)
    largest = max(shapely.get_parts(shape), key=shapely.area)
    point = shapely.point_on_surface(largest)
    target = (float(shapely.get_x(point)), 0.0, float(shapely.get_y(point)))
    span = NEARER if not region.is_empty else NEAR
    return Look(stage, at_end, SIDE, target, span, THROUGH_JAW, bodies)


def _at_move(states: States, stage: str, number: int, machining: MachiningFigures | None = None) -> Look:
    """Show the tool in the middle of a move, at the speed that the program gives it there."""
    on = states.tracks[stage]
    start = _start(states, stage, number)
    half = 0.5 * (float(on.ends[number]) - start)
    x, z = point_on(on.moves[number], half)
    values = {"position_mm": start + half}
    if machining is not None:
        values["speed_rpm"] = float(machining.grip.speed[number])
    return Look(stage, values, SIDE, (max(x, 0.0), 0.0, z), NEAR, THROUGH_JAW, ("tool",))


def _start(states: States, stage: str, move: int) -> float:
    """Return how far (mm) the tip has gone at the start of a move."""
    return float(states.tracks[stage].ends[move - 1]) if move else 0.0
