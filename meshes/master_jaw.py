"""The master jaw: slides in the chuck body and carries the soft jaw on its serrations."""

from __future__ import annotations

import math
from dataclasses import dataclass

import shapely
import trimesh

from meshes.boolean import difference
from meshes.dimension import require_less, require_positive
from meshes.extrude import prism_along_x, prism_along_y

TOOTH_ANGLE = math.radians(60.0)  # included angle of a serration tooth; common practice, no source


@dataclass(frozen=True, slots=True)
class MasterJaw:
    """A block with a T-slot along x, open at the top; lengths in mm.

    Own frame: x = 0 at its inner end, outward; y across; the serrated plane is z = 0, the body lies in
    -height <= z <= 0. The slot's neck reaches from z = 0 to -t_slot_neck_depth, its wide part
    t_slot_height further down.

    Attributes
    ----------
    serration_teeth : bool
        Model the teeth: 60 deg grooves across the jaw at every pitch, crests in z = 0. Without it the
        serrations are their crest plane.
    """

    length: float
    width: float
    height: float
    serration_pitch: float
    t_slot_neck_width: float
    t_slot_width: float
    t_slot_neck_depth: float
    t_slot_height: float
    serration_teeth: bool = False

    def __post_init__(self) -> None:
        part = "master jaw"
        require_positive(
            part,
            length=self.length,
            width=self.width,
            height=self.height,
            serration_pitch=self.serration_pitch,
            t_slot_neck_width=self.t_slot_neck_width,
            t_slot_width=self.t_slot_width,
            t_slot_neck_depth=self.t_slot_neck_depth,
            t_slot_height=self.t_slot_height,
        )
        require_less(part, "T-slot neck width", self.t_slot_neck_width, "the T-slot width", self.t_slot_width)
        require_less(part, "T-slot width", self.t_slot_width, "the jaw width", self.width)
        depth = self.t_slot_neck_depth + self.t_slot_height
        require_less(part, "T-slot depth", depth, "the jaw height", self.height)
        require_less(
            part, "serration tooth depth", tooth_depth(self), "the T-slot neck depth", self.t_slot_neck_depth
        )


def tooth_depth(jaw: MasterJaw) -> float:
    """Return the depth (mm) of a sharp serration tooth, pitch / (2 tan 30 deg)."""
    return 0.5 * jaw.serration_pitch / math.tan(0.5 * TOOTH_ANGLE)


def tooth_count(jaw: MasterJaw) -> int:
    """Return how many whole teeth fit the jaw's length."""
    return math.floor(jaw.length / jaw.serration_pitch + 1e-9)


def mesh(jaw: MasterJaw) -> trimesh.Trimesh:
    """Return the jaw's solid."""
    side, neck, wide = 0.5 * jaw.width, 0.5 * jaw.t_slot_neck_width, 0.5 * jaw.t_slot_width
    shoulder = -jaw.t_slot_neck_depth
    floor = shoulder - jaw.t_slot_height
    section = shapely.Polygon(
        [
            (-side, -jaw.height),
            (side, -jaw.height),
            (side, 0.0),
            (neck, 0.0),
            (neck, shoulder),
            (wide, shoulder),
            (wide, floor),
            (-wide, floor),
            (-wide, shoulder),
            (-neck, shoulder),
            (-neck, 0.0),
            (-side, 0.0),
        ]
    )
    body = prism_along_x(section, jaw.length)
    return difference(body, [_grooves(jaw)]) if jaw.serration_teeth else body


def _grooves(jaw: MasterJaw) -> trimesh.Trimesh:
    """Cutter of all serration grooves, from the first crest at x = 0; it reaches 1 mm over the crests."""
    count, pitch, depth = tooth_count(jaw), jaw.serration_pitch, tooth_depth(jaw)
    saw = [(0.0, 0.0)]
    for index in range(count):
        saw += [((index + 0.5) * pitch, -depth), ((index + 1.0) * pitch, 0.0)]
    teeth = shapely.Polygon([*saw, (count * pitch, 1.0), (0.0, 1.0)])
    return prism_along_y(teeth, -0.5 * jaw.width - 1.0, 0.5 * jaw.width + 1.0)
