"""Where in the stroke the jaws meet the part, with which pattern, and whether the part goes in.

The bore was turned with radius Rb about the spindle axis at travel sb. At travel s its centre stands e
outward along the jaw: outside gripping e = sb - s, inside gripping e = s - sb (the jaws move outward).
Lengths in mm, angles in rad. Rigid bodies: what closes elastically under the grip is `sim.contact`'s
question. What is of type `Number` takes floats or arrays of them, of many sizes of a part.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Generic

import numpy as np

from sim.base.floats import Number, choose, larger, root, smaller
from sim.base.gripping import Direction, Pattern

# Radius difference up to which bore and part count as equal. Finer than a lathe turns (IT6 of 100 mm is 22
# micrometres in diameter), and the face closes by it under a small part of any usual grip.
FULL_FACE_TOLERANCE = 0.002
STROKE_RESERVE = 1.0 / 6.0  # share of the stroke kept free at both ends: common practice, no source


@dataclass(frozen=True, slots=True)
class BoredFace:
    """The face that boring gives each jaw.

    Attributes
    ----------
    radius, width : float
        Turned radius, and chord of the face across the jaw, edge chamfers off, mm.
    travel : float
        At which it was bored, mm.
    direction : {'outside', 'inside'}
    """

    radius: float
    width: float
    travel: float
    direction: Direction


@dataclass(frozen=True, slots=True)
class Ends(Generic[Number]):
    """What both limits of the gripped size give, mm.

    Attributes
    ----------
    first, last : float or array
        Least and largest grip travel.
    loading_clearance : float or array
        Least of both limits, less the part's out-of-round.
    """

    first: Number
    last: Number
    loading_clearance: Number


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
    _require_face(part_radius, bored_radius, 0.5 * face_width)
    difference = part_radius - bored_radius
    e = touch_offset(part_radius, bored_radius, face_width, direction)
    if abs(difference) <= tolerance:
        return Touch(e, "full")
    middle = difference <= 0.0 if direction == "outside" else difference >= 0.0
    return Touch(e, "middle" if middle else "edges")


def touch_offset(part_radius: Number, bored_radius: float, face_width: float, direction: Direction) -> Number:
    """Return the offset e (mm) of the bore's centre along the jaw at first touch; nan for edges that a part has not."""
    half = 0.5 * face_width
    difference = part_radius - bored_radius
    middle = difference <= 0.0 if direction == "outside" else difference >= 0.0
    return choose(middle, difference, _chord(part_radius, half) - _chord(bored_radius, half))


def _chord(radius: Number, half: float) -> Number:
    """Return the distance (mm) from the axis of the chord between a face's edges; nan under half its width."""
    square = radius * radius - half * half
    return choose(square >= 0.0, root(larger(square, 0.0)), math.nan)


def loading_clearance(
    part_radius: Number, bored_radius: float, face_width: float, boring_travel: float, direction: Direction
) -> Number:
    """Return the least radial distance (mm) of part and bored face at s = 0, negative when they overlap.

    Opening moves the bore's centre by the boring travel; its distance from the axis is monotone in |phi|,
    so the least clearance is on the middle or on the edges. The edge chamfers lie behind both.

    Raises
    ------
    ValueError
        If a radius, of one part and not of many, is not greater than half the face's width.
    """
    half = 0.5 * face_width
    if not isinstance(part_radius, np.ndarray):
        _require_face(part_radius, bored_radius, half)
    e = boring_travel if direction == "outside" else -boring_travel
    distances = (abs(e + bored_radius), math.hypot(e + _chord(bored_radius, half), half))
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
    s = _travel_of(touch.e, boring_travel, direction)
    clearance = loading_clearance(part_radius, bored_radius, face_width, boring_travel, direction)
    return Travel(part_radius, touch, s, stroke - s, s / stroke, clearance, clearance + lead_in)


def _travel_of(e: Number, boring_travel: float, direction: Direction) -> Number:
    return boring_travel - e if direction == "outside" else boring_travel + e


def ends(low_radius: Number, high_radius: Number, face: BoredFace, out_of_round: Number) -> Ends[Number]:
    """Return where both limits of the gripped radius are gripped, and by how much they load, all in mm."""
    clearances = [
        loading_clearance(r, face.radius, face.width, face.travel, face.direction)
        for r in (low_radius, high_radius)
    ]
    return Ends(*_grip_travels(low_radius, high_radius, face), smaller(*clearances) - out_of_round)


def _grip_travels(low_radius: Number, high_radius: Number, face: BoredFace) -> tuple[Number, Number]:
    low, high = (
        _travel_of(touch_offset(r, face.radius, face.width, face.direction), face.travel, face.direction)
        for r in (low_radius, high_radius)
    )
    return smaller(low, high), larger(low, high)


def middle_travel(first: Number, last: Number, stroke: float) -> Number:
    """Return the travel (mm) at which the middle of the tolerance is gripped, within the stroke."""
    return within_stroke(0.5 * (first + last), stroke)


def within_stroke(travel: Number, stroke: float) -> Number:
    """Return where jaws stand (mm) that run to a travel: at the end of the stroke where it lies beyond."""
    return smaller(larger(travel, 0.0), stroke)


def stroke_spare(first: Number, last: Number, stroke: float) -> Number:
    """Return how far (mm) travels between two stay off the nearer end of the stroke."""
    return smaller(first, stroke - last)


def serving_travels(
    low_radius: Number,
    high_radius: Number,
    face: BoredFace,
    stroke: float,
    reserve: Number | float,
    wanted: Number,
) -> tuple[Number, Number]:
    """Return least and largest boring travel (mm) at which both limits of a size load and grip off the stroke's ends.

    Boring later moves the grip by as much; the jaws then also open farther for loading. `ends` turned round.

    Parameters
    ----------
    low_radius, high_radius : float or array
        Limits of the gripped radius, mm.
    face : BoredFace
        As bored at its travel.
    reserve : float or array
        To keep at both ends of the stroke, mm.
    wanted : float or array
        Radial clearance to load with, the part's out-of-round in it, mm.
    """
    first, last = _grip_travels(low_radius, high_radius, face)
    bored, half = face.radius, 0.5 * face.width
    # Outside the face's middle and its edges must come off the largest part, inside within the smallest bore.
    free = high_radius + wanted if face.direction == "outside" else low_radius - wanted
    chord = root(larger(free * free - half * half, 0.0))
    if face.direction == "outside":
        needed = larger(free - bored, chord - _chord(bored, half))
    else:
        needed = larger(bored - free, _chord(bored, half) - chord)
    return (
        larger(larger(reserve - (first - face.travel), reserve), needed),
        smaller(stroke - reserve - (last - face.travel), stroke - reserve),
    )


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
    face = BoredFace(bored_radius, face_width, boring_travel, direction)
    both = ends(low_radius, high_radius, face, out_of_round)
    first, last, clearance = both.first, both.last, both.loading_clearance
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
