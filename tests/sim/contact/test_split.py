"""Strips divided where a contact begins or ends: what must hold exactly, and finer grids of the same bodies."""

import math
from dataclasses import replace

import numpy as np
import pytest
from scipy.integrate import dblquad

from sim.contact import (
    ContactSetup,
    GripGeometry,
    GripLoad,
    JawBlock,
    Lobe,
    TurnedPart,
    band_means,
    finer,
    prepare,
    press,
)
from sim.contact.limits import closed_half_angle, open_half_angle
from sim.contact.prepared import with_moduli
from sim.contact.split import PIECES, beside_changes, divided, of_pieces, pieces

STEEL, ALUMINIUM = (210e3, 0.3), (70e3, 0.33)
EVEN = GripLoad(60e3)


def made(inner=40.0, jaw=STEEL, strips=16, *, inside=False):
    """Solid parts, rings and bushes in jaws whose face is coarse or fine around, three bands high."""
    if inside:
        outline = [(50.0, 10.0), (62.0, 10.0), (62.0, 40.0), (50.0, 40.0)]
        block = JawBlock(10.0, 40.0, *jaw)
    else:
        outline = [(inner, 10.0), (50.0, 10.0), (50.0, 40.0), (inner, 40.0)]
        block = JawBlock(100.0, 40.0, *jaw)
    grip = GripGeometry(50.0, 50.0, 45.4, 10.0, 40.0, inside=inside)
    part = TurnedPart(outline, *STEEL)
    return ContactSetup(grip, part, block, EVEN, hold_square=True, strips=strips, bands=3, model="elastic")


def with_fit(setup, difference):
    return replace(setup, grip=replace(setup.grip, bore_radius_mm=50.0 + difference))


def test_the_two_strips_on_either_side_of_a_change_are_divided_on_both_halves():
    closed = np.zeros((3, 2, 12), dtype=bool)
    closed[1, 0, 8:] = True  # one jaw, one band
    assert np.flatnonzero(beside_changes(closed)).tolist() == [2, 3, 4, 5, 6, 7, 8, 9]
    closed[:] = True
    assert not beside_changes(closed).any()
    closed[..., 0] = False  # the strip at the edge of the face
    assert np.flatnonzero(beside_changes(closed)).tolist() == [0, 1, 2, 9, 10, 11]


def test_strips_left_whole_keep_their_edges_bit_for_bit(elastic_bodies):
    grid = elastic_bodies.grid
    flags = np.zeros(12, dtype=bool)
    flags[[2, 9]] = True
    fine = divided(grid, flags)
    assert fine.shape == (3, 12 + 2 * (PIECES - 1))
    assert set(grid.angle_edges_rad) <= set(fine.angle_edges_rad)
    assert np.array_equal(divided(grid, np.zeros(12, dtype=bool)).angle_edges_rad, grid.angle_edges_rad)


@pytest.mark.parametrize("mirrored", [True, False])
def test_pieces_keep_the_compliance_of_their_strips(elastic_bodies, mirrored):
    """M' C M gives the strips' compliance back, all is positive definite, the inverse is the inverse."""
    coarse = elastic_bodies.grid
    flags = np.zeros(12, dtype=bool)
    flags[[1, 2, 5, 6, 9, 10]] = True
    fine = divided(coarse, flags)
    edges, strips = 50.0 * fine.angle_edges_rad, 50.0 * coarse.angle_edges_rad
    if mirrored:
        edges, strips = edges[fine.shape[1] // 2 :], strips[6:]
        whole, stiffness = elastic_bodies.alike_mm_n, elastic_bodies.alike_n_mm
    else:
        whole, stiffness = elastic_bodies.total_mm_n, elastic_bodies.stiffness_n_mm
    own = pieces(edges, strips, mirrored=mirrored)
    softness = elastic_bodies.part_softness + elastic_bodies.jaw_softness
    faces = 3 if mirrored else 9
    C, H = of_pieces(whole, stiffness, (own, np.full(faces, softness / 10.0)))
    M = np.kron(np.eye(faces), own.share)
    assert pytest.approx(whole, abs=1e-13 * whole.max()) == M.T @ C @ M
    assert np.linalg.eigvalsh(0.5 * (C + C.T))[0] > 0.0
    assert pytest.approx(np.eye(len(C)), abs=1e-9) == H @ C


def test_strips_that_are_all_left_whole_give_their_compliance_bit_for_bit(elastic_bodies):
    edges = 50.0 * elastic_bodies.grid.angle_edges_rad
    own = pieces(edges, edges, mirrored=False)
    C, H = of_pieces(elastic_bodies.total_mm_n, elastic_bodies.stiffness_n_mm, (own, np.full(9, 1e-6)))
    assert np.array_equal(C, elastic_bodies.total_mm_n)
    assert np.array_equal(H, elastic_bodies.stiffness_n_mm)


def test_pieces_of_a_half_plane_are_known_from_strips_of_a_half_plane():
    """Where C is the half plane's own compliance the pieces' is too; its means by quadrature of the logarithm."""
    strips = np.array([-3.0, -1.0, 0.5, 2.0])
    edges = np.array([-3.0, -2.5, -2.0, -1.5, -1.0, 0.5, 2.0])
    far = 24.0  # _FAR times the face's width

    def mean(a, b, c, d):
        found, _ = dblquad(lambda s, x: math.log(far / abs(x - s)), a, b, c, d, epsabs=1e-10)
        return found / ((b - a) * (d - c))

    def kernel(at):
        n = at.size - 1
        out = np.zeros((n, n))
        for i in range(n):
            for j in range(n):
                width = at[i + 1] - at[i]
                # On itself in closed form: the mean of -ln|x - s| over a square is 3/2 - ln w.
                out[i, j] = (
                    math.log(far) + 1.5 - math.log(width)
                    if i == j
                    else mean(at[i], at[i + 1], at[j], at[j + 1])
                )
        return out

    own = pieces(edges, strips, mirrored=False)
    C, _ = of_pieces(kernel(strips), np.linalg.inv(kernel(strips)), (own, np.array([1.0])))
    assert pytest.approx(kernel(edges), rel=1e-6) == C


@pytest.mark.parametrize(
    ("inner", "jaw", "inside", "difference"),
    [
        (0.0, STEEL, False, 0.05),
        (0.0, ALUMINIUM, False, 0.1),
        (40.0, STEEL, False, -0.05),
        (40.0, STEEL, False, -0.1),
        (40.0, ALUMINIUM, False, -0.1),
        (0.0, STEEL, True, 0.03),
        (0.0, STEEL, True, 0.06),
    ],
)
def test_limits_and_bands_are_those_of_three_times_the_strips(inner, jaw, inside, difference):
    """Coarse strips (3.4 deg) divided, against strips of a third that are divided too.

    At the shipped 48 strips the same is held to the independent model (tests/reference).
    """
    rough, fine = made(inner, jaw, 16, inside=inside), made(inner, jaw, 48, inside=inside)
    setup, other = with_fit(rough, difference), with_fit(fine, difference)
    bodies, others = prepare(rough), prepare(fine)
    coarse, exact = press(setup, None, bodies), finer(other, others, press(other, None, others))
    found = finer(setup, bodies, coarse)
    assert found.grid.shape[1] > coarse.grid.shape[1]
    limit = open_half_angle if open_half_angle(exact) > 0.0 else closed_half_angle
    before, after = (math.degrees(abs(limit(one) - limit(exact))) for one in (coarse, found))
    assert after < max(0.65, 0.4 * before)

    def bands(result):
        return band_means(result, math.radians(6.0), 30.0)[0, 0]

    misses = [np.abs(bands(one) - bands(exact)).max() / bands(exact).mean() for one in (coarse, found)]
    assert misses[1] < max(0.06, misses[0])
    assert found.grip_n == pytest.approx([20e3] * 3, rel=1e-9)
    assert found.approach_mm == pytest.approx(coarse.approach_mm, rel=2e-3)


def test_a_face_closed_all_over_and_columns_stay_as_they_are():
    setup = with_fit(made(0.0), -0.001)
    bodies = prepare(setup)
    whole = press(setup, None, bodies)
    assert np.all(whole.pressure_mpa > 0.0)
    assert finer(setup, bodies, whole) is whole
    columns = replace(with_fit(made(), 1.0), model="foundation")
    found = press(columns)
    assert not np.all(found.pressure_mpa > 0.0)
    assert finer(columns, prepare(columns), found) is found


def test_all_cells_give_what_a_sixth_of_them_gives():
    setup = with_fit(made(), -0.05)
    bodies = prepare(setup)
    alike = finer(setup, bodies, press(setup, None, bodies))
    pushed = replace(setup, load=GripLoad(60e3, side_load_n=(1e-6, 0.0)))
    whole = finer(pushed, bodies, press(pushed, None, bodies))
    assert whole.pressure_mpa == pytest.approx(alike.pressure_mpa, abs=1e-7 * alike.pressure_mpa.max())


def test_an_uneven_part_is_divided_on_all_jaws_and_balanced():
    setup = with_fit(made(), -0.03)
    setup = replace(setup, grip=replace(setup.grip, lobes=(Lobe(2, 0.03, 0.3),)))
    bodies = prepare(setup)
    coarse = press(setup, None, bodies)
    found = finer(setup, bodies, coarse)
    assert found.grid.shape[1] > 16
    assert found.residuals.relative < 1e-8
    assert found.grip_n == pytest.approx(coarse.grip_n, rel=2e-3)
    assert found.part_shift_mm == pytest.approx(coarse.part_shift_mm, abs=2e-4)


def test_softer_bodies_are_divided_as_if_they_had_been_prepared_so():
    """A half of both moduli under half the load: the same pressures by half."""
    setup = with_fit(made(), -0.05)
    bodies = prepare(setup)
    stiff = finer(setup, bodies, press(setup, None, bodies))
    soft, light = with_moduli(bodies, 0.5, 0.5), replace(setup, load=GripLoad(30e3))
    found = finer(light, soft, press(light, None, soft))
    assert found.pressure_mpa == pytest.approx(0.5 * stiff.pressure_mpa, abs=1e-8 * stiff.pressure_mpa.max())
