"""What goes into one contact computation."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import Literal

from sim.contact.bodies import JawBlock, JawGuide, TurnedPart
from sim.contact.face import GripGeometry


@dataclass(frozen=True, slots=True)
class GripLoad:
    """Forces on jaws and part, N and N mm, in the frame that turns with the chuck.

    Attributes
    ----------
    closing_force_n : float
        Sum of the three jaws' forces along their travel (frictionless: sum of grip, at speed).
    side_load_n : tuple of float
        x and y of the load across the spindle on the part (cutting, weight).
    moment_nmm : tuple of float
        Its moments about x and y, about the point on the axis at the middle of the gripped height.
    jaw_outward_force_n : tuple of float
        Per jaw, a force away from the spindle that its own drive spring carries (a jaw heavier than the
        mean); needs a finite radial stiffness to have an effect.
    """

    closing_force_n: float
    side_load_n: tuple[float, float] = (0.0, 0.0)
    moment_nmm: tuple[float, float] = (0.0, 0.0)
    jaw_outward_force_n: tuple[float, float, float] = (0.0, 0.0, 0.0)

    def __post_init__(self) -> None:
        if not (math.isfinite(self.closing_force_n) and self.closing_force_n > 0.0):
            raise ValueError(f"closing_force_n must be positive and finite, not {self.closing_force_n}")


@dataclass(frozen=True, slots=True)
class ContactSetup:
    """Three jaws on one part.

    Attributes
    ----------
    grip : GripGeometry
        Jaw faces and gripped surface.
    part, jaw : TurnedPart, JawBlock
        Elastic bodies.
    load : GripLoad
        Forces.
    guide : JawGuide
        Springs behind the jaws.
    hold_square : bool
        True when the back face keeps the part from tilting; the moment is then the back face's.
    strips, bands : int
        Cells around and along z of each face.
    evenness : float
        1 for cells of equal size, less for smaller ones at the edges (see `refined_edges`). No unit.
    model : {'foundation', 'elastic'}
        'foundation' (columns; quick, order of magnitude) or 'elastic' (finite elements).
    """

    grip: GripGeometry
    part: TurnedPart
    jaw: JawBlock
    load: GripLoad
    guide: JawGuide = field(default_factory=JawGuide)
    hold_square: bool = False
    strips: int = 48
    bands: int = 6
    evenness: float = 0.2
    model: Literal["foundation", "elastic"] = "foundation"
