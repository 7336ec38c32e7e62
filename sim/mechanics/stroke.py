"""Where in the stroke the jaws meet the part, with which pattern, and whether the part goes in.

The bore was turned with radius Rb about the spindle axis at travel sb. At travel s its centre stands e
outward along the jaw: outside gripping e = sb - s, inside gripping e = s - sb (the jaws move outward).
Lengths in mm, angles in rad. Rigid bodies: what closes elastically under the grip is `sim.contact`'s
question.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

Direction = Literal["outside", "inside"]
Pattern = Literal["middle", "edges", "full"]

# Radius difference up to which bore and part count as equal. Finer than a lathe turns (IT6 of 100 mm is 22
# micrometres in diameter), and the face closes by it under a small part of any usual grip.
FULL_FACE_TOLERANCE = 0.002
STROKE_RESERVE = 1.0 / 6.0  # share of the stroke kept free at both ends: common practice, no source


@dataclass(frozen=True, slots=True)
class Touch:
    """First touch of bore and part: offset e of the bore's centre along the jaw (mm) and where."""

    e: float
    pattern: Pattern


@dataclass(frozen=True, slots=True)
class Travel:
    """One part radius in the stroke.

    Attributes
    ----------
    part_radius : float
        mm.
    touch : Touch
        First touch.
    grip_travel : float
        Travel s at first touch, mm.
    travel_left : float
        Stroke left beyond it, mm; negative when the jaws cannot reach the part.
    position_share : float
        grip_travel over the stroke: 0 at the loading position, 1 at the end.
    loading_clearance : float
        Least radial distance of part and bored face at s = 0, mm; negative when the part does not go in.
    entry_clearance : float
        The same at the mouth of the pocket, where the lead-in chamfer adds to it, mm.
    """

    part_radius: float
    touch: Touch
    grip_travel: float
    travel_left: float
    position_share: float
    loading_clearance: float
    entry_clearance: float


@dataclass(frozen=True, slots=True)
class TravelBand:
    """Both limits of the gripped diameter, and what must hold for the whole band.

    Attributes
    ----------
    low, high : Travel
        For the smallest and the largest gripped radius.
    boring_share : float
        Boring travel over the stroke.
    first, last : float
        Least and largest grip travel, mm.
    loading_clearance, entry_clearance : float
        Least of both limits, less the part's out-of-round, mm.
    reaches, loads, keeps_reserve : bool
        The jaws touch within the stroke; the part goes in; the reserve is free at both ends.
    """

    low: Travel
    high: Travel
    boring_share: float
    first: float
    last: float
    loading_clearance: float
    entry_clearance: float
    reaches: bool
    loads: bool
    keeps_reserve: bool


def wall_distance(phi: float, e: float, bored_radius: float) -> float:
    """Return the distance (mm) of the bored wall from the spindle axis at angle phi off the jaw's middle.

    r = e cos phi + sqrt(Rb^2 - e^2 sin^2 phi), a circle of radius Rb whose centre stands e off the axis.

    Raises
    ------
    ValueError
        If the ray at phi misses the circle.
    """
    under = bored_radius**2 - (e * math.sin(phi)) ** 2
    if under < 0.0:
        raise ValueError(
            f"a bore of radius {bored_radius:g} mm, {e:g} mm off the axis, has no wall at {phi:g} rad"
        )
    return e * math.cos(phi) + math.sqrt(under)


def first_touch(
    part_radius: float,
    bored_radius: float,
    face_width: float,
    direction: Direction,
    tolerance: float = FULL_FACE_TOLERANCE,
) -> Touch:
    """Return where bore and part touch first as the jaws close.

    Outside gripping: a part smaller than the bore touches in the middle of each face (three lines), a
    larger one on both edges (six lines). Inside gripping, where the turned step enters the part's bore, it
    is the reverse.

    Parameters
    ----------
    part_radius, bored_radius : float
        Gripped radius of the part and turned radius of the jaws, mm.
    face_width : float
        Chord of the bored face across the jaw, edge chamfers off, mm.
    tolerance : float
        Radius difference up to which the face counts as touching in full, mm.

    Raises
    ------
    ValueError
        If a radius is not greater than half the face's width.
    """
    half = 0.5 * face_width
    _require_face(part_radius, bored_radius, half)
    difference = part_radius - bored_radius
    middle = difference <= 0.0 if direction == "outside" else difference >= 0.0
    on_edges = math.sqrt(part_radius**2 - half**2) - math.sqrt(bored_radius**2 - half**2)
    e = difference if middle else on_edges
    if abs(difference) <= tolerance:
        return Touch(e, "full")
    return Touch(e, "middle" if middle else "edges")


def loading_clearance(
    part_radius: float, bored_radius: float, face_width: float, boring_travel: float, direction: Direction
) -> float:
    """Return the least radial distance (mm) of part and bored face at s = 0, negative when they overlap.

    Opening moves the bore's centre by the boring travel; its distance from the axis is monotone in |phi|,
    so the least clearance is on the middle or on the edges. The edge chamfers lie behind both.
    """
    half = 0.5 * face_width
    _require_face(part_radius, bored_radius, half)
    e = boring_travel if direction == "outside" else -boring_travel
    distances = (abs(e + bored_radius), math.hypot(e + math.sqrt(bored_radius**2 - half**2), half))
    if direction == "outside":
        return min(distances) - part_radius
    return part_radius - max(distances)


def travel(
    part_radius: float,
    bored_radius: float,
    face_width: float,
    boring_travel: float,
    stroke: float,
    direction: Direction,
    lead_in: float = 0.0,
) -> Travel:
    """Return the place of one part radius in the stroke.

    Parameters
    ----------
    part_radius, bored_radius, face_width : float
        As for `first_touch`, mm.
    boring_travel : float
        Travel at which the jaws were bored, mm.
    stroke : float
        Full stroke of a jaw, mm.
    lead_in : float
        Lead-in chamfer at the mouth of the pocket, 45 deg, mm.

    Raises
    ------
    ValueError
        If the boring travel lies outside the stroke, or `first_touch` refuses the radii.
    """
    if not 0.0 <= boring_travel <= stroke:
        raise ValueError(
            f"boring travel must lie within the stroke, 0 to {stroke:g} mm, found {boring_travel:g} mm"
        )
    touch = first_touch(part_radius, bored_radius, face_width, direction)
    s = boring_travel - touch.e if direction == "outside" else boring_travel + touch.e
    clearance = loading_clearance(part_radius, bored_radius, face_width, boring_travel, direction)
    return Travel(part_radius, touch, s, stroke - s, s / stroke, clearance, clearance + lead_in)


def travel_band(
    low_radius: float,
    high_radius: float,
    bored_radius: float,
    face_width: float,
    boring_travel: float,
    stroke: float,
    direction: Direction,
    lead_in: float = 0.0,
    out_of_round: float = 0.0,
    reserve: float = STROKE_RESERVE,
) -> TravelBand:
    """Return both limits of the gripped radius in the stroke.

    Parameters
    ----------
    low_radius, high_radius : float
        Smallest and largest gripped radius, mm; for raw stock the limits of the stock.
    out_of_round : float
        Peak-to-peak deviation of the gripped surface in radius, mm; taken off the loading clearance.
    reserve : float
        Share of the stroke that must stay free at both ends.
    """
    if low_radius > high_radius:
        raise ValueError(f"low radius {low_radius:g} mm must be at most the high radius {high_radius:g} mm")
    low, high = (
        travel(radius, bored_radius, face_width, boring_travel, stroke, direction, lead_in)
        for radius in (low_radius, high_radius)
    )
    first, last = sorted((low.grip_travel, high.grip_travel))
    clearance = min(low.loading_clearance, high.loading_clearance) - out_of_round
    return TravelBand(
        low=low,
        high=high,
        boring_share=boring_travel / stroke,
        first=first,
        last=last,
        loading_clearance=clearance,
        entry_clearance=clearance + lead_in,
        reaches=first >= 0.0 and last <= stroke,
        loads=clearance > 0.0,
        keeps_reserve=first >= reserve * stroke and last <= (1.0 - reserve) * stroke,
    )


def _require_face(part_radius: float, bored_radius: float, half_width: float) -> None:
    for name, radius in (("part", part_radius), ("bored", bored_radius)):
        if not radius > half_width:
            raise ValueError(
                f"the {name} radius must be greater than half the face's width, {half_width:g} mm, "
                f"found {radius:g} mm"
            )
