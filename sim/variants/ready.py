"""What all quick variants of one judged setup share."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from sim.assessment.bodies import WALL
from sim.assessment.figures.cut import CutDemand
from sim.assessment.figures.operation import OperationFigures
from sim.assessment.jaws import TopJaw, top_jaw
from sim.assessment.operation import springs_of
from sim.assessment.results import Assessment
from sim.assessment.running import Springs
from sim.assessment.side import share_on_the_jaws, weight_load, worst_side_load
from sim.assessment.supports import outermost, prop_cases
from sim.assessment.thin_section import ThinSections, thin_sections
from sim.assessment.turning_masses import turning_masses
from sim.assessment.verdicts.part import jaw_overlap
from sim.assessment.verdicts.pockets import step_gaps
from sim.base.arrays import Floats
from sim.base.errors import ScenarioError
from sim.mechanics import spin
from sim.setup.held import GRIPPED_WITHIN
from sim.setup.metal import wall_behind
from sim.setup.parts import Parts
from sim.variants.clamped import Clamped
from sim.variants.contact import ContactTables
from sim.variants.holding import Holdings, WeightHeld
from sim.variants.places import Places, places
from sim.variants.table import Axis, GridTable, Name, Notes

CLEAR, OTHER_STEP = "clear", "other step"  # name these tables among those of a setup
TRAVEL_STEP = 0.05  # mm between the travels at which solids are compared


@dataclass(frozen=True, slots=True, eq=False)
class TopRadius:
    """Radius of a bored soft jaw's centroid at travel 0 and its change per mm, mm."""

    radius: float
    radius_per_travel: float


@dataclass(frozen=True, slots=True, eq=False)
class ReadyOperation:
    """One operation with what its variants share.

    Attributes
    ----------
    figures : OperationFigures
        As judged.
    weight : float
        Of the part, N.
    wall_behind : float
        Metal behind the gripped face, mm.
    moment, moment_per_travel : float
        Centrifugal moment of one jaw at travel 0, kg mm, and its change per mm.
    gripped_low, gripped_high : float
        Mean gripped diameters, mm, for which the outline's gripped surface and wall stay the same.
    contact : ContactTables
        Which the following ask.
    clamped : Clamped
        Pressure, shape and least grip of the clamped part.
    holdings : Holdings
    programmed : tuple of CutDemand
        The cuts of its program that are looked at; empty without one.
    pushing : tuple of CutDemand
        The one with the largest side force, for each way in which the program may run.
    program_holdings : Holdings
        How those are held.
    clear : GridTable
        Overlap of part and jaws, mm2, over the grip travel.
    other_step : GridTable or None
        Gap to the steps that do not grip, mm, over the travel of the far limit of size; None where none is near.
    places : Places
        Where the part sits and where its cuts lie.
    springs : Springs
        How its jaws yield.
    alone : WeightHeld or None
        How many times the jaws alone hold the weight; None where that is not asked.
    shares : tuple of float
        What the jaws bear of each cut's side force, as a share; 1 or more.
    pushing_shares : tuple of float
        The same of the moves that push most.
    thin : tuple of ThinSections
        What each cut, and each move that loads its sections most, finds of the part between the jaws and itself.
    """

    figures: OperationFigures
    weight: float
    wall_behind: float
    moment: float
    moment_per_travel: float
    gripped_low: float
    gripped_high: float
    contact: ContactTables
    clamped: Clamped
    holdings: Holdings
    programmed: tuple[CutDemand, ...]
    pushing: tuple[CutDemand, ...]
    program_holdings: Holdings
    clear: GridTable
    other_step: GridTable | None
    places: Places
    springs: Springs
    alone: WeightHeld | None
    shares: tuple[float, ...]
    pushing_shares: tuple[float, ...]
    thin: tuple[ThinSections, ...]


@dataclass(frozen=True, slots=True, eq=False)
class Variants:
    """A judged setup made ready for its quick variants; its tables fill as they are used."""

    assessment: Assessment
    operations: tuple[ReadyOperation, ...]
    jaw: TopJaw
    top: TopRadius
    notes: Notes

    @property
    def parts(self) -> Parts:
        """Solids and dimensions of the setup."""
        return self.assessment.parts


def variants(assessment: Assessment, contact: type[ContactTables] = ContactTables) -> Variants:
    """Make a judged setup ready for its quick variants.

    Parameters
    ----------
    assessment : Assessment
    contact : type
        How contact is answered: by grids, solved row by row, or emulated (`sim.variants.emulated`).

    Raises
    ------
    ScenarioError
        If outline, face and jaw of an operation do not fit together, or a pocket has a tolerance.
    """
    if assessment.at_limits:
        raise ScenarioError(
            "pockets must state no diameter_tolerance and no depth_tolerance here, where variants are drawn from one "
            "judged setup and not judged at the limits of its pockets; leave them out"
        )
    parts = assessment.parts
    # The first turning mass is the soft jaw; all radii are linear in the travel.
    at_rest, moved = (turning_masses(parts, travel) for travel in (0.0, 1.0))
    first, slope = at_rest[0].radius, moved[0].radius - at_rest[0].radius
    moments = [spin.centrifugal_moment(masses) for masses in (at_rest, moved)]
    notes = Notes()
    operations = tuple(_operation(assessment, f, moments, contact, notes) for f in assessment.operations)
    return Variants(assessment, operations, top_jaw(parts), TopRadius(first, slope), notes)


def _operation(
    assessment: Assessment,
    figures: OperationFigures,
    moments: list[float],
    answering: type[ContactTables],
    notes: Notes,
) -> ReadyOperation:
    parts = assessment.parts
    contact = answering(parts, figures, notes)
    programmed = tuple(one.demand for way in figures.moves for one in way.held)
    weight = weight_load(parts, figures.index, figures.zone)
    props = prop_cases(figures.operation, figures.zone.seat)
    load = worst_side_load(weight, figures.zone, (d.forces for d in figures.demands), outermost(props))
    pushing = tuple(way.asked.pushing.demand for way in figures.moves if way.asked.pushing is not None)

    def share(demand: CutDemand) -> float:
        return share_on_the_jaws(figures.zone.seat + demand.forces.height, figures.zone, outermost(props))

    low, high = _same_surface(figures, inside=parts.direction == "inside")

    def overlap(travel: float) -> float:
        return jaw_overlap(parts, assessment.boring, replace(figures, grip_travel=travel)).area

    def step_gap(travel: float) -> float:
        moved = replace(figures, travel=replace(figures.travel, last=travel))
        return min((gap for gap, _ in step_gaps(parts, moved)), default=math.inf)

    names = [(str(figures.index), name) for name in (CLEAR, OTHER_STEP)]
    clear = _over_travel(overlap, names[0], notes)
    near = step_gap(figures.travel.last) < math.inf
    return ReadyOperation(
        figures=figures,
        weight=load.weight,
        wall_behind=wall_behind(parts.scenario, figures.zone, parts.scenario.pocket_of(figures.operation)),
        moment=moments[0],
        moment_per_travel=moments[1] - moments[0],
        gripped_low=low,
        gripped_high=high,
        contact=contact,
        clamped=Clamped(parts, figures, contact),
        holdings=Holdings(parts, figures, contact, figures.demands, "cut"),
        programmed=programmed,
        pushing=pushing,
        program_holdings=Holdings(parts, figures, contact, programmed, "move"),
        clear=clear,
        other_step=_over_travel(step_gap, names[1], notes) if near else None,
        places=places(parts, figures, notes),
        springs=springs_of(parts, figures.index, figures.zone),
        alone=None if figures.alone is None else WeightHeld(parts, figures, contact),
        shares=tuple(map(share, figures.demands)),
        pushing_shares=tuple(map(share, pushing)),
        thin=thin_sections(parts, figures, assessment.machining[figures.index]),
    )


def _over_travel(distance: Callable[[float], float], name: Name, notes: Notes) -> GridTable:
    def node(place: tuple[float, ...]) -> Floats:
        return np.array([distance(place[0])])

    return GridTable((Axis("linear", TRAVEL_STEP),), node, 1, name, notes)


def _same_surface(figures: OperationFigures, *, inside: bool) -> tuple[float, float]:
    """Return the mean gripped diameters between which no edge of the outline joins or leaves the gripped surface."""
    work, zone = figures.operation.workpiece, figures.zone
    radius = 0.25 * (work.gripped_diameter_low + work.gripped_diameter_high)
    bounds = []
    corners = work.outline
    for (r0, z0), (r1, z1) in zip(corners, (*corners[1:], corners[0]), strict=True):
        if z0 != z1:
            bounds += [max(r0, r1) - GRIPPED_WITHIN, min(r0, r1) + GRIPPED_WITHIN]
        low, high = sorted((z0, z1))
        if low <= zone.middle - zone.seat <= high:
            bounds += [r - WALL if inside else r + WALL for r in (r0, r1)]
    below = max((b for b in bounds if b <= radius), default=0.0)
    above = min((b for b in bounds if b > radius), default=np.inf)
    return 2.0 * below, 2.0 * float(above)
