"""Where the blanks are bolted, what is bored into them and with what, for a part that is known in outline only.

The rules are those of the shop (common practice, no source): the pocket is bored to the part's largest size in the
middle of the stroke; the blanks stand so that their corners reach to the part, or where a counterbore is in the way
farther out, and the screws stay over the master jaw; the ring's pins stand in the innermost counterbores that clear the
pocket. A pocket that leaves none is bored on a plug below its floor. What comes of it is judged like any setup.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from sim.base import tables, units
from sim.base.errors import ScenarioError
from sim.first_setup.known import Known

GAP = 1.0  # between neighbouring blanks with the jaws fully closed, mm
LAND = 3.2  # of metal between a pocket and a counterbore, mm
REBORE = 4.5  # the same where the jaws can be bored again, mm
BITE = 4.0  # least depth of a pocket into the blanks' inner ends, mm
ASIDE = 1.0 / math.tan(math.radians(60.0))  # of half a tip's width: where neighbouring jaws meet
ROOM = 2.5  # between pocket and ring, mm
WEB = 2.0  # of a ring between its inner edge and its pins, mm
RIM = 5.0  # of a ring outside of its pins, mm
LEAST_TIP = 8.0  # mm; a narrower tip gives way sideways
FLOOR = 15.0  # of a blank below its pocket, mm
PLUG = 10.0  # thick, mm
LOWEST_PLUG = 4.0  # above the serrations, mm
BELOW = 1.0  # from a plug's face to the pocket's floor, mm
BEHIND = 15.0  # of a blank behind its pocket's wall, mm
BROKEN = 0.5  # chamfer of the part's corner on its back face, mm
# Bars by ISO 5609 (diameter, f; from memory, not verified; written into the shop's files) with the inserts that they
# usually bear, mm.
BARS = ((8.0, 6.0, "CCMT 060204"), (10.0, 7.0, "CCMT 060204"), (12.0, 9.0, "CCMT 060204"), (16.0, 11.0, "CCMT 09T304"),
        (20.0, 13.0, "CCMT 09T304"), (25.0, 17.0, "CCMT 09T304"))  # fmt: skip


@dataclass(frozen=True, slots=True)
class Blank:
    """A blank of the class and where it may be bolted; mm.

    Attributes
    ----------
    nearest, farthest : float
        Radius of its inner end, jaws open, at which its screws' nuts stay in the master jaw and it is not too far out.
    """

    length: float
    width: float
    height: float
    mounting_radius: float
    pitch: float
    screws: tuple[float, ...]
    counterbore: float
    heads: float
    nearest: float
    farthest: float


@dataclass(frozen=True, slots=True)
class RingOnPins:
    """A boring ring; mm.

    Attributes
    ----------
    outer, inner : float
        Diameters.
    screw : int
        In whose counterbores its pins stand, counted from the inside.
    """

    outer: float
    inner: float
    screw: int


@dataclass(frozen=True, slots=True)
class PlugBelow:
    """A plug between the jaws, below the pocket's floor; mm.

    Attributes
    ----------
    diameter, thickness : float
    height : float
        Of its lower face above the serrations.
    """

    diameter: float
    thickness: float
    height: float


@dataclass(frozen=True, slots=True)
class Proposal:
    """What is taken for the blanks and their boring; mm.

    Attributes
    ----------
    serrations : int
        Outward from the mounting radius.
    tip_width : float or None
        To which the blanks are narrowed, None where they are not.
    """

    travel: float
    serrations: int
    tip_width: float | None
    diameter: float
    depth: float
    fixture: RingOnPins | PlugBelow
    bar_diameter: float
    functional_offset: float
    insert: str
    reach: float


def _mm(text: Any) -> float:
    return units.read(text, "length")


def blank_of(tables_: dict[str, Any]) -> Blank:
    """Read a blank and where it can stand from the tables of a class."""
    jaw, screws, master, chuck = (
        tables_["soft_jaw"], tables_["soft_jaw"]["screws"], tables_["master_jaw"], tables_["chuck"]
    )  # fmt: skip
    thread = tables.thread(screws["thread"])
    positions = tuple(_mm(p) for p in screws["positions"])
    length, inner, half_nut = (
        _mm(jaw["length"]),
        _mm(master["inner_radius"]),
        0.5 * _mm(master["t_nut"]["length"]),
    )
    outer = inner + _mm(master["length"])
    past = 8.0  # mm; a little less than a jaw may stand past its master jaw and past the body
    return Blank(
        length=length,
        width=_mm(jaw["width"]),
        height=_mm(jaw["height"]),
        mounting_radius=_mm(jaw["mounting_radius"]),
        pitch=_mm(chuck.get("serration_pitch", "1.5 mm")),
        screws=positions,
        counterbore=thread.counterbore,
        heads=_mm(jaw["height"]) - _mm(screws["counterbore_depth"]) + thread.head_height,
        nearest=inner + half_nut - positions[0],
        farthest=min(
            outer - half_nut - positions[-1],
            outer + past - length,
            0.5 * _mm(chuck["body_diameter"]) + past - length,
        ),
    )


def _wanted(blank: Blank, radius: float, travel: float) -> int:
    """Return the serrations outward at which the blank's corners just reach the part."""
    half = 0.5 * blank.width
    corner = math.sqrt(max(0.0, radius**2 - half**2))
    inner = min(max(corner, 0.6 * radius), radius - BITE) - 1.0 + travel
    return math.floor((min(inner, blank.farthest) - blank.mounting_radius) / blank.pitch)


def _clear(blank: Blank, inner: float, radius: float, land: float) -> bool:
    """Tell whether no counterbore stands across the pocket's wall, with some metal left beside it."""
    half = 0.5 * blank.counterbore
    return all(abs(inner + place - radius) >= half + land for place in blank.screws)


def _bolted(blank: Blank, radius: float, travel: float) -> tuple[int, ...]:
    """Return serrations outward that can be: first as near to where the corners just reach as the counterbores allow.

    Last those farther out, where the bored face is narrower than the blank.

    Raises
    ------
    ScenarioError
        If the part is too small for the blanks, or a counterbore stands in the wall wherever they are bolted.
    """
    wanted = _wanted(blank, radius, travel)
    least = math.ceil((blank.nearest - blank.mounting_radius) / blank.pitch)
    if wanted < least:
        raise ScenarioError(f"{2.0 * radius:g} mm is too small, its blanks cannot be bolted so far inward")
    most = math.floor(
        (min(radius - BITE + travel, blank.farthest) - blank.mounting_radius - 1e-9) / blank.pitch
    )
    found = tuple(
        serrations
        for places in (range(wanted, least - 1, -1), range(wanted + 1, most + 1))
        for land in (REBORE, LAND)
        for serrations in places
        if _clear(blank, blank.mounting_radius + blank.pitch * serrations - travel, radius, land)
    )
    if not found:
        raise ScenarioError(
            f"wherever they are bolted, a counterbore stands in the wall of a pocket of {2.0 * radius:g} mm"
        )
    return tuple(dict.fromkeys(found))


def _tip(blank: Blank, inner: float, stroke: float) -> float | None:
    """Return the width of the inner end with which the closed jaws stay apart, mm; None for the blank's own.

    Raises
    ------
    ScenarioError
        If the tip would be too slim.
    """
    tip = 2.0 * (inner - stroke - GAP) / ASIDE
    if tip >= blank.width:
        return None
    if tip < LEAST_TIP:
        raise ScenarioError(
            f"its jaws would meet before they grip it: tips of {max(0.0, tip):.1f} mm, at least {LEAST_TIP:g} mm"
        )
    return math.floor(tip)


def _ring(blank: Blank, inner: float, radius: float, pin: float) -> RingOnPins:
    """Return a ring whose pins stand in the innermost counterbores that clear the pocket.

    Raises
    ------
    ScenarioError
        If none does.
    """
    for number, place in enumerate(blank.screws):
        if (
            inner + place - 0.5 * pin - WEB >= radius + ROOM
            and inner + place - 0.5 * blank.counterbore >= radius + LAND
        ):
            circle = inner + place
            return RingOnPins(
                outer=math.ceil(2.0 * (circle + 0.5 * pin + RIM)),
                inner=math.floor(2.0 * min(radius + 2.0 * ROOM, circle - 0.5 * pin - WEB)),
                screw=number,
            )
    raise ScenarioError(
        f"a pocket of {2.0 * radius:g} mm leaves no counterbore for the pins of a boring ring"
    )


def _plug(blank: Blank, inner: float, radius: float, depth: float) -> PlugBelow:
    """Return a plug below the pocket's floor, on a seat as wide as the jaws where that clears counterbores and pocket.

    Raises
    ------
    ScenarioError
        If there is no room for one.
    """
    widest = min(inner + blank.screws[0] - 0.5 * blank.counterbore - LAND, radius - ROOM)
    seat = min(math.hypot(inner, 0.5 * blank.width) + 1.0, widest)
    height = blank.height - depth - BELOW - PLUG
    if seat < inner + BITE or height < LOWEST_PLUG:
        raise ScenarioError(
            f"a pocket of {2.0 * radius:g} mm leaves no counterbore for the pins of a boring ring, and no room for a "
            "plug below it"
        )
    return PlugBelow(diameter=math.floor(2.0 * seat), thickness=PLUG, height=height)


def proposed(known: Known, tables_: dict[str, Any]) -> Proposal:
    """Return what is taken for the blanks and their boring.

    Raises
    ------
    ScenarioError
        If a chuck of this class with its usual blanks cannot take the part, with the sizes that it takes.
    """
    depth = known.part.gripped
    try:
        return _placed(known.part.high, depth, tables_)
    except ScenarioError as error:
        low, high = takes(known.size_class, depth, tables_)
        sizes = f"it takes {low} to {high} mm" if high else "it takes none"
        raise ScenarioError(
            f"a {known.size_class} mm chuck with its usual blanks cannot take this part: {error}; covered over "
            f"{depth:g} mm {sizes}"
        ) from None


def takes(size_class: int, depth: float, tables_: dict[str, Any]) -> tuple[int, int]:
    """Return the smallest and the largest gripped diameter that a class takes over a depth, whole mm; 0, 0 for none.

    Between them a few may be refused for a counterbore in the way.
    """
    fits = [size for size in range(5, size_class + 1) if _fits(float(size), depth, tables_)]
    return (min(fits), max(fits)) if fits else (0, 0)


def coverable(diameter: float, wanted: float, tables_: dict[str, Any]) -> float:
    """Return how much of a part's length the usual blanks can cover, at most what is wanted, mm; that if none fits."""
    tried = [wanted, *(float(depth) for depth in range(math.ceil(wanted) - 1, 4, -1))]
    return next((depth for depth in tried if _fits(diameter, depth, tables_)), wanted)


def _fits(diameter: float, depth: float, tables_: dict[str, Any]) -> bool:
    try:
        _placed(diameter, depth, tables_)
    except ScenarioError:
        return False
    return True


def _placed(high: float, depth: float, tables_: dict[str, Any]) -> Proposal:
    blank = blank_of(tables_)
    travel = round(0.5 * _mm(tables_["chuck"]["stroke"]), 1)
    diameter = math.ceil(100.0 * high - 1e-9) / 100.0
    refused: list[ScenarioError] = []
    places = _bolted(blank, 0.5 * diameter, travel)
    for ring in (True, False):  # pins in counterbores before a seat of its own
        for serrations in places:
            try:
                return _on(serrations, diameter, depth, tables_, ring=ring)
            except ScenarioError as error:
                refused.append(error)
    raise refused[0]


def _on(serrations: int, diameter: float, depth: float, tables_: dict[str, Any], *, ring: bool) -> Proposal:
    """Return what is taken with the blanks on a serration, bored on a ring or on a plug."""
    blank, fixture = blank_of(tables_), tables_["boring"]["fixture"]
    stroke = _mm(tables_["chuck"]["stroke"])
    travel, radius = round(0.5 * stroke, 1), 0.5 * diameter
    open_radius = blank.mounting_radius + blank.pitch * serrations
    tip = _tip(blank, open_radius, stroke)
    inner = open_radius - travel  # while it is bored
    _require_depth(blank, inner, radius, depth)
    held = (
        _ring(blank, inner, radius, _mm(fixture["pin_diameter"]))
        if ring
        else _plug(blank, inner, radius, depth)
    )
    above = _mm(fixture["thickness"]) if ring else 0.0
    bar = max((b for b in BARS if b[1] + 0.5 * b[0] + 1.0 <= 2.0 * inner), default=BARS[0])
    return Proposal(
        travel=travel,
        serrations=serrations,
        tip_width=tip,
        diameter=diameter,
        depth=depth,
        fixture=held,
        bar_diameter=bar[0],
        functional_offset=bar[1],
        insert=bar[2],
        reach=min(math.ceil(depth + above + 10.0), 4.0 * bar[0]),
    )


def _require_depth(blank: Blank, inner: float, radius: float, depth: float) -> None:
    deepest = blank.height - FLOOR
    if radius > inner + blank.length - BEHIND:
        raise ScenarioError(
            f"its blanks reach to {2.0 * (inner + blank.length):g} mm: too little metal behind a wall of "
            f"{2.0 * radius:g} mm"
        )
    for place in blank.screws:
        if inner + place - 0.5 * blank.counterbore < radius + LAND:
            deepest = min(deepest, blank.height - blank.heads - LAND)
    if depth > deepest:
        raise ScenarioError(
            f"its blanks can cover at most {deepest:g} mm of the part's length, found {depth:g} mm: below are the "
            "screws' heads, or too little metal"
        )


def outline(known: Known, depth: float) -> Iterator[tuple[float, float]]:
    """Yield the corners of the part's half section as it is taken: what is gripped, what stands out, its bore."""
    part = known.part
    bore, gripped, beyond = 0.5 * part.bore, 0.25 * (part.low + part.high), 0.5 * part.beyond
    if part.low <= part.beyond <= part.high:  # as gripped: no step of some hundredths
        beyond = gripped
    shoulder = min(depth + 1.0, 0.5 * (depth + part.length))
    yield bore, 0.0
    yield gripped - BROKEN, 0.0
    yield gripped, BROKEN
    if abs(beyond - gripped) > 1e-9:
        yield gripped, shoulder
        yield beyond, shoulder
    yield beyond, part.length
    yield bore, part.length
