"""Laws of the needed grip for any cut."""

from __future__ import annotations

import math

from hypothesis import given
from hypothesis import strategies as st

from sim.mechanics.hold import NeededGrip, holding_factor, needed_grip

FORCES = st.floats(1.0, 20e3)
CUTS = st.tuples(FORCES, FORCES, FORCES, st.floats(10.0, 300.0), st.floats(10.0, 300.0))
FRICTIONS = st.floats(0.05, 0.4)
OVERHANGS = st.floats(0.0, 200.0)
HELD = st.floats(1.0, 60.0)


def _needed(cut: tuple[float, ...], mu: float, overhang: float, held: float) -> NeededGrip:
    return needed_grip(*cut, mu, overhang, held)


@given(CUTS, FRICTIONS, OVERHANGS, HELD, st.floats(0.1, 10.0))
def test_it_grows_with_the_forces(
    cut: tuple[float, ...], mu: float, overhang: float, held: float, factor: float
) -> None:
    once = _needed(cut, mu, overhang, held)
    more = _needed((*(factor * force for force in cut[:3]), *cut[3:]), mu, overhang, held)
    assert math.isclose(more.total, factor * once.total, rel_tol=1e-12)
    assert math.isclose(holding_factor(1e4, once), factor * holding_factor(1e4, more), rel_tol=1e-12)


@given(CUTS, FRICTIONS, FRICTIONS, OVERHANGS, HELD)
def test_more_friction_never_needs_more_grip(
    cut: tuple[float, ...], one: float, other: float, overhang: float, held: float
) -> None:
    low, high = sorted((one, other))
    assert _needed(cut, high, overhang, held).total <= _needed(cut, low, overhang, held).total


@given(CUTS, FRICTIONS, OVERHANGS, OVERHANGS, HELD)
def test_more_overhang_never_needs_less_grip(
    cut: tuple[float, ...], mu: float, one: float, other: float, held: float
) -> None:
    near, far = sorted((one, other))
    assert _needed(cut, mu, near, held).total <= _needed(cut, mu, far, held).total


@given(CUTS, FRICTIONS, OVERHANGS, HELD)
def test_parts_and_whole(cut: tuple[float, ...], mu: float, overhang: float, held: float) -> None:
    needed = _needed(cut, mu, overhang, held)
    assert max(needed.torque_term, needed.axial_term) <= needed.combined * (1.0 + 1e-12)
    assert needed.combined <= (needed.torque_term + needed.axial_term) * (1.0 + 1e-12)
    assert needed.total <= needed.superposed <= 2.0 * needed.total
