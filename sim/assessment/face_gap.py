"""How far jaws and part are apart at a travel, where they are nearest, and at which travel they touch."""

from __future__ import annotations

import math

from meshes.points import Point3
from sim.mechanics import stroke
from sim.setup.grip_travel import face_width
from sim.setup.parts import Parts


def gap_at(parts: Parts, operation: int, travel: float, diameter: float) -> float:
    """Return the least radial distance (mm) of part and bored faces at a travel; negative where they overlap."""
    scenario = parts.scenario
    pocket = scenario.pocket_of(scenario.operations[operation])
    return stroke.loading_clearance(
        0.5 * diameter,
        0.5 * pocket.diameter,
        face_width(parts.place, pocket),
        scenario.boring.travel - travel,
        parts.direction,
    )


def closest_points(
    parts: Parts, operation: int, height: float, travel: float, diameter: float
) -> tuple[Point3, Point3]:
    """Return the points of jaw 1's face and of the part that are nearest, at a height z (mm)."""
    scenario = parts.scenario
    pocket = scenario.pocket_of(scenario.operations[operation])
    bored, moved = 0.5 * pocket.diameter, scenario.boring.travel - travel
    e = moved if parts.direction == "outside" else -moved
    half = 0.5 * face_width(parts.place, pocket)
    corner = (e + math.sqrt(bored**2 - half**2), half)
    sign = 1.0 if parts.direction == "outside" else -1.0
    faces = ((e + bored, 0.0), corner)
    x, y = min(faces, key=lambda point: sign * math.hypot(*point))
    share = 0.5 * diameter / math.hypot(x, y)
    return (x, y, height), (share * x, share * y, height)


def touch_travel(parts: Parts, operation: int, diameter: float) -> float:
    """Return the travel (mm) at which the jaws touch a part of this diameter, within the stroke."""
    scenario = parts.scenario
    pocket = scenario.pocket_of(scenario.operations[operation])
    found = stroke.travel(
        0.5 * diameter,
        0.5 * pocket.diameter,
        face_width(parts.place, pocket),
        scenario.boring.travel,
        scenario.chuck.stroke,
        parts.direction,
    )
    return stroke.within_stroke(found.grip_travel, scenario.chuck.stroke)
