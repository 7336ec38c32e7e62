"""The grip that a cut asks for: by hand, and where the holding factor, the same program asked the other way, is 1."""

from __future__ import annotations

import math

import numpy as np
import pytest

from sim.contact.face import FaceGrid
from sim.holding import BackFace, Prop, evenly_pressed, holding, least_grip
from sim.holding.faces import HeldFaces
from sim.holding.revolution import turned_wrench

RADIUS, MU = 60.0, 0.1
FACES = evenly_pressed(FaceGrid(np.linspace(-0.4, 0.4, 9), np.linspace(30.0, 54.0, 5), RADIUS, False))
MIDDLE = FACES.middle
BACK = BackFace(45.0, 30.0, 0.3)
CENTRE = Prop(MIDDLE + 200.0, 1500.0, 600.0)
NOTHING = np.zeros(6)


def cut(*, axial: float = -500.0, height: float = 80.0) -> np.ndarray:
    force = np.array([-500.0, -1000.0, axial])
    return np.concatenate([force, np.cross([50.0, 0.0, height], force)])


def test_torque_and_push_by_hand() -> None:
    """Friction mu F at the radius R bears a torque T, and a force A along the spindle: T / (mu R) and A / mu."""
    torque = np.array([0.0, 0.0, 0.0, 0.0, 0.0, -300e3])
    push = np.array([0.0, 0.0, -900.0, 0.0, 0.0, 0.0])
    assert least_grip(FACES, MU, torque) == pytest.approx(300e3 / (MU * RADIUS), rel=1e-6)
    assert least_grip(FACES, MU, push) == pytest.approx(900.0 / MU, rel=1e-6)
    assert least_grip(FACES, MU, push, None, BACK) == pytest.approx(0.0, abs=1e-6)
    assert least_grip(FACES, MU, NOTHING) == 0.0


def test_what_is_permanent_is_held_before_the_cut_begins() -> None:
    """A centre's 1500 N through the jaws take 15 kN, whether a cut of 1 kN then pulls against it or not."""
    pull = np.array([0.0, 0.0, 1000.0, 0.0, 0.0, 0.0])
    assert least_grip(FACES, MU, pull, None, None, props=(CENTRE,)) == pytest.approx(15e3, rel=1e-6)
    assert least_grip(FACES, MU, -pull, None, None, props=(CENTRE,)) == pytest.approx(25e3, rel=1e-6)
    assert least_grip(FACES, MU, NOTHING, None, None, props=(CENTRE,)) == pytest.approx(15e3, rel=1e-6)


@pytest.mark.parametrize("props", [(), (CENTRE,), (Prop(MIDDLE + 60.0, 0.0, 400.0),)])
@pytest.mark.parametrize("back", [None, BACK])
@pytest.mark.parametrize("axial", [-500.0, 700.0])
@pytest.mark.parametrize("weight", [0.0, 250.0])
def test_a_cut_is_held_once_by_what_it_asks_for(
    props: tuple[Prop, ...], back: BackFace | None, axial: float, weight: float
) -> None:
    load = cut(axial=axial)
    dead = np.array([weight, 0.0, 0.0, 0.0, 40.0 * weight, 0.0])
    asked = least_grip(FACES, MU, load, dead, back, props=props)
    assert asked > 0.0
    assert holding(FACES, 1.0001 * asked, MU, load, dead, back, props=props).factor >= 1.0
    alone = least_grip(FACES, MU, NOTHING, dead, back, props=props)
    if asked > 1.001 * alone:
        assert holding(FACES, 0.999 * asked, MU, load, dead, back, props=props).factor < 1.0
    # A heavier cut asks for more, convexly: the chord lies above.
    asked_for = [least_grip(FACES, MU, s * load, dead, back, props=props) for s in (1.0, 1.5, 2.0)]
    assert asked_for[0] <= asked_for[1] * (1.0 + 1e-9) <= 0.5 * (asked_for[0] + asked_for[2]) * (1.0 + 1e-7)


def test_a_share_of_the_grip_is_no_bound_where_a_weight_is_held_beside() -> None:
    """40 kN hold a cut of 1 kN beside 500 N of weight (4000 - 500) / 1000 times; a share of them is too little."""
    push, dead = np.array([0.0, 0.0, -1000.0, 0.0, 0.0, 0.0]), np.array([0.0, 0.0, -500.0, 0.0, 0.0, 0.0])
    share = 40e3 / holding(FACES, 40e3, MU, push, dead).factor
    asked = least_grip(FACES, MU, push, dead)
    assert asked == pytest.approx(15e3, rel=1e-6)
    assert share == pytest.approx(40e3 / 3.5, rel=1e-6)
    assert math.isclose(holding(FACES, asked, MU, push, dead).factor, 1.0, rel_tol=1e-6)


def test_a_weight_alone_asks_for_grip() -> None:
    """A part of 500 N on a spindle that stands upright: 500 N over the friction; one that lies, for some at least."""
    hanging = np.array([0.0, 0.0, -500.0, 0.0, 0.0, 0.0])
    assert least_grip(FACES, MU, NOTHING, hanging) == pytest.approx(500.0 / MU, rel=1e-6)
    assert least_grip(FACES, MU, NOTHING, np.array([500.0, 0.0, 0.0, 0.0, 500.0 * MIDDLE, 0.0])) > 100.0


def test_unlike_jaws_are_followed_all_round() -> None:
    """One jaw carries more than the others: a cut that stands still asks for most where it pushes at a weak one.

    Against each angle asked by itself; of a third of the turn alone some cuts would miss it.
    """
    unlike = HeldFaces(FACES.grid, np.array([2.0, 1.0, 0.7])[:, None, None] * FACES.grid.areas_mm2)
    missed = 0
    for way in range(0, 360, 45):
        load = turned_wrench(cut(height=70.0), math.radians(way))
        asked = least_grip(unlike, MU, load, angles=12)
        each = [
            least_grip(unlike, MU, turned_wrench(load, 2.0 * math.pi * k / 12), angles=1) for k in range(12)
        ]
        assert asked == pytest.approx(max(each), rel=1e-6)
        missed += max(each[:4]) < 0.99 * max(each)
    assert missed
