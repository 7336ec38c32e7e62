"""A centre and a steady rest in the holding factor: statics of a beam on two supports, levers by hand.

Any handbook of the strength of materials has the beam; friction mu F along and around the jaws is that of
`test_closed_forms.py`. Where the jaws' own moment matters it is bounded by the same program without a prop.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from sim.contact.face import FaceGrid
from sim.holding import BackFace, Prop, evenly_pressed, holding, limits_at

RADIUS, MU, GRIP = 60.0, 0.1, 40e3
FACES = evenly_pressed(FaceGrid(np.linspace(-0.4, 0.4, 19), np.linspace(30.0, 54.0, 9), RADIUS, False))
MIDDLE = FACES.middle
BACK = BackFace(45.0, 30.0, 0.3)
POLYGON = 1.0 - math.cos(math.pi / 24.0)


def factor(cut: np.ndarray, *props: Prop, back: BackFace | None = None, grip: float = GRIP) -> float:
    return holding(FACES, grip, MU, cut, None, back, props=props).factor


def make_cut(axial: float = -500.0, height: float = 40.0) -> np.ndarray:
    """A cut of 1 kN at 50 mm from the axis, `height` mm over the held middle."""
    force = np.array([-500.0, -1000.0, axial])
    return np.concatenate([force, np.cross([50.0, 0.0, height], force)])


def across(force: float, arm: float) -> np.ndarray:
    """A force along x at an arm over the held middle, mm."""
    return np.array([force, 0.0, 0.0, 0.0, arm * force, 0.0])


def test_push_of_a_centre_through_the_jaws_is_carried_by_friction() -> None:
    """Without a seat 1.5 kN leave (mu F - 1.5 kN) / 1 kN to a cut of 1 kN towards the chuck; away from it more."""
    centre = Prop(MIDDLE + 200.0, 1500.0, 0.0)
    home = np.array([0.0, 0.0, -1000.0, 0.0, 0.0, 0.0])
    assert factor(home, centre) == pytest.approx((MU * GRIP - 1500.0) / 1000.0, rel=1e-6)
    assert factor(-home, centre) == pytest.approx((MU * GRIP + 1500.0) / 1000.0, rel=1e-6)
    assert factor(home, Prop(MIDDLE + 200.0, 1.01 * MU * GRIP, 0.0)) == 0.0


def test_push_on_a_seat_is_carried_by_it() -> None:
    centre = Prop(MIDDLE + 200.0, 1.5 * MU * GRIP, 0.0)
    torque = np.array([0.0, 0.0, 0.0, 0.0, 0.0, -100e3])
    assert factor(torque, centre, back=BACK) == pytest.approx(MU * GRIP * RADIUS / 100e3, rel=1e-6)
    assert factor(torque, centre) == 0.0


def test_a_prop_takes_no_torque_and_holds_nothing_back() -> None:
    steady = Prop(MIDDLE + 200.0, 0.0, 5e3)
    torque = np.array([0.0, 0.0, 0.0, 0.0, 0.0, -100e3])
    pull = np.array([0.0, 0.0, 1000.0, 0.0, 0.0, 0.0])
    assert factor(torque, steady) == pytest.approx(factor(torque), rel=1e-6)
    assert factor(pull, steady) == pytest.approx(factor(pull), rel=1e-6)


@pytest.mark.parametrize("arm", [400.0, 250.0])
def test_a_far_cut_by_the_lever_law(arm: float) -> None:
    """The prop at L bears N at the most, the jaws a moment M: s Q a = N L + M, M as the jaws alone hold it."""
    length, most, force = 300.0, 2000.0, 1000.0
    cut = across(force, arm)
    moment = factor(cut) * force * arm  # what the jaws alone bear
    found = factor(cut, Prop(MIDDLE + length, 0.0, most))
    by_hand = (most * length + moment) / (force * arm)
    assert found == pytest.approx(by_hand, rel=0.06)
    assert found <= (most * length + 1.25 * moment) / (
        force * arm
    )  # jaws that bear less side load tip a little later
    assert found > (1.0 - POLYGON) * most * length / (force * arm)


def test_a_prop_that_bears_nothing_is_none() -> None:
    cut = make_cut()
    assert factor(cut, Prop(MIDDLE + 200.0, 0.0, 0.0)) == pytest.approx(factor(cut), rel=1e-7)


def test_more_to_bear_across_never_holds_less() -> None:
    cut = make_cut(height=200.0)
    found = [factor(cut, Prop(MIDDLE + 250.0, 0.0, most)) for most in (0.0, 500.0, 1000.0, 4000.0)]
    assert found == sorted(found)
    assert found[-1] > 2.0 * found[0]


def test_the_factor_is_concave_in_the_push() -> None:
    """So that of all pushes between two the least factor lies at one of them."""
    cut = make_cut(axial=-800.0, height=120.0)
    found = [factor(cut, Prop(MIDDLE + 200.0, push, 0.8 * push)) for push in (200.0, 900.0, 1600.0)]
    assert found[1] >= 0.5 * (found[0] + found[2]) * (1.0 - 1e-6)


def test_a_cut_beyond_the_steady_is_held_less_than_at_it() -> None:
    steady = Prop(MIDDLE + 150.0, 0.0, 3000.0)
    assert factor(across(1000.0, 300.0), steady) < factor(across(1000.0, 150.0), steady)


def test_a_third_of_a_turn_changes_nothing() -> None:
    steady = Prop(MIDDLE + 150.0, 400.0, 1500.0)
    cut = make_cut(height=140.0)
    angles = np.array([0.3, 0.3 + 2.0 * math.pi / 3.0])
    one, other = limits_at(FACES, GRIP, MU, cut, angles, props=(steady,))
    assert one.factor == pytest.approx(other.factor, rel=1e-6)


@pytest.mark.parametrize(("push", "most"), [(-1.0, 0.0), (0.0, -1.0)])
def test_a_prop_that_pulls_is_none(push: float, most: float) -> None:
    with pytest.raises(ValueError, match="0 N or more"):
        Prop(100.0, push, most)
