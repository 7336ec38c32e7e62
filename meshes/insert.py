"""Indexable inserts by their ISO 1832 designation: size from the code, outline of the rake face, solid.

Frame of an insert in its tool (the programmed tip is the origin):

- x radially outward, z along the spindle axis away from the chuck, y in the cutting direction of a spindle
  that turns counter-clockwise seen from the tailstock; the rake face lies in y = 0, the body in y >= 0;
- the tool is a boring bar that cuts outward (+x) and towards the chuck (-z), so the TIP is the intersection
  of the two tangents to the nose circle parallel to the axes: nose centre at (x, z) = (-r, +r). If trailing
  and leading edge stay behind the tip (approach angle of 90 deg or more) the outline has x <= 0 and z >= 0.
  With a smaller approach angle the leading edge runs ahead of the tip (z < 0); the tip stays as programmed.
- the approach angle (tool cutting edge angle, KAPR, ISO 3002-1) lies between feed direction -z and edge.
"""

from __future__ import annotations

import itertools
import math
import re
from dataclasses import dataclass

import manifold3d
import numpy as np
import trimesh
from numpy.typing import NDArray

from meshes.boolean import from_manifold

# Interior angles of the shapes in degrees, in order round the insert from the cutting corner (ISO 1832,
# symbol 1). Every one of them is a tangential polygon: all edges touch the inscribed circle.
SHAPES: dict[str, tuple[float, ...]] = {
    "C": (80.0, 100.0, 80.0, 100.0),
    "D": (55.0, 125.0, 55.0, 125.0),
    "E": (75.0, 105.0, 75.0, 105.0),
    "H": (120.0,) * 6,
    "M": (86.0, 94.0, 86.0, 94.0),
    "O": (135.0,) * 8,
    "P": (108.0,) * 5,
    "R": (),
    "S": (90.0,) * 4,
    "T": (60.0,) * 3,
    "V": (35.0, 145.0, 35.0, 145.0),
    "W": (80.0, 160.0, 80.0, 160.0, 80.0, 160.0),
}
# ISO 1832, symbol 2: normal clearance in degrees.
CLEARANCES: dict[str, float] = {
    "A": 3.0, "B": 5.0, "C": 7.0, "D": 15.0, "E": 20.0, "F": 25.0, "G": 30.0, "N": 0.0, "P": 11.0,
}  # fmt: skip
TOLERANCE_CLASSES = "ACEFGHJKLMNU"  # ISO 1832, symbol 3
FIXINGS = "ABCFGHJMNQRTUWX"  # ISO 1832, symbol 4
# ISO 1832, symbol 6, thickness in mm (multiples of 1/64 in; S1 to 09 as in a tool maker's catalogue of 2020,
# page "identification of inserts"; 11 and 12 by its rule, the multiple of 1/16 in that begins so; 10 the millimetre's).
THICKNESSES: dict[str, float] = {
    "S1": 1.39, "01": 1.59, "T0": 1.79, "T1": 1.98, "02": 2.38, "T2": 2.78, "03": 3.18, "T3": 3.97,
    "04": 4.76, "05": 5.56, "06": 6.35, "07": 7.94, "09": 9.52, "10": 10.0, "11": 11.11, "12": 12.7,
}  # fmt: skip
# Standard inscribed circles in mm: inch fractions (5/32 to 1 1/4 in); millimetres for round ones with M0.
INSCRIBED_CIRCLES = (3.96875, 4.7625, 5.55625, 6.35, 7.9375, 9.525, 12.7, 15.875, 19.05, 22.225, 25.4, 31.75)
METRIC_CIRCLES = (5.0, 6.0, 8.0, 10.0, 12.0, 16.0, 20.0, 25.0, 32.0)
# Codes that the rule "edge length without its decimals" does not give (same catalogue page).
_IRREGULAR_SIZES = {("C", "03"): 3.96875, ("W", "L3"): 4.7625}

_FORM = re.compile(
    r"([A-Z])([A-Z])([A-Z])([A-Z])\s*"  # shape, clearance, tolerance, fixing
    r"([0-9L]\d)([0-9ST]\d)(\d\d|M0)"  # edge length, thickness, nose radius
    r"[EFKPST]?[LNR]?(?:-.*)?"  # cutting edge condition, hand, maker's chip breaker: no dimension
)


@dataclass(frozen=True, slots=True)
class Insert:
    """An indexable insert; lengths in mm, angles in rad.

    Attributes
    ----------
    designation : str
        As given, upper case.
    shape : str
        ISO 1832 shape letter.
    point_angle : float
        Included angle eps of the cutting corner; 0 for round inserts.
    clearance_angle : float
        Normal clearance of the flanks.
    inscribed_circle : float
        Diameter of the circle that all edges touch.
    edge_length : float
        Theoretical edge between sharp corners (the diameter for round inserts).
    thickness : float
        From the rake face to the seat.
    nose_radius : float
        Radius of the cutting corner (half the diameter for round inserts).
    """

    designation: str
    shape: str
    point_angle: float
    clearance_angle: float
    inscribed_circle: float
    edge_length: float
    thickness: float
    nose_radius: float


def parse(designation: str) -> Insert:
    """Read an ISO 1832 designation such as ``'CCMT 09T304'``.

    A cutting edge symbol, a hand letter and a maker's chip breaker after a dash are allowed and ignored.

    Raises
    ------
    ValueError
        One sentence: which symbol is wrong and what is allowed.
    """
    text = designation.strip().upper()
    match = _FORM.fullmatch(text)
    if match is None:
        raise ValueError(
            f"insert '{designation}' is not an ISO 1832 designation of four letters, edge length, thickness "
            "and nose radius (as in CCMT 09T304)"
        )
    shape, clearance, tolerance, fixing, size, thickness, nose = match.groups()
    circles = _circles_by_code(shape, metric=nose == "M0") if shape in SHAPES else {}
    noses = ("M0", "00") if shape == "R" else tuple(f"{tenths:02d}" for tenths in range(100))
    for symbol, found, allowed in (
        ("shape", shape, SHAPES),
        ("clearance", clearance, CLEARANCES),
        ("tolerance class", tolerance, TOLERANCE_CLASSES),
        ("fixing", fixing, FIXINGS),
        ("edge length", size, circles),
        ("thickness", thickness, THICKNESSES),
        ("nose radius", nose, noses),
    ):
        if found not in allowed:
            listed = ", ".join(allowed) if len(allowed) < 50 else "00 to 99 (tenths of a millimetre)"
            raise ValueError(
                f"insert '{designation}' has the {symbol} symbol '{found}', which must be one of {listed}"
            )
    circle = circles[size]
    radius = 0.5 * circle if shape == "R" else 0.1 * float(nose)
    if shape != "R" and radius >= 0.5 * circle:
        raise ValueError(
            f"insert '{designation}' has a nose radius of {radius:g} mm, which must be less than half its "
            f"inscribed circle of {circle:g} mm"
        )
    return Insert(
        designation=text,
        shape=shape,
        point_angle=math.radians(SHAPES[shape][0]) if SHAPES[shape] else 0.0,
        clearance_angle=math.radians(CLEARANCES[clearance]),
        inscribed_circle=circle,
        edge_length=edge_of_circle(shape, circle),
        thickness=THICKNESSES[thickness],
        nose_radius=radius,
    )


def edge_of_circle(shape: str, inscribed_circle: float) -> float:
    """Return the theoretical edge length (mm) of a shape round an inscribed circle (diameter, mm).

    For a rhombus this is IC / sin(eps); in general (IC / 2)(cot(a1 / 2) + cot(a2 / 2)), corners a1, a2.
    """
    angles = SHAPES[shape]
    if not angles:
        return inscribed_circle
    return 0.5 * inscribed_circle * sum(1.0 / math.tan(0.5 * math.radians(a)) for a in angles[:2])


def nose_setback(insert: Insert) -> float:
    """Return how far (mm) the nose lies behind the sharp corner: r (1 / sin(eps / 2) - 1) on the bisector."""
    if insert.shape == "R":
        return 0.0
    return insert.nose_radius * (1.0 / math.sin(0.5 * insert.point_angle) - 1.0)


def trailing_edge_angle(insert: Insert, approach_angle: float) -> float:
    """Return the angle (rad) between the trailing edge and the wall just cut, 180 deg - KAPR - eps."""
    return math.pi - approach_angle - insert.point_angle


def outline(
    insert: Insert, approach_angle: float, arc_step: float = math.radians(7.5)
) -> NDArray[np.float64]:
    """Return the rake face as a polygon with rounded corners, origin at the programmed tip.

    Parameters
    ----------
    insert : Insert
        From `parse`.
    approach_angle : float
        KAPR, rad; not used by round inserts.
    arc_step : float
        Largest step of an arc, rad. Vertices lie on the arcs, and where an arc reaches its greatest or least
        x or z it has a vertex there, so the tip is exact whatever the step.

    Returns
    -------
    (n, 2) array
        (x, z) in mm, counter-clockwise in the (x, z) plane, not closed.

    Raises
    ------
    ValueError
        If the trailing edge would cut into the wall (KAPR + eps > 180 deg) or KAPR is not in 0..180 deg.
    """
    return _outline(insert, approach_angle, arc_step, 0.0)


def mesh(insert: Insert, approach_angle: float, arc_step: float = math.radians(3.0)) -> trimesh.Trimesh:
    """Return the solid: rake face in y = 0, flanks leaning in by the clearance angle, seat at y = thickness.

    Fixing hole and chip breaker are left out: they touch nothing and the code does not size them.
    """
    run_in = insert.thickness * math.tan(insert.clearance_angle)
    # A corner whose radius is used up on the way down is sharp from there on: one section more, exact hull.
    offsets = sorted({0.0, min(insert.nose_radius, run_in), run_in})
    slope = insert.thickness / run_in if run_in > 0.0 else 0.0
    levels = [(d, d * slope) for d in offsets] if run_in > 0.0 else [(0.0, 0.0), (0.0, insert.thickness)]
    points = []
    for offset, y in levels:
        section = _outline(insert, approach_angle, arc_step, offset)
        points.append(np.column_stack([section[:, 0], np.full(len(section), y), section[:, 1]]))
    return from_manifold(manifold3d.Manifold.hull_points(np.vstack(points)))


def _circles_by_code(shape: str, *, metric: bool) -> dict[str, float]:
    """Map symbol 5 of ISO 1832 to the inscribed circle: the edge length, decimals dropped.

    An edge within 0.01 mm of a whole millimetre counts as that (T 11: 10.998 mm). Where two circles would
    share a symbol the greater has it, as in the printed tables (C 04, W 03).
    """
    if shape == "R":
        return {f"{math.floor(c):02d}": c for c in (METRIC_CIRCLES if metric else INSCRIBED_CIRCLES)}
    codes = {f"{math.floor(edge_of_circle(shape, c) + 0.01):02d}": c for c in INSCRIBED_CIRCLES}
    codes |= {code: c for (letter, code), c in _IRREGULAR_SIZES.items() if letter == shape}
    return dict(sorted(codes.items()))


def _outline(insert: Insert, approach_angle: float, arc_step: float, offset: float) -> NDArray[np.float64]:
    """Rake face outline moved inwards by `offset` (mm); nose radii shrink with it and end at 0."""
    if insert.shape == "R":
        radius = insert.nose_radius
        circle = _directions(0.0, 2.0 * math.pi, arc_step)[:-1]
        return np.array([-radius, radius]) + (radius - offset) * circle
    if not 0.0 < approach_angle < math.pi:
        raise ValueError(
            f"approach angle must lie in 0 to 180 deg, found {math.degrees(approach_angle):g} deg"
        )
    if trailing_edge_angle(insert, approach_angle) < -1e-9:
        raise ValueError(
            f"approach angle of {math.degrees(approach_angle):g} deg lets the trailing edge of "
            f"{insert.designation} rub on the wall: at most "
            f"{180.0 - math.degrees(insert.point_angle):g} deg is allowed"
        )
    inner = 0.5 * insert.inscribed_circle
    angles = [math.radians(a) for a in SHAPES[insert.shape]]
    nose_centre = np.array([-insert.nose_radius, insert.nose_radius])
    inward = approach_angle + 0.5 * angles[0]  # the bisector from the tip, turned from the feed direction -z
    bisector = np.array([-math.sin(inward), -math.cos(inward)])
    centre = nose_centre + bisector * (inner - insert.nose_radius) / math.sin(0.5 * angles[0])
    polar = math.atan2(-bisector[1], -bisector[0])
    pieces = []
    for index, angle in enumerate(angles):
        blunt = angle > math.radians(150.0)  # the trigon's 160 deg corners do not cut and stay sharp
        radius = 0.0 if blunt else max(insert.nose_radius - offset, 0.0)
        distance = (inner - offset - radius) / math.sin(0.5 * angle)
        corner = centre + distance * np.array([math.cos(polar), math.sin(polar)])
        half_turn = 0.5 * (math.pi - angle)
        arc = _directions(polar - half_turn, polar + half_turn, arc_step)
        pieces.append(corner + radius * arc if radius > 0.0 else corner[np.newaxis])
        polar += half_turn + 0.5 * (math.pi - angles[(index + 1) % len(angles)])
    return np.vstack(pieces)


def _directions(start: float, end: float, step: float) -> NDArray[np.float64]:
    """Return unit vectors from `start` to `end` (rad), `step` apart or less, with the axes among them."""
    quarter = 0.5 * math.pi
    axes = [k * quarter for k in range(math.floor(start / quarter), math.ceil(end / quarter) + 1)]
    stops = [start, *(a for a in axes if start + 1e-9 < a < end - 1e-9), end]
    turns = [
        np.linspace(a, b, max(1, math.ceil((b - a) / step - 1e-9)) + 1)[:-1]
        for a, b in itertools.pairwise(stops)
    ]
    turn = np.concatenate([*turns, [end]])
    return np.column_stack([np.cos(turn), np.sin(turn)])
