"""The program gives the closed forms back: torque, axial force, both, tipping, side load; and names what fails."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

from sim.holding import PYRAMID_ERROR, BackFace, HeldFaces, holding
from sim.mechanics.hold import axial_factor, needed_grip, overhang_lever, torque_factor

Faces = Callable[..., HeldFaces]
Cut = Callable[..., Any]
MU, GRIP, RADIUS, LENGTH = 0.1, 40e3, 60.0, 24.0
BACK = BackFace(radius=52.0, height=30.0, half_angle=0.4)
THREE = ("given", "shifting", "free")


def only(**component: float) -> np.ndarray:
    """A wrench with the components named; N and N mm."""
    names = ("x", "y", "z", "mx", "my", "mz")
    return np.array([component.get(name, 0.0) for name in names])


@pytest.mark.parametrize("pressure", THREE)
@pytest.mark.parametrize("inside", [False, True], ids=["outside", "inside"])
@pytest.mark.parametrize("back", [None, BACK], ids=["no back face", "back face"])
def test_torque_alone(held_faces: Faces, pressure: Any, inside: bool, back: BackFace | None) -> None:
    """Mu F Rp / T, at every spindle angle, in both senses."""
    for torque in (3e5, -3e5):
        found = holding(held_faces(inside=inside), GRIP, MU, only(mz=torque), None, back, pressure)
        assert found.factors == pytest.approx(np.full(24, torque_factor(GRIP, MU, RADIUS, torque)), rel=1e-6)
        assert found.mode == "slips around"
        assert found.limit.torque == pytest.approx(1.0)


@pytest.mark.parametrize("pressure", THREE)
@pytest.mark.parametrize("inside", [False, True], ids=["outside", "inside"])
@pytest.mark.parametrize(("axial", "mode"), [(900.0, "pulled out"), (-900.0, "pushed back")])
def test_axial_force_alone(held_faces: Faces, pressure: Any, inside: bool, axial: float, mode: str) -> None:
    """Mu F / A without a back face."""
    found = holding(held_faces(inside=inside), GRIP, MU, only(z=axial), None, None, pressure)
    assert found.factors == pytest.approx(np.full(24, axial_factor(GRIP, MU, axial)), rel=1e-6)
    assert found.mode == mode
    assert found.limit.axial == pytest.approx(1.0)


def test_the_back_face_takes_any_push_and_no_pull(held_faces: Faces) -> None:
    pushed = holding(held_faces(), GRIP, MU, only(z=-900.0), None, BACK)
    assert (pushed.factor, pushed.mode) == (math.inf, "nothing moves it")
    pulled = holding(held_faces(), GRIP, MU, only(z=900.0), None, BACK)
    assert pulled.factor == pytest.approx(axial_factor(GRIP, MU, 900.0), rel=1e-6)
    assert pulled.mode == "pulled out"


@pytest.mark.parametrize("share", [0.2, 0.7, 1.0, 1.9, 5.0])
def test_torque_and_axial_force(held_faces: Faces, share: float) -> None:
    """F >= sqrt((Fc d_cut / d_grip)^2 + Fa^2) / mu, low by no more than the pyramid's error."""
    axial, tangential, diameter = 800.0, 800.0 * share, 96.0
    cut = only(z=axial, mz=-0.5 * tangential * diameter)
    needed = needed_grip(tangential, axial, 0.0, diameter, 2.0 * RADIUS, MU, 0.0, LENGTH).combined
    found = holding(held_faces(), GRIP, MU, cut).factors / (GRIP / needed)
    assert np.all(found <= 1.0 + 1e-6)
    assert np.all(found >= 1.0 - PYRAMID_ERROR - 1e-6)


def test_both_at_the_pyramids_edge_are_exact(held_faces: Faces) -> None:
    """Equal friction around and along lies on an edge of 16 sides."""
    cut = only(z=700.0, mz=700.0 * RADIUS)
    exact = MU * GRIP / math.hypot(700.0, 700.0)
    assert holding(held_faces(), GRIP, MU, cut).factor == pytest.approx(exact, rel=1e-6)


@pytest.mark.parametrize("mu", [0.05, 0.1, 0.25])
@pytest.mark.parametrize("length", [10.0, 24.0, 50.0])
def test_tipping_of_narrow_jaws(held_faces: Faces, mu: float, length: float) -> None:
    """At least mu d / 4 + l / 12, and no more than if every jaw stood at the angle that resists best.

    The closed form leaves out friction around the faces and jaws that press harder where their arm is longer.
    """
    faces = held_faces(half=1e-4, length=length)
    lever = holding(faces, GRIP, mu, only(mx=1e5)).factors * 1e5 / GRIP
    closed = overhang_lever(mu, 2.0 * RADIUS, length)
    assert lever.min() >= closed * (1.0 - PYRAMID_ERROR)
    assert lever.max() <= mu * math.hypot(RADIUS, 0.25 * length) + length / 6.0


def test_pressure_alone_resists_tipping_by_a_twelfth_of_the_length(held_faces: Faces) -> None:
    """With friction next to nothing the lever is F l / 12: the kern of each face, l / 6."""
    faces = held_faces(half=1e-4)
    lever = holding(faces, GRIP, 1e-7, only(mx=1e5)).factors * 1e5 / GRIP
    assert lever.min() == pytest.approx(LENGTH / 12.0, rel=1e-4)


def test_pressure_that_stays_leaves_friction_to_resist_tipping(held_faces: Faces) -> None:
    """Narrow and short jaws: the lever of friction alone, mu d / 4, in the least favourable direction."""
    faces = held_faces(half=1e-4, length=0.1)
    lever = holding(faces, GRIP, MU, only(mx=1e5), pressure="given").factors * 1e5 / GRIP
    assert lever.min() == pytest.approx(MU * 2.0 * RADIUS / 4.0, rel=1e-3)


def test_side_load_without_friction_takes_the_part_off_a_jaw(held_faces: Faces) -> None:
    """Narrow jaws change by (2/3) Q cos: the load F / 2 straight off a jaw frees it.

    Straight at a jaw the other two lose Q / 3 each: they are free at Q = F.
    """
    found = holding(held_faces(half=1e-4), GRIP, 1e-7, only(x=-1000.0))
    assert found.factors[0] * 1000.0 == pytest.approx(0.5 * GRIP, rel=1e-4)
    assert found.factors[12] * 1000.0 == pytest.approx(GRIP, rel=1e-3)
    assert found.mode == "pushed off a jaw"
    assert found.limit.side == pytest.approx(1.0)


def test_an_inside_grip_is_pushed_off_the_jaw_it_is_pushed_at(held_faces: Faces) -> None:
    found = holding(held_faces(half=1e-4, inside=True), GRIP, 1e-7, only(x=1000.0))
    assert found.factors[0] * 1000.0 == pytest.approx(0.5 * GRIP, rel=1e-4)


def test_modes_of_a_cut(held_faces: Faces, a_cut: Cut) -> None:
    """Near the jaws on a large diameter it slips around; far from them it tips; a pull near the axis draws it out."""
    faces = held_faces()
    near = holding(faces, GRIP, MU, a_cut(axial=-100.0, height=10.0), None, BACK)
    far = holding(faces, GRIP, MU, a_cut(height=150.0))
    pull = holding(faces, GRIP, MU, a_cut(100.0, 50.0, 1500.0, diameter=10.0, height=10.0))
    assert [near.mode, far.mode, pull.mode] == ["slips around", "tips", "pulled out"]
    for found in (near, far, pull):
        limit = found.limit
        assert limit.torque + limit.axial + limit.side + limit.tipping == pytest.approx(1.0)


def test_shares_are_what_relaxing_a_component_gives(held_faces: Faces, a_cut: Cut) -> None:
    """One per cent less of a component raises the factor by its share of one per cent."""
    faces, cut = held_faces(), a_cut(height=60.0)
    found = holding(faces, GRIP, MU, cut, angles=3).limit
    for name, rows in (("torque", [5]), ("axial", [2]), ("side", [0, 1]), ("tipping", [3, 4])):
        less, more = cut.copy(), cut.copy()
        less[rows] *= 0.999
        more[rows] *= 1.001
        up = holding(faces, GRIP, MU, less, angles=3).factor / found.factor - 1.0
        down = 1.0 - holding(faces, GRIP, MU, more, angles=3).factor / found.factor
        low, high = sorted((up, down))
        assert low - 1e-6 <= 0.001 * getattr(found, name) <= high + 1e-6, name


@pytest.mark.parametrize("inside", [False, True], ids=["outside", "inside"])
def test_pressure_alone_takes_a_side_load_until_an_edge_lets_go(held_faces: Faces, inside: bool) -> None:
    """A given pressure changes by 1 + a cos(theta - t), which is a / 2 of the grip across (2/3 Q cos rule).

    Even pressure on faces of +-0.4 rad is nought first where that cosine is least: on the middle of a jaw, at a = 1,
    or on the edges 0.4 rad beyond 120 deg.
    """
    side = 1000.0
    found = holding(held_faces(inside=inside), GRIP, MU, only(x=side), None, None, "given", angles=12)
    for angle, factor in zip(found.angles, found.factors, strict=True):
        # The load as the chuck sees it, turned back by the spindle; the jaws press against it, inside the other way.
        t = -float(angle) + (math.pi if inside else 0.0)
        places = np.add.outer(np.arange(3) * 2.0 * math.pi / 3.0, np.linspace(-0.4, 0.4, 801)).ravel()
        assert factor == pytest.approx(0.5 * GRIP / side / -np.cos(places - t).min(), rel=1e-5)
