"""The stages that the page can show: boring of the jaws, then each operation, with the ranges of their sliders."""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from sim.assessment.bored import DEPTH_STEP, bore_stops, depth_stops, touches
from sim.assessment.bored import STEP as BORE_STEP
from sim.assessment.figures.operation import OperationFigures
from sim.assessment.figures.path import PathFigures
from sim.assessment.results import Assessment
from sim.assessment.state import BORING, States, at
from sim.assessment.unequal import cause_of_unequal
from sim.programs.path import arc_points
from sim.setup.parts import Parts
from sim.setup.pressures import known_pressures
from sim.views.face_patches import face_patches
from sim.views.packing import base64_of
from sim.views.web.figures import MPA_PER_BAR
from sim.views.web.look_path import path_look
from sim.views.wording import sentence

FACE_CELLS = (56, 24)  # of the coloured face; its colours come from a picture, the cells only follow holes
TRAVEL_STEP, PRESSURE_STEP, SPEED_STEP, ANGLE_STEP = 0.01, 0.1, 10.0, 1.0  # mm, bar, rev/min, deg


def as_objects(states: States) -> list[dict[str, Any]]:
    """Return all stages as the page reads them: operations in their order, then boring."""
    operations = [_operation(states, f) for f in states.assessment.operations]
    return [_boring(states), *operations]


def face_shapes(assessment: Assessment) -> dict[str, dict[str, Any]]:
    """Return the gripped face of each operation in the jaw's frame, with its place on the face from 0 to 1."""
    return {f"face {f.index}": _face(f, assessment.parts) for f in assessment.operations}


def _boring(states: States) -> dict[str, Any]:
    scenario = states.assessment.scenario
    path = _path(states, BORING, states.assessment.boring)
    return {
        "key": BORING,
        "name": "boring of the jaws",
        "path": path,
        "values": {
            "travel_mm": scenario.boring.travel,
            "pressure_bar": scenario.boring.pressure / MPA_PER_BAR,
            "speed_rpm": scenario.boring.speed,
            "spindle_angle_rad": 0.0,
            "position_mm": _closest(states, path),
        },
        "ranges": {} if path is None else {"position_mm": _path_range(path)},
        "fixed": {
            "travel_mm": "bored here",
            "pressure_bar": "as stated",
            "speed_rpm": "as stated",
        },
        "tops": {
            "travel_mm": scenario.chuck.stroke,
            "pressure_bar": highest_pressure(states.assessment) / MPA_PER_BAR,
            "speed_rpm": _highest_speed(states.assessment),
        },
    }


def _closest(states: States, path: dict[str, Any] | None) -> float:
    """Return where (mm along it) the boring path comes closest: at its start the tool stands out of the picture."""
    boring = states.assessment.boring
    if path is None or boring is None:
        return 0.0
    look = path_look(states, BORING, boring, "nearest")
    return 0.0 if look is None else float(look.values["position_mm"])


def _operation(states: States, figures: OperationFigures) -> dict[str, Any]:
    assessment = states.assessment
    scenario, stated = assessment.scenario, figures.operation
    work, zone = stated.workpiece, figures.zone
    middle = 0.5 * (work.gripped_diameter_low + work.gripped_diameter_high)
    sizes = {"smallest": work.gripped_diameter_low, "middle": middle, "largest": work.gripped_diameter_high}
    touched = {
        name: at(states, figures.index, gripped_diameter=size).touch_travel for name, size in sizes.items()
    }
    number = [pocket.name for pocket in scenario.pockets].index(stated.pocket)
    bore, stops = scenario.pockets[number].diameter, bore_stops(states, number)
    depth, depths = scenario.pockets[number].depth, depth_stops(states, number)
    low, high = scenario.machine.lowest_pressure, highest_pressure(assessment)
    low = min(
        max(low, known_pressures(scenario)[0][0] + MPA_PER_BAR * PRESSURE_STEP), stated.gripping.pressure
    )
    path = _path(states, str(figures.index), assessment.machining[figures.index])
    presses = _highest_speed(assessment) if assessment.parts.direction == "inside" else 0.0
    hardest = at(states, figures.index, pressure=high, speed=presses)
    return {
        "key": str(figures.index),
        "name": stated.name,
        "values": {
            "travel_mm": touched["middle"],
            "pressure_bar": stated.gripping.pressure / MPA_PER_BAR,
            "speed_rpm": stated.gripping.speed_high,
            "spindle_angle_rad": 0.0,
            "gripped_diameter_mm": middle,
            "side_force_N": 0.0,
            "bore_mm": bore,
            "depth_mm": depth,
            **({} if path is None else {"position_mm": 0.0}),
        },
        "ranges": {
            "travel_mm": [0.0, scenario.chuck.stroke, TRAVEL_STEP],
            "pressure_bar": [low / MPA_PER_BAR, high / MPA_PER_BAR, PRESSURE_STEP],
            "speed_rpm": [0.0, _highest_speed(assessment), SPEED_STEP],
            **({"bore_mm": [stops[0], stops[-1], BORE_STEP]} if stops else {}),
            **({"depth_mm": [depths[0], depths[-1], DEPTH_STEP]} if depths else {}),
            **({} if path is None else {"position_mm": _path_range(path)}),
        },
        "fixed": {"position_mm": "no program"} if path is None else {},
        "path": path,
        "sizes": sizes,
        "touches": touched,
        "side_force_N": figures.clamping.side,
        "pocket": str(number),
        "stops": {
            **({"bore_mm": stops} if stops else {}),
            **({"depth_mm": depths} if depths else {}),
        },
        "bored_touches": [
            dict(zip(sizes, touches(states, figures.index, {number: one}, sizes.values()), strict=True))
            for one in stops
        ],
        "marks": {
            "bore_mm": [[bore, "as stated"]],
            "depth_mm": [[depth, "as stated"]],
            "travel_mm": [
                [scenario.boring.travel, "bored here"],
                [touched["middle"], "first touch, middle size"],
            ],
            "pressure_bar": [[stated.gripping.pressure / MPA_PER_BAR, "stated"]],
            "speed_rpm": [[stated.gripping.speed_high, "highest stated"]],
        },
        "face": f"face {figures.index}",
        "face_at": [assessment.parts.place.soft, 0.0, 0.0],
        "safety": scenario.limits.holding_factor,
        "grip_top_N": hardest.figures.rest_total / 3.0,
        "yield_MPa": figures.yield_strength,
        "gripped_radius_mm": 0.5 * middle,
        "held_mm": [zone.low, zone.high],
        "model": figures.clamping.model,
        "roundness_um": figures.roundness,
        "unequal": sentence(cause_of_unequal(figures, scenario.soft_jaw)),
    }


def highest_pressure(assessment: Assessment) -> float:
    """Return the highest pressure (MPa) that chuck and machine may get and that the chuck's own data reach."""
    return known_pressures(assessment.scenario)[1][0]


def _highest_speed(assessment: Assessment) -> float:
    speeds = [o.gripping.speed_high for o in assessment.scenario.operations]
    return SPEED_STEP * math.ceil(max(assessment.scenario.chuck.marked_speed, *speeds) / SPEED_STEP)


def _path_range(path: dict[str, Any]) -> list[float]:
    """Return the range of places on a path, in steps that divide it into about a thousand."""
    length = path["length_mm"]
    return [0.0, length, 0.1 if length <= 200.0 else 0.5 if length <= 1000.0 else 1.0]


def _path(states: States, stage: str, figures: PathFigures | None) -> dict[str, Any] | None:
    """Return a path as points with the way gone (mm) at each, and the moves with their ends; None without moves."""
    if figures is None or stage not in states.tracks:
        return None
    track = states.tracks[stage]
    points, gone, owner = [], [], []
    start = 0.0
    for number, move in enumerate(track.moves):
        line = arc_points(move, 0.01)
        along = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(line, axis=0).T))])
        share = along / along[-1] if along[-1] > 0.0 else along
        points.append(line)
        gone.append(start + share * (float(track.ends[number]) - start))
        owner.append(np.full(len(line), number))
        start = float(track.ends[number])
    return {
        "points": base64_of(np.vstack(points).astype("<f4")),
        "gone_mm": base64_of(np.concatenate(gone).astype("<f4")),
        "move": base64_of(np.concatenate(owner).astype("<u4")),
        "rapid": [move.kind == "rapid" for move in track.moves],
        "run": [figures.run_of(number) for number in range(len(track.moves))],
        "ends_mm": [round(float(e), 4) for e in track.ends],
        "length_mm": track.length,
        "file": figures.file,
        "notes": list(figures.notes),
    }


def _face(figures: OperationFigures, parts: Parts) -> dict[str, Any]:
    patch, _ = face_patches(figures, parts, FACE_CELLS)[0]
    around, along = FACE_CELLS
    moved = patch.copy()
    moved.vertices = np.asarray(patch.vertices) - [
        parts.place.inner(figures.grip_travel),
        0.0,
        0.0,
    ]
    u, v = np.meshgrid(np.linspace(0.0, 1.0, around + 1), np.linspace(0.0, 1.0, along + 1))
    normals = np.zeros((len(moved.vertices), 4), dtype="<i2")
    normals[:, 0] = -32767 if parts.direction == "outside" else 32767
    return {
        "positions": base64_of(np.asarray(moved.vertices).astype("<f4")),
        "normals": base64_of(normals),
        "triangles": base64_of(np.asarray(moved.faces).astype("<u4")),
        "edges": "",
        "places": base64_of(np.column_stack([u.ravel(), v.ravel()]).astype("<f4")),
    }
