"""What is turned into a soft jaw: one jaw cut through its middle plane and seen from the tailstock, with dimensions."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import shapely
from shapely.geometry.base import BaseGeometry

from meshes.pocket import Pocket
from meshes.soft_jaw import plan
from sim.assessment.results import Assessment
from sim.assessment.verdict import Verdict
from sim.assessment.verdicts.part import taper_side
from sim.assessment.verdicts.pocket_limits import POCKETS_AT_THEIR_LIMITS
from sim.base.rounding import near
from sim.drawing import dimensions
from sim.drawing.asked import Asked
from sim.drawing.dimensions import FIRST, NEXT
from sim.drawing.fitted import BETWEEN, SCALES, fitted
from sim.drawing.frame import room, sheet
from sim.drawing.jaw_shape import JawShape, front_edges, jaw_shape
from sim.drawing.jaw_views import front_view, jaw_cut, jaw_section
from sim.drawing.numbers import length_text, toleranced_text, with_unit
from sim.drawing.pens import AXIS
from sim.drawing.phrases import said
from sim.drawing.placing import placed_note
from sim.drawing.primitives import Arc, Group, Item, Line, Sheet, View
from sim.drawing.section_lines import hatched, on_paper
from sim.scenario import BoredPocket, Tolerance
from sim.setup.fixture import fixture_seat
from sim.setup.size_limits import toleranced

APART = 12.0  # mm between the dimensions of one view and the other
SPACING = 3.0  # mm of the jaw's hatching
NUMBER_ON_AXIS = (-4.5, 1.0)  # mm from the axis: a dimension line there lies on it, or its number does


@dataclass(frozen=True, slots=True)
class Turned:
    """One cylinder that is turned into the jaws: its name, diameter, the z at which its wall ends in front, mm.

    `stated` is the scenario's pocket with its tolerances, where it is one.
    """

    name: str
    diameter: float
    front: float
    pocket: Pocket | None
    stated: BoredPocket | None = None


def pocket_sheet(assessment: Assessment, asked: Asked) -> Sheet:
    """Return the drawing of the pockets in a jaw.

    Raises
    ------
    ScenarioError
        If it does not fit on the paper.
    """
    notes = _notes(assessment, asked)
    view, items = pocket_views(assessment, asked, room(asked, assessment, notes))
    return sheet(asked, assessment, "pockets in a soft jaw", view, items, notes)


def pocket_views(
    assessment: Assessment, asked: Asked, space: shapely.Polygon, *, front: bool = True
) -> tuple[View, list[Item]]:
    """Return the main view and all that is drawn of the pockets within a box on the paper, mm.

    Parameters
    ----------
    assessment : Assessment
    asked : Asked
    space : Polygon
    front : bool
        Beside the section the jaw as seen from the tailstock, and the blank's dimensions; without it the scale may be
        one between the usual ones.

    Raises
    ------
    ScenarioError
        If it does not fit in there.
    """
    shape = jaw_shape(assessment.parts)
    edges = front_edges(shape)

    def drawn(view: View) -> list[Item]:
        items, _ = jaw_section(
            shape, assessment.parts.place.bored, assessment.scenario.chuck.serration_pitch, view
        )
        return [
            *items,
            *_dimensions(assessment, asked, shape, view),
            *((_height(assessment, asked, shape, view),) if front else ()),
            *(_front(assessment, asked, shape, edges, view) if front else ()),
        ]

    view = fitted(space, drawn, SCALES if front else BETWEEN)
    items = drawn(view)
    region = on_paper(jaw_cut(shape, assessment.parts.place.bored), view)
    for one in turned(assessment):
        items += _small(assessment, asked, one, view, items, (space, region))
    items.append(hatched("soft jaw", region, "up", SPACING, items))
    return view, items


def turned(assessment: Assessment) -> list[Turned]:
    """Return what is turned into the jaws, the smallest diameter first."""
    scenario, pockets = assessment.scenario, assessment.parts.pockets
    height, through = scenario.soft_jaw.height, scenario.boring.through_diameter
    seat = fixture_seat(scenario)
    named: list[tuple[str, Pocket, BoredPocket | None]] = [
        (stated.name, one, stated) for stated, one in zip(scenario.pockets, pockets, strict=True)
    ]
    if seat is not None:
        named.append(("seat of the fixture", seat, None))
    found, depths = [], [one.depth for _, one, _ in named]
    for name, one, stated in named:
        above = max((depth for depth in depths if depth < one.depth), default=0.0)
        found.append(Turned(name, one.diameter, height - above - one.chamfer, one, stated))
    if through is not None and assessment.parts.place.outside:
        found.append(Turned("through", through, height - max(depths), None))
    return sorted(found, key=lambda one: one.diameter)


def _columns(assessment: Assessment, view: View) -> float:
    """Return how far right the first column of diameters stands."""
    return view.at(assessment.scenario.soft_jaw.height, 0.0)[0] + FIRST


def _dimensions(assessment: Assessment, asked: Asked, shape: JawShape, view: View) -> list[Item]:
    place, height = assessment.parts.place, shape.blank.height
    items: list[Item] = []
    column, all_turned = _columns(assessment, view), turned(assessment)
    for number, one in enumerate(all_turned):
        wall = view.at(one.front, 0.5 * one.diameter)
        within = None if one.stated is None else one.stated.diameter_tolerance
        words = f"Ø{toleranced_text(one.diameter, within, asked.units)}"
        items.append(dimensions.half_diameter(wall, view.origin[1], column + number * NEXT, words))
    right = column + (len(all_turned) - 1) * NEXT + 4.0
    items.append(Line((view.at(0.0, 0.0)[0] - 6.0, view.origin[1]), (right, view.origin[1]), AXIS))
    metal = jaw_cut(shape, place.bored)
    depths: dict[float, Tolerance | None] = {
        one.pocket.depth: None for one in all_turned if one.pocket is not None
    }
    depths |= {one.stated.depth: one.stated.depth_tolerance for one in all_turned if one.stated is not None}
    sign = -1.0 if place.outside else 1.0
    free = place.bored if place.outside else place.bored + place.length
    row = view.at(0.0, free)[1] + sign * FIRST
    for depth, within in sorted(depths.items(), key=lambda pair: pair[0]):
        if NUMBER_ON_AXIS[0] < row - view.origin[1] < NUMBER_ON_AXIS[1]:
            row = view.origin[1] + NUMBER_ON_AXIS[0]
        ends = [view.at(z, _free_edge(metal, z, outside=place.outside)) for z in (height - depth, height)]
        words = toleranced_text(depth, within, asked.units)
        items.append(dimensions.length(ends, row, words, upright=False))
        row += sign * NEXT
    return items


def _height(assessment: Assessment, asked: Asked, shape: JawShape, view: View) -> Item:
    """Return the dimension of the blank's height, on the side on which nothing is turned."""
    place, height = assessment.parts.place, shape.blank.height
    other = place.bored + place.length if place.outside else place.bored
    ends = [view.at(z, other) for z in (0.0, height)]
    line = ends[0][1] + (FIRST if place.outside else -FIRST)
    return dimensions.length(ends, line, length_text(height, asked.units), upright=False)


def _free_edge(metal: BaseGeometry, z: float, *, outside: bool) -> float:
    """Return the radius (mm) at which a face of the cut jaw ends on the side that is turned away."""
    low, _, high, _ = metal.intersection(shapely.box(-1e4, z - 1e-3, 1e4, z - 1e-6)).bounds
    return float(low if outside else high)


def _front(
    assessment: Assessment, asked: Asked, shape: JawShape, edges: Sequence[Line | Arc], view: View
) -> list[Item]:
    """Return the view from the tailstock with the blank's dimensions, beside the section by the projection."""
    place, blank, scale = assessment.parts.place, shape.blank, view.scale
    half = 0.5 * blank.width * scale
    if asked.projection == "third":
        right = _columns(assessment, view) + (len(turned(assessment)) - 1) * NEXT
        middle, side = right + APART + half, 1.0
    else:
        middle, side = view.at(0.0, 0.0)[0] - APART - half, -1.0
    front = View((middle, view.origin[1]), scale)
    items: list[Item] = front_view(edges, place.bored, front)
    x, axis = front.origin
    inner, outer = front.at(0.0, place.bored)[1], front.at(0.0, place.bored + blank.length)[1]
    items.append(Line((x, inner - 4.0), (x, outer + 4.0), AXIS))
    items += [Line((x - 6.0, axis), (x + 6.0, axis), AXIS), Line((x, axis - 6.0), (x, axis + 6.0), AXIS)]
    for at in blank.screws:
        _, y = front.at(0.0, place.bored + at)
        reach = 0.5 * blank.counterbore_diameter * scale + 3.0
        items.append(Line((x - reach, y), (x + reach, y), AXIS))
    corner = front.at(0.0, place.bored + _widest(shape))[1]
    ends = [(x - half, corner), (x + half, corner)]
    items.append(dimensions.length(ends, outer + FIRST, length_text(blank.width, asked.units), upright=False))
    if blank.tip_width < blank.width:
        tip = 0.5 * blank.tip_width * scale
        ends = [(x - tip, inner), (x + tip, inner)]
        words = length_text(blank.tip_width, asked.units)
        items.append(dimensions.length(ends, inner - FIRST, words, upright=False))
    for number, at in enumerate((*blank.screws, blank.length)):
        end = (x, outer) if at == blank.length else (x, front.at(0.0, place.bored + at)[1])
        line = x + side * (half + FIRST + number * NEXT)
        start = (x + side * 0.5 * blank.tip_width * scale, inner)
        items.append(dimensions.length((start, end), line, length_text(at, asked.units), upright=True))
    return items


def _widest(shape: JawShape) -> float:
    """Return the x (mm) at which the blank has its whole width."""
    blank = shape.blank
    if blank.sector_angle is None:
        return blank.length
    corners = shapely.get_coordinates(plan(blank))
    return float(corners[corners[:, 1].argmax(), 0])


def _small(
    assessment: Assessment,
    asked: Asked,
    one: Turned,
    view: View,
    drawn: Sequence[Item],
    places: tuple[BaseGeometry, BaseGeometry],
) -> list[Group]:
    """Return the notes on groove and chamfer of a pocket; `places` are the room for them, and the metal."""
    pocket, height = one.pocket, assessment.scenario.soft_jaw.height
    if pocket is None:
        return []
    sign, found = (1.0 if assessment.parts.place.outside else -1.0), []
    if pocket.chamfer > 0.0:
        tip = view.at(one.front + 0.5 * pocket.chamfer, 0.5 * pocket.diameter + sign * 0.5 * pocket.chamfer)
        words = (f"{length_text(pocket.chamfer, asked.units)} × 45°",)
        found.append(placed_note(tip, words, drawn, *places))
    if pocket.groove_depth > 0.0:
        tip = view.at(height - pocket.depth, 0.5 * pocket.diameter + sign * pocket.groove_depth)
        wide, deep = (length_text(v, asked.units) for v in (pocket.groove_width, pocket.groove_depth))
        told = (
            said(asked.language, "groove {wide} wide", wide=wide),
            said(asked.language, "{deep} deep, 30°", deep=deep),
        )
        found.append(placed_note(tip, told, [*drawn, *found], *places))
    return found


def _notes(assessment: Assessment, asked: Asked) -> list[str]:
    scenario = assessment.scenario
    travel = with_unit(scenario.boring.travel, asked.units)
    notes = [
        f"Jaws of {scenario.soft_jaw.material}, bored together at travel {travel} of "
        f"{with_unit(scenario.chuck.stroke, asked.units)}, {scenario.boring.pressure * 10.0:g} bar and "
        f"{scenario.boring.speed:g} rev/min. Diameters about the spindle axis as turned there.",
    ]
    for figures in assessment.operations:
        work, pocket = figures.operation.workpiece, scenario.pocket_of(figures.operation)
        low, high = (
            length_text(v, asked.units) for v in (work.gripped_diameter_low, work.gripped_diameter_high)
        )
        told = f"Ø{length_text(pocket.diameter, asked.units)} ({pocket.name}) for {figures.operation.name}: part Ø{low}"
        told += f" to Ø{high}. " if low != high else ". "
        notes.append(told + _taper(assessment, figures.index, asked))
    notes.append(_tolerances(assessment))
    if scenario.soft_jaw.bored_before:
        notes.append("What earlier borings took away is left out of the jaw as it stood then.")
    if scenario.soft_jaw.model is not None:
        notes.append("The jaw is drawn as the block that its dimensions state, not by its file.")
    return notes


def _tolerances(assessment: Assessment) -> str:
    """Return what is said of the limits that were judged; of one that nobody judged nothing is drawn."""
    within = verdict_of_limits(assessment)
    if within is None:
        return (
            "No tolerance of a bored diameter is stated in the scenario: all verdicts hold for the diameters as drawn. "
            "Put the diameter as measured into the scenario and judge it again."
        )
    sizes = len([size for _, size in toleranced(assessment.scenario) if size == "diameter"])
    some = "" if sizes == len(assessment.scenario.pockets) else " A diameter without one was judged as drawn."
    if within.status == "pass":
        return (
            f"Tolerances as stated in the scenario: at their limits no verdict is worse than as drawn.{some}"
        )
    return f"Tolerances as stated in the scenario, AT WHOSE LIMITS A VERDICT IS WORSE: {within.message}{some}"


def verdict_of_limits(assessment: Assessment) -> Verdict | None:
    """Return the verdict on the pockets at the limits of their tolerances; None where none is stated."""
    return next((v for v in assessment.verdicts if v.key == POCKETS_AT_THEIR_LIMITS.key), None)


def _taper(assessment: Assessment, index: int, asked: Asked) -> str:
    """Return what taper to turn, with its sign."""
    figures = assessment.operations[index]
    taper, length = figures.clamping.taper, with_unit(figures.zone.length, asked.units)
    if not taper.matters:
        return (
            f"Turn it without taper: what the jaws yield differs by less than 2 µm of diameter over {length}."
        )
    sign = "-" if (side := taper_side(assessment.parts, taper.diameter_um)) == "smaller" else "+"
    size = near(abs(taper.diameter_um), 1000.0 * assessment.scenario.limits.jaw_taper, 0)
    return (
        f"Taper {sign}{size} µm: at the mouth {side} in diameter than at the root, over the gripped {length}."
    )
