"""Loads that are solved one after the other, against each by itself in scipy's interior point method."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
from scipy.optimize import linprog

from sim.holding import BackFace, HeldFaces, Prop, turned_wrench
from sim.holding.program import LinearProgram, Pressure, program, solved

Faces = Callable[..., HeldFaces]
MU, GRIP = 0.1, 40e3
BACK = BackFace(radius=52.0, height=30.0, half_angle=0.4)
CENTRE = Prop(height=200.0, push=3000.0, across=2000.0)
# What a part's weight does and what no grip holds: the jaws would have to pull it in by more than all their friction.
WEIGHT = np.array([-300.0, 0.0, 0.0, 0.0, -9000.0, 0.0])
TOO_MUCH = np.array([0.0, 0.0, 2.0 * MU * GRIP, 0.0, 0.0, 0.0])


def by_itself(wanted: LinearProgram, cut: np.ndarray, permanent: np.ndarray) -> float:
    """Largest multiple of a cut; 0 where the permanent load alone is not borne."""
    load, dead = wanted.scale * cut, wanted.scale * permanent
    rows = [*range(6), None, *range(2)][: len(wanted.balance)]
    column = np.array([0.0 if of is None else load[of] for of in rows])
    right = np.array([1.0 if of is None else -dead[of] for of in rows])
    found = linprog(
        np.eye(1, wanted.balance.shape[1] + 1)[0] * -1.0,
        A_ub=np.hstack([np.zeros((len(wanted.limits), 1)), wanted.limits]),
        b_ub=np.zeros(len(wanted.limits)),
        A_eq=np.hstack([column[:, None], wanted.balance]),
        b_eq=right,
        bounds=[(0.0, 1e3), *wanted.bounds],
        method="highs-ipm",
    )
    assert found.status in (0, 2)
    return 0.0 if found.status == 2 else float(found.x[0])


@pytest.mark.parametrize("pressure", ["given", "shifting", "free"])
@pytest.mark.parametrize(("back", "props"), [(None, ()), (BACK, ()), (BACK, (CENTRE,))])
def test_each_load_is_held_as_by_itself(
    held_faces: Faces,
    a_cut: Callable[..., Any],
    pressure: Pressure,
    back: BackFace | None,
    props: tuple[Prop, ...],
) -> None:
    """Loads of several kinds in a row, one that is not borne among them: none leaves anything to the next."""
    wanted = program(held_faces(), GRIP, MU, back, pressure, props)
    cuts = [a_cut(), a_cut(height=120.0), a_cut(axial=900.0), a_cut(tangential=100.0, passive=2500.0)]
    loads = [
        (turned_wrench(cut, angle), turned_wrench(permanent, angle))
        for cut in cuts
        for angle, permanent in ((0.0, WEIGHT), (0.8, 0.0 * WEIGHT), (2.0, TOO_MUCH), (4.0, WEIGHT))
    ]
    found = solved(wanted, loads)
    assert [one.factor for one in found] == pytest.approx(
        [by_itself(wanted, *load) for load in loads], rel=1e-6
    )
    assert sum(one.mode == "does not bear its weight" for one in found) >= 3
    for one in found:
        if one.factor > 0.0:
            assert one.torque + one.axial + one.side + one.tipping == pytest.approx(1.0, abs=1e-6)


def test_another_load_before_changes_no_factor(held_faces: Faces, a_cut: Callable[..., Any]) -> None:
    wanted = program(held_faces(), GRIP, MU, BACK, "shifting")
    turns = 2.0 * math.pi * np.arange(12) / 12
    loads = [(turned_wrench(a_cut(), float(turn)), turned_wrench(WEIGHT, float(turn))) for turn in turns]
    forwards = [one.factor for one in solved(wanted, loads)]
    backwards = [one.factor for one in solved(wanted, loads[::-1])][::-1]
    alone = [solved(wanted, [load])[0].factor for load in loads]
    assert forwards == pytest.approx(alone, rel=1e-9)
    assert backwards == pytest.approx(alone, rel=1e-9)
    assert np.ptp(alone) > 0.01 * alone[0]
