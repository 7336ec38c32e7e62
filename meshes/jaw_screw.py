"""Hexagon socket head cap screws that clamp a soft jaw to its T-nuts."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import shapely
import trimesh

from meshes.boolean import difference
from meshes.dimension import require_positive
from meshes.extrude import prism
from meshes.placement import placed, translation
from meshes.revolve import revolve

SECTIONS = 48


@dataclass(frozen=True, slots=True)
class HeadSize:
    """Head of a socket head cap screw, mm: diameter dk, height k, width across flats s, socket depth t."""

    diameter: float
    height: float
    socket_width: float
    socket_depth: float


# ISO 4762:2004, table 1: dk max (plain heads), k max, s nominal, t min, by thread diameter in mm; read
# from public copies of the table, which agree with one another.
HEADS: dict[float, HeadSize] = {
    6.0: HeadSize(10.0, 6.0, 5.0, 3.0),
    8.0: HeadSize(13.0, 8.0, 6.0, 4.0),
    10.0: HeadSize(16.0, 10.0, 8.0, 5.0),
    12.0: HeadSize(18.0, 12.0, 10.0, 6.0),
    14.0: HeadSize(21.0, 14.0, 12.0, 7.0),
    16.0: HeadSize(24.0, 16.0, 14.0, 8.0),
    20.0: HeadSize(30.0, 20.0, 17.0, 10.0),
    24.0: HeadSize(36.0, 24.0, 19.0, 12.0),
}


@dataclass(frozen=True, slots=True)
class JawScrew:
    """A screw by thread diameter (mm, M6 to M24) and length under the head (mm).

    Own frame: origin on the axis at the underside of the head, head in 0 <= z <= k, shank towards -z. The
    thread is drawn as a cylinder of its nominal diameter.
    """

    thread_diameter: float
    length: float

    def __post_init__(self) -> None:
        require_positive("jaw screw", length=self.length)
        if self.thread_diameter not in HEADS:
            sizes = ", ".join(f"M{size:g}" for size in HEADS)
            raise ValueError(f"jaw screw: thread must be one of {sizes}, found M{self.thread_diameter:g}")


def head(screw: JawScrew) -> HeadSize:
    """Return the screw's head by ISO 4762."""
    return HEADS[screw.thread_diameter]


def mesh(screw: JawScrew, sections: int = SECTIONS) -> trimesh.Trimesh:
    """Return the screw's solid with its hexagon socket."""
    size, shank = head(screw), 0.5 * screw.thread_diameter
    turned = revolve(
        [
            (0.0, -screw.length),
            (shank, -screw.length),
            (shank, 0.0),
            (0.5 * size.diameter, 0.0),
            (0.5 * size.diameter, size.height),
            (0.0, size.height),
        ],
        sections,
    )
    corner = size.socket_width / math.sqrt(3.0)
    turn = np.arange(6) * math.pi / 3.0
    hexagon = shapely.Polygon(np.column_stack([corner * np.cos(turn), corner * np.sin(turn)]))
    socket = prism(hexagon, size.socket_depth + 1.0)
    return difference(turned, [placed(socket, translation(0.0, 0.0, size.height - size.socket_depth))])
