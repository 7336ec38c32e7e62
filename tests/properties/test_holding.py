"""Laws of the holding factor for any cut."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sim.contact.face import FaceGrid
from sim.holding import PYRAMID_ERROR, BackFace, HeldFaces, evenly_pressed, holding, limits_at

FEW = settings(max_examples=25)
FORCES = st.floats(-5e3, 5e3)
CUTS = st.tuples(FORCES, FORCES, FORCES, st.floats(-3e5, 3e5), st.floats(-3e5, 3e5), st.floats(1e4, 3e5)).map(
    np.array
)
GRIPS, FRICTIONS, RADII = st.floats(5e3, 1e5), st.floats(0.04, 0.4), st.floats(20.0, 200.0)
FACES = st.tuples(RADII, st.floats(0.05, 0.5), st.floats(5.0, 60.0), st.booleans())
ANGLES = st.floats(0.0, 6.28)
PRESSURES = st.sampled_from(["given", "shifting", "free"])
THIRD = 2.0 * math.pi / 3.0


def even(face: tuple[float, float, float, bool]) -> HeldFaces:
    radius, half, length, inside = face
    return evenly_pressed(
        FaceGrid(np.linspace(-half, half, 13), np.linspace(20.0, 20.0 + length, 7), radius, inside)
    )


def one(face, grip, mu, cut, angle=0.0, back=None, pressure="shifting", permanent=None):
    return limits_at(even(face), grip, mu, cut, np.array([angle]), permanent, back, pressure)[0].factor


@FEW
@given(FACES, GRIPS, FRICTIONS, CUTS, ANGLES, PRESSURES, st.floats(1.0, 3.0))
def test_more_grip_holds_in_proportion(face, grip, mu, cut, angle, pressure, more):
    """Without a permanent load, and the cut the other way round."""
    once = one(face, grip, mu, cut, angle, None, pressure)
    assert one(face, more * grip, mu, cut, angle, None, pressure) == pytest.approx(more * once, rel=1e-6)
    assert one(face, grip, mu, more * cut, angle, None, pressure) == pytest.approx(once / more, rel=1e-6)


@FEW
@given(FACES, GRIPS, FRICTIONS, CUTS, ANGLES, PRESSURES, st.floats(1.0, 2.0))
def test_more_friction_never_holds_less(face, grip, mu, cut, angle, pressure, more):
    assert one(face, grip, more * mu, cut, angle, None, pressure) >= one(
        face, grip, mu, cut, angle, None, pressure
    ) * (1.0 - 1e-6)


@FEW
@given(FACES, GRIPS, FRICTIONS, CUTS, ANGLES, PRESSURES)
def test_a_third_of_a_turn_changes_nothing(face, grip, mu, cut, angle, pressure):
    found = [one(face, grip, mu, cut, angle + k * THIRD, None, pressure) for k in range(3)]
    assert found[1:] == pytest.approx([found[0]] * 2, rel=1e-6)


@FEW
@given(FACES, GRIPS, FRICTIONS, CUTS, ANGLES, PRESSURES)
def test_the_mirrored_cut_is_held_alike(face, grip, mu, cut, angle, pressure):
    """In the plane of jaw 1: y of the force, x and z of the moment and the spindle angle turn their sign."""
    mirrored = cut * [1.0, -1.0, 1.0, -1.0, 1.0, -1.0]
    assert one(face, grip, mu, mirrored, -angle, None, pressure) == pytest.approx(
        one(face, grip, mu, cut, angle, None, pressure), rel=1e-6
    )


@FEW
@given(FACES, GRIPS, FRICTIONS, CUTS, ANGLES, st.floats(0.3, 1.0), st.floats(0.0, 0.3))
def test_a_back_face_only_helps_and_its_friction_too(face, grip, mu, cut, angle, share, rough):
    at = face[0] * share
    bare = one(face, grip, mu, cut, angle)
    smooth = one(face, grip, mu, cut, angle, BackFace(at, 20.0, 0.2))
    rubs = one(face, grip, mu, cut, angle, BackFace(at, 20.0, 0.2, rough))
    assert bare * (1.0 - 1e-6) <= smooth
    assert smooth * (1.0 - 1e-6) <= rubs or rubs == math.inf


@FEW
@given(FACES, GRIPS, FRICTIONS, CUTS, ANGLES)
def test_each_answer_contains_the_one_before(face, grip, mu, cut, angle):
    """Friction of the free one stands at the ends of the faces, of the others within them: 2 % for the chord."""
    given_, shifting, free = (one(face, grip, mu, cut, angle, None, p) for p in ("given", "shifting", "free"))
    assert given_ <= shifting * (1.0 + 1e-6)
    assert shifting <= free * 1.02


@FEW
@given(FACES, GRIPS, FRICTIONS, CUTS)
def test_never_more_than_torque_or_axial_force_alone(face, grip, mu, cut):
    """Without a back face, whatever else acts: friction is all that resists both."""
    friction = math.hypot(cut[2], cut[5] / face[0])
    found = holding(even(face), grip, mu, cut, angles=6).factors
    assert np.all(found <= mu * grip / friction * (1.0 + 1e-6))


@FEW
@given(FACES, GRIPS, FRICTIONS, CUTS, ANGLES, st.floats(0.0, 0.9))
def test_a_permanent_share_of_the_cut_is_missing_from_the_factor(face, grip, mu, cut, angle, share):
    """A permanent load along the cut: its multiple and the factor add up."""
    bare = one(face, grip, mu, cut, angle)
    left = one(face, grip, mu, cut, angle, permanent=share * bare * cut)
    assert left == pytest.approx((1.0 - share) * bare, rel=1e-5)


@FEW
@given(FACES, GRIPS, FRICTIONS, CUTS, ANGLES)
def test_a_permanent_load_beyond_the_factor_is_not_held(face, grip, mu, cut, angle):
    bare = one(face, grip, mu, cut, angle)
    heavy = limits_at(even(face), grip, mu, cut, np.array([angle]), 1.01 * bare * cut)[0]
    assert (heavy.factor, heavy.mode) == (0.0, "does not bear its weight")


def test_the_pyramid_errs_by_what_it_says():
    """Torque and pull at 11.25 deg lie in the middle of a side of 16: all of the error."""
    turn = math.radians(11.25)
    cut = np.array([0.0, 0.0, 1000.0 * math.sin(turn), 0.0, 0.0, 1000.0 * 60.0 * math.cos(turn)])
    found = one((60.0, 0.4, 20.0, False), 40e3, 0.1, cut)
    assert found == pytest.approx(4.0 * (1.0 - PYRAMID_ERROR), rel=1e-6)
