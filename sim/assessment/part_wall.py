"""The clamped part's wall at the gripped height: all that its stress and its plane annulus ask of a setup."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from sim.base.floats import Number
from sim.base.gripping import Direction
from sim.base.tables import Material
from sim.contact import TurnedPart
from sim.setup.held import HeldZone
from sim.setup.parts import Parts
from sim.setup.sections import part_metal


@dataclass(frozen=True, slots=True)
class PartWall:
    """A part's wall at the middle of the gripped height, and the arcs of it that the jaws press.

    Attributes
    ----------
    inner, outer : float
        Radii of bore and outside, mm; `inner` 0 if the part is solid.
    length : float
        Held length along the spindle, mm.
    half_angle : float
        Half the arc that one jaw's face presses, rad.
    direction : Direction
        'outside' or 'inside', where the jaws grip.
    material : Material
        Of the part, with the yield strength of its section.
    softer : float
        Yield strength of the softer of part and jaw, MPa.
    """

    inner: float
    outer: float
    length: float
    half_angle: float
    direction: Direction
    material: Material
    softer: float

    @property
    def thickness(self) -> float:
        """Wall, mm; of a solid part its radius."""
        return self.outer - self.inner

    def thickness_at(self, gripped: Number) -> Number:
        """Return the wall (mm) of a part of these dimensions but another gripped radius; if solid that radius."""
        return gripped - self.inner if self.direction == "outside" else self.outer - gripped

    @property
    def bore_is_turned(self) -> bool:
        """Whether the roundness that counts is the bore's: that of a hollow part gripped outside."""
        return self.direction == "outside" and self.inner > 0.0


def part_wall(parts: Parts, index: int, zone: HeldZone) -> PartWall:
    """Return the wall of an operation's part.

    The gripped surface is the outline's nearest to the gripped diameter of those that face the jaws, however thin the
    wall behind it is.
    """
    scenario = parts.scenario
    operation = scenario.operations[index]
    work = operation.workpiece
    gripped = 0.25 * (work.gripped_diameter_low + work.gripped_diameter_high)
    radii = TurnedPart(np.array(work.outline), 1.0, 0.3).crossings(zone.middle - zone.seat)
    inner, outer = _beside(radii, gripped, parts.direction)
    half_chord = parts.place.face_half_chord(0.5 * scenario.pocket_of(operation).diameter)
    material = part_metal(scenario, index)
    return PartWall(
        inner=inner,
        outer=outer,
        length=zone.length,
        half_angle=math.asin(min(0.99, half_chord / gripped)),
        direction=parts.direction,
        material=material,
        softer=min(material.yield_strength, parts.jaw_material.yield_strength),
    )


def _beside(radii: list[float], gripped: float, direction: Direction) -> tuple[float, float]:
    """Return inner and outer radius of the wall beside the gripped radius, out of where a section has metal, mm."""
    walls = list(zip(radii[0::2], radii[1::2], strict=True))  # rising, metal from each first to its second
    if direction == "outside":
        inner, _ = min(walls, key=lambda ends: abs(ends[1] - gripped), default=(0.0, gripped))
        return (inner if inner < gripped else 0.0), gripped
    _, outer = min(walls, key=lambda ends: abs(ends[0] - gripped), default=(gripped, 2.0 * gripped))
    return gripped, outer if outer > gripped else 2.0 * gripped
