import math
from dataclasses import replace

import numpy as np
import pytest

from sim.contact import GripLoad, JawGuide, prepare, press
from sim.contact.shape import (
    clamped_shape,
    face_flatness_um,
    jaw_opening,
    lobe_amplitude,
    lobes,
    released_mm,
    taper_to_bore,
    taper_um,
    without_position,
)

TURN = np.linspace(0.0, 2.0 * math.pi, 360, endpoint=False)


def test_size_and_position_are_not_out_of_round():
    profile = 3.0 + 0.2 * np.cos(TURN - 0.7)
    assert np.abs(without_position(profile)).max() < 1e-12
    lobed = profile + 0.01 * np.cos(3.0 * TURN + 1.0)
    assert np.ptp(without_position(lobed)) == pytest.approx(0.02, rel=1e-3)
    assert lobe_amplitude(lobed, 3) == pytest.approx(0.01)


def test_three_jaws_make_three_lobes(elastic_setup, elastic_bodies):
    shape = clamped_shape(press(elastic_setup, None, elastic_bodies), elastic_bodies)
    bore = shape.moved_mm[1, 0]
    waves = np.abs(np.fft.rfft(bore))
    assert waves[1:].argmax() + 1 == 3
    assert waves[[1, 2, 4, 5, 7]].max() < 1e-9 * waves[3]
    # Inward at the jaws, outward between them.
    assert bore[0] < bore[60]
    assert shape.roundness_um[1] == pytest.approx(1e3 * np.ptp(without_position(bore)))
    assert released_mm(shape)[1, 0] > released_mm(shape)[1, 60]
    assert shape.centre_mm == pytest.approx(0.0, abs=1e-9)


def test_shape_is_linear_in_force_when_the_whole_face_carries(with_bore, elastic_bodies):
    """A receding contact (bore exact) keeps its pattern without friction, so the shape grows with the force."""
    one = clamped_shape(press(with_bore(0.0), None, elastic_bodies), elastic_bodies)
    two = clamped_shape(press(with_bore(0.0, GripLoad(120e3)), None, elastic_bodies), elastic_bodies)
    assert two.roundness_um == pytest.approx(2.0 * one.roundness_um, rel=1e-8)


def test_gripped_surface_moves_as_the_contact_says(elastic_setup, elastic_bodies):
    """Motion of the part at a closed cell = approach less the jaw's yield: the shape and the contact agree."""
    result = press(elastic_setup, None, elastic_bodies)
    shape = clamped_shape(result, elastic_bodies, 720)
    force = (result.pressure_mpa * result.grid.areas_mm2)[0].ravel()
    jaw = (elastic_bodies.jaw_mm_n @ force).reshape(result.grid.shape)
    strip, band = 0, 1
    around = np.mod(shape.angles_rad + math.pi, 2.0 * math.pi) - math.pi
    low, high = result.grid.angle_edges_rad[strip : strip + 2]
    part = shape.moved_mm[2, 0][(around > low) & (around < high)].mean()
    expected = jaw[band, strip] - result.approach_mm * math.cos(result.grid.angles_rad[strip])
    assert part == pytest.approx(expected, rel=0.03)


def test_side_load_moves_the_centre_of_the_bore(elastic_setup, elastic_bodies):
    pushed = replace(elastic_setup, load=GripLoad(60e3, side_load_n=(0.0, 3000.0)))
    result = press(pushed, None, elastic_bodies)
    shape = clamped_shape(result, elastic_bodies)
    assert shape.centre_mm[1, 1] > 0.0
    assert shape.centre_mm[1, 1] == pytest.approx(result.part_shift_mm[1], rel=0.3)


def test_an_even_grip_keeps_the_face_flatter_than_a_grip_at_one_end(elastic_setup):
    places = np.array([[r, 40.0] for r in (41.0, 45.0, 49.0)])
    even = prepare(elastic_setup, places)
    short = replace(elastic_setup, grip=replace(elastic_setup.grip, z_high_mm=20.0))
    flat = face_flatness_um(clamped_shape(press(elastic_setup, None, even), even))
    uneven = prepare(short, places)
    assert face_flatness_um(clamped_shape(press(short, None, uneven), uneven), [0, 1, 2]) > flat > 0.0


def test_jaws_open_towards_their_top(elastic_setup, elastic_bodies, on_springs):
    opening = jaw_opening(press(elastic_setup, None, elastic_bodies), elastic_bodies)
    assert opening.slope_rad > 0.0
    assert opening.over_height_um == pytest.approx(1e3 * 30.0 * opening.slope_rad)
    guide = JawGuide(tilt_stiffness_nmm_per_rad=2e9, guide_height_mm=-20.0)
    soft = on_springs(guide)
    result = press(replace(elastic_setup, guide=guide), None, soft)
    tilted = jaw_opening(result, soft).slope_rad
    assert tilted == pytest.approx(opening.slope_rad + result.jaw_tilt_rad[0], rel=0.25)


def test_taper_makes_up_for_the_difference_of_forces(elastic_setup, elastic_bodies):
    opening = jaw_opening(press(elastic_setup, None, elastic_bodies), elastic_bodies)
    same = taper_to_bore(opening, 20e3, 20e3, 30.0)
    assert same.diameter_um == pytest.approx(0.0)
    assert not same.matters
    light = taper_to_bore(opening, 20e3, 5e3, 30.0)
    assert light.jaw_taper == pytest.approx(-0.75 * opening.slope_rad)
    assert light.matters == (abs(light.diameter_um) > 2.0)
    many = taper_um(np.full(2, opening.slope_rad), np.full(2, 20e3), np.array([20e3, 5e3]), 30.0)
    assert many.tolist() == [same.diameter_um, light.diameter_um]
    with pytest.raises(ValueError, match="forces"):
        taper_to_bore(opening, 0.0, 1.0, 30.0)


def test_shape_needs_places(elastic_setup, elastic_bodies):
    result = press(elastic_setup, None, elastic_bodies)
    with pytest.raises(ValueError, match="places"):
        clamped_shape(result, prepare(replace(elastic_setup, model="foundation")))
    with pytest.raises(ValueError, match="samples"):
        clamped_shape(result, elastic_bodies, 90)


def test_lobes_are_told_by_their_share_of_the_deviation():
    """3 um of three lobes and 1 um of six: nine tenths and one tenth of the square; position and size do not count."""
    profile = 0.003 * np.cos(3.0 * TURN + 0.4) + 0.001 * np.cos(6.0 * TURN) + 0.05 * np.cos(TURN) + 0.2
    (first, much), (second, little), *_ = lobes(profile)
    assert (first, second) == (3, 6)
    assert (much, little) == pytest.approx((0.9, 0.1))
    assert lobes(np.full(360, 0.2)) == ()
