"""How far the three soft jaws, and the three master jaws under them, stay off each other. Lengths in mm.

Seen from the front as blanks: under its pocket a bored jaw still has its inner end.
"""

from __future__ import annotations

import itertools
import math

import shapely
from shapely import affinity

from meshes import soft_jaw
from sim.base.kept import kept
from sim.scenario import Scenario
from sim.setup.dimensions import blank_dimensions
from sim.setup.jaw_place import JawPlace

JAW_ANGLE = 120.0  # deg, from one jaw to the next


def soft_gap(scenario: Scenario, place: JawPlace) -> float:
    """Return the least gap (mm) between soft jaws that are closed as far as they go; 0 where they meet.

    Each stands off by its own serrations.
    """
    pitch = scenario.chuck.serration_pitch
    first, second, third = (place.closed + off * pitch for off in scenario.soft_jaw.serrations_off)
    return _gap(soft_jaw.plan(blank_dimensions(scenario)), (first, second, third))


def master_gap(scenario: Scenario, place: JawPlace) -> float:
    """Return the least gap (mm) between master jaws that are closed as far as they go; 0 where they meet."""
    low = place.closed - place.soft + place.master
    jaw = scenario.master_jaw
    return _gap(shapely.box(0.0, -0.5 * jaw.width, jaw.length, 0.5 * jaw.width), (low, low, low))


def least_inner_end(place: JawPlace) -> float:
    """Return at which radius (mm) the inner ends of jaws alike would meet: on the lines at 60 deg to their middles."""
    return place.tip / math.sqrt(3.0)


@kept(8)  # asked for when a setup is loaded and when it is judged
def _gap(plan: shapely.Polygon, inner: tuple[float, float, float]) -> float:
    """Return the least distance (mm) of three bodies of one plan whose inner ends stand at these radii."""
    placed = [
        affinity.rotate(affinity.translate(plan, xoff=radius), JAW_ANGLE * number, origin=(0.0, 0.0))
        for number, radius in enumerate(inner)
    ]
    return min(float(shapely.distance(one, other)) for one, other in itertools.combinations(placed, 2))
