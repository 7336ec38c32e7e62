import math
from dataclasses import replace

import numpy as np
import pytest

from sim.contact import ContactNotConverged, GripLoad, JawGuide, prepare, press, revolve, spun
from sim.contact.face import JAW_ANGLES_RAD
from sim.contact.harmonics import between_orders
from sim.contact.solve import motions


def test_compliance_is_symmetric_and_positive(elastic_bodies):
    K = elastic_bodies.total_mm_n
    assert np.abs(K - K.T).max() == 0.0
    assert np.linalg.eigvalsh(K)[0] > 0.0
    assert elastic_bodies.stiffness_n_mm @ K == pytest.approx(np.eye(len(K)), abs=1e-8)


def test_a_symmetric_load_gives_the_same_alone_or_among_all_cells(with_bore, elastic_bodies):
    """The sixth of the cells that a symmetric load needs, against all of them with a side load that vanishes."""
    for difference in (-0.05, 0.0, 0.05):
        sixth = press(with_bore(difference), None, elastic_bodies)
        whole = press(with_bore(difference, GripLoad(60e3, side_load_n=(1e-7, 0.0))), None, elastic_bodies)
        assert whole.pressure_mpa == pytest.approx(sixth.pressure_mpa, abs=1e-6 * sixth.pressure_mpa.max())
        assert whole.approach_mm == pytest.approx(sixth.approach_mm, rel=1e-8)


def test_starting_from_a_neighbour_changes_nothing_but_the_steps(with_bore, elastic_bodies):
    load = GripLoad(50e3, side_load_n=(2000.0, 1000.0), moment_nmm=(1e4, 0.0))
    first = press(with_bore(0.03, load), None, elastic_bodies)
    harder = replace(load, closing_force_n=52e3)
    cold = press(with_bore(0.03, harder), None, elastic_bodies)
    warm = press(with_bore(0.03, harder), first, elastic_bodies)
    assert warm.pressure_mpa == pytest.approx(cold.pressure_mpa, abs=1e-9 * cold.pressure_mpa.max())
    assert warm.residuals.iterations <= cold.residuals.iterations


def test_a_hollow_part_flattens_and_its_edges_carry(elastic_setup, elastic_bodies):
    """An exact bore does not load a hollow part evenly, a larger one is more even."""
    exact = press(elastic_setup, None, elastic_bodies).pressure_mpa[0].mean(axis=0)
    assert exact[0] > 3.0 * exact[5]
    larger = replace(elastic_setup.grip, bore_radius_mm=50.1)
    wide = press(replace(elastic_setup, grip=larger), None, elastic_bodies).pressure_mpa[0].mean(axis=0)
    assert wide[0] / wide.mean() < exact[0] / exact.mean()


def test_softer_jaws_approach_further(elastic_setup, elastic_bodies):
    aluminium = replace(elastic_setup.jaw, modulus_mpa=70e3, poisson=0.33)
    soft = press(replace(elastic_setup, jaw=aluminium))
    assert soft.approach_mm > press(elastic_setup, None, elastic_bodies).approach_mm


def test_a_ledge_under_the_part_stiffens_the_root_of_the_face(elastic_setup):
    plain = prepare(elastic_setup).jaw_mm_n
    ledge = replace(elastic_setup.jaw, ledge_z_mm=10.0, ledge_radius_mm=40.0)
    with_ledge = prepare(replace(elastic_setup, jaw=ledge)).jaw_mm_n
    cells = elastic_setup.strips
    assert with_ledge[:cells, :cells].mean() < plain[:cells, :cells].mean()
    top = slice(-cells, None)
    change = 1.0 - with_ledge[top, top].mean() / plain[top, top].mean()
    assert 0.0 < change < 1.0 - with_ledge[:cells, :cells].mean() / plain[:cells, :cells].mean()


def test_a_wider_pocket_in_front_softens_the_top_of_the_face(elastic_setup):
    lower = replace(elastic_setup.grip, z_high_mm=30.0)
    part = replace(
        elastic_setup.part, outline_mm=np.array([(40.0, 10.0), (50.0, 10.0), (50.0, 30.0), (40.0, 30.0)])
    )
    whole = prepare(replace(elastic_setup, grip=lower, part=part)).jaw_mm_n
    stepped = replace(elastic_setup.jaw, front_z_mm=30.0, front_radius_mm=60.0)
    cut = prepare(replace(elastic_setup, grip=lower, part=part, jaw=stepped)).jaw_mm_n
    assert np.trace(cut) > np.trace(whole)


def test_jaws_that_press_into_a_bore(elastic_setup):
    bush = replace(
        elastic_setup.part, outline_mm=np.array([(50.0, 10.0), (62.0, 10.0), (62.0, 40.0), (50.0, 40.0)])
    )
    grip = replace(elastic_setup.grip, inside=True, bore_radius_mm=49.95)
    jaw = replace(elastic_setup.jaw, back_radius_mm=10.0)
    result = press(replace(elastic_setup, part=bush, grip=grip, jaw=jaw))
    assert result.grip_n == pytest.approx(20e3)
    assert result.offset_mm > 0.05


def test_grip_over_a_revolution_on_prepared_bodies(elastic_setup, elastic_bodies):
    load = GripLoad(60e3, side_load_n=(4000.0, 0.0))
    turn = revolve(replace(elastic_setup, load=load), 6, elastic_bodies)
    assert turn.grip_n[2] == pytest.approx(np.roll(turn.grip_n[0], -1), rel=1e-9)
    assert turn.least_n < 20e3


def test_loss_at_speed_is_the_share_that_the_springs_leave(elastic_setup, on_springs):
    """Two springs in parallel under one load: lam = k_bodies/(k_bodies + k_drive)."""
    setup = replace(elastic_setup, guide=JawGuide(radial_stiffness_n_per_mm=4e5))
    bodies = on_springs(setup.guide)
    rest = press(setup, None, bodies)
    less = press(replace(setup, load=GripLoad(60e3 - 30.0)), rest, bodies)
    chain = 10.0 / (rest.approach_mm - less.approach_mm)
    own = 1.0 / (1.0 / chain - 1.0 / 4e5)
    turning = spun(setup, rest, (10.0, 10.0, 10.0), bodies)
    lost = rest.grip_n - turning.grip_n
    assert lost == pytest.approx(10.0 * own / (own + 4e5), rel=1e-4)
    assert turning.approach_mm == rest.approach_mm
    assert spun(setup, rest, (0.0, 0.0, 0.0), bodies).grip_n == pytest.approx(rest.grip_n, rel=1e-9)


def test_a_heavier_jaw_loses_more_at_speed(elastic_setup, on_springs):
    setup = replace(elastic_setup, guide=JawGuide(radial_stiffness_n_per_mm=4e5))
    bodies = on_springs(setup.guide)
    turning = spun(setup, press(setup, None, bodies), (3000.0, 2000.0, 2000.0), bodies)
    assert turning.grip_n[0] < turning.grip_n[1] == pytest.approx(turning.grip_n[2], rel=1e-9)
    assert turning.part_shift_mm[0] > 0.0


def test_rigid_drives_lose_nothing_to_locked_pistons(elastic_setup, elastic_bodies):
    rest = press(elastic_setup, None, elastic_bodies)
    turning = spun(elastic_setup, rest, (5000.0, 5000.0, 5000.0), elastic_bodies)
    assert turning.grip_n == pytest.approx(rest.grip_n, rel=1e-9)


def test_springs_changed_on_prepared_bodies_are_those_prepared_with_them(elastic_setup, on_springs):
    guide = JawGuide(2e5, 3e9, -15.0)
    anew = prepare(replace(elastic_setup, guide=guide))
    assert on_springs(guide).total_mm_n == pytest.approx(anew.total_mm_n, rel=1e-9)


def test_a_part_that_slips_out_of_the_jaws_is_an_error(elastic_setup, elastic_bodies):
    with pytest.raises(ContactNotConverged, match="cannot be held"):
        press(replace(elastic_setup, load=GripLoad(60e3, side_load_n=(0.0, 90e3))), None, elastic_bodies)


def test_another_face_is_refused(elastic_setup, elastic_bodies):
    other = replace(elastic_setup.grip, z_low_mm=12.0)
    with pytest.raises(ValueError, match="another face"):
        press(replace(elastic_setup, grip=other), None, elastic_bodies)


def test_gripping_beyond_the_turned_surface_is_refused(elastic_setup):
    higher = replace(elastic_setup.grip, z_high_mm=45.0)
    with pytest.raises(ValueError, match=r"reaches from z = 10 to 40 mm"):
        prepare(replace(elastic_setup, grip=higher))


@pytest.mark.parametrize(("change", "word"), [({"strips": 13}, "even"), ({"strips": 0}, "strips")])
def test_grids_that_the_jaw_cannot_have(elastic_setup, change, word):
    with pytest.raises(ValueError, match=word):
        prepare(replace(elastic_setup, **change))


def test_a_jaw_that_ends_before_its_face_is_refused(elastic_setup):
    with pytest.raises(ValueError, match="behind the face"):
        prepare(replace(elastic_setup, jaw=replace(elastic_setup.jaw, back_radius_mm=45.0)))


def test_the_cache_gives_back_the_same_bodies(elastic_setup, tmp_path):
    places = np.array([[40.0, 25.0]])
    made = prepare(elastic_setup, places, tmp_path)
    assert len(list(tmp_path.iterdir())) == 2
    read = prepare(elastic_setup, places, tmp_path)
    assert np.array_equal(read.total_mm_n, made.total_mm_n)
    assert np.array_equal(read.harmonics.place_mm, made.harmonics.place_mm)
    # Loads, fits and offsets share the files of part and jaw; another material of the part shares the jaw's.
    fit = replace(elastic_setup.grip, jaw_offsets_mm=(0.1, 0.0, 0.0))
    prepare(replace(elastic_setup, grip=fit, load=GripLoad(1.0)), places, tmp_path)
    assert len(list(tmp_path.iterdir())) == 2
    prepare(replace(elastic_setup, part=replace(elastic_setup.part, modulus_mpa=70e3)), places, tmp_path)
    assert len(list(tmp_path.iterdir())) == 3


def test_part_tilt_and_shift_follow_the_load(elastic_setup, elastic_bodies):
    load = GripLoad(60e3, side_load_n=(3000.0, 0.0), moment_nmm=(0.0, 3e4))
    result = press(replace(elastic_setup, load=load), None, elastic_bodies)
    assert result.part_shift_mm[0] > 0.0
    assert result.part_tilt_rad[1] > 0.0
    assert math.isclose(result.part_shift_mm[1], 0.0, abs_tol=1e-9)


def test_jaws_feel_each_other_by_the_angle_between_their_cells(elastic_bodies):
    """Three cells of three jaws against the Fourier sum written out: one strip's force, another strip's motion."""
    grid, response = elastic_bodies.grid, elastic_bodies.harmonics
    nz, nt = grid.shape
    bands = between_orders(response.orders, response.band_mm, 80)
    width = np.diff(grid.angle_edges_rad)
    for (jaw, band, strip), (other, b, s) in (
        ((1, 0, 0), (0, 1, nt - 1)),
        ((2, 1, 2), (1, 2, 9)),
        ((0, 2, 1), (2, 0, 4)),
    ):
        apart = 2.0 * math.pi / 3.0 * (jaw - other) + grid.angles_rad[strip] - grid.angles_rad[s]
        moved = 0.0
        for n in range(81):
            mean = math.prod(
                1.0 if n == 0 else math.sin(0.5 * n * w) / (0.5 * n * w) for w in (width[strip], width[s])
            )
            moved += (0.5 if n == 0 else 1.0) / math.pi * bands[n, band, b] * mean * math.cos(n * apart)
        row, column = jaw * nz * nt + band * nt + strip, other * nz * nt + b * nt + s
        assert elastic_bodies.total_mm_n[row, column] == pytest.approx(moved, rel=2e-3)


def test_rigid_motions_open_the_gaps_that_geometry_says(elastic_setup, elastic_bodies):
    """Distances after small motions of a point of each cell, from coordinates alone."""
    grid = elastic_bodies.grid
    G = motions(grid, 25.0)
    phi = np.broadcast_to(grid.angles_rad, (3, *grid.shape)).ravel()
    theta = (
        np.broadcast_to(grid.angles_rad, (3, *grid.shape)) + np.array(JAW_ANGLES_RAD)[:, None, None]
    ).ravel()
    z = np.broadcast_to(grid.heights_mm[:, None], (3, *grid.shape)).ravel() - 25.0
    point = np.column_stack([50.0 * np.cos(theta), 50.0 * np.sin(theta), z])
    step = 1e-6
    for column, (shift, turn) in enumerate(
        [((1, 0, 0), (0, 0, 0)), ((0, 1, 0), (0, 0, 0)), ((0, 0, 0), (1, 0, 0)), ((0, 0, 0), (0, 1, 0))]
    ):
        moved = point + step * np.array(shift) + step * np.cross(turn, point)
        closing = np.hypot(moved[:, 0], moved[:, 1]) - 50.0
        assert G[:, column] == pytest.approx(-closing / step, abs=1e-4)
    assert G[:, 4] == pytest.approx(-np.cos(phi))
    assert elastic_setup.grip.z_middle_mm == 25.0
