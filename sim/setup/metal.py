"""The metal that boring leaves of a soft jaw: over its serrations, around its screws, under fixture and part.

Counted is what is turned now and what earlier borings took away. The serrated plane, z = 0, is that of the master jaws'
crests and so of the roots of the soft jaw's own serrations: metal ends there, teeth count as none. Lengths in mm.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from sim.base.arrays import Floats
from sim.scenario import OuterRing, Plug, Pocket, Ring, Scenario
from sim.setup.earlier_bores import earlier_inner_end
from sim.setup.held import HeldZone
from sim.setup.jaw_place import JawPlace, jaw_place, stands_free
from sim.setup.jaw_screws import head_seat
from sim.setup.jaw_solid import metal
from sim.setup.parts import Parts
from sim.setup.rebore import FACE_GRID, FRESH, LAND_STEP, UsedBlank, middles, pre_bored, used_blank

BESIDE = 0.02  # mm beyond a surface at which metal is looked for: an old seat of the same size still stands
BEHIND_STEP = 0.25  # mm
RIM = 0.5  # mm from a counterbore's edge at which the wall that its pin presses is looked for
LEAST_SEAT = 0.5  # of a fixture's seat; with less metal the jaws do not press it (common practice, no source)
MODEL_GRID = 16  # rays each way through a jaw from a file


@dataclass(frozen=True, slots=True)
class Turned:
    """One bore or step that is turned into the jaws, or was before.

    Attributes
    ----------
    what, field : str
        In words, and the field that states it.
    inner : float
        Radius of the blank's inner end while it is turned, mm.
    side : float
        Radius of its side, groove included, mm.
    low : float
        z of its floor, mm; 0 for what goes through.
    outward : bool
        What lies outside of its side is taken away, as for gripping inside.
    now : bool
        Turned now, not before.
    """

    what: str
    field: str
    inner: float
    side: float
    low: float
    outward: bool
    now: bool

    @property
    def is_pocket(self) -> bool:
        """Whether it is one of the pockets that are turned now; the field says so."""
        return self.field.startswith("pockets")

    def reach_over(self, position: float, radius: float) -> float:
        """Return how far its side stands off a hole (radius, position from the inner end); negative over it."""
        beyond = self.inner + position - self.side
        return (-beyond if self.outward else beyond) - radius


def turned(scenario: Scenario, place: JawPlace) -> tuple[Turned, ...]:
    """Return all that is turned into the jaws: pockets, the fixture's seat, through bores, then earlier borings."""
    inner, outward = place.bored, not place.outside
    found = [
        _bore(f"'{p.name}'", f"pockets[{n}].diameter", inner, p, scenario, outward=outward, now=True)
        for n, p in enumerate(scenario.pockets)
    ]
    boring = scenario.boring
    fixture = boring.fixture
    if isinstance(fixture, Plug | OuterRing):
        name, size = (
            ("diameter", fixture.diameter)
            if isinstance(fixture, Plug)
            else ("inner_diameter", fixture.inner_diameter)
        )
        found.append(
            Turned(
                f"the {fixture.kind}'s seat",
                f"boring.fixture.{name}",
                inner,
                0.5 * size,
                fixture.height,
                outward,
                now=True,
            )
        )
    if boring.through_diameter is not None and not outward:
        side = 0.5 * boring.through_diameter
        found.append(
            Turned("the through bore", "boring.through_diameter", inner, side, 0.0, outward=False, now=True)
        )
    if (side := pre_bored(scenario, place)) > 0.0:
        field = "boring.passes.pre_bore_diameter"
        found.append(Turned("the pre-bore", field, inner, side, 0.0, outward=False, now=True))
    return (*found, *_earlier(scenario))


def _earlier(scenario: Scenario) -> Iterator[Turned]:
    for number, bored in enumerate(scenario.soft_jaw.bored_before):
        inside, inner = bored.direction == "inside", earlier_inner_end(scenario, number)
        field = f"soft_jaw.bored_before[{number}]"
        for n, p in enumerate(bored.pockets):
            what = f"an earlier boring of {p.diameter:g} mm"
            yield _bore(what, f"{field}.pockets[{n}].diameter", inner, p, scenario, outward=inside, now=False)
        if bored.through_diameter is not None and not inside:
            what = f"an earlier through bore of {bored.through_diameter:g} mm"
            side = 0.5 * bored.through_diameter
            yield Turned(what, f"{field}.through_diameter", inner, side, 0.0, outward=False, now=False)


def _bore(
    what: str, field: str, inner: float, pocket: Pocket, scenario: Scenario, *, outward: bool, now: bool
) -> Turned:
    side = 0.5 * pocket.diameter + (-pocket.groove_depth if outward else pocket.groove_depth)
    return Turned(what, field, inner, side, scenario.soft_jaw.height - pocket.depth, outward, now)


# ---------------------------------------------------------------- over the serrations


def least_floor(parts: Parts) -> tuple[float, str]:
    """Return the thinnest metal over the roots of the serrations, and what leaves it.

    Under pockets, the fixture's seat and the counterbores, and under what earlier borings left standing. A through bore
    has no floor. In a jaw from a file it is measured from the recesses of its base.
    """
    scenario = parts.scenario
    bores = turned(scenario, parts.place)
    through = [t for t in bores if t.low <= 0.0]
    found = [(head_seat(scenario), "a counterbore")]
    found += [
        (one.low, one.what)
        for one in bores
        if one.low > 0.0 and _takes_metal(scenario, one) and not any(_within(one, hole) for hole in through)
    ]
    if scenario.soft_jaw.model is not None:
        found.append((_modelled_floor(parts), "what is turned over a recess of the base"))
    return min(found)


def _takes_metal(scenario: Scenario, one: Turned) -> bool:
    jaw = scenario.soft_jaw
    return (
        one.side < math.hypot(one.inner + jaw.length, 0.5 * jaw.width)
        if one.outward
        else one.side > one.inner
    )


def _within(one: Turned, hole: Turned) -> bool:
    """Tell whether a through bore takes a whole floor away; both are circles about where the axis was."""
    return not one.outward and abs(one.inner - hole.inner) + one.side <= hole.side


def _modelled_floor(parts: Parts) -> float:
    """Return the least height of metal that stands on the base where the jaw's top is turned away; inf if nowhere."""
    top, jaw = parts.scenario.soft_jaw.height, parts.scenario.soft_jaw
    places = (np.arange(MODEL_GRID) + 0.5) / MODEL_GRID
    least = math.inf
    for x in places * jaw.length:
        for y in (places - 0.5) * jaw.width:
            runs = metal(parts.bored, 2, float(x), float(y))
            if runs and runs[0][1] < top - BESIDE:
                least = min(least, runs[0][1] - max(runs[0][0], 0.0))
    return least


# ---------------------------------------------------------------- around the screws


class Wall(NamedTuple):
    """Metal (mm) between a screw's counterbore or hole and a bore beside it, that bore, and whether it is a pocket."""

    gap: float
    what: str
    beside_pocket: bool


def walls(scenario: Scenario) -> list[Wall]:
    """Return what stands between the screws' counterbores or holes and each bore beside them.

    A screw that lies wholly in a pocket has no wall. Beside what is turned below the counterbores counts the hole. Of
    earlier borings count those that reach below a back face: a wall above it is judged by how much of it is cut anew.
    """
    screws, jaw = scenario.soft_jaw.screws, scenario.soft_jaw
    seats = [jaw.height - p.depth for p in scenario.pockets]
    found = []
    for one in turned(scenario, jaw_place(scenario)):
        if not _takes_metal(scenario, one) or not (one.now or one.low < max(seats)):
            continue
        # A pocket's side begins at its mouth; whatever else there is begins under a pocket.
        above = jaw.height if one.is_pocket else max(seats) if not one.now else min(seats)
        bore = screws.counterbore_diameter if above > head_seat(scenario) else screws.hole_diameter
        for position in screws.positions:
            gap = one.reach_over(position, 0.5 * bore)
            if gap > -bore:
                found.append(Wall(gap, one.what, one.is_pocket))
    return found


def wall_behind(scenario: Scenario, zone: HeldZone, pocket: Pocket) -> float:
    """Return the least metal along the jaw behind a gripped face (mm), to the jaw's end or to an earlier boring.

    Less the relief groove, which undercuts its foot. Where the jaw stands free beside its master jaw, the floor under
    the lowest step bends with the wall that stands on it: then whichever is thinner.
    """
    place = jaw_place(scenario)
    wall = _behind(scenario, place, zone, 0.5 * pocket.diameter) - pocket.groove_depth
    if not stands_free(scenario):
        return wall
    return min(wall, *(one.low for one in turned(scenario, place) if one.low > 0.0))


def _behind(scenario: Scenario, place: JawPlace, zone: HeldZone, radius: float) -> float:
    jaw, inner, outside = scenario.soft_jaw, place.bored, place.outside
    half = place.face_half_chord(radius)
    end = place.outer_end(inner) - radius if outside else math.sqrt(max(radius**2 - half**2, 0.0)) - inner
    if not jaw.bored_before or end <= 0.0:
        return end
    steps = np.arange(0.0, end, BEHIND_STEP)
    across = half * middles(FACE_GRID[1])
    heights = np.linspace(zone.seat + LAND_STEP, zone.high - LAND_STEP, FACE_GRID[1])
    s, y, z = np.meshgrid(steps, across, heights, indexing="ij")
    x = np.sqrt(radius**2 - y**2) + place.sign * s
    gone = used_blank(scenario, place).missing(x, y, z)
    first = np.where(gone.any(axis=0), gone.argmax(axis=0) * BEHIND_STEP, end)
    return float(first.min())


# ---------------------------------------------------------------- under fixture and part


@dataclass(frozen=True, slots=True)
class FixtureSeat:
    """What is left of the surfaces on which the jaws take the boring fixture, as shares of them.

    Attributes
    ----------
    pressed : float
        Of the surface that presses the fixture, what is metal.
    fresh : float
        Of it, what is cut anew, at least `FRESH` deep; for a ring, whose surfaces are none that are turned, as pressed.
    under : float
        Of the surface on which the fixture's lower face lies, what is metal.
    """

    pressed: float
    fresh: float
    under: float

    @property
    def standing(self) -> float:
        """The lesser of what presses the fixture and what it lies on."""
        return min(self.pressed, self.under)


def fixture_seat(scenario: Scenario) -> FixtureSeat | None:
    """Return what earlier borings leave for the boring fixture to be pressed by and to lie on; None without one."""
    fixture, place = scenario.boring.fixture, jaw_place(scenario)
    if isinstance(fixture, Ring):
        return _ring_seat(scenario, place, fixture)
    jaw, blank = scenario.soft_jaw, used_blank(scenario, place)
    top = fixture.height + fixture.thickness if isinstance(fixture, Plug | OuterRing) else 0.0
    if isinstance(fixture, Plug):
        radius, back_face = 0.5 * fixture.diameter, jaw.height - max(p.depth for p in scenario.pockets)
        chord, ledge = place.face_half_chord(radius), (max(blank.inner, 0.0), radius)
        return _turned_seat(blank, radius, 1.0, chord, (fixture.height, min(top, back_face)), ledge)
    if isinstance(fixture, OuterRing):
        radius, corner = 0.5 * fixture.inner_diameter, place.corner(blank.inner)
        chord, ledge = place.outer_half_chord(radius), (radius, min(0.5 * fixture.outer_diameter, corner))
        return _turned_seat(blank, radius, -1.0, chord, (fixture.height, min(top, jaw.height)), ledge)
    return None


def fixture_pressed(scenario: Scenario) -> bool:
    """Tell whether there is metal enough for the jaws to press the boring fixture; True without one."""
    seat = fixture_seat(scenario)
    return seat is None or seat.standing >= LEAST_SEAT


def _turned_seat(
    blank: UsedBlank,
    radius: float,
    sign: float,
    chord: float,
    between: tuple[float, float],
    ledge: tuple[float, float],
) -> FixtureSeat:
    """Return what is left of a seat's side, as far as the fixture reaches, and of the ledge that it lies on.

    Parameters
    ----------
    radius, sign, chord : float
        Of the side, mm; 1 where its metal lies outside of it, -1 inside; half its width, mm.
    between, ledge : (float, float)
        Heights of the fixture in its seat, and radii of what it lies on, mm.
    """
    angles = math.asin(min(1.0, chord / radius)) * middles(FACE_GRID[0])[:, None]
    heights, radii = (
        low + (high - low) * 0.5 * (1.0 + middles(FACE_GRID[1]))[None, :] for low, high in (between, ledge)
    )
    pressed = _share(blank, radius + sign * BESIDE, angles, heights)
    fresh = _share(blank, radius - sign * FRESH, angles, heights)
    below = np.full((1, 1), between[0] - LAND_STEP)
    under = _share(blank, radii, angles, below, on_blank=True)
    return FixtureSeat(pressed, min(pressed, fresh), under)


def _ring_seat(scenario: Scenario, place: JawPlace, ring: Ring) -> FixtureSeat:
    """Return what is left of the top faces under a ring, and of the counterbores' walls that its pins press."""
    jaw, blank = scenario.soft_jaw, used_blank(scenario, place)
    radii = 0.5 * (
        ring.inner_diameter
        + 0.5 * (1.0 + middles(FACE_GRID[1])) * (ring.outer_diameter - ring.inner_diameter)
    )
    angles = math.asin(min(1.0, 0.5 * jaw.width / radii[0])) * middles(FACE_GRID[0])
    below = np.full((1, 1), jaw.height - LAND_STEP)
    under = _share(blank, radii[None, :], angles[:, None], below, on_blank=True)
    position = jaw.screws.positions[min(ring.screw, len(jaw.screws.positions) - 1)]
    # Jaws that close press a pin by the side of its counterbore that is farther out.
    around = math.radians(60.0) * middles(FACE_GRID[0])
    reach = 0.5 * jaw.screws.counterbore_diameter + RIM
    x = (blank.inner + position + place.sign * reach * np.cos(around))[:, None]
    y = (reach * np.sin(around))[:, None]
    z = jaw.height - ring.pin_length * 0.5 * (1.0 + middles(FACE_GRID[1]))[None, :]
    gone = blank.missing(*np.broadcast_arrays(x, y, z))
    pressed = float(1.0 - gone.mean())
    return FixtureSeat(pressed, pressed, under)


def _share(
    blank: UsedBlank,
    radius: float | Floats,
    angles: Floats,
    heights: Floats,
    *,
    on_blank: bool = False,
) -> float:
    """Return the share of a surface of places (radius, angle, height) that is metal.

    With `on_blank` only what lies on the blank is of the surface.
    """
    x, y, z = np.broadcast_arrays(radius * np.cos(angles), radius * np.sin(angles), heights)
    covered = blank.covers(x, y)
    metal_there = covered & ~blank.missing(x, y, z)
    area = np.where(covered | (not on_blank), np.broadcast_to(radius, x.shape), 0.0)
    return float(area[metal_there].sum() / area.sum()) if area.any() else 1.0


def land_left(scenario: Scenario, low: float, high: float, seat: float) -> float:
    """Return the widest land in one piece (mm) between two radii of a back face at z = seat, where it is least.

    The whole width where nothing was turned away before.
    """
    place = jaw_place(scenario)
    if high <= low or not (scenario.soft_jaw.bored_before or pre_bored(scenario, place) > 0.0):
        return high - low
    half = math.asin(min(1.0, place.face_half_chord(high) / high))
    count = max(2, math.ceil((high - low) / LAND_STEP))
    radii = low + (high - low) * (np.arange(count) + 0.5) / count
    r, a = np.meshgrid(radii, half * middles(FACE_GRID[0]), indexing="ij")
    gone = used_blank(scenario, place).missing(
        r * np.cos(a), r * np.sin(a), np.full_like(r, seat - LAND_STEP)
    )
    longest = run = np.zeros(gone.shape[1])
    for row in gone:
        run = np.where(row, 0.0, run + 1.0)
        longest = np.maximum(longest, run)
    return float(longest.min()) * (high - low) / count
