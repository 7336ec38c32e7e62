"""The T-nut: slides in the master jaw's T-slot and takes a jaw screw."""

from __future__ import annotations

from dataclasses import dataclass

import shapely
import trimesh

from meshes.boolean import difference
from meshes.dimension import require_less, require_positive
from meshes.extrude import prism_along_x
from meshes.placement import placed, translation
from meshes.revolve import revolve

SECTIONS = 48


@dataclass(frozen=True, slots=True)
class TNut:
    """A T-nut with one threaded hole; lengths in mm.

    Own frame: origin on the screw's axis at the top of the neck, x along the T-slot. The neck reaches
    from z = 0 to -neck_height, the wide part from there to -(neck_height + height). The thread is a plain
    hole of its nominal diameter.
    """

    length: float
    neck_width: float
    neck_height: float
    width: float
    height: float
    thread_diameter: float

    def __post_init__(self) -> None:
        part = "T-nut"
        require_positive(
            part,
            length=self.length,
            neck_width=self.neck_width,
            neck_height=self.neck_height,
            width=self.width,
            height=self.height,
            thread_diameter=self.thread_diameter,
        )
        require_less(part, "neck width", self.neck_width, "the width", self.width)
        require_less(part, "thread diameter", self.thread_diameter, "the neck width", self.neck_width)
        require_less(part, "thread diameter", self.thread_diameter, "the length", self.length)


def mesh(nut: TNut, sections: int = SECTIONS) -> trimesh.Trimesh:
    """Return the nut's solid."""
    neck, wide = 0.5 * nut.neck_width, 0.5 * nut.width
    shoulder, bottom = -nut.neck_height, -(nut.neck_height + nut.height)
    section = shapely.Polygon(
        [
            (-wide, bottom),
            (wide, bottom),
            (wide, shoulder),
            (neck, shoulder),
            (neck, 0.0),
            (-neck, 0.0),
            (-neck, shoulder),
            (-wide, shoulder),
        ]
    )
    body = placed(prism_along_x(section, nut.length), translation(-0.5 * nut.length, 0.0, 0.0))
    radius = 0.5 * nut.thread_diameter
    hole = [(0.0, bottom - 1.0), (radius, bottom - 1.0), (radius, 1.0), (0.0, 1.0)]
    return difference(body, [revolve(hole, sections)])
