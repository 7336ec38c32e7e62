import math
from dataclasses import replace

import numpy as np
import pytest

from sim.contact import ContactSetup, FaceGrid, GripGeometry, GripLoad, JawBlock, TurnedPart, press
from sim.contact.limits import closed_half_angle, open_half_angle

STEEL = (210e3, 0.3)
EDGES = np.radians(np.linspace(-27.2, 27.2, 33))


def pressed(bore=51.0):
    ring = TurnedPart([(40.0, 10.0), (50.0, 10.0), (50.0, 40.0), (40.0, 40.0)], *STEEL)
    grip = GripGeometry(bore, 50.0, 50.0, 10.0, 40.0)
    return press(ContactSetup(grip, ring, JawBlock(100.0, 40.0, *STEEL), GripLoad(60e3)))


def with_forces(force):
    """Return a result that carries the given force on each strip of 1.7 deg, all along the height."""
    result = pressed()
    grid = FaceGrid(EDGES, result.grid.height_edges_mm, result.grid.radius_mm)
    field = np.tile(force / np.diff(EDGES), (3, grid.shape[0], 1))
    return replace(result, grid=grid, pressure_mpa=field, gap_mm=field)


def test_a_wide_bore_touches_in_the_middle():
    result = pressed()
    assert 0.0 < closed_half_angle(result) < result.grid.angle_edges_rad[-1]
    assert open_half_angle(result) == 0.0


def test_a_narrow_bore_touches_at_the_edges():
    result = pressed(49.5)
    assert 0.0 < open_half_angle(result) < closed_half_angle(result) == result.grid.angle_edges_rad[-1]


@pytest.mark.parametrize("half", [3.0, 7.0, 12.0, 19.0])
def test_end_of_an_elliptic_pressure_is_found_inside_a_strip(half):
    """The exact force of a Hertzian ellipse: its end comes back within 0.5 deg."""
    a = math.radians(half)
    x = np.clip(EDGES / a, -1.0, 1.0)
    force = np.diff(0.5 * a * (x * np.sqrt(1.0 - x**2) + np.arcsin(x)))
    found = with_forces(force)
    assert math.degrees(closed_half_angle(found)) == pytest.approx(half, abs=0.5)
    assert open_half_angle(found) == 0.0


@pytest.mark.parametrize("gap", [4.0, 9.0, 15.0, 20.0])
def test_end_of_a_gap_in_the_middle_is_found_inside_a_strip(gap):
    """A pressure that grows like a root from the end of the gap to the edge: 0.2 deg."""
    beyond = np.maximum(np.abs(EDGES) - math.radians(gap), 0.0) ** 1.5
    found = with_forces(np.abs(np.diff(np.sign(EDGES) * beyond)))
    assert math.degrees(open_half_angle(found)) == pytest.approx(gap, abs=0.2)
    assert closed_half_angle(found) == pytest.approx(EDGES[-1])


def test_a_face_without_pressure():
    result = with_forces(np.zeros(32))
    assert closed_half_angle(result) == 0.0
    assert open_half_angle(result) == pytest.approx(EDGES[-1])


def test_the_larger_side_of_a_lopsided_contact_counts():
    force = np.zeros(32)
    force[20:] = 1.0
    assert open_half_angle(with_forces(force)) == pytest.approx(EDGES[-1])
    force[:3] = 1.0
    assert open_half_angle(with_forces(force)) == pytest.approx(-EDGES[3])


def test_a_contact_of_two_strips_before_an_end_is_no_division_by_zero():
    """Only two strips next to a gap carry: nothing tells how the pressure grows, the strip's edge is the end."""
    force = np.zeros(32)
    force[[24, 25, 6, 7]] = 1.0
    with np.errstate(all="raise"):
        assert open_half_angle(with_forces(force)) == pytest.approx(EDGES[24])
        assert closed_half_angle(with_forces(force)) == pytest.approx(EDGES[26])


@pytest.mark.parametrize("parts", [1, 4])
@pytest.mark.parametrize("half", [5.0, 8.0, 12.0])
def test_the_end_of_a_contact_does_not_hang_on_how_many_strips_carry_it(half, parts):
    """The same ellipse on strips of 1.7 deg and on a quarter of that: an angle decides how it is taken, not a count."""
    edges = np.radians(np.linspace(-27.2, 27.2, 32 * parts + 1))
    a = math.radians(half)
    x = np.clip(edges / a, -1.0, 1.0)
    force = np.diff(0.5 * a * (x * np.sqrt(1.0 - x**2) + np.arcsin(x)))
    result = pressed()
    grid = FaceGrid(edges, result.grid.height_edges_mm, result.grid.radius_mm)
    field = np.tile(force / np.diff(edges), (3, grid.shape[0], 1))
    found = replace(result, grid=grid, pressure_mpa=field, gap_mm=field)
    assert math.degrees(closed_half_angle(found)) == pytest.approx(half, abs=0.4 / parts)


def test_a_narrow_contact_beside_the_middle_is_measured_from_its_own():
    a, middle = math.radians(5.0), math.radians(2.0)
    x = np.clip((EDGES - middle) / a, -1.0, 1.0)
    force = np.diff(0.5 * a * (x * np.sqrt(1.0 - x**2) + np.arcsin(x)))
    assert math.degrees(closed_half_angle(with_forces(force))) == pytest.approx(7.0, abs=0.2)
