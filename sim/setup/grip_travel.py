"""Where in the stroke the jaws are bored, open for the part, and grip it. Lengths in mm."""

from __future__ import annotations

import math

from sim.base.errors import ScenarioError
from sim.base.floats import Number
from sim.base.rounding import against, at_least_text, at_most_text
from sim.mechanics import stroke
from sim.scenario import Pocket, Scenario
from sim.setup.jaw_place import JawPlace
from sim.setup.neighbours import least_inner_end, master_gap, soft_gap
from sim.setup.refusal import refuse


def face_width(place: JawPlace, pocket: Pocket) -> float:
    """Return the chord of a pocket's bored face between its edges, mm."""
    return 2.0 * place.face_half_chord(0.5 * pocket.diameter)


def bored_face(place: JawPlace, pocket: Pocket) -> stroke.BoredFace:
    """Return the face that boring a pocket gives each jaw."""
    return stroke.BoredFace(
        0.5 * pocket.diameter, face_width(place, pocket), place.boring_travel, place.direction
    )


def ends(
    scenario: Scenario, place: JawPlace, index: int, low: Number, high: Number, out_of_round: Number
) -> stroke.Ends[Number]:
    """Return where in the stroke an operation grips between two gripped diameters, and how it loads; all in mm."""
    face = bored_face(place, scenario.pocket_of(scenario.operations[index]))
    return stroke.ends(0.5 * low, 0.5 * high, face, out_of_round)


def serving_travels(
    scenario: Scenario,
    place: JawPlace,
    index: int,
    size: tuple[Number, Number, Number],
    reserve: Number,
    wanted: Number,
) -> tuple[Number, Number]:
    """Return least and largest boring travel (mm) at which an operation's parts load and grip off the stroke's ends.

    Parameters
    ----------
    size : tuple
        Low and high gripped diameter, out-of-round, mm.
    reserve : float or array
        To keep at both ends of the stroke, mm.
    wanted : float or array
        Radial clearance to load a round part with, mm.
    """
    face = bored_face(place, scenario.pocket_of(scenario.operations[index]))
    low, high, out_of_round = size
    return stroke.serving_travels(
        0.5 * low, 0.5 * high, face, scenario.chuck.stroke, reserve, wanted + out_of_round
    )


def band(scenario: Scenario, place: JawPlace, index: int) -> stroke.TravelBand:
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
            face_width(place, pocket),
            place.boring_travel,
            place.stroke,
            place.direction,
            lead_in=pocket.chamfer,
            out_of_round=part.out_of_round,
            reserve=scenario.limits.stroke_reserve,
        )
    except ValueError as error:
        raise ScenarioError(f"operations[{index}].workpiece: {error}") from None


def require_travel(scenario: Scenario, place: JawPlace) -> None:
    """Refuse to bore beyond the stroke, and closed jaws that meet each other."""
    travel, stroke_length = place.boring_travel, place.stroke
    if travel > stroke_length:
        refuse(
            "boring.travel",
            f"must be at most chuck.stroke, {stroke_length:g} mm, found {travel:g} mm",
        )
    closed, least = place.closed, least_inner_end(place)
    if closed < least:
        found, wanted = against(closed, least, (1, 1))
        refuse(
            "soft_jaw.mounting_radius",
            f"must leave the closed jaws' inner ends, {2.0 * place.tip:g} mm wide, at a radius of {wanted} mm or more "
            f"so that they do not meet each other, found {found} mm",
        )
    if any(scenario.soft_jaw.serrations_off) and soft_gap(scenario, place) == 0.0:
        offs = ", ".join(f"{off:+d}" for off in scenario.soft_jaw.serrations_off)
        refuse(
            "soft_jaw.serrations_off",
            f"must keep the closed jaws off each other, whose inner ends, {2.0 * place.tip:g} mm wide, stand at a "
            f"radius of {closed:g} mm without it; found {offs}, with which they meet",
        )
    if master_gap(scenario, place) == 0.0:
        master = scenario.master_jaw
        refuse(
            "master_jaw.inner_radius",
            f"must keep the closed master jaws, {master.width:g} mm wide, off each other: at least "
            f"{at_least_text(0.5 * master.width / math.sqrt(3.0) + stroke_length, 1)} mm, "
            f"found {master.inner_radius:g} mm",
        )


def require_openings(scenario: Scenario, place: JawPlace) -> None:
    """Refuse a part that does not go into the open jaws."""
    for n, operation in enumerate(scenario.operations):
        travel = band(scenario, place, n)
        if travel.loading_clearance < 0.0:
            outside = operation.gripping.direction == "outside"
            part = operation.workpiece
            worst = part.gripped_diameter_high if outside else part.gripped_diameter_low
            possible = worst + 2.0 * travel.loading_clearance * (1.0 if outside else -1.0)
            word = "high must be at most" if outside else "low must be at least"
            named = (at_most_text if outside else at_least_text)(possible, 2)
            refuse(
                f"operations[{n}].workpiece.gripped_diameter_{word.split()[0]}",
                f"{word.split(' ', 1)[1]} {named} mm, the opening of the jaws at the loading "
                f"position, found {worst:g} mm",
            )
