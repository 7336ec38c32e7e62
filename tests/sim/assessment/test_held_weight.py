"""The part's weight beside a cut: along its side force, at its own arm, by hand; on faces under even pressure."""

from __future__ import annotations

import math

import numpy as np
import pytest

from sim.assessment.holding import hold_cut
from sim.assessment.side import PartWeight
from sim.contact.face import FaceGrid
from sim.holding import evenly_pressed, holding, limits_at

FACES = evenly_pressed(FaceGrid(np.linspace(-0.4, 0.4, 9), np.linspace(30.0, 54.0, 5), 60.0, False))
GRIP, MU, WEIGHT = 40e3, 0.1, 300.0
SIDE = math.hypot(300.0, 1000.0)


@pytest.mark.parametrize("arm", [80.0, -80.0])
@pytest.mark.parametrize(
    ("cut", "along"),
    [
        # force and moment of a cut at (50, 0, 40) mm
        ((-300.0, -1000.0, -400.0, 40e3, 8e3, -50e3), (-300.0 / SIDE, -1000.0 / SIDE)),
        ((300.0, -1000.0, -400.0, 40e3, 32e3, -50e3), (300.0 / SIDE, -1000.0 / SIDE)),
        # a drill 30 mm off the axis: its thrust tips about y, and the weight with it
        ((0.0, 0.0, -900.0, 0.0, 27e3, -10e3), None),
        # on the axis, nothing tips but the weight
        ((0.0, 0.0, -900.0, 0.0, 0.0, -10e3), None),
    ],
)
def test_weight_lies_along_the_side_force(
    cut: tuple[float, ...], along: tuple[float, float] | None, arm: float
) -> None:
    if along is None:
        along = (math.copysign(1.0, arm) if cut[4] > 0.0 else 1.0, 0.0)
    x, y = WEIGHT * along[0], WEIGHT * along[1]
    weight = np.array([x, y, 0.0, *np.cross([0.0, 0.0, arm], [x, y, 0.0])])
    found = hold_cut(FACES, None, PartWeight(WEIGHT, arm), np.array(cut), GRIP, MU, 10e3)
    wanted = holding(FACES, GRIP, MU, np.array(cut), weight)
    assert found.turn.factors == pytest.approx(wanted.factors, rel=1e-7)
    bare = limits_at(FACES, GRIP, MU, np.array(cut), np.array([wanted.spindle_angle]), weight)[0]
    assert found.without_back_face == pytest.approx(bare.factor, rel=1e-7)
    assert found.handbook == pytest.approx(4.0)


def test_a_cut_that_needs_nothing_by_closed_forms_is_held_without_end() -> None:
    cut = np.array([0.0, -1000.0, 0.0, 0.0, 0.0, -50e3])
    assert hold_cut(FACES, None, PartWeight(0.0, 0.0), cut, GRIP, MU, 0.0).handbook == math.inf
    assert hold_cut(FACES, None, PartWeight(0.0, 0.0), cut, GRIP, MU, 0.05).handbook == pytest.approx(8e5)
