"""What is left in the jaws for later: how far each pocket can be turned larger or deeper in its place.

Closed forms in the half-plane, mm. A pocket stays where it is: the jaws keep their serration and the boring travel.
Gripping outside a re-bore makes the pocket wider, gripping inside it makes the step narrower.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import shapely

from meshes.jaw_screw import HEADS
from meshes.pocket import Pocket
from sim.base.arrays import Flags, Floats
from sim.base.tables import thread
from sim.scenario import Plug, Scenario
from sim.setup.earlier_bores import earlier_bore
from sim.setup.held import HeldZone
from sim.setup.jaw_place import JawPlace, jaw_place
from sim.setup.jaw_screws import head_top
from sim.setup.parts import Parts

END_WALL = 5.0  # mm, metal kept at the jaw's end behind a pocket's side (common practice, no source)
FRESH = 0.1  # mm, cut that makes an old surface true again (common practice, no source)
FACE_GRID = (48, 24)  # cells of a face, around and along
LAND_STEP = 0.05  # mm
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


@dataclass(frozen=True, slots=True)
class UsedJaw:
    """What earlier borings leave of a pocket.

    Attributes
    ----------
    fresh : float
        Share of the gripped face that is cut anew, at least `FRESH` deep.
    back_face : float
        Least radial width of the back face beside the pocket's side that is metal, mm.
    """

    fresh: float
    back_face: float


def used_jaw(scenario: Scenario, zone: HeldZone, diameter: float) -> UsedJaw:
    """Return what earlier borings leave of a pocket of a diameter (mm) and of the height over which it grips.

    Looked at on a grid over the face, angle by height: whether metal stands `FRESH` before the wall, and how far it
    reaches from the wall just below the back face. Earlier bores are circles about where the axis was then.
    """
    place, radius = jaw_place(scenario), 0.5 * diameter
    sign, blank = place.sign, used_blank(scenario, place)
    half = math.asin(min(1.0, place.face_half_chord(radius) / radius))
    around, along = (
        half * middles(FACE_GRID[0]),
        zone.low + zone.length * 0.5 * (1.0 + middles(FACE_GRID[1])),
    )
    angles, heights = np.meshgrid(around, along)
    before = _missing_at(blank, radius - sign * FRESH, angles, heights)
    end = radius - max(blank.inner, 0.0) if sign > 0.0 else blank.inner + blank.length - radius
    steps = np.arange(0.0, end + LAND_STEP, LAND_STEP)
    angles, depths = np.meshgrid(around, steps)
    under = zone.seat - LAND_STEP
    gone = _missing_at(blank, radius - sign * depths, angles, np.full_like(angles, under))
    first = np.where(gone.any(axis=0), gone.argmax(axis=0), len(steps) - 1)
    return UsedJaw(float(1.0 - before.mean()), float(steps[first].min()))


def middles(count: int) -> Floats:
    """Return the middles of equal cells from -1 to 1."""
    return (np.arange(count) + 0.5) * 2.0 / count - 1.0


def pre_bored(scenario: Scenario, place: JawPlace) -> float:
    """Return the radius (mm) to which the jaws are open, through and through, before their path starts; 0 where not.

    Jaws that are open no wider than their inner ends lose nothing by it.
    """
    wide = scenario.boring.passes.pre_bore_diameter or 0.0
    return 0.5 * wide if place.outside and 0.5 * wide > place.bored else 0.0


@dataclass(frozen=True, slots=True, eq=False)
class UsedBlank:
    """A soft jaw's blank where it stands while it is bored now, and what is missing of it already; mm.

    Attributes
    ----------
    inner : float
        Radius of its inner end.
    length, width : float
        Of the blank.
    tip, slope : float
        Half the width of the inner end, and the tangent of its flanks' angle to the middle plane.
    round_end : float or None
        Radius of a sector jaw's outer end about the line in which its flanks would meet.
    pre_bored : float
        Radius to which it is open, through and through; 0 where not.
    earlier : tuple of (float, Polygon)
        Of each earlier boring the radius of the inner end then, and what was removed, (r, z).
    """

    inner: float
    length: float
    width: float
    tip: float
    slope: float
    round_end: float | None
    pre_bored: float
    earlier: tuple[tuple[float, shapely.Polygon], ...]

    def covers(self, x: Floats, y: Floats) -> Flags:
        """Tell which places (mm, x along the jaw) lie on the blank seen from the front."""
        found = (x >= self.inner) & (x <= self.inner + self.length) & (np.abs(y) <= 0.5 * self.width)
        found &= np.abs(y) <= self.tip + (x - self.inner) * self.slope
        if self.round_end is None:
            return found
        return found & (np.hypot(x - self.inner - self.length + self.round_end, y) <= self.round_end)

    def missing(self, x: Floats, y: Floats, heights: Floats) -> Flags:
        """Tell which places were taken away before the jaws are bored now, same shape as given.

        Parameters
        ----------
        x, y, heights : arrays of one shape
            About the spindle axis, x along the jaw, mm; z above the serrated plane.
        """
        gone = np.hypot(x, y) < self.pre_bored
        for inner, removed in self.earlier:
            gone |= shapely.contains_xy(removed, np.hypot(x - self.inner + inner, y), heights)
        return gone


def used_blank(scenario: Scenario, place: JawPlace) -> UsedBlank:
    """Return the blank of a soft jaw with what earlier borings and the pre-bore took of it."""
    jaw = scenario.soft_jaw
    earlier = (earlier_bore(scenario, number) for number in range(len(jaw.bored_before)))
    return UsedBlank(
        inner=place.bored,
        length=jaw.length,
        width=jaw.width,
        tip=place.tip,
        slope=math.tan(place.flank),
        round_end=place.round_end,
        pre_bored=pre_bored(scenario, place),
        earlier=tuple((inner, shapely.Polygon(outline)) for inner, outline in earlier),
    )


def _missing_at(blank: UsedBlank, radius: float | Floats, angles: Floats, heights: Floats) -> Flags:
    """Tell which places about the spindle axis are missing, same shape as the angles (rad)."""
    return blank.missing(radius * np.cos(angles), radius * np.sin(angles), heights)


def rebores(radial: float, cut: float) -> int:
    """Return how many times a pocket can be turned over by a radial cut (mm)."""
    return math.floor(radial / cut + 1e-9)


def _radial(parts: Parts, pocket: Pocket, named: dict[str, Pocket]) -> list[tuple[float, str]]:
    scenario, jaw = parts.scenario, parts.scenario.soft_jaw
    sign, inner = parts.place.sign, parts.place.bored
    radius = 0.5 * pocket.diameter
    end = parts.place.outer_end(inner) - END_WALL if sign > 0.0 else inner + END_WALL
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
    sign, inner = parts.place.sign, parts.place.bored
    floor = scenario.limits.floor
    ends = [(seat - floor, f"a floor of {floor:g} mm over the serrations")]
    fixture = scenario.boring.fixture
    if isinstance(fixture, Plug):
        ends.append((seat - fixture.height - fixture.thickness, "the plug"))
    head = HEADS[thread(jaw.screws.thread).diameter]
    side = 0.5 * pocket.diameter + sign * pocket.groove_depth
    if any(sign * (side - inner - p) > -0.5 * head.diameter for p in jaw.screws.positions):
        ends.append((seat - head_top(scenario), "a screw's head"))
    below = [p for p in parts.pockets if p.depth > pocket.depth]
    if below:
        following = min(below, key=lambda p: p.depth)
        wall = following.depth - pocket.depth - following.chamfer - following.groove_width
        ends.append((wall, "the wall of the pocket below"))
    return ends
