"""Stress and displacement of a clamped part out of a made-up shape, and of a plane annulus against Lame and its own.

Wall from 50 to 60 mm; E 70 GPa, yield 240 MPa, the softer side of the contact 200 MPa.
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest

from sim.assessment.part_wall import PartWall
from sim.assessment.stress import annulus_roundness, share_of_yield, strained
from sim.base.tables import material
from sim.contact import ClampedShape

ALUMINIUM = material("aluminium EN AW-6082-T6")
E = ALUMINIUM.modulus


def wall(inner: float = 50.0, outer: float = 60.0, direction: Any = "outside") -> PartWall:
    return PartWall(inner, outer, 20.0, 0.4, direction, ALUMINIUM, 200.0)


def shape(strain: list[float], moved: list[tuple[float, float, float]]) -> ClampedShape:
    """Return surfaces each of which has one strain (of both signs around) and one displacement out, around, along."""
    turn = np.linspace(0.0, 2.0 * math.pi, 8, endpoint=False)
    signs = np.array([1.0, -0.5, 0.2, -0.1, 0.5, -0.9, 0.3, -0.2])
    count = len(strain)
    return ClampedShape(
        np.ones((count, 2)),
        turn,
        np.array(moved)[:, :, None] * signs,
        -np.array(strain)[:, None] * signs,
        np.ones(count),
        np.ones((count, 2)),
    )


def test_the_free_circles_strain_is_the_walls_stress() -> None:
    """Squeeze counts as pull does; what other surfaces, or other directions, do is none of the wall's."""
    found = strained(
        wall(), 1e3, 10.0, shape([1e-3, 9e-3, 9e-3], [(0.01, 9.0, 9.0), (-0.03, 9.0, 9.0), (9.0, 9.0, 9.0)])
    )
    assert found.hoop == pytest.approx(E * 1e-3)
    assert found.displacement == pytest.approx(0.03)
    assert found.share == pytest.approx(E * 1e-3 / ALUMINIUM.yield_strength)


def test_a_solid_part_has_no_wall() -> None:
    """Only the pressure of its contact strains it; only its outside moves."""
    found = strained(wall(inner=0.0), 1e3, 100.0, shape([1e-3, 0.0], [(0.01, 0.0, 0.0), (0.5, 0.0, 0.0)]))
    assert found.hoop == 0.0
    assert found.displacement == pytest.approx(0.01)
    assert found.share == pytest.approx(0.6 * 100.0 / 200.0)


def test_gripped_inside_the_bore_is_strained_more_than_the_outside() -> None:
    """A tube under pressure p in its bore (Lame): p (a2 + b2) / (b2 - a2) there, 2 p a2 / (b2 - a2) outside."""
    found = strained(wall(direction="inside"), 1e3, 10.0, shape([1e-3, 0.0], [(0.01, 0.0, 0.0)] * 2))
    a2, b2 = 50.0**2, 60.0**2
    ratio = ((a2 + b2) / (b2 - a2)) / (2.0 * a2 / (b2 - a2))
    assert found.hoop == pytest.approx(E * 1e-3 * ratio)


@pytest.mark.parametrize(
    ("hoop", "part", "peak", "softer", "share"),
    [(120.0, 240.0, 100.0, 200.0, 0.5), (60.0, 240.0, 100.0, 200.0, 0.3), (0.0, 240.0, 500.0, 200.0, 1.5)],
)
def test_the_larger_share_of_a_yield_strength(
    hoop: float, part: float, peak: float, softer: float, share: float
) -> None:
    """Tresca under a line contact is 0.60 p0 (Johnson, Contact Mechanics, chapter 6, from memory)."""
    assert share_of_yield(hoop, part, peak, softer) == pytest.approx(share)


def test_without_a_shape_the_even_annulus_is_asked() -> None:
    """A thin ring under three forces P bends by 0.1888 P R / (L t2 / 6) at most; wide jaws spread the load."""
    found = strained(wall(), 1e3, 10.0, None)
    bent = 0.1888 * 1e3 * 55.0 / (20.0 * 10.0**2 / 6.0)
    assert 0.3 * bent < found.hoop < bent
    assert strained(wall(), 2e3, 10.0, None).hoop == pytest.approx(2.0 * found.hoop)
    assert strained(wall(inner=0.0), 1e3, 10.0, None).hoop == 0.0


def test_the_bore_is_judged_gripped_outside_and_the_outside_otherwise() -> None:
    """Of a thick wall the loaded circle is squeezed out of round more than the other, so they can be told apart."""
    for direction in ("outside", "inside"):
        thick = wall(inner=20.0, direction=direction)
        thin = wall(inner=50.0, direction=direction)
        assert 0.0 < annulus_roundness(thick, 1e3) < annulus_roundness(thin, 1e3)
    # A solid part's bore does not exist: its outside is judged, pressed under the jaws themselves.
    assert annulus_roundness(wall(inner=0.0), 1e3) > annulus_roundness(wall(inner=3.0), 1e3)
