import math

import numpy as np
import pytest

from sim.contact.face import GripGeometry, Lobe, face_grid, first_touch_offset, initial_gap, wall_distance


def grip(bore=50.0, part=50.0, **more):
    return GripGeometry(
        **{
            "bore_radius_mm": bore,
            "part_radius_mm": part,
            "width_mm": 50.0,
            "z_low_mm": 10.0,
            "z_high_mm": 40.0,
        }
        | more
    )


@pytest.mark.parametrize(
    ("part", "expected"),
    # sqrt(Rp^2 - w^2/4) - sqrt(Rb^2 - w^2/4) at the edges, Rp - Rb at the middles: +0.1154 and -0.1 mm
    [(50.1, 0.1154), (49.9, -0.1)],
)
def test_first_touch_of_the_worked_example(part, expected):
    geometry = grip(part=part)
    assert first_touch_offset(geometry, face_grid(geometry)) == pytest.approx(expected, abs=5e-5)


@pytest.mark.parametrize("inside", [False, True])
@pytest.mark.parametrize("difference", [-0.3, 0.0, 0.3])
def test_gap_at_first_touch_is_open_and_small(inside, difference):
    geometry = grip(bore=50.0 + difference, inside=inside)
    grid = face_grid(geometry, strips=200)
    gap = initial_gap(geometry, grid, first_touch_offset(geometry, grid))
    assert gap.min() >= -1e-12
    assert gap.min() < 2e-3


def test_inside_jaw_smaller_than_the_bore_touches_in_the_middle():
    geometry = grip(bore=49.9, inside=True)
    grid = face_grid(geometry)
    assert first_touch_offset(geometry, grid) == pytest.approx(0.1)
    gap = initial_gap(geometry, grid, 0.1)[0, 0]
    assert gap.argmax() in (0, grid.shape[1] - 1)
    assert gap.argmin() in (grid.shape[1] // 2 - 1, grid.shape[1] // 2)


def test_wall_distance_is_the_distance_to_the_offset_circle():
    phi = np.linspace(-0.5, 0.5, 11)
    r = wall_distance(50.0, 0.7, phi)
    assert np.hypot(r * np.cos(phi) - 0.7, r * np.sin(phi)) == pytest.approx(50.0, abs=1e-12)


def test_areas_add_up_to_the_face_between_its_chamfers():
    geometry = grip(edge_chamfer_mm=1.0)
    grid = face_grid(geometry, 7, 3)
    assert grid.areas_mm2.sum() == pytest.approx(30.0 * 2.0 * 50.0 * math.asin(24.0 / 50.0), rel=1e-12)
    assert grid.shape == (3, 7)


def test_jaw_one_serration_off_opens_its_gap_only():
    geometry = grip(jaw_offsets_mm=(0.2, 0.0, 0.0))
    grid = face_grid(geometry)
    gap = initial_gap(geometry, grid, first_touch_offset(geometry, grid))
    assert gap[0].min() > 0.17
    assert gap[1].max() < 1e-9


def test_three_lobes_on_the_jaws_stand_at_every_jaw():
    geometry = grip(lobes=(Lobe(3, 0.01, 0.0),))
    grid = face_grid(geometry)
    gap = initial_gap(geometry, grid, first_touch_offset(geometry, grid))
    assert np.ptp(gap, axis=0).max() < 1e-12
    phi = grid.angles_rad[0]  # the jaws stand 0.01 mm out, so their walls come nearer by its cosine
    assert gap[0, 0, 0] == pytest.approx(0.01 * (math.cos(phi) - math.cos(3.0 * phi)), abs=2e-5)


def test_taper_opens_one_end():
    geometry = grip(jaw_taper=1e-3)
    grid = face_grid(geometry, bands=3)
    gap = initial_gap(geometry, grid, first_touch_offset(geometry, grid))[0]
    assert gap[2, 14] - gap[0, 14] == pytest.approx(1e-3 * 20.0, rel=1e-3)


@pytest.mark.parametrize(
    ("change", "word"),
    [
        ({"bore": -1.0}, "bore_radius_mm"),
        ({"part": math.nan}, "part_radius_mm"),
        ({"z_low_mm": 50.0}, "z_low_mm"),
        ({"edge_chamfer_mm": 25.0}, "edge_chamfer_mm"),
        ({"bore": 20.0, "part": 20.0}, "60 deg"),
    ],
)
def test_impossible_faces_are_refused(change, word):
    with pytest.raises(ValueError, match=word):
        grip(**change)


def test_an_offset_is_not_out_of_round():
    with pytest.raises(ValueError, match="order"):
        Lobe(1, 0.1)


def test_grid_owns_its_arrays():
    grid = face_grid(grip())
    with pytest.raises(ValueError, match="read-only"):
        grid.areas_mm2[0, 0] = 1.0
