"""The thinnest sections between the jaws and each cut: of the part as it is gripped, with grooves, along its program.

Which these are neither pressure nor speed moves. A stated cut finds the part as it is gripped, with every other
stated groove in it that lies before the cut: the file tells of no order, so a groove that stands after the cut warns.
A move of a program finds what its program has left by then; where it leaves no neck the metal left in the end counts,
which is never more. What is looked for hangs on no force: a worse cut never finds more metal.
"""

from __future__ import annotations

import bisect
import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import partial
from typing import TypeAlias, TypeVar, cast

import numpy as np
from shapely.geometry.base import BaseGeometry

from sim.assessment.bend import borne_at
from sim.assessment.figures.cut import CutDemand
from sim.assessment.figures.machining import AskedByMove, MachiningFigures
from sim.assessment.figures.operation import OperationFigures, half_section
from sim.assessment.neck import edges_of, grooved
from sim.assessment.side import GRAVITY
from sim.base.arrays import Floats, Ints
from sim.base.printable import printable
from sim.clearance.runs import stock_at
from sim.mechanics.cutting import CutForces, part_load
from sim.mechanics.thin_section import Sections
from sim.setup.parts import Parts

# Of the yield strength: half as much again as is needed, as for the grip (assumption, no source).
BEARS = 2.0 / 3
BESIDE = 1e-4  # mm from a corner of the outline, on both sides of it, is looked at
BIN = 1.0  # mm of height of which the outline's innermost and outermost corner are looked at
NECK = 1.0 / 8  # of the modulus that stood there: half the diameter is a neck (assumption, no source)
LOOKED_AT = 4  # moves of each kind
SLIVER = 0.1  # mm of wall, which no cut pushes

Known: TypeAlias = dict[tuple[object, ...], object]
Found = TypeVar("Found")


@dataclass(frozen=True, slots=True, eq=False)
class ThinSections:
    """What one cut loads, and whose cut it is.

    Attributes
    ----------
    name : str
        Of the cut or move, and of the reading of its program where there are several.
    demand : CutDemand
        With its forces, as stated or as the move asks for them.
    certain : Sections or None
        Of a stated cut: without the grooves that stand after it; None where that is the same.
    sections : Sections
    """

    name: str
    demand: CutDemand
    certain: Sections | None
    sections: Sections


@dataclass(frozen=True, slots=True, eq=False)
class _Part:
    """What all cuts of an operation have in common; lengths in mm, chuck frame; what is known of it already."""

    parts: Parts
    figures: OperationFigures
    held: BaseGeometry
    level: bool
    known: Known

    @property
    def seat(self) -> float:
        return self.figures.zone.seat

    @property
    def low(self) -> float:
        return self.figures.zone.high


def thin_sections(
    parts: Parts, figures: OperationFigures, machining: MachiningFigures | None, known: Known | None = None
) -> tuple[ThinSections, ...]:
    """Return the sections that each stated cut, and each move of a program that is looked at, loads.

    `known` has what was found for the same operation at other pressures and speeds, and takes what is found.
    """
    operation = figures.operation
    borne = operation.tailstock is not None or operation.steady_rest is not None
    level = parts.scenario.machine.spindle_axis == "level" and not borne
    of = _Part(parts, figures, half_section(figures, parts), level, {} if known is None else known)
    found = [_of_stated(of, number) for number in range(len(operation.cuts))]
    readings = () if machining is None else machining.readings
    for number, (way, told) in enumerate(zip(readings, figures.moves, strict=True)):
        named = f" with {way.reading}" if len(readings) > 1 else ""
        found += _of_moves(of, way, number, told.asked.cuts, named)
    return tuple(found)


def _of_stated(of: _Part, number: int) -> ThinSections:
    """Return what a stated cut loads, with all grooves that lie before it, and without those that stand after it."""
    cuts, demand = of.figures.operation.cuts, of.figures.demands[number]
    cut = cuts[number]
    grooves = [
        n
        for n, other in enumerate(cuts)
        if n != number
        and other.kind == "grooving"
        and other.end_diameter is not None
        and other.height < cut.height
    ]

    def with_grooves(some: Sequence[int]) -> Sections:
        left = of.held
        for other in (cuts[n] for n in some):
            left = grooved(left, other, of.seat + other.height, half_width=0.5 * other.depth_of_cut)
        return _sections(left, of, demand.forces)

    sections = _once(of, ("cut", number), lambda: with_grooves(grooves))
    sure = [n for n in grooves if n < number]
    certain = _once(of, ("sure", number), lambda: with_grooves(sure)) if len(sure) < len(grooves) else None
    return ThinSections(f"'{printable(cut.name)}'", demand, certain, sections)


def _of_moves(
    of: _Part, way: MachiningFigures, reading: int, cuts: Sequence[AskedByMove], named: str
) -> list[ThinSections]:
    """Return what the moves of a program load that bend, twist or push the part most, or its neck once that is cut.

    Where the program leaves no neck the metal left in the end counts, which is never more than that left by then.
    """
    neck = _once(of, (reading, "neck"), lambda: _neck(of, way))
    chosen = _looked_at(
        cuts, of.low if neck is None else neck.height, of.seat, -1 if neck is None else neck.made_by
    )
    found, left, first = [], way.stock if neck else way.clearance.stock_left, 0
    for one in chosen:
        forces, move = one.demand.forces, way.moves[one.move]
        key = (reading, one.move, forces.height, forces.diameter, forces.feed_towards, forces.kind)
        if neck is not None and key not in of.known:
            tip = move.end if forces.feed_towards == "tailstock" else move.start
            left, first = stock_at(way.runs, left, one.move, tip, first), one.move
        kept_away = _own_width(way, one) if forces.feed_towards in ("axis", "outward") else None
        sections = _once(of, key, partial(_sections, left, of, forces, kept_away))
        found.append(ThinSections(f"{one.demand.name}{named}", one.demand, None, sections))
    return found


def _looked_at(cuts: Sequence[AskedByMove], height: float, seat: float, made_by: int) -> list[AskedByMove]:
    """Return the cuts that bend most at a height (mm, chuck frame), twist and push most; of all and from a move on."""

    def bends(one: AskedByMove) -> float:
        forces = one.demand.forces
        load = part_load(forces)
        axial = load.towards_chuck + load.away_from_chuck
        return load.radial * max(seat + forces.height - height, 0.0) + 0.5 * forces.diameter * axial

    def twists(one: AskedByMove) -> float:
        return part_load(one.demand.forces).torque

    later = [one for one in cuts if one.move > made_by]
    chosen = {
        one.move: one
        for some in (cuts, later)
        for by in (bends, twists)
        for one in sorted(some, key=by, reverse=True)[:LOOKED_AT]
    }
    return [chosen[move] for move in sorted(chosen)]


@dataclass(frozen=True, slots=True)
class _Neck:
    """Where a program leaves a neck, mm in the chuck frame, and the number of the move that makes it one."""

    height: float
    made_by: int


def _neck(of: _Part, way: MachiningFigures) -> _Neck | None:
    """Return where a program leaves least of what stood there, if that is a neck."""
    raw, left = edges_of(way.stock), edges_of(way.clearance.stock_left)
    top = min(float(raw[1].max(initial=of.low)), float(left[1].max(initial=of.low)))
    heights = _heights(*left, of.low, top)
    if len(heights) == 0:
        return None
    before, after = (_modulus(*_rings(*edges, heights), len(heights)) for edges in (raw, left))
    share = np.divide(after, before, out=np.ones(len(heights)), where=before > 0.0)
    at = int(share.argmin())
    if share[at] >= NECK:
        return None
    height = float(heights[at])
    at_neck = np.array([height])

    def thin(move: int) -> bool:
        left = edges_of(stock_at(way.runs, way.stock, move, way.moves[move].end))
        return bool(_modulus(*_rings(*left, at_neck), 1)[0] < NECK * before[at])

    return _Neck(height, bisect.bisect_left(range(len(way.moves)), x=True, key=thin))


def _once(of: _Part, key: tuple[object, ...], find: Callable[[], Found]) -> Found:
    if key not in of.known:
        of.known[key] = find()
    return cast("Found", of.known[key])


def _own_width(way: MachiningFigures, one: AskedByMove) -> tuple[float, float]:
    """Return the heights (mm, chuck frame) that the edge of a move itself cuts: what it parts off hangs there."""
    run, at = way.runs[way.run_of(one.move)], way.moves[one.move].start[1]
    along = np.concatenate([part.outline[:, 1] for part in run.tool.parts if part.kind == "insert"])
    return at + float(along.min()), at + float(along.max())


def _sections(
    section: BaseGeometry,
    of: _Part,
    forces: CutForces,
    kept_away: tuple[float, float] | None = None,
) -> Sections:
    """Return what a cut loads of a half section, (r, z) in the chuck frame."""
    at = of.seat + forces.height
    bears = borne_at(of.parts.scenario, of.figures.index, of.figures.zone, forces.height)
    top = max([at, *(of.seat + height for height, _ in bears)])
    radius, height = edges_of(section)
    # Beyond its end there is nothing to bear; what is parted from the jaws has metal beyond the gap.
    heights = _heights(radius, height, of.low, min(top, float(height.max(initial=of.low))))
    if kept_away is not None:
        heights = heights[(heights < kept_away[0]) | (heights > kept_away[1])]
    inner, outer, owner = _rings(radius, height, heights)
    modulus, area = _of_the_ring_that_bears(inner, outer, owner, heights, at, 0.5 * forces.diameter)
    bends = np.maximum(at - heights, 0.0)
    for support, share in bears:
        bends = bends - share * np.maximum(of.seat + support - heights, 0.0)
    weight = _weight_beyond(radius, height, heights, of) if of.level else np.zeros(len(heights))
    return Sections(heights - of.seat, modulus, area, np.abs(bends), weight, heights < at)


def _heights(radius: Floats, height: Floats, low: float, top: float) -> Floats:
    """Return the heights to look at, mm: beside the corners of an outline, and between them."""
    if top - low <= 2.0 * BESIDE:
        return np.zeros(0)
    r, z = radius[:, 0], height[:, 0]
    inside = (z > low) & (z < top)
    r, z = r[inside], z[inside]
    order = np.lexsort((r, np.floor(z / BIN)))
    bins = np.floor(z[order] / BIN)
    ends = np.flatnonzero(np.diff(bins, prepend=np.nan, append=np.nan) != 0.0)
    corners = z[order][np.unique(np.concatenate([ends[:-1], ends[1:] - 1]))] if len(z) else z
    between = np.linspace(low, top, max(3, math.ceil((top - low) / BIN) + 1))
    found = np.concatenate([corners - BESIDE, corners + BESIDE, between[1:-1], [low + BESIDE, top - BESIDE]])
    kept: Floats = np.unique(found[(found > low) & (found < top)])
    return kept


def _rings(radius: Floats, height: Floats, heights: Floats) -> tuple[Floats, Floats, Ints]:
    """Return inner and outer radius (mm) of each ring of a body of revolution's sections, and to which it belongs."""
    above = height[:, None, 0] > heights
    row, edge = np.nonzero((above != (height[:, None, 1] > heights)).T)
    (r0, r1), (z0, z1) = radius[edge].T, height[edge].T
    across = r0 + (r1 - r0) * (heights[row] - z0) / (z1 - z0)
    order = np.lexsort((across, row))
    across, row = across[order], row[order]
    return across[0::2], across[1::2], row[0::2]


def _of_the_ring_that_bears(
    inner: Floats, outer: Floats, owner: Ints, heights: Floats, at: float, radius: float
) -> tuple[Floats, Floats]:
    """Return modulus and area of the rings that hang together with where a cut cuts: others hold on further down only.

    From the height of the cut (mm) on, at a radius (mm), the ring counts at each height that overlaps with the one
    before; where none does the part is parted, and both are 0.
    """
    found = np.full((2, len(heights)), np.nan)
    begins = np.searchsorted(owner, np.arange(len(heights) + 1))
    below = int(np.searchsorted(heights, at))
    for order in (range(below - 1, -1, -1), range(below, len(heights))):
        now = None
        for height in order:
            rings = slice(begins[height], begins[height + 1])
            a, b = inner[rings], outer[rings]
            if now is None:
                solid = b - a > SLIVER
                if not solid.any():
                    continue  # beyond the last metal, or in what a nose has left of it
                a, b = a[solid], b[solid]
                pick = int(np.argmin(np.maximum(np.maximum(a - radius, radius - b), 0.0)))
            else:
                shared = np.minimum(b, now[1]) - np.maximum(a, now[0])
                pick = int(np.argmax(shared)) if len(shared) else 0
                if len(shared) == 0 or shared[pick] <= 0.0:
                    found[:, height] = 0.0
                    continue
            now = float(a[pick]), float(b[pick])
            found[:, height] = now
    bore, rim = found
    modulus, area = np.zeros(len(rim)), np.zeros(len(rim))
    bears = rim > 0.0
    modulus[bears] = 0.25 * math.pi * (rim[bears] ** 4 - bore[bears] ** 4) / rim[bears]
    area[bears] = math.pi * (rim[bears] ** 2 - bore[bears] ** 2)
    # What was passed over bears nothing and is loaded by nothing.
    passed = np.isnan(rim)
    modulus[passed] = area[passed] = math.inf
    return modulus, area


def _modulus(inner: Floats, outer: Floats, owner: Ints, count: int) -> Floats:
    """Return the modulus (mm3) of all rings together at each of so many heights."""
    moment, rim = np.zeros(count), np.zeros(count)
    np.add.at(moment, owner, 0.25 * math.pi * (outer**4 - inner**4))
    np.maximum.at(rim, owner, outer)
    return np.divide(moment, rim, out=np.zeros(count), where=rim > 0.0)


def _weight_beyond(radius: Floats, height: Floats, heights: Floats, of: _Part) -> Floats:
    """Return the moment (N mm) of what stands beyond each height, as slices between those that are looked at."""
    top = float(height.max(initial=of.low))
    density = of.parts.scenario.metal(of.figures.operation.workpiece.material).density
    places = np.unique(np.concatenate([heights, np.linspace(of.low, top, 41)]))
    middles = 0.5 * (places[:-1] + places[1:])
    inner, outer, owner = _rings(radius, height, middles)
    areas = np.zeros(len(middles))
    np.add.at(areas, owner, math.pi * (outer**2 - inner**2))
    pulls = GRAVITY * density * areas * np.diff(places)
    arms = np.maximum(middles[None, :] - heights[:, None], 0.0)
    found: Floats = arms @ pulls
    return found
