"""Sections bent, twisted and pushed by a cut: against a handbook's formulas and against the tensor at the rim.

Handbook: K. Lingaiah, Machine Design Handbook, 2nd ed. 2001, as a public page quotes it (engineersedge.com, diameter of
a solid shaft under torsion and bending): by the largest normal stress D^3 = 16 / (pi s) (M + sqrt(M^2 + T^2)), by the
energy of shear, for a stress s, D^3 = 32 / (pi s) sqrt(M^2 + 3/4 T^2).
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from sim.mechanics.cutting import CutForces, FeedTowards
from sim.mechanics.thin_section import Sections, stresses, worst_stress


def disc(diameter: float, bends: float, *, below: bool = True, weight: float = 0.0) -> Sections:
    return Sections(
        np.array([10.0]),
        np.array([math.pi * diameter**3 / 32.0]),
        np.array([0.25 * math.pi * diameter**2]),
        np.array([bends]),
        np.array([weight]),
        np.array([below]),
    )


def cut(
    tangential: float,
    feed: float,
    passive: float,
    diameter: float,
    towards: FeedTowards = "chuck",
) -> CutForces[float]:
    return CutForces(tangential, feed, passive, diameter, 50.0, towards)


@pytest.mark.parametrize("brittle", [True, False])
@pytest.mark.parametrize("diameter", [8.0, 20.0])
def test_a_solid_shaft_as_in_the_handbook(diameter: float, *, brittle: bool) -> None:
    """No feed: bending by 1000 N at 40 mm, torsion by 1000 N at 15 mm. The diameter for that stress must be its own."""
    stress = float(stresses(cut(1000.0, 0.0, 0.0, 30.0), disc(diameter, 40.0), brittle=brittle)[0, 0])
    bent, twisted = 40_000.0, 15_000.0
    cube = (
        16.0 / (math.pi * stress) * (bent + math.hypot(bent, twisted))
        if brittle
        else 32.0 / (math.pi * stress) * math.sqrt(bent**2 + 0.75 * twisted**2)
    )
    assert cube ** (1.0 / 3) == pytest.approx(diameter, rel=1e-12)


@pytest.mark.parametrize("towards", ["chuck", "axis", "tailstock"])
def test_the_tensor_at_the_rim(towards: FeedTowards) -> None:
    """Each force put together by hand: which bends, which twists, which pushes, and what the weight adds."""
    force = cut(900.0, 450.0, 300.0, 60.0, towards)
    axial, across = (300.0, 450.0) if towards == "axis" else (450.0, 300.0)
    section = disc(12.0, 25.0, weight=4000.0)
    moment = 25.0 * math.hypot(900.0, across) + 30.0 * axial + 4000.0
    sigma = moment / float(section.modulus[0]) + axial / float(section.area[0])
    tau = 0.5 * 900.0 * 60.0 * 6.0 / (math.pi * 12.0**4 / 32.0)  # T r / J
    tensor = np.array([[sigma, tau, 0.0], [tau, 0.0, 0.0], [0.0, 0.0, 0.0]])
    own = np.linalg.eigvalsh(tensor)
    assert stresses(force, section, brittle=True)[0, 0] == pytest.approx(own[-1])
    apart = tensor - np.trace(tensor) / 3.0 * np.eye(3)
    assert stresses(force, section, brittle=False)[0, 0] == pytest.approx(
        math.sqrt(1.5 * float((apart**2).sum()))
    )


def test_beyond_the_cut_nothing_is_twisted_or_pushed() -> None:
    """As between the cut and a centre: bending alone."""
    force, section = cut(900.0, 450.0, 300.0, 60.0), disc(12.0, 25.0, below=False)
    bent = 25.0 * math.hypot(900.0, 300.0) / float(section.modulus[0])
    assert stresses(force, section, brittle=False)[0, 0] == pytest.approx(bent)


def test_the_worst_section_of_each_variant() -> None:
    two = Sections(*(np.array(of) for of in ([5.0, 9.0], [100.0, 50.0], [40.0, 30.0], [30.0, 4.0], [0.0, 0.0])),
                   np.array([True, True]))  # fmt: skip
    many = CutForces(np.array([100.0, 200.0]), np.zeros(2), np.zeros(2), 0.0, 50.0, "chuck")
    found, height = worst_stress(many, two, brittle=False)
    np.testing.assert_allclose(found, [30.0, 60.0])
    assert height == 5.0


def test_what_is_parted_bears_nothing_and_no_section_is_no_stress() -> None:
    gone = Sections(np.array([5.0]), np.zeros(1), np.zeros(1), np.ones(1), np.zeros(1), np.array([True]))
    assert worst_stress(cut(1.0, 1.0, 1.0, 10.0), gone, brittle=False)[0][0] == math.inf
    nothing = Sections(*[np.zeros(0)] * 5, np.zeros(0, dtype=bool))
    assert worst_stress(cut(1.0, 1.0, 1.0, 10.0), nothing, brittle=False) == (np.zeros(1), 0.0)
