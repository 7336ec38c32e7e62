"""Shapes of rings under the jaws: flags, signs and limits."""

from __future__ import annotations

import math

import numpy as np
import pytest

from sim.distortion import annulus, thin_ring

STEEL = 210_000.0


def test_a_pressed_ring_goes_in_under_the_jaws_and_out_between_them() -> None:
    ring = thin_ring(105.0, 95.0, 20.0, STEEL, 5000.0)
    assert ring.at_load < 0.0 < ring.between
    assert ring.roundness == pytest.approx(ring.between - ring.at_load)
    spread = thin_ring(105.0, 95.0, 20.0, STEEL, 5000.0, surface="bore")
    assert spread.at_load == pytest.approx(-ring.at_load)


def test_more_jaws_leave_it_rounder() -> None:
    found = [thin_ring(105.0, 95.0, 20.0, STEEL, 15_000.0 / n, n).roundness for n in (2, 3, 4, 6)]
    assert found == sorted(found, reverse=True)


@pytest.mark.parametrize(("thickness", "validity"), [(4.0, "good"), (10.0, "low"), (30.0, "invalid")])
def test_validity(thickness: float, validity: str) -> None:
    assert thin_ring(100.0, 100.0 - thickness, 20.0, STEEL, 1.0).validity == validity


def test_the_annulus_is_linear_and_scales() -> None:
    one = annulus(60.0, 40.0, 20.0, STEEL, 0.3, 1000.0, half_arc=0.1)
    two = annulus(60.0, 40.0, 20.0, STEEL, 0.3, 2000.0, half_arc=0.1)
    assert two.roundness_bore == pytest.approx(2.0 * one.roundness_bore)
    larger = annulus(120.0, 80.0, 40.0, STEEL, 0.3, 4000.0, half_arc=0.1)
    assert larger.roundness_bore == pytest.approx(2.0 * one.roundness_bore)


def test_wider_jaws_leave_it_rounder() -> None:
    arcs = [
        annulus(60.0, 45.0, 20.0, STEEL, 0.3, 1e4, half_arc=math.radians(a)) for a in (0.0, 10.0, 25.0, 45.0)
    ]
    found = [shape.roundness_bore for shape in arcs]
    assert found == sorted(found, reverse=True)
    assert arcs[0].point_loaded
    assert not arcs[1].point_loaded


def test_arcs_that_close_the_circle_are_a_uniform_pressure() -> None:
    shape = annulus(60.0, 45.0, 20.0, STEEL, 0.3, 1e4, half_arc=math.pi / 3.0)
    assert shape.roundness_bore == pytest.approx(0.0, abs=1e-12)


def test_a_long_part_is_stiffer_by_plane_strain() -> None:
    stress = annulus(60.0, 45.0, 20.0, STEEL, 0.3, 1e4, half_arc=0.2)
    strain = annulus(60.0, 45.0, 20.0, STEEL, 0.3, 1e4, half_arc=0.2, plane="strain")
    assert strain.roundness_bore < stress.roundness_bore
    assert strain.roundness_bore > 0.9 * (1 - 0.3**2) * stress.roundness_bore


def test_solid_disc_and_loads_in_the_bore() -> None:
    solid = annulus(60.0, 0.0, 20.0, STEEL, 0.3, 1e4, half_arc=0.2)
    assert solid.roundness_bore == 0.0
    assert 0.0 < solid.roundness_outer < 0.1
    inside = annulus(60.0, 45.0, 20.0, STEEL, 0.3, 1e4, half_arc=0.2, surface="bore")
    assert inside.outer[0] > inside.outer[-1]


def test_arrays_cannot_be_written() -> None:
    shape = annulus(60.0, 45.0, 20.0, STEEL, 0.3, 1e4, angles=np.array([0.0, 0.5]))
    assert shape.bore.shape == (2,)
    with pytest.raises(ValueError, match="read-only"):
        shape.bore[0] = 0.0


def test_what_is_refused() -> None:
    with pytest.raises(ValueError, match="greater than the bore radius"):
        thin_ring(50.0, 60.0, 20.0, STEEL, 1.0)
    with pytest.raises(ValueError, match="must have a bore"):
        thin_ring(50.0, 0.0, 20.0, STEEL, 1.0)
    with pytest.raises(ValueError, match="2 loads or more"):
        annulus(60.0, 45.0, 20.0, STEEL, 0.3, 1.0, loads=1)
    with pytest.raises(ValueError, match="half arc"):
        annulus(60.0, 45.0, 20.0, STEEL, 0.3, 1.0, half_arc=1.2)
    with pytest.raises(ValueError, match="no bore"):
        annulus(60.0, 0.0, 20.0, STEEL, 0.3, 1.0, surface="bore")
