"""What jaws and back face can do, against moments worked out by cross products and integrals by hand."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
import pytest

from sim.contact.face import FaceGrid
from sim.holding import SIDES, BackFace, HeldFaces, evenly_pressed, holding
from sim.holding.faces import corners, lattice
from sim.holding.supports import free, shifting, standing

Faces = Callable[..., HeldFaces]
RADIUS, MU, GRIP = 60.0, 0.1, 40e3


def test_the_back_face_pushes_and_rubs_where_it_lies() -> None:
    """Nine places 12 mm under the held middle, three a jaw; friction in the plane, 16 directions of size 1."""
    found = standing(BackFace(50.0, 30.0, 0.3, 0.2), 42.0)
    theta = np.add.outer(np.arange(3) * 2.0 * math.pi / 3.0, [-0.3, 0.0, 0.3]).ravel()
    place = np.array([50.0 * np.cos(theta), 50.0 * np.sin(theta), np.full(9, -12.0)]).T
    up = np.cross(place, [0.0, 0.0, 1.0])
    assert found.wrench == pytest.approx(np.vstack([np.repeat([[0.0], [0.0], [1.0]], 9, axis=1), up.T]))
    force = found.rubbing[:3].reshape(3, 9, SIDES)
    assert np.linalg.norm(force, axis=0) == pytest.approx(np.ones((9, SIDES)))
    assert force[2] == pytest.approx(np.zeros((9, SIDES)))
    arms = np.cross(place[:, None, :], np.moveaxis(force, 0, -1))
    assert found.rubbing[3:].reshape(3, 9, SIDES) == pytest.approx(np.moveaxis(arms, -1, 0))
    assert found.capacity == pytest.approx(0.2 * np.eye(9))
    assert not found.grip.any()


def test_a_smooth_back_face_only_pushes() -> None:
    found = standing(BackFace(50.0, 30.0, 0.3), 42.0)
    assert found.columns.shape == (6, 9)
    assert found.limits.shape == (0, 9)


@pytest.mark.parametrize("inside", [False, True])
def test_even_pressure_has_the_moments_of_its_integral(held_faces: Faces, inside: bool) -> None:
    """Of p (1, cos, sin, z cos, z sin), z over half the length, on three faces: by hand."""
    b, length = 0.4, 24.0
    found = shifting(held_faces(half=b, inside=inside), MU, tilts=True)
    assert found.grip == pytest.approx(np.array([1.0, 0.0, 0.0, 0.0, 0.0]), abs=1e-12)
    # Three jaws: cos^2 and sin^2 over all of them are 1/2 each, whatever the width of the faces.
    sign = 1.0 if inside else -1.0
    assert found.wrench[0] == pytest.approx(sign * np.array([0.0, 0.5, 0.0, 0.0, 0.0]), abs=1e-9)
    assert found.wrench[1] == pytest.approx(sign * np.array([0.0, 0.0, 0.5, 0.0, 0.0]), abs=1e-9)
    # Moments of forces along the normal: z times them; z^2 over half the length is a third of it.
    assert found.wrench[3] == pytest.approx(-sign * np.array([0, 0, 0, 0, 0.5]) * length / 6.0, abs=1e-6)
    assert found.wrench[4] == pytest.approx(sign * np.array([0, 0, 0, 0.5, 0]) * length / 6.0, abs=1e-6)
    assert found.wrench[[2, 5]] == pytest.approx(np.zeros((2, 5)), abs=1e-9)


def test_friction_of_the_parts_adds_up_to_the_pressure(held_faces: Faces) -> None:
    found = shifting(held_faces(), MU, tilts=True)
    assert found.capacity.sum(axis=0) == pytest.approx(MU * found.grip, abs=1e-12)
    assert len(found.capacity) == 18
    rub = found.rubbing.reshape(6, 18, SIDES)
    assert np.hypot(np.hypot(rub[0], rub[1]), rub[2]) == pytest.approx(np.ones((18, SIDES)))
    # Around the axis friction has the arm of the gripped radius, straight along it none.
    assert rub[5, :, 0] == pytest.approx(np.full(18, RADIUS))
    assert rub[5, :, SIDES // 4] == pytest.approx(np.zeros(18), abs=1e-9)


def test_parts_that_carry_nothing_do_not_rub(held_faces: Faces) -> None:
    """Pressed only below the middle: three parts are left on each jaw, and its ends lie half as far apart."""
    faces = held_faces()
    share = faces.share.copy()
    share[:, 4:] = 0.0
    low = HeldFaces(faces.grid, share)
    assert len(shifting(low, MU, tilts=True).capacity) == 9
    _, z = corners(low)
    assert (z.min(), z.max()) == pytest.approx((-12.0, 0.0))
    assert len(free(low, MU).capacity) == 18


def test_a_jaw_that_does_not_touch_has_no_corners(held_faces: Faces) -> None:
    faces = held_faces()
    share = faces.share.copy()
    share[1] = 0.0
    angles, _ = corners(HeldFaces(faces.grid, share))
    assert len(angles) == 12


def test_corners_stand_where_a_jaw_presses(held_faces: Faces) -> None:
    """Pressed on strips 4 to 9 of 18 over +-0.4 rad and on bands 3 to 6 of 8 over 24 mm, held middle at 42 mm."""
    faces = held_faces()
    share = np.zeros_like(faces.share)
    share[:, 2:6, 3:9] = 1.0
    share[0, 0, 0] = 1e-10  # rounding
    angles, z = corners(HeldFaces(faces.grid, share))
    off = (np.array(angles).reshape(3, 6) - np.arange(3)[:, None] * 2.0 * math.pi / 3.0)[:, ::2]
    assert off == pytest.approx(np.tile([-0.4 + 0.8 / 6.0, 0.5 * (-0.4 + 0.8 / 6.0), 0.0], (3, 1)))
    assert z.reshape(9, 2) == pytest.approx(np.tile([-6.0, 6.0], (9, 1)))
    share[0, 0, 0] = 1e-8  # little, and there
    assert corners(HeldFaces(faces.grid, share))[1].min() == pytest.approx(-12.0)


def test_friction_acts_in_three_by_two_parts_of_a_face() -> None:
    """Even pressure: a third of the angle and half of the height each, friction at their centres."""
    for strips, bands in ((18, 8), (9, 24), (63, 40)):
        grid = FaceGrid(np.linspace(-0.4, 0.4, strips + 1), np.linspace(30.0, 54.0, bands + 1), RADIUS, False)
        found = shifting(evenly_pressed(grid), MU, tilts=True)
        assert found.capacity[:, 0] == pytest.approx(np.full(18, MU / 18.0))
        along = found.rubbing.reshape(6, 18, SIDES)[:, :, SIDES // 4]  # a pull along the spindle
        place = np.arctan2(along[3], -along[4])  # its moment is (y, -x)
        wanted = np.add.outer(np.arange(3) * 2.0 * math.pi / 3.0, np.repeat([-0.8 / 3.0, 0.0, 0.8 / 3.0], 2))
        assert np.cos(place - wanted.ravel()) == pytest.approx(np.ones(18))
        around = found.rubbing.reshape(6, 18, SIDES)[:, :, 0]
        # A force around at z over the held middle turns about x and y by z.
        level = -(around[3] * around[1] - around[4] * around[0])
        assert level == pytest.approx(np.tile([-6.0, 6.0], 9))


def test_the_lattice_keeps_the_shares(held_faces: Faces) -> None:
    angle, height, share = lattice(held_faces())
    assert share.sum() == pytest.approx(1.0)
    assert float(np.sum(share * height**2)) == pytest.approx(24.0**2 / 12.0)
    assert float(np.sum(share * angle**2)) == pytest.approx(0.4**2 / 3.0)


def test_friction_on_the_back_face_by_hand(held_faces: Faces) -> None:
    """A permanent push P rubs on the back face at its radius: T = mu F R + mu_b P r.

    The jaws' friction may also pull the part down on it: that adds mu F (hypot(R, mu_b r) - R), 0.3 %.
    """
    push, torque = np.array([0.0, 0.0, -8e3, 0.0, 0.0, 0.0]), np.array([0.0, 0.0, 0.0, 0.0, 0.0, 1e5])
    found = holding(held_faces(), GRIP, MU, torque, push, BackFace(50.0, 30.0, 0.3, 0.1)).factor
    by_hand = (MU * GRIP * RADIUS + 0.1 * 8e3 * 50.0) / 1e5
    assert found == pytest.approx(by_hand, rel=4e-3)
