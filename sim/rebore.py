"""What is left in the jaws for later: how far each pocket can be turned larger or deeper in its place.

Closed forms in the half-plane, mm. A pocket stays where it is: the jaws keep their serration and the boring travel.
Gripping outside a re-bore makes the pocket wider, gripping inside it makes the step narrower.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from meshes.jaw_screw import HEADS
from meshes.pocket import Pocket
from sim.parts import Parts, inner_end_radius
from sim.scenario import Plug
from sim.tables import thread

END_WALL = 5.0  # mm, metal kept at the jaw's end behind a pocket's side (common practice, no source)
FLOOR = 5.0  # mm, metal kept between back face and serrations (common practice, no source)
LEAST_LAND = 3.0  # mm, radial land between two pockets (common practice, no source)


@dataclass(frozen=True, slots=True)
class PocketStock:
    """Metal around one pocket.

    Attributes
    ----------
    pocket : str
    radial : float
        By which the pocket's radius may still change, mm; 0 where nothing is left.
    radial_end : str
        What stands there.
    deeper : float
        By which its back face may still go down, mm.
    deeper_end : str
        What stands there.
    """

    pocket: str
    radial: float
    radial_end: str
    deeper: float
    deeper_end: str


def pocket_stock(parts: Parts) -> tuple[PocketStock, ...]:
    """Return the metal left around every pocket, in the order of the scenario; the other pockets stay as they are."""
    names = [p.name for p in parts.scenario.pockets]
    found = []
    for name, pocket in zip(names, parts.pockets, strict=True):
        radial, radial_end = min(_radial(parts, pocket, dict(zip(names, parts.pockets, strict=True))))
        deeper, deeper_end = min(_axial(parts, pocket))
        found.append(PocketStock(name, max(0.0, radial), radial_end, max(0.0, deeper), deeper_end))
    return tuple(found)


def rebores(radial: float, cut: float) -> int:
    """Return how many times a pocket can be turned over by a radial cut (mm)."""
    return math.floor(radial / cut + 1e-9)


def _radial(parts: Parts, pocket: Pocket, named: dict[str, Pocket]) -> list[tuple[float, str]]:
    scenario, jaw = parts.scenario, parts.scenario.soft_jaw
    sign = 1.0 if parts.direction == "outside" else -1.0
    inner = inner_end_radius(scenario, scenario.boring.travel)
    radius = 0.5 * pocket.diameter
    end = inner + jaw.length - END_WALL if sign > 0.0 else inner + END_WALL
    ends = [(sign * (end - radius), "the jaw's outer end" if sign > 0.0 else "the jaw's inner end")]
    side, half = radius + sign * pocket.groove_depth, 0.5 * jaw.screws.counterbore_diameter
    for position in jaw.screws.positions:
        beyond = sign * (inner + position - side)
        if beyond > -half:
            ends.append(
                (
                    beyond - half - scenario.limits.wall,
                    f"the counterbore at radius {inner + position:g} mm less a wall of {scenario.limits.wall:g} mm",
                )
            )
    wider = {name: p for name, p in named.items() if p.depth < pocket.depth}
    if wider:
        name, above = max(wider.items(), key=lambda item: item[1].depth)
        land = sign * (0.5 * above.diameter - radius) - pocket.chamfer
        ends.append((land - LEAST_LAND, f"the land of '{name}', {LEAST_LAND:g} mm"))
    return ends


def _axial(parts: Parts, pocket: Pocket) -> list[tuple[float, str]]:
    scenario, jaw = parts.scenario, parts.scenario.soft_jaw
    seat = jaw.height - pocket.depth
    inner = inner_end_radius(scenario, scenario.boring.travel)
    ends = [(seat - FLOOR, f"a floor of {FLOOR:g} mm over the serrations")]
    fixture = scenario.boring.fixture
    if isinstance(fixture, Plug):
        ends.append((seat - fixture.height - fixture.thickness, "the plug"))
    head = HEADS[thread(jaw.screws.thread).diameter]
    head_top = jaw.height - jaw.screws.counterbore_depth + head.height
    sign = 1.0 if parts.direction == "outside" else -1.0
    side = 0.5 * pocket.diameter + sign * pocket.groove_depth
    if any(sign * (side - inner - p) > -0.5 * head.diameter for p in jaw.screws.positions):
        ends.append((seat - head_top, "a screw's head"))
    below = [p for p in parts.pockets if p.depth > pocket.depth]
    if below:
        following = min(below, key=lambda p: p.depth)
        wall = following.depth - pocket.depth - following.chamfer - following.groove_width
        ends.append((wall, "the wall of the pocket below"))
    return ends
