"""The three jaws on the chuck, seen from the tailstock with jaw 1 up, where they stand while they are bored."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise

import numpy as np
import shapely
from shapely import affinity
from shapely.geometry.base import BaseGeometry

from meshes import jaw_screw, soft_jaw
from meshes.placement import JAW_COUNT, JAW_SPACING
from sim.assessment.results import Assessment
from sim.drawing import dimensions
from sim.drawing.asked import Asked
from sim.drawing.clipped import clear_of
from sim.drawing.dimensions import FIRST, NEXT
from sim.drawing.fitted import fitted
from sim.drawing.frame import room, sheet
from sim.drawing.jaw_shape import JawShape, front_edges, jaw_shape
from sim.drawing.jaw_views import front_view
from sim.drawing.numbers import length_text, with_unit
from sim.drawing.pens import AXIS, CUT_OUT, EDGE, THIN
from sim.drawing.phrases import said
from sim.drawing.placing import placed_note
from sim.drawing.pocket_drawing import turned
from sim.drawing.primitives import Arc, Corners, Item, Line, Sheet, View, Words, flat, geometry

NUMBER = 5.0  # mm, largest height of the jaws' numbers
LEAST = 2.5  # mm, the height of letters below which ISO 3098 has only 1.8: read at arm's length, on the shop's paper
BESIDE = 6.0  # mm from a jaw, as far as its number may stand beside it
OF_WIDTH = 0.3  # of a jaw's width, that they have at most
FULL = 2.0 * math.pi


def jaw_set_sheet(assessment: Assessment, asked: Asked) -> Sheet:
    """Return the drawing of the jaw set from the front.

    Raises
    ------
    ScenarioError
        If it does not fit on the paper.
    """
    notes = _notes(assessment, asked)
    view, items = jaw_set_views(assessment, asked, room(asked, assessment, notes))
    return sheet(asked, assessment, "jaw set from the tailstock, at the boring travel", view, items, notes)


def jaw_set_views(assessment: Assessment, asked: Asked, space: shapely.Polygon) -> tuple[View, list[Item]]:
    """Return the main view and all that is drawn of the jaw set within a box on the paper, mm.

    Raises
    ------
    ScenarioError
        If it does not fit in there.
    """
    shape = jaw_shape(assessment.parts)
    edges = front_edges(shape)

    def drawn(view: View) -> list[Item]:
        return [*_set(assessment, shape, edges, view), *_dimensions(assessment, asked, view)]

    view = fitted(space, drawn)
    items = drawn(view)
    plans = [_plan(assessment, jaw, view) for jaw in range(JAW_COUNT)]
    height = max(LEAST, min(NUMBER, OF_WIDTH * shape.blank.width * view.scale))
    for jaw, plan in enumerate(plans):
        items.append(_number(str(jaw + 1), height, plan, items))
    # In the gap between jaws 1 and 3, to the right.
    for count, one in enumerate(turned(assessment)):
        angle = math.radians(38.0 - 14.0 * count)
        tip = view.at(0.5 * one.diameter * math.cos(angle), 0.5 * one.diameter * math.sin(angle))
        words = (f"Ø{length_text(one.diameter, asked.units)}",)
        items.append(placed_note(tip, words, items, space, kind="radius"))
    tip = view.at(-0.25 * shape.blank.tip_width, assessment.parts.place.bored)
    counted = assessment.scenario.soft_jaw.serration_index
    items.append(
        placed_note(tip, (said(asked.language, "serration {number}", number=counted),), items, space)
    )
    return view, items


def _plan(assessment: Assessment, jaw: int, view: View) -> BaseGeometry:
    """Return a jaw's outline on the paper, without what was bored."""
    plan = affinity.translate(soft_jaw.plan(assessment.parts.sizes.blank), assessment.parts.place.bored)
    return _turned_up(plan, jaw, view)


def _turned_up(region: BaseGeometry, jaw: int, view: View) -> BaseGeometry:
    """Return a region (x outward along jaw 1, y) on the paper, turned to a jaw."""
    up = affinity.rotate(region, 90.0 + math.degrees(JAW_SPACING) * jaw, origin=(0.0, 0.0))
    (x, y), scale = view.origin, view.scale
    return affinity.affine_transform(up, [scale, 0.0, 0.0, scale, x, y])


def _set(assessment: Assessment, shape: JawShape, edges: Sequence[Line | Arc], view: View) -> list[Item]:
    """Return chuck body, master jaws, soft jaws and screw heads; phantom circles where the bore is no metal."""
    parts, scale = assessment.parts, view.scale
    sizes, place = parts.sizes, parts.place
    soft = shapely.union_all([_plan(assessment, jaw, view) for jaw in range(JAW_COUNT)])
    low = place.master_inner(place.boring_travel)
    half = 0.5 * sizes.master.width
    masters = [
        _turned_up(shapely.box(low, -half, low + sizes.master.length, half), jaw, view)
        for jaw in range(JAW_COUNT)
    ]
    front = shapely.union_all([soft, *masters])
    items: list[Item] = []
    for diameter in (sizes.body.diameter, sizes.body.diameter - 2.0 * sizes.body.bevel, sizes.body.bore):
        items += clear_of(Arc(view.origin, 0.5 * diameter * scale, 0.0, FULL, EDGE), front)
    for master in masters:
        corners = shapely.get_coordinates(master).tolist()
        for (a, b), (c, d) in pairwise(corners):
            items += clear_of(Line((a, b), (c, d), EDGE), soft)
    hole = 0.5 * shape.blank.hole_diameter
    shown = [e for e in edges if not (isinstance(e, Arc) and abs(e.radius - hole) < 1e-9)]
    head = jaw_screw.head(sizes.screw)
    for jaw in range(JAW_COUNT):
        turn = JAW_SPACING * jaw
        items += front_view(shown, place.bored, view, turn)
        for at in shape.blank.screws:
            far, angle = place.bored + at, 0.5 * math.pi + turn
            middle = view.at(far * math.cos(angle), far * math.sin(angle))
            items.append(Arc(middle, 0.5 * head.diameter * scale, 0.0, FULL, EDGE))
            across = head.socket_width / math.sqrt(3.0) * scale
            hexagon = [angle + math.radians(60.0) * k for k in range(6)]
            points = tuple(
                (middle[0] + across * math.cos(a), middle[1] + across * math.sin(a)) for a in hexagon
            )
            items.append(Corners(points, THIN))
    for one in turned(assessment):
        items += clear_of(Arc(view.origin, 0.5 * one.diameter * scale, 0.0, FULL, CUT_OUT), soft)
    (x, y), reach = view.origin, 6.0
    items += [Line((x - reach, y), (x + reach, y), AXIS), Line((x, y - reach), (x, y + reach), AXIS)]
    return items


def _dimensions(assessment: Assessment, asked: Asked, view: View) -> list[Item]:
    """Return how far out jaw 1 stands: its inner and outer end from the axis, its outer end from the body's edge."""
    place, body = assessment.parts.place, 0.5 * assessment.parts.sizes.body.diameter
    inner, outer = place.bored, place.bored + place.length
    (x, y), units = view.origin, asked.units
    wide = max(body, 0.5 * assessment.parts.sizes.blank.width) * view.scale
    items: list[Item] = []
    for number, far in enumerate((inner, outer)):
        ends = (
            (x, y),
            (
                x - 0.5 * assessment.parts.sizes.blank.tip_width * view.scale * (number == 0),
                view.at(0.0, far)[1],
            ),
        )
        line = x - wide - FIRST - number * NEXT
        items.append(dimensions.length(ends, line, length_text(far, units), upright=True))
    if abs(outer - body) > 1e-6:
        ends = (view.at(0.0, outer), view.at(0.0, body))
        words = length_text(abs(outer - body), units)
        items.append(dimensions.length(ends, x + wide + FIRST, words, upright=True))
    ends = (view.at(-body, 0.0), view.at(body, 0.0))
    low = y - wide - FIRST
    items.append(
        dimensions.length(ends, low, f"Ø{length_text(2.0 * body, units)}", upright=False, kind="diameter")
    )
    return items


def _number(words: str, height: float, plan: BaseGeometry, drawn: Sequence[Item]) -> Words:
    """Return a jaw's number where there is most room on it; beside it where it has none."""
    tree = shapely.STRtree([geometry(item) for item in flat(list(drawn))])
    left, low, right, high = plan.buffer(BESIDE).bounds
    steps = 32
    places = [
        Words((left + (right - left) * i / steps, low + (high - low) * k / steps), words, height, "middle")
        for i in range(1, steps)
        for k in range(1, steps)
    ]
    boxes = np.array([placed.box(0.6) for placed in places])
    met = np.bincount(tree.query(boxes, predicate="intersects")[0], minlength=len(places))
    shapely.prepare(plan)
    cost = (
        met
        + 0.4 * ~shapely.contains(plan, boxes)
        + 0.001 * shapely.distance(plan.centroid, shapely.centroid(boxes))
        + 0.02 * shapely.distance(plan, boxes)
    )
    return places[int(cost.argmin())]


def _notes(assessment: Assessment, asked: Asked) -> list[str]:
    scenario, place, units = assessment.scenario, assessment.parts.place, asked.units
    jaw, body = scenario.soft_jaw, 0.5 * assessment.parts.sizes.body.diameter

    def past(inner: float) -> str:
        off = inner + place.length - body
        where = "out of" if off > 0.0 else "inside"
        return f"outer ends {with_unit(abs(off), units)} {where} the body's edge"

    screws = jaw.screws
    pitch = with_unit(scenario.chuck.serration_pitch, units)
    notes = [
        f"Drawn at the boring travel, {with_unit(place.boring_travel, units)} of {with_unit(place.stroke, units)}: "
        f"inner ends Ø{length_text(2.0 * place.bored, units)}, {past(place.bored)}.",
        f"Fully open: inner ends Ø{length_text(2.0 * place.opened, units)}, {past(place.opened)}. That is how the "
        "serration is found.",
        f"Serration {jaw.serration_index}: counted outward from 0, at which the inner ends stand at a radius of "
        f"{with_unit(jaw.mounting_radius, units)} fully open; pitch {pitch}. Jaw 1, 2, 3 on master jaw 1, 2, 3.",
        f"{len(screws.positions)} screws {screws.thread}, class {screws.property_class}, a jaw: "
        f"{screws.torque / 1000.0:g} N m each.",
    ]
    if any(jaw.serrations_off):
        off = ", ".join(f"{n:+d}" for n in jaw.serrations_off)
        notes.append(f"While gripping, jaws 1, 2, 3 stand {off} serrations outward of where they were bored.")
    return notes
