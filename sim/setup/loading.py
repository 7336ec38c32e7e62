"""Load a scenario and refuse what cannot be built: the geometry that no verdict could be given on."""

from __future__ import annotations

import itertools
import math
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from meshes.insert import parse
from meshes.jaw_screw import HEADS
from sim.base import tables
from sim.base.errors import ScenarioError, in_field
from sim.base.rounding import against, at_least_text, at_most_text
from sim.mechanics import stroke
from sim.mechanics.grip import GripCurve, Wedge, jaw_force
from sim.mechanics.screws import bearing_diameter
from sim.scenario import NoFixture, OuterRing, Plug, Pocket, Ring, Scenario, read
from sim.setup.heads import require_heads
from sim.setup.parts import face_half_chord, gripping_direction, head_top, inner_end_radius
from sim.setup.seat import seats

# N/mm of one jaw's drive and guideway. Outside figures, of whole chucks with part: 216 N/um with steel top jaws, 66
# N/um with jaws of fibre-reinforced plastic (Ito, Modular Design for Machine Tools, p. 452). The drive alone is stiffer
# than the whole: a third of the softest is refused as a slip, and so is more than a bar of solid steel, 30 mm by 40 mm
# and 100 mm long, which has E A / L = 2520 N/um.
RADIAL_STIFFNESS = (20e3, 2500e3)
# N mm/rad of a jaw in its guideway (assumption, no source: no measured figure was found). Softer is worn out, stiffer
# than the solid steel of a large chuck's guideway, E w L^3 / (12 h) of 60 mm by 250 mm and 100 mm deep, is a slip.
TILT_STIFFNESS = (100e6, 160_000e6)


def load(path: str | Path, changes: Mapping[str, Any] | None = None) -> Scenario:
    """Read a scenario file and check that its geometry is possible.

    Parameters
    ----------
    path : str or Path
    changes : mapping, optional
        Fields to replace before checking, as in ``{"soft_jaw.height": "70 mm"}``.

    Raises
    ------
    ScenarioError
        One sentence: which field of which file is wrong, what was found, what is allowed.
    """
    file = Path(path)
    scenario = read(file, changes)
    try:
        refuse_impossible(scenario)
    except ScenarioError as error:
        raise ScenarioError(f"{file}: {_origin(scenario, str(error))}{error}") from None
    return scenario


def _origin(scenario: Scenario, sentence: str) -> str:
    """Return which included file states the field that a sentence begins with, '' if none does."""
    for other in scenario.included:
        if any(sentence.startswith((f"{value.field} ", f"{value.field}:")) for value in other.values):
            return f"as included from {scenario.folder / other.file}, "
    return ""


def refuse_impossible(scenario: Scenario) -> None:
    """Refuse a setup that cannot be assembled or bored, or that runs over a stated limit.

    Raises
    ------
    ScenarioError
        Names the field, what was found and what is allowed, without the file.
    """
    _names(scenario)
    _pressures(scenario)
    _fits(scenario)
    _nuts(scenario)
    _seats(scenario)
    _stiffnesses(scenario)
    _wedge(scenario)
    _travel(scenario)
    _bores(scenario)
    _fixture_side(scenario)  # before what such a fixture would meet
    require_heads(scenario)
    _faces(scenario)
    _fixture(scenario)
    _openings(scenario)
    _back_stops(scenario)


def _refuse(field: str, rule: str) -> None:
    raise ScenarioError(f"{field} {rule}")


def _names(scenario: Scenario) -> None:
    _known("soft_jaw.material", scenario.soft_jaw.material)
    if not isinstance(scenario.boring.fixture, NoFixture):
        _known("boring.fixture.material", scenario.boring.fixture.material)
    for number, operation in enumerate(scenario.operations):
        _known(f"operations[{number}].workpiece.material", operation.workpiece.material)
        try:
            tables.friction(operation.gripping.pairing)
        except ScenarioError as error:
            raise ScenarioError(f"operations[{number}].gripping.pairing: {error}") from None
        for k, cut in enumerate(operation.cuts):
            if cut.insert is not None:
                try:
                    in_field(f"operations[{number}].cuts[{k}].insert", parse, cut.insert)
                except ValueError as error:
                    raise ScenarioError(str(error)) from None


def _known(field: str, name: str) -> None:
    try:
        tables.material(name)
    except ScenarioError as error:
        raise ScenarioError(f"{field}: {error}") from None


def _pressures(scenario: Scenario) -> None:
    stated = [("boring.pressure", scenario.boring.pressure)]
    stated += [
        (f"operations[{n}].gripping.pressure", o.gripping.pressure) for n, o in enumerate(scenario.operations)
    ]
    for field, pressure in stated:
        require_known_pressure(field, pressure, scenario)
    for n, operation in enumerate(scenario.operations):
        grip = operation.gripping
        if grip.speed_low > grip.speed_high:
            _refuse(
                f"operations[{n}].gripping.speed_low",
                f"must be at most speed_high, {grip.speed_high:g} rpm, found {grip.speed_low:g} rpm",
            )


def known_pressures(scenario: Scenario) -> tuple[tuple[float, str], tuple[float, str]]:
    """Return over which and up to which pressure (MPa) a grip is known, each with what says so.

    Nothing is extrapolated beyond the chuck's own points; below them, where their line leaves no grip, there is none.
    The words of the lower end are empty where it is 0.
    """
    chuck, machine = scenario.chuck, scenario.machine
    ends = [
        (chuck.pressure_limit, "chuck.pressure_limit"),
        (machine.pressure_limit, "machine.pressure_limit"),
    ]
    if not chuck.grip_points:
        return (0.0, ""), min(ends, key=lambda end: end[0])
    curve = GripCurve(tuple((p.pressure, p.grip) for p in chuck.grip_points), 0.0)
    ends.append((curve.points[-1][0], "the largest of chuck.grip_points (nothing is known beyond it)"))
    words = "below which the line of the first two of chuck.grip_points leaves no grip"
    return (curve.starts, words if curve.starts > 0.0 else ""), min(ends, key=lambda end: end[0])


def require_known_pressure(field: str, pressure: float, scenario: Scenario) -> None:
    """Refuse a pressure (MPa) at which the chuck's grip is not known, or that chuck or machine may not get.

    Raises
    ------
    ScenarioError
    """
    (least, no_grip), (most, owner) = known_pressures(scenario)
    if pressure > most:
        _refuse(field, f"must be at most {10.0 * most:g} bar, {owner}, found {10.0 * pressure:g} bar")
    if no_grip and pressure <= least:
        _refuse(
            field,
            f"must be over {at_least_text(10.0 * least, 2)} bar, {no_grip}, found {10.0 * pressure:g} bar",
        )


def _stiffnesses(scenario: Scenario) -> None:
    chuck = scenario.chuck
    for name, value, scale, unit, (low, high), why in (
        (
            "radial_stiffness",
            chuck.radial_stiffness,
            1e3,
            "kN/mm",
            RADIAL_STIFFNESS,
            "whole chucks are published at 66 to 216 kN/mm",
        ),
        (
            "tilt_stiffness",
            chuck.tilt_stiffness,
            1e6,
            "kN m/rad",
            TILT_STIFFNESS,
            "10 kN at 80 mm then lean a jaw by 8 to 0.005 mrad",
        ),
    ):
        if not low <= value <= high:
            _refuse(
                f"chuck.{name}",
                f"must lie between {low / scale:g} and {high / scale:g} {unit} ({why}), found {value / scale:g} {unit}",
            )


def _wedge(scenario: Scenario) -> None:
    chuck = scenario.chuck
    wedge = Wedge(chuck.wedge_angle, chuck.wedge_depth, chuck.guideway_length, chuck.guideway_friction)
    if not jaw_force(1.0, 0.0, wedge) > 0.0:
        _refuse(
            "chuck.guideway_friction",
            f"must let the wedge move the jaw, but locks it in its guideway, {chuck.guideway_length:g} mm long, "
            f"found {chuck.guideway_friction:g}",
        )


def _fits(scenario: Scenario) -> None:
    screws, master, chuck = scenario.soft_jaw.screws, scenario.master_jaw, scenario.chuck
    size = tables.thread(screws.thread).diameter
    head = HEADS[size].diameter
    if screws.hole_diameter <= size:
        _refuse(
            "soft_jaw.screws.hole_diameter",
            f"must be over {size:g} mm to pass an {screws.thread} screw, found {screws.hole_diameter:g} mm",
        )
    washer = screws.washer_diameter
    if washer is not None and not screws.hole_diameter < washer <= screws.counterbore_diameter:
        _refuse(
            "soft_jaw.screws.washer_diameter",
            f"must be over the hole, {screws.hole_diameter:g} mm, and at most the counterbore that it lies in, "
            f"{screws.counterbore_diameter:g} mm, found {washer:g} mm",
        )
    rests = bearing_diameter(tables.thread(screws.thread), screws.washer_diameter)
    if screws.hole_diameter >= rests:
        what = f"the head of an {screws.thread} screw" if screws.washer_diameter is None else "the washer"
        _refuse(
            "soft_jaw.screws.hole_diameter",
            f"must be under {rests:g} mm, the diameter on which {what} presses the jaw, found "
            f"{screws.hole_diameter:g} mm",
        )
    if screws.counterbore_diameter <= head:
        _refuse(
            "soft_jaw.screws.counterbore_diameter",
            f"must be over {head:g} mm, the head of an {screws.thread} screw, found "
            f"{screws.counterbore_diameter:g} mm",
        )
    if min(scenario.soft_jaw.width, master.width) <= master.slot_neck_width:
        _refuse(
            "master_jaw.slot_neck_width",
            f"must leave serrations beside the T-slot: under {min(scenario.soft_jaw.width, master.width):g} mm, what "
            f"soft jaw and master jaw have of width in common, found {master.slot_neck_width:g} mm",
        )
    if master.width >= chuck.slot_width:
        _refuse(
            "chuck.slot_width",
            f"must be over master_jaw.width, {master.width:g} mm, found {chuck.slot_width:g} mm",
        )
    if master.height >= chuck.slot_depth:
        _refuse(
            "chuck.slot_depth",
            f"must be over master_jaw.height, {master.height:g} mm, found {chuck.slot_depth:g} mm",
        )


def _nuts(scenario: Scenario) -> None:
    nut, body = scenario.master_jaw.t_nut, 0.5 * scenario.chuck.body_diameter
    positions = sorted(scenario.soft_jaw.screws.positions)
    outermost = _opened(scenario) + positions[-1] + 0.5 * nut.length
    if outermost > body:
        _refuse(
            "soft_jaw.screws.positions",
            f"must keep the T-nut within the chuck body, radius {body:g} mm, with the jaws open; the outer "
            f"one reaches {outermost:g} mm",
        )
    for near, far in itertools.pairwise(positions):
        if far - near < nut.length:
            _refuse(
                "master_jaw.t_nut.length",
                f"must be at most the distance of two screws, {far - near:g} mm, found {nut.length:g} mm",
            )
    if nut.width >= scenario.master_jaw.slot_width or nut.height >= scenario.master_jaw.slot_height:
        _refuse(
            "master_jaw.t_nut.width",
            f"must fit the T-slot, {scenario.master_jaw.slot_width:g} mm wide and "
            f"{scenario.master_jaw.slot_height:g} mm high, found {nut.width:g} mm by {nut.height:g} mm",
        )


def _seats(scenario: Scenario) -> None:
    """Refuse screws whose T-nuts do not stand wholly in the master jaws, and a jaw on one screw without a reason."""
    stated, nut = scenario.soft_jaw.screws, scenario.master_jaw.t_nut
    if len(stated.positions) < 2 and stated.single_screw_reason is None:
        _refuse(
            "soft_jaw.screws.positions",
            "must give two screws a jaw at least, found 1; if one is meant, state why it is enough in "
            "soft_jaw.screws.single_screw_reason",
        )
    blank = _opened(scenario)
    for number, place in enumerate(seats(scenario)):
        off = scenario.soft_jaw.serrations_off[number]
        which = f"jaw {number + 1}, {off:+d} serrations off," if off else "the jaws"
        # A jaw that stands off takes its screws along; the master jaw stays.
        moved = blank + off * scenario.chuck.serration_pitch
        low, high = moved + place.master_inner, moved + place.master_outer
        for position in place.screws:
            axis = moved + position
            near, far = axis - 0.5 * nut.length, axis + 0.5 * nut.length
            if near < low - 1e-9 or far > high + 1e-9:
                _refuse(
                    "soft_jaw.screws.positions",
                    f"must keep each screw with its T-nut, {nut.length:g} mm long, wholly in the master jaw, which "
                    f"reaches from radius {low:g} mm to {high:g} mm with {which} open; found a screw at radius "
                    f"{axis:g} mm, its T-nut from {near:g} mm to {far:g} mm",
                )


def _opened(scenario: Scenario) -> float:
    """Radius of the inner ends with the jaws as far out as they go."""
    outside = gripping_direction(scenario) == "outside"
    return inner_end_radius(scenario, 0.0 if outside else scenario.chuck.stroke)


def _travel(scenario: Scenario) -> None:
    travel, stroke_length = scenario.boring.travel, scenario.chuck.stroke
    if travel > stroke_length:
        _refuse(
            "boring.travel",
            f"must be at most chuck.stroke, {stroke_length:g} mm, found {travel:g} mm",
        )
    closed = min(inner_end_radius(scenario, 0.0), inner_end_radius(scenario, stroke_length))
    tip = scenario.soft_jaw.tip_width or scenario.soft_jaw.width
    least = 0.5 * tip / math.sqrt(3.0)
    if closed < least:
        found, wanted = against(closed, least, (1, 1))
        _refuse(
            "soft_jaw.mounting_radius",
            f"must leave the closed jaws' inner ends, {tip:g} mm wide, at a radius of {wanted} mm or more "
            f"so that they do not meet each other, found {found} mm",
        )


def _bores(scenario: Scenario) -> None:
    jaw, screws = scenario.soft_jaw, scenario.soft_jaw.screws
    inner = inner_end_radius(scenario, scenario.boring.travel)
    outer = inner + jaw.length
    outside = gripping_direction(scenario) == "outside"
    size = tables.thread(screws.thread).diameter
    top = head_top(scenario)
    for n, pocket in enumerate(scenario.pockets):
        field, radius, seat = f"pockets[{n}].diameter", 0.5 * pocket.diameter, jaw.height - pocket.depth
        if not inner < radius < outer - 5.0:
            _refuse(
                field,
                f"must lie between {2 * inner:g} mm and {2 * (outer - 5.0):g} mm, what the jaws can hold at "
                f"the boring travel, found {pocket.diameter:g} mm",
            )
        if pocket.depth >= jaw.height:
            _refuse(
                f"pockets[{n}].depth",
                f"must be less than soft_jaw.height, {jaw.height:g} mm, found {pocket.depth:g} mm",
            )
        for position in screws.positions:
            centre = inner + position
            wall = radius + (pocket.groove_depth if outside else -pocket.groove_depth)
            nearest = centre - 0.5 * HEADS[size].diameter
            farthest = centre + 0.5 * HEADS[size].diameter
            cut = nearest < wall if outside else farthest > wall
            if cut and seat < top:
                _refuse(
                    field,
                    f"must not bore through the screw at radius {centre:g} mm, whose head reaches up to "
                    f"z = {top:g} mm, while the pocket's back face lies at z = {seat:g} mm; found "
                    f"{pocket.diameter:g} mm",
                )


def _faces(scenario: Scenario) -> None:
    """Refuse a bored face that no part can be held on: one that spans 60 deg to a side, or ends in a thin edge."""
    jaw, inner = scenario.soft_jaw, inner_end_radius(scenario, scenario.boring.travel)
    outside = gripping_direction(scenario) == "outside"
    for n, pocket in enumerate(scenario.pockets):
        half, full = face_half_chord(scenario, 0.5 * pocket.diameter), 0.5 * jaw.width - jaw.edge_chamfer
        if not outside and half < full:
            behind = inner + max(0.0, full - 0.5 * (jaw.tip_width or jaw.width)) / math.sqrt(3.0)
            _refuse(
                f"pockets[{n}].diameter",
                f"must be at least {at_least_text(2.0 * math.hypot(behind, full), 1)} mm for a step as wide "
                f"as the jaws, {2.0 * full:g} mm between the chamfers, whose inner ends stand at a radius of "
                f"{inner:g} mm; found {pocket.diameter:g} mm",
            )
        for k, operation in enumerate(scenario.operations):
            smallest, least = operation.workpiece.gripped_diameter_low, 2.0 * half / math.sin(math.pi / 3.0)
            if scenario.pocket_of(operation) is pocket and smallest <= least:
                _refuse(
                    f"operations[{k}].workpiece.gripped_diameter_low",
                    f"must be over {at_least_text(least, 2)} mm, for the bored faces, {2.0 * half:.2f} mm wide, "
                    f"to reach less than 60 deg around the part to each side, found {smallest:g} mm",
                )


def _fixture(scenario: Scenario) -> None:
    fixture, jaw = scenario.boring.fixture, scenario.soft_jaw
    inner = inner_end_radius(scenario, scenario.boring.travel)
    if isinstance(fixture, OuterRing):
        _outer_ring(scenario, fixture, inner)
    if isinstance(fixture, Plug):
        if not inner < 0.5 * fixture.diameter < inner + jaw.length:
            _refuse(
                "boring.fixture.diameter",
                f"must be over {2 * inner:g} mm, the opening between the jaws at the boring travel, found "
                f"{fixture.diameter:g} mm",
            )
        narrowest = min(p.diameter for p in scenario.pockets)
        seat = jaw.height - max(p.depth for p in scenario.pockets)
        if gripping_direction(scenario) == "outside" and fixture.diameter >= narrowest:
            _refuse(
                "boring.fixture.diameter",
                f"must be under {narrowest:g} mm, the narrowest pocket, found {fixture.diameter:g} mm",
            )
        if gripping_direction(scenario) == "outside" and fixture.height >= seat:
            _refuse(
                "boring.fixture.height",
                f"must be under {seat:g} mm, the back face of the deepest pocket, found {fixture.height:g} mm",
            )
        if fixture.height + fixture.thickness > jaw.height:
            _refuse(
                "boring.fixture.height",
                f"must keep the plug below the jaws' top face, {jaw.height:g} mm, found its upper face at "
                f"{fixture.height + fixture.thickness:g} mm",
            )
    if isinstance(fixture, Ring) and fixture.pin_diameter >= jaw.screws.counterbore_diameter:
        _refuse(
            "boring.fixture.pin_diameter",
            f"must be under the counterbore's diameter, {jaw.screws.counterbore_diameter:g} mm, found "
            f"{fixture.pin_diameter:g} mm",
        )


def _fixture_side(scenario: Scenario) -> None:
    """Refuse a fixture that the jaws move away from when they press as they will grip."""
    fixture, direction = scenario.boring.fixture, gripping_direction(scenario)
    if isinstance(fixture, Plug) and direction == "inside":
        _refuse("boring.fixture.kind", 'must not be "plug" for jaws that grip inside: they open away from it')
    if isinstance(fixture, OuterRing) and direction == "outside":
        _refuse(
            "boring.fixture.kind",
            'must not be "outer ring" for jaws that grip outside: they close away from it',
        )


def _outer_ring(scenario: Scenario, fixture: OuterRing, inner: float) -> None:
    """Refuse an outer ring that the jaws do not reach, or that stands only where their steps are turned."""
    farthest = inner + scenario.soft_jaw.length
    if not 2.0 * inner < fixture.inner_diameter <= 2.0 * farthest:
        _refuse(
            "boring.fixture.inner_diameter",
            f"must lie between {2.0 * inner:g} and {2.0 * farthest:g} mm, the jaws' inner and outer ends at the "
            f"boring travel, so that they press against it, found {fixture.inner_diameter:g} mm",
        )
    seat = scenario.soft_jaw.height - max(p.depth for p in scenario.pockets)
    if fixture.height >= seat:
        _refuse(
            "boring.fixture.height",
            f"must be under {seat:g} mm, the back face of the deepest step, above which the ring's seat is turned "
            f"away, found {fixture.height:g} mm",
        )


def require_cuts_on_part(scenario: Scenario, index: int) -> None:
    """Refuse cuts of an operation that lie off the part, or beside the jaws that stand around it.

    Raises
    ------
    ScenarioError
        Names the field, what was found and what is allowed, without the file.
    """
    operation = scenario.operations[index]
    heights = [z for _, z in operation.workpiece.outline]
    widest = max(r for r, _ in operation.workpiece.outline)
    wall = scenario.pocket_of(operation).depth
    gripped = operation.workpiece.gripped_diameter_low - 1.0
    for k, cut in enumerate(operation.cuts):
        field = f"operations[{index}].cuts[{k}]"
        if not min(heights) - cut.depth_of_cut <= cut.height <= max(heights) + cut.depth_of_cut:
            _refuse(
                f"{field}.height",
                f"must lie on the part, {min(heights):g} to {max(heights):g} mm, found {cut.height:g} mm",
            )
        if cut.off_axis is not None and 2.0 * cut.off_axis + cut.diameter > 2.0 * widest:
            _refuse(
                f"{field}.off_axis",
                f"must keep the drill of {cut.diameter:g} mm on the part, at most {widest - 0.5 * cut.diameter:g} mm, "
                f"found {cut.off_axis:g} mm",
            )
        if cut.diameter > 2.0 * (widest + cut.depth_of_cut):
            _refuse(
                f"{field}.diameter",
                f"must lie on the part, at most {2.0 * widest:g} mm, found {cut.diameter:g} mm",
            )
        around = operation.gripping.direction == "outside" and cut.diameter >= gripped
        if cut.kind == "turning" and around and cut.height < wall:
            _refuse(
                f"{field}.height",
                f"must be over {wall:g} mm, the jaws' top face above the part's back face, to turn "
                f"{cut.diameter:g} mm, found {cut.height:g} mm",
            )


def face_width(scenario: Scenario, pocket: Pocket) -> float:
    """Return the chord of a pocket's bored face between its edges, mm."""
    return 2.0 * face_half_chord(scenario, 0.5 * pocket.diameter)


def bored_face(scenario: Scenario, pocket: Pocket) -> stroke.BoredFace:
    """Return the face that boring a pocket gives each jaw."""
    width, direction = face_width(scenario, pocket), gripping_direction(scenario)
    return stroke.BoredFace(0.5 * pocket.diameter, width, scenario.boring.travel, direction)


def band(scenario: Scenario, index: int) -> stroke.TravelBand:
    """Return where in the stroke an operation grips, for both limits of its gripped diameter.

    Raises
    ------
    ScenarioError
        If the jaw is too wide for the radii.
    """
    operation = scenario.operations[index]
    part, pocket = operation.workpiece, scenario.pocket_of(operation)
    try:
        return stroke.travel_band(
            0.5 * part.gripped_diameter_low,
            0.5 * part.gripped_diameter_high,
            0.5 * pocket.diameter,
            face_width(scenario, pocket),
            scenario.boring.travel,
            scenario.chuck.stroke,
            operation.gripping.direction,
            lead_in=pocket.chamfer,
            out_of_round=part.out_of_round,
            reserve=scenario.limits.stroke_reserve,
        )
    except ValueError as error:
        raise ScenarioError(f"operations[{index}].workpiece: {error}") from None


def _openings(scenario: Scenario) -> None:
    for n, operation in enumerate(scenario.operations):
        travel = band(scenario, n)
        if travel.loading_clearance < 0.0:
            outside = operation.gripping.direction == "outside"
            part = operation.workpiece
            worst = part.gripped_diameter_high if outside else part.gripped_diameter_low
            possible = worst + 2.0 * travel.loading_clearance * (1.0 if outside else -1.0)
            word = "high must be at most" if outside else "low must be at least"
            named = (at_most_text if outside else at_least_text)(possible, 2)
            _refuse(
                f"operations[{n}].workpiece.gripped_diameter_{word.split()[0]}",
                f"{word.split(' ', 1)[1]} {named} mm, the opening of the jaws at the loading "
                f"position, found {worst:g} mm",
            )


def _back_stops(scenario: Scenario) -> None:
    """Refuse a stop that stands in the part, in the jaws or in the chuck body."""
    closed = min(inner_end_radius(scenario, 0.0), inner_end_radius(scenario, scenario.chuck.stroke))
    for n, operation in enumerate(scenario.operations):
        stop = operation.back_stop
        if stop is None:
            continue
        seat = scenario.soft_jaw.height - scenario.pocket_of(operation).depth
        upper, lowest = stop.height + stop.thickness, min(z for _, z in operation.workpiece.outline)
        if upper > seat + lowest:
            _refuse(
                f"operations[{n}].back_stop.height",
                f"must keep the stop's upper face at or below the part, z = {seat + lowest:g} mm, found "
                f"{upper:g} mm",
            )
        widest = 2.0 * closed if upper > 0.0 else scenario.chuck.bore_diameter
        if stop.height < 0.0:
            widest = min(widest, scenario.chuck.bore_diameter)
        if stop.outer_diameter > widest:
            _refuse(
                f"operations[{n}].back_stop.outer_diameter",
                f"must be at most {widest:g} mm, what chuck bore and closed jaws leave, found "
                f"{stop.outer_diameter:g} mm",
            )
