"""The plain three-jaw case that stands beside an independent 3D model: figures from a few numbers.

Jaw: 50 mm wide, bored arc of +-27 deg, 45 deg chamfers from the arc's ends to the sides, end at x = 100 mm, 40 mm
high, no ledge, base held but free to move radially as a whole. Part: outer radius 50 mm, z 10 to 40 mm, steel, free
along z. 20 kN per jaw, no friction.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from sim.base.arrays import Floats
from sim.contact.bodies import JawBlock, TurnedPart
from sim.contact.elastic import prepare
from sim.contact.face import GripGeometry, frozen_array
from sim.contact.field import band_means
from sim.contact.limits import closed_half_angle, open_half_angle
from sim.contact.prepared import Prepared
from sim.contact.setup import ContactSetup, GripLoad
from sim.contact.shape import clamped_shape, lobe_amplitude
from sim.contact.solve import ContactResult, press
from sim.contact.split import finer

RADIUS_MM, HALF_ARC_RAD, WIDTH_MM, FORCE_N = 50.0, math.radians(27.0), 50.0, 20e3
PLACE_MM = frozen_array([[40.0, 25.0]])
STEEL, ALUMINIUM = (210e3, 0.30), (70e3, 0.33)


@dataclass(frozen=True, slots=True, eq=False)
class PlainCase:
    """Figures of one case.

    Attributes
    ----------
    band_mean_mpa : (18,) pressure means over 3 deg and the whole height, from one edge of a face to the other.
    begin_rad, end_rad : half-angles between which the face is in contact at z = 25 mm.
    lobe_mm : amplitude of harmonic 3 of the radial displacement at r = 40 mm, z = 25 mm.
    approach_mm : travel of the jaws' seats from the first touch.
    result : the whole solution.
    """

    band_mean_mpa: Floats
    begin_rad: float
    end_rad: float
    lobe_mm: float
    approach_mm: float
    result: ContactResult

    def __post_init__(self) -> None:
        object.__setattr__(self, "band_mean_mpa", frozen_array(self.band_mean_mpa))


def plain_setup(
    difference_mm: float, inner_mm: float, jaw: tuple[float, float], strips: int = 48, bands: int = 6
) -> ContactSetup:
    """Set up the plain case.

    Parameters
    ----------
    difference_mm : bored radius less the part's.
    inner_mm : the part's bore radius, 0 for a solid part.
    jaw : the jaws' modulus in MPa and Poisson's ratio.
    strips, bands : cells of a face.
    """
    grip = GripGeometry(
        RADIUS_MM + difference_mm,
        RADIUS_MM,
        WIDTH_MM,
        10.0,
        40.0,
        edge_chamfer_mm=0.5 * WIDTH_MM - RADIUS_MM * math.sin(HALF_ARC_RAD),
    )
    outline = np.array([(inner_mm, 10.0), (RADIUS_MM, 10.0), (RADIUS_MM, 40.0), (inner_mm, 40.0)])
    return ContactSetup(
        grip,
        TurnedPart(outline, *STEEL),
        JawBlock(100.0, 40.0, *jaw),
        GripLoad(3.0 * FORCE_N),
        hold_square=True,
        strips=strips,
        bands=bands,
        model="elastic",
    )


def plain_bodies(setup: ContactSetup) -> Prepared:
    """Prepare the bodies of a plain case and the point of its bore whose lobe is asked for."""
    return prepare(setup, PLACE_MM)


def plain_case(
    difference_mm: float,
    inner_mm: float,
    jaw: tuple[float, float],
    strips: int = 48,
    bands: int = 6,
    ready: Prepared | None = None,
) -> PlainCase:
    """Compute the plain case (parameters as `plain_setup`; `ready`: the bodies of another fit, from `plain_bodies`)."""
    setup = plain_setup(difference_mm, inner_mm, jaw, strips, bands)
    ready = plain_bodies(setup) if ready is None else ready
    result = press(setup, None, ready)
    divided = finer(setup, ready, result)
    means = band_means(divided, math.radians(3.0), 30.0)
    lobe = lobe_amplitude(clamped_shape(result, ready).moved_mm[0, 0], 3)
    return PlainCase(
        band_mean_mpa=means[0, 0],
        begin_rad=open_half_angle(divided),
        end_rad=closed_half_angle(divided),
        lobe_mm=float(lobe),
        approach_mm=result.approach_mm,
        result=result,
    )
