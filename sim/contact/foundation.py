"""The first compliance model: independent radial columns of the part and of the jaw.

A bed of columns knows the order of the pressures and no more: on a jaw 50 mm wide with a bored arc of +-27 deg it
misses those of a converged plane contact model by 10 to 115 %. It stays as the quick model and as the start of the
elastic one.
"""

from __future__ import annotations

import numpy as np

from sim.base.arrays import Floats
from sim.contact.bodies import JawBlock, TurnedPart
from sim.contact.face import GripGeometry


def column_compliance(thickness_mm: float, modulus_mpa: float, poisson: float) -> float:
    """Shortening of a column under 1 MPa, mm/MPa: t (1 - nu^2)/E, plane strain along the spindle."""
    return thickness_mm * (1.0 - poisson**2) / modulus_mpa


def wall_thickness(part: TurnedPart, grip: GripGeometry) -> float:
    """Thickness of the part's wall behind the gripped surface, at the middle of the gripped height, mm.

    A solid part counts as thick as its radius. Raises ValueError when the outline has no wall there.
    """
    radii = part.crossings(grip.z_middle_mm)
    walls = list(zip(radii[0::2], radii[1::2], strict=True))
    near = [(a, b) for a, b in walls if a - 1e-6 <= grip.part_radius_mm <= b + 1e-6]
    if not near:
        nearest = min(
            walls,
            key=lambda w: min(abs(w[0] - grip.part_radius_mm), abs(w[1] - grip.part_radius_mm)),
            default=None,
        )
        if nearest is None:
            raise ValueError(
                f"the part's outline has no material at z = {grip.z_middle_mm} mm, where it is gripped"
            )
        near = [nearest]
    inner, outer = near[0]
    return outer - inner


def foundation_columns(grip: GripGeometry, part: TurnedPart, jaw: JawBlock) -> Floats:
    """Shortening of the part's and the jaw's columns under 1 MPa, mm/MPa, (2, 1).

    Parameters
    ----------
    grip : GripGeometry
        The face.
    part, jaw : TurnedPart, JawBlock
        The bodies; only their moduli and thicknesses along the radius count here.
    """
    own = column_compliance(wall_thickness(part, grip), part.modulus_mpa, part.poisson)
    behind = abs(jaw.back_radius_mm - grip.bore_radius_mm)
    return np.array([[own], [column_compliance(behind, jaw.modulus_mpa, jaw.poisson)]])
