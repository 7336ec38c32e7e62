"""A steady rest: three rollers around the part in a frame."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import trimesh
from numpy.typing import NDArray

from meshes.boolean import union
from meshes.dimension import require_positive
from meshes.placement import JAW_SPACING, placed, rotation_z, translation
from meshes.revolve import SECTIONS, revolve

ROLLERS = 3


@dataclass(frozen=True, slots=True)
class SteadyRest:
    """A steady rest, the middle of its rollers in z = 0; lengths in mm."""

    part_diameter: float
    roller_diameter: float
    roller_width: float
    frame_diameter: float
    frame_width: float

    def __post_init__(self) -> None:
        require_positive(
            "steady rest",
            part_diameter=self.part_diameter,
            roller_diameter=self.roller_diameter,
            roller_width=self.roller_width,
            frame_diameter=self.frame_diameter,
            frame_width=self.frame_width,
        )
        if self.frame_diameter <= self.inside:
            raise ValueError(
                f"steady rest: frame must be over {self.inside:g} mm, what its rollers take, found "
                f"{self.frame_diameter:g} mm"
            )

    @property
    def inside(self) -> float:
        """Diameter around its rollers."""
        return self.part_diameter + 2.0 * self.roller_diameter


def section_outlines(steady: SteadyRest) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return the (r, z) outlines of rollers and frame, (n, 2) in mm.

    The arms that hold the rollers reach in to their axes, as wide as the frame. Its gap, through which the part is
    put in, takes nothing off: at some angle the frame stands there.
    """
    part, roller = 0.5 * steady.part_diameter, steady.roller_diameter
    return (
        _box(part, part + roller, steady.roller_width),
        _box(part + 0.5 * roller, 0.5 * steady.frame_diameter, steady.frame_width),
    )


def mesh(steady: SteadyRest, sections: int = SECTIONS) -> trimesh.Trimesh:
    """Return frame and rollers; the arms that hold them are left out."""
    frame = revolve(_box(0.5 * steady.inside, 0.5 * steady.frame_diameter, steady.frame_width), sections)
    roller = revolve(_box(0.0, 0.5 * steady.roller_diameter, steady.roller_width), sections // 4)
    axis = 0.5 * (steady.part_diameter + steady.roller_diameter)
    # One below, the others beside the top: as most stand on a lathe's bed.
    turns = (math.pi + JAW_SPACING * k for k in range(ROLLERS))
    rollers = [placed(roller, rotation_z(turn) @ translation(axis, 0.0, 0.0)) for turn in turns]
    return union([frame, *rollers])


def _box(inner: float, outer: float, width: float) -> NDArray[np.float64]:
    half = 0.5 * width
    return np.array([(inner, -half), (outer, -half), (outer, half), (inner, half)])
