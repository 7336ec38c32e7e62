"""Chuck, jaws and part, or chuck, jaws and boring fixture, cut through the spindle axis: chuck left, tailstock right.

Above the axis the plane goes through jaw 1; below it another jaw is turned into the plane.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely import affinity
from shapely.geometry.base import BaseGeometry

from meshes import boring_ring, centre, chuck_body, jaw_screw, outer_ring, plug, steady_rest
from meshes.sides import Arc
from sim.assessment.results import Assessment
from sim.base.errors import ScenarioError
from sim.drawing import dimensions
from sim.drawing.asked import Asked
from sim.drawing.clipped import clear_of
from sim.drawing.dimensions import FIRST, NEXT
from sim.drawing.fitted import fitted
from sim.drawing.frame import room, sheet
from sim.drawing.jaw_shape import jaw_shape
from sim.drawing.jaw_views import jaw_cut
from sim.drawing.numbers import length_text, with_unit
from sim.drawing.pens import AXIS, CUT_OUT, EDGE, Pen
from sim.drawing.placing import placed_note
from sim.drawing.primitives import Item, Line, Sheet, View
from sim.drawing.section_lines import behind, hatched, on_paper, outline, teeth
from sim.scenario import OuterRing, Plug
from sim.scenario.outline import sides_of
from sim.setup.held import held_zone
from sim.setup.jaw_screws import head_underside, nut_top
from sim.setup.parts import Parts
from sim.setup.supports import centre_tip

BORING = "boring"
OFF_AXIS = 0.68  # of a diameter's line, where its number stands clear of the axis
MOST_RADII = 8  # of a part's arcs that are told; more would hide it
QUILL = 20.0  # mm of a tailstock's quill that are drawn


@dataclass(frozen=True, slots=True, eq=False)
class Body:
    """A body above the axis.

    Attributes
    ----------
    name : str
    region : BaseGeometry
        (radius, z), mm.
    rise : {'up', 'down', ''}
        Of its hatching; '' for what is not cut: screws, a centre, what stands beside.
    spacing : float
        mm on the paper.
    pen : Pen
    layer : int
        What has a higher one stands in front of it: -1 and 0 behind the plane, 1 cut, 2 not cut.
    round : bool
        It is turned about the spindle axis, so that the edges of its bore are seen behind the plane.
    """

    name: str
    region: BaseGeometry
    rise: str
    spacing: float = 3.0
    pen: Pen = EDGE
    layer: int = 1
    round: bool = False


def assembly_sheet(assessment: Assessment, asked: Asked, stage: str | None = None) -> Sheet:
    """Return the drawing of the assembly at a stage: 'boring', or an operation by name; None: the first operation.

    Raises
    ------
    ScenarioError
        If there is no such stage, or it does not fit on the paper.
    """
    index = _operation(assessment, stage)
    travel = (
        assessment.parts.place.boring_travel if index is None else assessment.operations[index].grip_travel
    )
    what = "boring the jaws" if index is None else assessment.operations[index].operation.name
    bodies, notes = list(_bodies(assessment.parts, index, travel)), _notes(assessment, asked, index, travel)
    space = room(asked, assessment, notes)

    def drawn(view: View) -> list[Item]:
        items = _outlines(bodies, view)
        place, pitch = assessment.parts.place, assessment.scenario.chuck.serration_pitch
        inner = place.inner(travel)
        for below in (False, True):
            items += teeth(inner, inner + place.length, pitch, view, below=below)
        items += _axes(assessment.parts, travel, bodies, view)
        return [*items, *_dimensions(assessment, asked, index, travel, view)]

    view = fitted(space, drawn)
    items = drawn(view)
    items += _radii(assessment, asked, index, view, items, space)
    front = [_both(b.region, view) for b in bodies if b.layer == 2]
    for body in bodies:
        if body.rise:
            region = _both(body.region, view).difference(shapely.union_all(front))
            items.append(hatched(body.name, region, body.rise, body.spacing, items))
    return sheet(asked, assessment, f"assembly in section, {what}", view, items, notes)


def _outlines(bodies: Sequence[Body], view: View) -> list[Item]:
    """Return the bodies' outlines as far as nothing stands in front of them."""
    items: list[Item] = []
    drawn = [_both(body.region, view) for body in bodies]
    for body, region in zip(bodies, drawn, strict=True):
        # What is cut shows its whole outline: bodies that touch share theirs.
        nearer = [r for r, other in zip(drawn, bodies, strict=True) if other.layer > body.layer]
        front = shapely.union_all(nearer).buffer(-0.01)
        for line in outline(region, body.pen):
            items += clear_of(line, front)
        if body.round:
            others = shapely.union_all(
                [r for r, other in zip(drawn, bodies, strict=True) if other is not body]
            )
            for z, radius in behind(body.region):
                items += clear_of(Line(view.at(z, -radius), view.at(z, radius), EDGE), others)
    return items


def _operation(assessment: Assessment, stage: str | None) -> int | None:
    names = [figures.operation.name for figures in assessment.operations]
    if stage is None:
        return 0
    if stage in names:
        return names.index(stage)
    if stage == BORING:
        return None
    raise ScenarioError(f"--stage must be one of {BORING}, {', '.join(names)}, found '{stage}'")


def _both(region: BaseGeometry, view: View) -> BaseGeometry:
    """Return a region on the paper, above the axis and below it."""
    mirrored = affinity.scale(region, -1.0, 1.0, origin=(0.0, 0.0))
    return on_paper(shapely.union_all([region, mirrored], grid_size=1e-9), view)


def _bodies(parts: Parts, index: int | None, travel: float) -> Iterator[Body]:
    """Yield the bodies at a stage above the axis, the chuck first."""
    sizes, place, scenario = parts.sizes, parts.place, parts.scenario
    inner, low = place.inner(travel), place.master_inner(travel)
    floor = -sizes.body.face_drop - sizes.body.slot_depth
    whole = shapely.Polygon(chuck_body.section_outline(sizes.body))
    slotted = shapely.box(0.0, floor, sizes.body.diameter, 10.0)
    yield Body("chuck body", whole.difference(slotted), "up", 4.0, round=True)
    yield Body("side of the slot", whole.intersection(slotted), "", layer=-1)
    slot = -sizes.master.t_slot_neck_depth - sizes.master.t_slot_height
    far = low + sizes.master.length
    # At the middle plane the T-slot is open all along; its sides are seen behind.
    yield Body("master jaw", shapely.box(low, -sizes.master.height, far, slot), "down", 2.2)
    yield Body(
        "side of the T-slot", shapely.box(low, slot, far, -sizes.master.t_slot_neck_depth), "", layer=0
    )
    yield Body("neck of the T-slot", shapely.box(low, -sizes.master.t_slot_neck_depth, far, 0.0), "", layer=0)
    yield Body("soft jaw", jaw_cut(jaw_shape(parts), inner), "up", 2.6)
    yield from _screws(parts, inner)
    if index is None:
        yield from _fixture(parts)
        return
    seat = held_zone(scenario, index).seat
    stop, stated = parts.back_stops[index], scenario.operations[index].back_stop
    if stop is not None and stated is not None:
        at = np.add(plug.section_outline(stop), (0.0, stated.height))
        yield Body("back stop", shapely.Polygon(at), "up", 1.8, round=True)
    part = shapely.Polygon([(r, z + seat) for r, z in parts.workpieces[index].outline])
    yield Body("workpiece", part, "down", 3.4, round=True)
    yield from _supports(parts, index, seat)


def _screws(parts: Parts, inner: float) -> Iterator[Body]:
    screw, nut = parts.sizes.screw, parts.sizes.nut
    under, top = head_underside(parts.scenario), nut_top(parts.scenario)
    head, shank = jaw_screw.head(screw), 0.5 * screw.thread_diameter
    for position in parts.sizes.blank.screws:
        axis = inner + position
        drawn = shapely.box(
            axis - 0.5 * head.diameter, under, axis + 0.5 * head.diameter, under + head.height
        )
        shape = shapely.box(axis - shank, under - screw.length, axis + shank, under).union(drawn)
        metal = shapely.box(
            axis - 0.5 * nut.length, top - nut.neck_height - nut.height, axis + 0.5 * nut.length, top
        )
        yield Body("T-nut", metal.difference(shape), "up", 1.8)
        yield Body("jaw screw", shape, "", layer=2)


def _fixture(parts: Parts) -> Iterator[Body]:
    stated, height = parts.scenario.boring.fixture, parts.scenario.soft_jaw.height
    if parts.ring is not None:
        ring = parts.ring
        pin, half = 0.5 * ring.pin_circle_diameter, 0.5 * ring.pin_diameter
        body = shapely.Polygon(np.add(boring_ring.section_outline(ring), (0.0, height)))
        pinned = body.union(shapely.box(pin - half, height - ring.pin_length, pin + half, height))
        yield Body("boring ring", pinned, "down", 1.8, round=True)
    if parts.plug is not None and isinstance(stated, Plug):
        at = np.add(plug.section_outline(parts.plug), (0.0, stated.height))
        yield Body("plug", shapely.Polygon(at), "down", 1.8, round=True)
    if parts.outer_ring is not None and isinstance(stated, OuterRing):
        at = np.add(outer_ring.section_outline(parts.outer_ring), (0.0, stated.height))
        yield Body("outer ring", shapely.Polygon(at), "down", 1.8, round=True)


def _supports(parts: Parts, index: int, seat: float) -> Iterator[Body]:
    operation = parts.scenario.operations[index]
    point, steady = parts.centres[index], parts.steady_rests[index]
    if point is not None:
        at = np.add(centre.section_outline(point), (0.0, seat + centre_tip(operation)))
        high = at[:, 1].max() - point.quill_length + QUILL
        shown = shapely.Polygon(at).intersection(shapely.box(0.0, -1e4, 1e4, high))
        yield Body("centre", shown, "", layer=2)
    if steady is not None and operation.steady_rest is not None:
        off = (0.0, seat + operation.steady_rest.height)
        for rim in steady_rest.section_outlines(steady):
            yield Body("steady rest", shapely.Polygon(np.add(rim, off)), "", pen=CUT_OUT, layer=0)


def _axes(parts: Parts, travel: float, bodies: Sequence[Body], view: View) -> list[Item]:
    lows, highs = zip(*((b.region.bounds[1], b.region.bounds[3]) for b in bodies), strict=True)
    (x0, y), (x1, _) = view.at(min(lows), 0.0), view.at(max(highs), 0.0)
    items: list[Item] = [Line((x0 - 6.0, y), (x1 + 6.0, y), AXIS)]
    top = head_underside(parts.scenario) + jaw_screw.head(parts.sizes.screw).height
    for position in parts.sizes.blank.screws:
        for side in (1.0, -1.0):
            far = side * (parts.place.inner(travel) + position)
            bottom = head_underside(parts.scenario) - parts.sizes.screw.length
            (a, up), (b, _) = view.at(bottom, far), view.at(top, far)
            items.append(Line((a - 3.0, up), (b + 3.0, up), AXIS))
    return items


def _dimensions(
    assessment: Assessment, asked: Asked, index: int | None, travel: float, view: View
) -> list[Item]:
    """Return body diameter, jaw height, and of an operation the gripped diameter and the part's length."""
    parts, units = assessment.parts, asked.units
    body, height = parts.sizes.body, parts.sizes.blank.height
    back, outer = -body.face_drop - body.height, 0.5 * body.diameter
    items: list[Item] = []
    ends = view.at(back, -outer), view.at(back, outer)
    words = f"Ø{length_text(body.diameter, units)}"
    line = view.at(back, 0.0)[0] - FIRST
    items.append(dimensions.length(ends, line, words, upright=True, kind="diameter", share=OFF_AXIS))
    jaw = parts.place.inner(travel) + parts.place.length
    highest = max(jaw, outer, _highest(parts, index))
    row = view.at(0.0, highest)[1] + FIRST
    ends = view.at(0.0, jaw), view.at(height, _top_end(parts, travel))
    items.append(dimensions.length(ends, row, length_text(height, units), upright=False))
    if index is None:
        return items
    zone, outline_of = held_zone(parts.scenario, index), parts.workpieces[index].outline
    work = parts.scenario.operations[index].workpiece
    near = 0.25 * (work.gripped_diameter_low + work.gripped_diameter_high)
    gripped = min((r for r, _ in outline_of), key=lambda r: abs(r - near))
    heights = [z for _, z in outline_of]
    front = zone.seat + max(heights)
    ends = view.at(zone.high, -gripped), view.at(zone.high, gripped)
    # Beside the jaws where something bears the part's free end.
    borne = parts.centres[index] is not None or parts.steady_rests[index] is not None
    column = view.at(height if borne else max(front, height), 0.0)[0] + FIRST
    items.append(
        dimensions.length(
            ends,
            column,
            f"Ø{length_text(2.0 * gripped, units)}",
            upright=True,
            kind="diameter",
            share=OFF_AXIS,
        )
    )
    rims = [max(r for r, z in outline_of if z == end(heights)) for end in (min, max)]
    low = view.at(0.0, -highest)[1] - FIRST
    ends = view.at(zone.seat + min(heights), -rims[0]), view.at(front, -rims[1])
    items.append(dimensions.length(ends, low, length_text(max(heights) - min(heights), units), upright=False))
    ends = view.at(0.0, -jaw), view.at(zone.seat, -rims[0])
    items.append(dimensions.length(ends, low - NEXT, length_text(zone.seat, units), upright=False))
    return items


def _radii(
    assessment: Assessment,
    asked: Asked,
    index: int | None,
    view: View,
    items: Sequence[Item],
    space: BaseGeometry,
) -> list[Item]:
    """Return the radii of the part's arcs, each once, below the axis where they do not hide the jaw that is cut."""
    if index is None:
        return []
    seat = held_zone(assessment.parts.scenario, index).seat
    found: dict[str, Item] = {}
    for side in sides_of(assessment.parts.scenario.operations[index].workpiece.outline):
        words = f"R{length_text(side.radius, asked.units)}" if isinstance(side, Arc) else ""
        if isinstance(side, Arc) and words not in found and len(found) < MOST_RADII:
            r, z = side.at(0.5)
            tip = view.at(seat + z, -r)
            found[words] = placed_note(tip, (words,), [*items, *found.values()], space, kind="radius")
    return list(found.values())


def _top_end(parts: Parts, travel: float) -> float:
    """Return the largest radius (mm) of a cut jaw's top face."""
    metal = jaw_cut(jaw_shape(parts), parts.place.inner(travel))
    height = parts.sizes.blank.height
    return float(metal.intersection(shapely.box(-1e4, height - 1e-3, 1e4, height - 1e-6)).bounds[2])


def _highest(parts: Parts, index: int | None) -> float:
    if index is None:
        found = [b.region.bounds[2] for b in _fixture(parts)]
        return max(found, default=0.0)
    return max(r for r, _ in parts.workpieces[index].outline)


def _notes(assessment: Assessment, asked: Asked, index: int | None, travel: float) -> list[str]:
    scenario, units = assessment.scenario, asked.units
    notes = [
        "Above the axis cut through jaw 1; below it another jaw is turned into the plane. Screws are not cut.",
        f"Jaws at travel {with_unit(travel, units)} of {with_unit(scenario.chuck.stroke, units)}.",
    ]
    if index is None:
        boring = scenario.boring
        notes.append(
            f"{'No fixture' if boring.fixture.kind == 'none' else f'Fixture: {boring.fixture.kind}'}; "
            f"{boring.pressure * 10.0:g} bar, {boring.speed:g} rev/min."
        )
        return notes
    figures = assessment.operations[index]
    gripping, work = figures.operation.gripping, figures.operation.workpiece
    low, high = (length_text(v, units) for v in (work.gripped_diameter_low, work.gripped_diameter_high))
    notes.append(
        f"Part of {work.material}, gripped diameter Ø{low} to Ø{high}, drawn as its outline is stated; "
        f"{gripping.pressure * 10.0:g} bar, at most {gripping.speed_high:g} rev/min."
    )
    return notes
