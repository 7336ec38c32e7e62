"""Grip at rest, both ways, and its limits."""

from __future__ import annotations

import math

import numpy as np
import pytest

from sim.mechanics.grip import (
    ChuckDrive,
    GripCurve,
    Wedge,
    back_drive_ratio,
    curve_grip,
    curve_pressure,
    drawbar_pull,
    falling_jaw_force,
    grip_at_rest,
    height_factor,
    jaw_force,
    largest_total_grip,
    piston_travel,
    pressure_for_grip,
)

WEDGE = Wedge(math.radians(19.0), 15.0, 80.0, 0.08)
CURVE = GripCurve(((1.0, 25_000.0), (2.0, 52_000.0), (3.0, 76_000.0)), 60.0)


def test_without_friction_the_wedge_alone_counts() -> None:
    wedge = Wedge(math.radians(19.0), 15.0, 80.0, 0.0)
    assert jaw_force(1000.0, 60.0, wedge) == pytest.approx(1000.0 / math.tan(math.radians(19.0)))
    assert falling_jaw_force(1000.0, 60.0, wedge) == pytest.approx(jaw_force(1000.0, 60.0, wedge))


@pytest.mark.parametrize("model", ["linear", "ends"])
def test_the_free_body_balances(model: str) -> None:
    """Solve the jaw's three balances by iteration, force by force, instead of by the closed form."""
    mu, alpha, a, length, h, fa = 0.11, math.radians(22.0), 18.0, 95.0, 70.0, 9000.0
    fg = 0.0
    for _ in range(300):
        fr = fa / math.tan(alpha + math.atan(mu))
        moment = fg * h + fr * a
        normal = moment / (length * (2.0 / 3.0 if model == "linear" else 1.0))
        fg = fr - 2.0 * mu * normal - mu * fa
    wedge = Wedge(alpha, a, length, mu, model)  # type: ignore[arg-type]
    assert jaw_force(fa, h, wedge) == pytest.approx(fg, rel=1e-9)


def test_contact_at_the_ends_loses_less() -> None:
    ends = Wedge(math.radians(19.0), 15.0, 80.0, 0.08, "ends")
    assert jaw_force(1.0, 60.0, ends) > jaw_force(1.0, 60.0, WEDGE)


def test_friction_can_hold_the_jaw() -> None:
    stuck = Wedge(math.radians(30.0), 30.0, 40.0, 0.45)
    assert jaw_force(1e4, 60.0, stuck) == 0.0
    with pytest.raises(ValueError, match="friction holds"):
        pressure_for_grip(1000.0, 60.0, ChuckDrive(stuck, 12_500.0))


def test_self_locking() -> None:
    assert back_drive_ratio(math.radians(19.0), 0.4) == math.inf
    assert falling_jaw_force(1.0, 60.0, Wedge(math.radians(19.0), 15.0, 80.0, 0.4)) == math.inf
    assert back_drive_ratio(math.radians(19.0), 0.0) == 1.0


def test_piston_travel() -> None:
    assert piston_travel(5.0, math.radians(45.0) - 1e-12) == pytest.approx(5.0)
    assert piston_travel(5.0, math.radians(19.0)) == pytest.approx(14.52, abs=0.005)


def test_points_are_interpolated_and_never_extrapolated() -> None:
    assert curve_grip(2.0, CURVE) == 52_000.0
    assert curve_grip(1.5, CURVE) == pytest.approx(38_500.0)
    # 25 kN at 1 MPa and 52 kN at 2 MPa lie on 27 p - 2 kN: lower at 0.4 MPa than the 10 kN of a line from zero
    assert curve_grip(0.4, CURVE) == pytest.approx(8_800.0)
    assert curve_grip(3.0, CURVE) == pytest.approx(76_000.0)
    with pytest.raises(ValueError, match=r"largest point, 3 MPa, found 3.01 MPa"):
        curve_grip(3.01, CURVE)
    with pytest.raises(ValueError, match="pressure must lie"):
        curve_grip(-0.1, CURVE)
    with pytest.raises(ValueError, match="largest point, 76000 N"):
        curve_pressure(80_000.0, CURVE)


def test_many_pressures_lie_on_their_own_lines() -> None:
    """The points and the middles between them, by hand; at the last point nothing is extrapolated."""
    many = np.array([0.4, 1.0, 1.5, 2.0, 2.5, 3.0, 3.01, -0.1])
    by_hand = [8_800.0, 25_000.0, 38_500.0, 52_000.0, 64_000.0, 76_000.0, math.nan, math.nan]
    assert curve_grip(many, CURVE) == pytest.approx(by_hand, nan_ok=True)


def test_chuck_data_go_before_the_free_body() -> None:
    drive = ChuckDrive(WEDGE, 12_500.0, CURVE)
    at_60 = grip_at_rest(2.0, 60.0, drive)
    assert (at_60.basis, at_60.total) == ("chuck data", 52_000.0)
    higher = grip_at_rest(2.0, 90.0, drive)
    assert higher.total == pytest.approx(52_000.0 * 1.18 / 1.27)
    assert higher.guide_moment == pytest.approx(higher.total / 3.0 * 90.0)
    assert grip_at_rest(2.0, 60.0, ChuckDrive(WEDGE, 12_500.0)).basis == "free body"


def test_free_body_total() -> None:
    pull = drawbar_pull(2.5, 12_500.0, 0.95)
    drive = ChuckDrive(WEDGE, 0.95 * 12_500.0)
    assert grip_at_rest(2.5, 60.0, drive).total == pytest.approx(3.0 * jaw_force(pull / 3.0, 60.0, WEDGE))


def test_moment_limit() -> None:
    assert largest_total_grip(1.2e6, 60.0) == pytest.approx(60_000.0)
    assert largest_total_grip(1.2e6, 0.0) == math.inf
    assert height_factor(60.0, 60.0, WEDGE) == 1.0


@pytest.mark.parametrize(
    ("points", "match"),
    [((), "not be empty"), (((1.0, 5.0), (1.0, 6.0)), "rise"), (((1.0, 5.0), (2.0, 4.0)), "rise")],
)
def test_points_that_make_no_curve(points: tuple[tuple[float, float], ...], match: str) -> None:
    with pytest.raises(ValueError, match=match):
        GripCurve(points, 60.0)


def test_wedges_that_cannot_be() -> None:
    with pytest.raises(ValueError, match="wedge angle"):
        Wedge(1.0, 15.0, 80.0, 0.08)
    with pytest.raises(ValueError, match="guideway length"):
        Wedge(0.3, 15.0, 0.0, 0.08)
    with pytest.raises(ValueError, match="friction"):
        Wedge(0.3, 15.0, 80.0, -0.1)
    with pytest.raises(ValueError, match="0 N or more"):
        pressure_for_grip(-1.0, 60.0, ChuckDrive(WEDGE, 12_500.0))
