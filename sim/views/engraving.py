"""Lines on solids that tell real things apart without weighing anything: numbers, index marks, threads, screws, holes.

Nothing is judged of them. Where a size is not stated it is that of common practice, no source. Points are lines' ends
(n, 2, 3) in mm, in the frame of the body that they are drawn on.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import cast

import numpy as np
import shapely
import trimesh
from numpy.typing import ArrayLike

from meshes.chuck_body import ChuckBody
from meshes.extrude import prism_along_y
from meshes.jaw_screw import HEADS, JawScrew
from meshes.master_jaw import MasterJaw, tooth_count, tooth_depth
from meshes.soft_jaw import SoftJawBlank
from sim.base.arrays import Floats

# Strokes of the numbers in a field one high and 0.6 wide: (right, up).
_STROKES: dict[int, tuple[tuple[tuple[float, float], ...], ...]] = {
    1: (((0.1, 0.75), (0.35, 1.0), (0.35, 0.0)), ((0.1, 0.0), (0.6, 0.0))),
    2: (
        ((0.0, 0.8), (0.1, 0.95), (0.3, 1.0), (0.5, 0.95), (0.6, 0.78), (0.55, 0.6), (0.0, 0.0), (0.6, 0.0)),
    ),
    3: (
        (
            (0.0, 1.0),
            (0.6, 1.0),
            (0.28, 0.6),
            (0.45, 0.57),
            (0.6, 0.4),
            (0.58, 0.18),
            (0.4, 0.02),
            (0.18, 0.0),
            (0.0, 0.12),
        ),
    ),
}
# ISO 261, coarse pitch by thread diameter, mm.
_PITCH = {6.0: 1.0, 8.0: 1.25, 10.0: 1.5, 12.0: 1.75, 14.0: 2.0, 16.0: 2.0, 20.0: 2.5, 24.0: 3.0}
_AROUND = 24  # chords of a drawn circle
_ABOVE = 0.03  # mm by which lines stand before a face


def chain(points: ArrayLike) -> Floats:
    """Return the lines along points (n, 3)."""
    along = np.asarray(points, dtype=np.float64)
    return np.stack([along[:-1], along[1:]], axis=1)


def _circle(
    centre: ArrayLike, right: ArrayLike, up: ArrayLike, radius: float, sides: int = _AROUND
) -> Floats:
    turn = np.linspace(0.0, 2.0 * math.pi, sides + 1)
    off = np.outer(np.cos(turn), np.asarray(right, dtype=np.float64)) + np.outer(
        np.sin(turn), np.asarray(up, dtype=np.float64)
    )
    return chain(np.asarray(centre, dtype=np.float64) + radius * off)


def _number(number: int, corner: ArrayLike, right: ArrayLike, up: ArrayLike, size: float) -> Floats:
    """Lines of a number whose lower left corner stands at a point; doubled, so that they are seen."""
    found: list[Floats] = []
    for stroke in _STROKES[number]:
        for off in (0.0, 0.03, 0.06):
            plane: Floats = size * (np.array(stroke) + off)
            across, along = np.outer(plane[:, 0], np.asarray(right)), np.outer(plane[:, 1], np.asarray(up))
            found.append(chain(np.asarray(corner) + across + along))
    return np.concatenate(found)


def jaw_number(blank: SoftJawBlank, number: int) -> Floats:
    """Return the number of a soft jaw: on its outer end, and on its top where there is room for it."""
    found = []
    if blank.sector_angle is None:
        size = min(0.4 * blank.height, 0.4 * blank.width)
        corner = (blank.length + _ABOVE, -0.3 * size, 0.5 * (blank.height - size))
        found.append(_number(number, corner, (0.0, 1.0, 0.0), (0.0, 0.0, 1.0), size))
    last = max(blank.screws, default=0.0) + 0.5 * blank.counterbore_diameter
    room = blank.length - last
    if room > 6.0:
        size = min(12.0, 0.7 * room)
        corner = (last + 0.5 * (room - size), 0.3 * size, blank.height + _ABOVE)
        found.append(_number(number, corner, (0.0, -1.0, 0.0), (1.0, 0.0, 0.0), size))
    return np.concatenate(found) if found else np.zeros((0, 2, 3))


def index_marks(master: MasterJaw, blank: SoftJawBlank, off: float) -> Floats:
    """Return marks across the joint with a soft jaw whose inner end stands `off` (mm) outward: the same tooth again."""
    at = off + 0.5 * blank.length
    lines = []
    for side in (-1.0, 1.0):
        for half, end in ((0.5 * master.width, -6.0), (0.5 * blank.width, 6.0)):
            y = side * (half + _ABOVE)
            lines += [[(at + d, y, 0.0), (at + d, y, end)] for d in (-0.25, 0.0, 0.25)]
    return np.array(lines)


def thread(screw: JawScrew) -> Floats:
    """Return rings at the pitch along a screw's thread, and its core in the plane through the jaw's middle."""
    diameter, pitch = screw.thread_diameter, _PITCH[screw.thread_diameter]
    end = -screw.length
    start = max(end, min(0.0, end + 2.0 * diameter + 12.0))  # ISO 4762: thread length b = 2 d + 12
    rings = [
        _circle((0.0, 0.0, z), (1.0, 0.0, 0.0), (0.0, 1.0, 0.0), 0.5 * diameter + _ABOVE)
        for z in np.arange(end + 0.5 * pitch, start, pitch)
    ]
    core = 0.5 * diameter - 0.613 * pitch  # ISO 68-1: 17/24 of the height of the profile
    lines = np.array([[(s * core, 0.0, end), (s * core, 0.0, start)] for s in (-1.0, 1.0)])
    return np.concatenate([*rings, lines])


def chuck_face(body: ChuckBody) -> Floats:
    """Return a cover round the bore with its screws, and mounting screws, between the jaws."""
    z, half = -body.face_drop + _ABOVE, 0.5 * body.slot_width
    cover = 0.5 * body.bore + 0.09 * body.diameter
    found = []
    for jaw in range(3):
        for radius in (cover, cover - 1.2):
            if radius <= half:
                continue
            away = math.asin(min(1.0, half / radius)) + 0.01
            turn = np.linspace(away, 2.0 * math.pi / 3.0 - away, 24) + 2.0 * math.pi / 3.0 * jaw
            found.append(
                chain(np.column_stack([radius * np.cos(turn), radius * np.sin(turn), np.full(24, z)]))
            )
        middle = math.pi / 3.0 + 2.0 * math.pi / 3.0 * jaw
        for radius, thread_diameter, beside in (
            (0.5 * (cover + 0.5 * body.bore), 6.0, (0.0,)),
            (0.37 * body.diameter, 16.0, (-0.3, 0.3)),
        ):
            for off in beside:
                found += _socket_head(
                    (radius * math.cos(middle + off), radius * math.sin(middle + off), z), thread_diameter
                )
    return np.concatenate(found)


def _socket_head(centre: Sequence[float], thread_diameter: float) -> list[Floats]:
    head = HEADS[thread_diameter]
    right, up = (1.0, 0.0, 0.0), (0.0, 1.0, 0.0)
    return [
        _circle(centre, right, up, 0.5 * head.diameter + 0.4),
        _circle(centre, right, up, 0.5 * head.diameter),
        _circle(centre, right, up, head.socket_width / math.sqrt(3.0), 6),
    ]


def insert_screw(insert: trimesh.Trimesh) -> Floats | None:
    """Return the hole of an insert and the screw in it, on its rake face (y = 0); None where that face is not there."""
    points = np.asarray(insert.vertices)
    face = points[np.abs(points[:, 1]) < 1e-6]
    if len(face) < 3:
        return None
    corners = face[:, [0, 2]]
    middle = shapely.MultiPoint(corners).convex_hull.centroid
    reach = float(np.hypot(corners[:, 0] - middle.x, corners[:, 1] - middle.y).min())
    centre = (middle.x, -_ABOVE if points[:, 1].max() > 1e-6 else _ABOVE, middle.y)
    right, up = (1.0, 0.0, 0.0), (0.0, 0.0, 1.0)
    return np.concatenate(
        [
            _circle(centre, right, up, share * reach, sides)
            for share, sides in ((0.46, 24), (0.4, 24), (0.2, 6))
        ]
    )


def soft_teeth(master: MasterJaw, blank: SoftJawBlank, off: float) -> trimesh.Trimesh | None:
    """Return the soft jaw's teeth where they mesh with the master jaw's grooves, in the master's frame; None without.

    Two rows, one each side of the T-slot. `off`: how far the soft jaw's inner end stands outward of the master's, mm.
    """
    pitch, depth = master.serration_pitch, tooth_depth(master)
    low, high = max(0.0, off), min(master.length, off + blank.length)
    numbers = [
        k for k in range(tooth_count(master)) if k * pitch >= low - 1e-9 and (k + 1) * pitch <= high + 1e-9
    ]
    inner, outer = 0.5 * master.t_slot_neck_width, 0.5 * min(master.width, blank.width)
    if not numbers or outer <= inner:
        return None
    saw = [(numbers[0] * pitch, 0.0)]
    for k in numbers:
        saw += [((k + 0.5) * pitch, -depth), ((k + 1.0) * pitch, 0.0)]
    section = shapely.Polygon([*saw, (saw[-1][0], 0.2), (saw[0][0], 0.2)])
    rows = [prism_along_y(section, inner, outer), prism_along_y(section, -outer, -inner)]
    return cast("trimesh.Trimesh", trimesh.util.concatenate(rows))
