"""Mass properties of meshes against published closed forms and a published weight table.

@book{meriam_kraige, author = {Meriam, J. L. and Kraige, L. G.}, title = {Engineering Mechanics: Dynamics},
  note = {Appendix D, Table D/4, properties of homogeneous solids; formulas integrated in test_derived_again.py}}

Round steel bars (EN 10060): mass per metre at 7.85 kg/dm3, as a public table of bars has it (fantasticeng.com, weight
of steel bars per meter).

ISO 4762 heads are checked in tests/meshes/test_parts.py.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
import trimesh

from meshes.mass import mass_properties
from meshes.placement import jaw_placement, placed
from meshes.revolve import revolve

STEEL = 7.85e-6  # kg/mm3


def test_circular_cylinder() -> None:
    radius, length = 40.0, 90.0
    found = mass_properties(revolve([(0, 0), (radius, 0), (radius, length), (0, length)]), STEEL)
    mass = STEEL * math.pi * radius**2 * length
    across = mass * radius**2 / 4.0 + mass * length**2 / 12.0
    assert found.mass == pytest.approx(mass, rel=1e-9)
    np.testing.assert_allclose(found.centroid, (0.0, 0.0, length / 2.0), atol=1e-9)
    # Volume-true facets of 1/256 turn carry the inertia to (2 pi / 256)^4.
    np.testing.assert_allclose(np.diag(found.inertia), (across, across, mass * radius**2 / 2.0), rtol=1e-6)
    np.testing.assert_allclose(found.inertia - np.diag(np.diag(found.inertia)), 0.0, atol=1e-9)


def test_hollow_cylinder() -> None:
    inner, outer, length = 30.0, 50.0, 20.0
    found = mass_properties(revolve([(inner, 0), (outer, 0), (outer, length), (inner, length)]), STEEL)
    mass = STEEL * math.pi * (outer**2 - inner**2) * length
    assert found.mass == pytest.approx(mass, rel=1e-9)
    assert found.inertia[2, 2] == pytest.approx(mass * (outer**2 + inner**2) / 2.0, rel=1e-6)
    assert found.inertia[0, 0] == pytest.approx(
        mass * (3.0 * (outer**2 + inner**2) + length**2) / 12.0, rel=1e-6
    )


def test_right_circular_cone() -> None:
    radius, height = 30.0, 80.0
    found = mass_properties(revolve([(0, 0), (radius, 0), (0, height)]), STEEL)
    mass = STEEL * math.pi * radius**2 * height / 3.0
    assert found.mass == pytest.approx(mass, rel=1e-9)
    assert found.centroid[2] == pytest.approx(height / 4.0, rel=1e-9)
    assert found.inertia[2, 2] == pytest.approx(0.3 * mass * radius**2, rel=1e-6)
    assert found.inertia[0, 0] == pytest.approx(
        3.0 / 20.0 * mass * radius**2 + 3.0 / 80.0 * mass * height**2, rel=1e-6
    )


def test_hemisphere() -> None:
    radius = 25.0
    turn = np.linspace(0.0, 0.5 * math.pi, 400)
    outline = np.vstack([[0.0, 0.0], np.column_stack([np.cos(turn), np.sin(turn)]) * radius])
    found = mass_properties(revolve(outline), STEEL)
    # The outline's 400 chords are not volume-true: (pi/2/400)^2 / 6 and a little.
    assert found.volume == pytest.approx(2.0 / 3.0 * math.pi * radius**3, rel=1e-5)
    assert found.centroid[2] == pytest.approx(3.0 * radius / 8.0, rel=1e-5)
    assert found.inertia[2, 2] == pytest.approx(0.4 * found.mass * radius**2, rel=2e-5)


def test_rectangular_block_away_from_the_axis() -> None:
    a, b, c = 110.0, 50.0, 40.0
    block = placed(trimesh.creation.box(extents=(a, b, c)), jaw_placement(0, 85.0))
    found = mass_properties(block, STEEL)
    mass = STEEL * a * b * c
    np.testing.assert_allclose(found.centroid, (85.0, 0.0, 0.0), atol=1e-9)
    np.testing.assert_allclose(
        np.diag(found.inertia),
        (mass * (b**2 + c**2) / 12.0, mass * (a**2 + c**2) / 12.0, mass * (a**2 + b**2) / 12.0),
        rtol=1e-9,
    )


@pytest.mark.parametrize(
    ("diameter", "per_metre"), [(20.0, "2.466"), (25.0, "3.853"), (32.0, "6.313"), (40.0, "9.865")]
)
def test_round_steel_bar_weighs_what_the_table_says(diameter: float, per_metre: str) -> None:
    radius = 0.5 * diameter
    bar = revolve([(0, 0), (radius, 0), (radius, 1000.0), (0, 1000.0)])
    half_unit = 0.5 * 10.0 ** -len(per_metre.split(".")[1])
    assert mass_properties(bar, STEEL).mass == pytest.approx(float(per_metre), abs=half_unit)
