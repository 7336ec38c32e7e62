"""Prints how far the shipped grid (48 strips, divided where contact begins or ends) is from three times the strips.

`python tests/reference/finer_strips.py` takes minutes. Solid part and ring outside, bush inside, 30 mm long, 60 kN,
jaws of steel and of a third of its stiffness, fits -0.1 to +0.1 mm in radius; both grids have six bands in height. The
finer grid is our own model: what both have wrong alike it does not tell (CalculiX does, see `accuracy.py`). It ends
with status 1 where a limit is more than 0.5 deg off, or a 3 deg band by more than is allowed.
"""

from __future__ import annotations

import math
import sys
from dataclasses import replace

import numpy as np

from sim.contact import (
    ContactResult,
    ContactSetup,
    GripGeometry,
    GripLoad,
    JawBlock,
    TurnedPart,
    band_means,
    closed_half_angle,
    finer,
    open_half_angle,
    prepare,
    press,
)
from sim.contact.prepared import with_moduli

STEEL = (210e3, 0.3)
BODIES = {"solid, outside": (0.0, 100.0), "ring, outside": (40.0, 100.0), "bush, inside": (65.0, 10.0)}
FITS = (-0.1, -0.05, -0.02, 0.0, 0.02, 0.05, 0.1)  # mm
SHARE, OWN = 0.02, 0.01  # of the mean pressure, and of a band's own, that a band may be off
LIMIT = 0.5  # deg that a limit of the contact may be off


def made(other_mm: float, back_mm: float, strips: int) -> ContactSetup:
    """Return a part from radius 50 mm to another one, between jaws that end at a radius."""
    outline = [(other_mm, 10.0), (50.0, 10.0), (50.0, 40.0), (other_mm, 40.0)]
    grip = GripGeometry(50.0, 50.0, 45.4, 10.0, 40.0, inside=other_mm > 50.0)
    part, jaw = TurnedPart(outline, *STEEL), JawBlock(back_mm, 40.0, *STEEL)
    return ContactSetup(grip, part, jaw, GripLoad(60e3), strips=strips, bands=6, model="elastic")


def main() -> int:
    """Print a row for each part, jaw and fit; return how many are farther off than is allowed."""
    missed = 0
    sys.stdout.write(
        "| part | jaws | fit, mm | limit off, deg | 3 deg bands, of what is allowed | 5 mm high |\n"
    )
    for name, (other, back) in BODIES.items():
        setups = [made(other, back, strips) for strips in (48, 144)]
        bodies = [prepare(setup) for setup in setups]
        for metal, share in (("steel", 1.0), ("a third as stiff", 1.0 / 3.0)):
            jaws = [with_moduli(one, 1.0, share) for one in bodies]
            for fit in FITS:
                own, exact = (
                    finer(at, ready, press(at, None, ready))
                    for at, ready in zip((fitted(one, fit) for one in setups), jaws, strict=True)
                )
                limit = open_half_angle if open_half_angle(exact) > 0.0 else closed_half_angle
                off = math.degrees(abs(limit(own) - limit(exact)))
                bands = [_share(own, exact, height) for height in (30.0, 5.0)]
                figures = f"{fit:+g} | {off:.2f} | {bands[0]:.2f} | {bands[1]:.2f}"
                sys.stdout.write(f"| {name} | {metal} | {figures} |\n")
                missed += off > LIMIT or bands[0] > 1.0
    return missed


def fitted(setup: ContactSetup, fit_mm: float) -> ContactSetup:
    """Return a setup in a bore that is larger by a fit."""
    return replace(setup, grip=replace(setup.grip, bore_radius_mm=50.0 + fit_mm))


def _share(own: ContactResult, exact: ContactResult, height_mm: float) -> float:
    """Return the largest difference of bands over what is allowed."""
    found, expected = (band_means(one, math.radians(3.0), height_mm)[0] for one in (own, exact))
    allowed = np.maximum(SHARE * expected.mean(), OWN * expected)
    return float((np.abs(found - expected) / allowed).max())


if __name__ == "__main__":
    sys.exit(min(main(), 1))
