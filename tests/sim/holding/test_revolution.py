"""One revolution: angles, thirds, the least, what is refused."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

from sim.contact import ContactSetup, GripGeometry, GripLoad, JawBlock, TurnedPart, press
from sim.holding import (
    BackFace,
    HeldFaces,
    evenly_pressed,
    holding,
    limits_at,
    pressed,
    revolution,
    turned_wrench,
)
from sim.holding.program import Limit

Faces = Callable[..., HeldFaces]
Cut = Callable[..., Any]
MU, GRIP = 0.1, 40e3


def contact(
    load: GripLoad, model: Any = "foundation", offsets: tuple[float, float, float] = (0.0, 0.0, 0.0)
) -> Any:
    box = [(35.0, 10.0), (50.0, 10.0), (50.0, 40.0), (35.0, 40.0)]
    grip = GripGeometry(50.02, 50.0, 44.0, 10.0, 40.0, jaw_offsets_mm=offsets)
    jaw = JawBlock(100.0, 40.0, 210e3, 0.3)
    return press(ContactSetup(grip, TurnedPart(box, 210e3, 0.3), jaw, load, strips=14, bands=6, model=model))


def test_turning_the_chuck_turns_the_load_the_other_way() -> None:
    wrench = np.array([1.0, 0.0, 2.0, 0.0, 3.0, 4.0])
    assert turned_wrench(wrench, 0.5 * math.pi) == pytest.approx(np.array([0.0, -1.0, 2.0, 3.0, 0.0, 4.0]))


def test_a_revolution_is_its_angles_one_by_one(held_faces: Faces, a_cut: Cut) -> None:
    faces, cut = held_faces(), a_cut(height=80.0)
    turn = holding(faces, GRIP, MU, cut)
    singly = [limit.factor for limit in limits_at(faces, GRIP, MU, cut, turn.angles)]
    assert turn.factors == pytest.approx(np.array(singly), rel=1e-6)
    assert turn.factor == turn.factors.min()
    assert turn.factors[np.argmin(np.abs(turn.angles - turn.spindle_angle))] == turn.factor
    with pytest.raises(ValueError, match="read-only"):
        turn.factors[0] = 0.0


def test_of_angles_that_hold_the_same_the_first_counts_whatever_the_rounding(
    held_faces: Faces, a_cut: Cut, monkeypatch: pytest.MonkeyPatch
) -> None:
    def solved(*of: Any) -> list[Limit]:
        factors = [3.0, 2.0 * (1.0 + 1e-14), 2.5, 2.0, *np.full(of[4].size - 4, 4.0)]
        return [Limit(float(factor), "slips") for factor in factors]

    monkeypatch.setattr(revolution, "limits_at", solved)
    turn = holding(held_faces(), GRIP, MU, a_cut(height=80.0))
    assert turn.spindle_angle == turn.angles[1]
    assert turn.factor == turn.factors.min() == 2.0


def test_unlike_jaws_are_followed_all_round(a_cut: Cut) -> None:
    """Jaw 2 stands back: the part rests on two jaws' pressure more than on the third's."""
    found = contact(GripLoad(40e3), offsets=(0.0, 0.02, 0.0))
    faces = pressed(found)
    assert not faces.alike
    turn = holding(faces, GRIP, MU, a_cut(height=80.0), angles=12)
    assert len({round(float(f), 4) for f in turn.factors}) > 4


def test_pressure_of_a_contact_is_taken_over(a_cut: Cut) -> None:
    """Shares sum to 1 whatever the grip; a contact scaled in force and size of gap holds alike per newton of grip."""
    found = contact(GripLoad(40e3))
    faces = pressed(found)
    assert faces.alike
    assert faces.share.sum() == pytest.approx(1.0)
    assert (faces.middle, faces.length) == pytest.approx((25.0, 30.0))
    # A bore 0.02 mm larger than the part presses on the middles: nearly what even pressure holds.
    cut = a_cut(diameter=80.0, height=60.0)
    uneven, even = (holding(f, GRIP, MU, cut).factor for f in (faces, evenly_pressed(faces.grid)))
    assert uneven == pytest.approx(even, rel=0.15)


def test_jaws_take_the_side_load_as_the_contact_gives_it() -> None:
    """How much torque is left beside a side load when the pressure is 'given'.

    Once the contact at rest is shifted by the (2/3) Q cos rule, once the contact itself is pressed with the side
    load and without friction: it is in balance as it stands, so that nothing is shifted any more.
    """
    side, torque = 6e3, np.array([0.0, 0.0, 0.0, 0.0, 0.0, 1e5])
    load = np.array([-side, 0.0, 0.0, 0.0, 0.0, 0.0])
    faces = pressed(contact(GripLoad(40e3)))
    kept = limits_at(faces, GRIP, MU, torque, np.zeros(1), load, None, "given")[0].factor
    loaded = pressed(contact(GripLoad(40e3, (-side, 0.0))))
    there = limits_at(loaded, GRIP, MU, torque, np.zeros(1), load, None, "given")[0].factor
    assert kept == pytest.approx(there, rel=0.05)
    assert kept < limits_at(faces, GRIP, MU, torque, np.zeros(1), load)[0].factor


def test_no_grip_holds_nothing(held_faces: Faces, a_cut: Cut) -> None:
    found = holding(held_faces(), 0.0, MU, a_cut())
    assert (found.factor, found.mode) == (0.0, "no grip left")


def test_no_cut_moves_nothing(held_faces: Faces) -> None:
    none = {"torque": 0.0, "axial": 0.0, "side": 0.0, "tipping": 0.0}
    free = holding(held_faces(), GRIP, MU, np.zeros(6), angles=3).limit
    assert free == Limit(math.inf, "nothing moves it", **none)
    weight = np.array([0.0, -5e3, 0.0, 5e5, 0.0, 0.0])
    lost = holding(held_faces(), GRIP, MU, np.zeros(6), weight, angles=3).limit
    assert lost == Limit(0.0, "does not bear its weight", **none)


def test_weight_tells(held_faces: Faces, a_cut: Cut) -> None:
    """20 kg 50 mm in front of the jaws take their part of the factor, once, whatever the cut is multiplied by."""
    faces, cut = held_faces(), a_cut(height=100.0)
    down = np.array([0.0, -196.0, 0.0, 50.0 * 196.0, 0.0, 0.0])
    bare, heavy = (holding(faces, GRIP, MU, cut, load).factor for load in (None, down))
    assert 0.85 * bare < heavy < bare


@pytest.mark.parametrize(("grip", "mu"), [(-1.0, 0.1), (math.nan, 0.1), (4e4, 0.0), (4e4, math.inf)])
def test_grip_and_friction_must_be_positive(held_faces: Faces, a_cut: Cut, grip: float, mu: float) -> None:
    with pytest.raises(ValueError, match="grip and friction"):
        holding(held_faces(), grip, mu, a_cut())


@pytest.mark.parametrize(
    "cut", [np.zeros(5), np.array([math.nan] * 6), np.array([1.0, 0.0, math.inf, 0.0, 0.0, 9.0])]
)
def test_a_cut_is_six_finite_numbers(held_faces: Faces, cut: np.ndarray) -> None:
    with pytest.raises(ValueError, match="cut must be six finite numbers"):
        holding(held_faces(), GRIP, MU, cut)


def test_shares_must_fit_and_press(held_faces: Faces) -> None:
    grid = held_faces().grid
    with pytest.raises(ValueError, match="shape"):
        HeldFaces(grid, np.ones((3, 2, 2)))
    even = np.ones((3, *grid.shape))
    for cell in (-1e-3, math.nan, math.inf):
        one_wrong = even.copy()
        one_wrong[1, 2, 3] = cell
        with pytest.raises(ValueError, match="somewhere above 0"):
            HeldFaces(grid, one_wrong)
    with pytest.raises(ValueError, match="somewhere above 0"):
        HeldFaces(grid, 0.0 * even)
    assert HeldFaces(grid, 1e-6 * even).share.sum() == pytest.approx(1.0)


def test_a_third_of_the_turn_is_enough_only_for_jaws_alike(held_faces: Faces) -> None:
    """One cell of one jaw, by more than rounding."""
    even = held_faces().share
    for apart, alike in ((1e-8, False), (1e-10, True)):
        share = even.copy()
        share[:, 0] = 0.0  # a band that no jaw presses
        share[2, 4, 5] *= 1.0 + apart
        assert HeldFaces(held_faces().grid, share).alike is alike


def test_a_back_face_lies_off_the_axis() -> None:
    with pytest.raises(ValueError, match="radius of the back face"):
        BackFace(0.0, 10.0, 0.3)
