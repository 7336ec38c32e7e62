"""The chuck body: a disc with a through-bore and three radial slots for the master jaws."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import trimesh
from numpy.typing import NDArray

from meshes.boolean import difference
from meshes.dimension import require_less, require_not_negative, require_positive
from meshes.placement import JAW_COUNT, JAW_SPACING, placed, rotation_z
from meshes.revolve import SECTIONS, revolve


@dataclass(frozen=True, slots=True)
class ChuckBody:
    """A chuck body; lengths in mm.

    Frame: z = 0 is the serrated plane of the master jaws, which stands proud of the body's face by
    face_drop, so the body lies in -(height + face_drop) <= z <= -face_drop. Slot 1 lies along +x, the
    others 120 deg on. `bevel` is the leg of the 45 deg bevel on the outer edge of the face.
    """

    diameter: float
    bore: float
    height: float
    slot_width: float
    slot_depth: float
    face_drop: float = 2.0
    bevel: float = 3.0

    def __post_init__(self) -> None:
        part = "chuck body"
        require_positive(
            part,
            diameter=self.diameter,
            bore=self.bore,
            height=self.height,
            slot_width=self.slot_width,
            slot_depth=self.slot_depth,
        )
        require_not_negative(part, face_drop=self.face_drop, bevel=self.bevel)
        require_less(part, "bore", self.bore, "the face's diameter", self.diameter - 2.0 * self.bevel)
        require_less(part, "slot depth", self.slot_depth, "the height", self.height)
        require_less(part, "bevel", self.bevel, "the height", self.height)
        require_less(part, "slot width", self.slot_width, "half the diameter", 0.5 * self.diameter)


def section_outline(body: ChuckBody) -> NDArray[np.float64]:
    """Return the (r, z) outline of the body without its slots, (n, 2) in mm, counter-clockwise."""
    bore, outer, bevel = 0.5 * body.bore, 0.5 * body.diameter, body.bevel
    face, back = -body.face_drop, -body.face_drop - body.height
    edge = [(outer, face - bevel), (outer - bevel, face)] if bevel > 0.0 else [(outer, face)]
    return np.array([(bore, back), (outer, back), *edge, (bore, face)])


def mesh(body: ChuckBody, sections: int = SECTIONS) -> trimesh.Trimesh:
    """Return the body's solid."""
    half, floor = 0.5 * body.slot_width, -body.face_drop - body.slot_depth
    slot = trimesh.creation.box(bounds=[(0.0, -half, floor), (body.diameter, half, 1.0)])
    slots = [placed(slot, rotation_z(JAW_SPACING * index)) for index in range(JAW_COUNT)]
    return difference(revolve(section_outline(body), sections), slots)
