"""The window says what `check` says: at its points, on both sides of its borders, and for setups it is closed to."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
import pytest

from sim.assessment.bodies import ContactModel
from sim.assessment.gripped_again import judged_at as judged_at
from sim.assessment.results import Assessment
from sim.assessment.stages import assess
from sim.assessment.state import states
from sim.layouts.clear_of import CLEAR
from sim.layouts.confirmed_window import _settings
from sim.layouts.criteria import LARGEST, Criterion
from sim.layouts.window import (
    Window,
    border,
    least_failing,
    least_margin,
    margin_at,
    open_pressures,
    point_at,
    window,
    windowed,
)
from sim.scenario import Scenario

Varied = Callable[..., Scenario]
HUB, BONNET, HOUSING, THIN = (
    "cast_hub_on_ring",
    "valve_bonnet_two_steps",
    "housing_gripped_inside",
    "thin_ring_distorts",
)
MODEL = "foundation"


@pytest.fixture(scope="module")
def bonnet(
    quickly_judged: Callable[[str], Assessment], quick_window: Callable[[str, int], Window]
) -> tuple[Assessment, Window]:
    return quickly_judged(BONNET), quick_window(BONNET, 1)


@pytest.mark.parametrize(("pressure", "speed"), [(0.9, 350.0), (1.43, 800.0), (2.21, 1310.0), (2.9, 1900.0)])
def test_margins_are_those_of_a_state(
    bonnet: tuple[Assessment, Window], pressure: float, speed: float
) -> None:
    """Off the grid and off the solved states: by the grip alone within the grid's steps, else within 2 %.

    Margins over 10 do not matter; the taper's, for one, has a kink there, where boring and gripping tilt alike.
    """
    judged, shown = bonnet
    state = {v.name: v for v in judged_at(states(judged), 1, pressure, speed).verdicts}
    seen = 0
    for criterion in shown.criteria:
        if criterion.name not in state:
            continue
        expected = min(state[criterion.name].margin, LARGEST)
        found = margin_at(shown, criterion, pressure, speed)
        tolerance = 0.002 if criterion.name in {"grip at rest", "guideway moment", "largest grip"} else 0.02
        if expected > 10.0:
            assert found > 8.0, criterion.name
            continue
        if criterion.name in {"run-out in the jaws", "squareness in the jaws"}:
            # Least where boring and gripping force are alike: between the solved states never better than it is.
            assert 0.7 * expected < found < 1.02 * expected, criterion.name
            continue
        assert found == pytest.approx(expected, rel=tolerance), criterion.name
        seen += 1
    assert seen >= 5


@pytest.mark.parametrize("name", [BONNET, HOUSING])
def test_margins_as_stated_are_those_of_check(
    name: str, quickly_judged: Callable[[str], Assessment], quick_window: Callable[[str, int], Window]
) -> None:
    """One question, one answer: at the stated pressure and its highest speed nothing is read between solved states."""
    judged = quickly_judged(name)
    last = len(judged.operations) - 1
    shown, operation = quick_window(name, last), judged.operations[last].operation
    verdicts = {v.key: v for v in judged.verdicts if v.stage == operation.name}
    told = [c for c in shown.criteria if c.verdict in verdicts and not c.stage]
    assert {"runout_in_the_jaws", "grip_at_rest", "holding_factor"} <= {c.verdict for c in told}
    for criterion in told:
        found = margin_at(shown, criterion, operation.gripping.pressure, operation.gripping.speed_high)
        expected = min(verdicts[criterion.verdict].margin, LARGEST)
        assert found == pytest.approx(expected, rel=1e-6), criterion.name


@pytest.mark.parametrize("model", ["foundation", "elastic"])
def test_on_both_sides_of_the_window(
    varied: Varied, model: ContactModel, request: pytest.FixtureRequest
) -> None:
    """A hundredth inside of every end nothing fails, a hundredth outside something does, by the verdicts of a state.

    Finite elements at few pressures: these ends hold as near with them as with columns at all.
    With screws tightened less the jaws are near to lifting at less than the highest pressure; that their seats gape at
    half of that warns, and ends nothing.
    """
    if model == "elastic":
        request.getfixturevalue("coarse")
    judged = assess(varied(HUB, {"soft_jaw.screws.torque": "120 N*m"}), contact_model=model, advised=False)
    shown = window(judged, 0)
    ready = states(judged)
    low, high = open_pressures(shown)[int(np.flatnonzero(shown.speeds == 1000.0)[0])]

    def fails(pressure: float, speed: float) -> bool:
        return any(v.status == "fail" for v in judged_at(ready, 0, pressure, speed).verdicts)

    assert not fails(1.01 * low, 1000.0)
    assert fails(0.99 * low, 1000.0)
    assert not fails(0.99 * high, 1000.0)
    assert fails(1.01 * high, 1000.0)
    best = shown.recommended
    assert best is not None
    assert best.high is not None
    assert best.high.name == "jaw kept from lifting"
    assert "jaw seat stays closed" in best.warns
    assert best.fast is not None
    assert not fails(best.pressure, 0.99 * best.fast.at)
    assert fails(best.pressure, 1.01 * best.fast.at)


def test_no_pressure_at_the_stated_speed_is_better(bonnet: tuple[Assessment, Window]) -> None:
    judged, shown = bonnet
    best = shown.recommended
    assert best is not None
    assert best.speed == judged.operations[1].operation.gripping.speed_high
    column = least_margin(shown.criteria)[:, int(np.flatnonzero(shown.speeds == best.speed)[0])]
    assert best.margin >= column.max() - 1e-6
    assert best.margin >= shown.stated.margin


@pytest.mark.usefixtures("coarse")
def test_what_warns_is_kept_clear_of_if_it_can_be(
    assessment: Callable[[str], Assessment],
) -> None:
    """The raw flange may be marked, so marking only warns; less pressure still holds it and marks nothing.

    By finite elements, for columns press it less; at few pressures and speeds, and what is named is judged by itself.
    """
    judged = assessment(BONNET)
    shown = window(judged, 0)
    assert {c.name for c in shown.criteria if c.soft} >= {"marking"}
    assert "marking" in shown.stated.warns
    assert shown.recommended is not None
    assert shown.recommended.warns == ()
    assert shown.recommended.pressure < shown.stated.pressure
    speed = judged.operations[0].operation.gripping.speed_high
    named = judged_at(states(judged), 0, shown.recommended.pressure - 0.01, speed)
    assert next(v for v in named.verdicts if v.name == "marking").status == "pass"


@pytest.mark.usefixtures("coarse")
def test_the_recommended_point_does_not_warn_past_a_border_that_it_can_stay_inside_of(
    assessment: Callable[[str], Assessment],
) -> None:
    """The hub's seat gapes from 19.7 bar on, and less grips it well: what is printed, in tenths of a bar, warns not."""
    shown = window(assessment(HUB), 0)
    assert shown.recommended is not None
    assert shown.recommended.warns == ()
    first = next(iter(_settings(shown, shown.recommended, fast=False)))
    assert point_at(shown, float(first[0]) / 10.0, float(first[1])).warns == ()
    beyond = point_at(shown, 1.03 * CLEAR * shown.recommended.pressure, shown.recommended.speed)
    assert "jaw seat stays closed" in beyond.warns


@pytest.mark.usefixtures("coarse")
def test_a_closed_window_at_the_stated_speed(varied: Varied) -> None:
    """At 2400 rev/min no allowed pressure holds the hub; the nearest speed at which one does is proposed."""
    judged = assess(
        varied(HUB, {"operations.0.gripping.speed_high": "2400 rpm"}), contact_model=MODEL, advised=False
    )
    shown = window(judged, 0)
    assert shown.stated.margin < 1.0
    assert shown.stated.low is None
    assert shown.recommended is not None
    assert shown.fastest is not None
    assert shown.recommended.speed <= shown.fastest.speed < 2400.0
    assert math.isnan(open_pressures(shown)[-1][0])


@pytest.mark.usefixtures("coarse")
def test_a_window_that_is_closed_everywhere(varied: Varied) -> None:
    """A ring that must stay round to a hundredth of a micrometre cannot be gripped at all."""
    judged = assess(
        varied(THIN, {"operations.0.roundness_limit": "0.01 um"}), contact_model=MODEL, advised=False
    )
    shown = window(judged, 0)
    assert shown.recommended is None
    assert shown.fastest is None
    assert np.isnan(open_pressures(shown)).all()
    assert shown.stated.least == "roundness after release"


def test_roundness_is_a_border_in_pressure_alone(varied: Varied) -> None:
    """By columns the part is squeezed in proportion to the grip: p = p_stated limit / roundness (annulus series)."""
    judged = assess(
        varied(THIN, {"operations.0.roundness_limit": "100 um"}), contact_model=MODEL, advised=False
    )
    shown = window(judged, 0)
    figures = judged.operations[0]
    stated = figures.operation.gripping.pressure
    found = border(shown, "roundness after release")
    per_newton = figures.roundness / figures.grip.rest_total  # the part is clamped at rest
    expected = 100.0 / per_newton / (figures.grip.rest_total / stated)
    assert found[-1] == pytest.approx(expected, rel=0.03)


@pytest.mark.usefixtures("coarse")
def test_unlike_jaws_are_warned_of_where_they_run_out_of_balance(varied: Varied) -> None:
    """ISO 21940-11: what is permitted falls as 1 / speed, so a margin of 1.2 ends at 1.2 times the speed."""
    unlike = {"soft_jaw.mass_differences": ["0.0218 kg", "0 kg", "0 kg"]}
    found = assess(varied(HUB, unlike), contact_model="foundation", advised=False)
    (balance,) = [v for v in found.verdicts if v.name == "unbalance"]
    speed = found.operations[0].operation.gripping.speed_high
    assert 1.1 < balance.margin < 1.3
    shown = window(found, 0)
    (border,) = [c for c in shown.criteria if c.name == "unbalance"]
    assert border.soft
    assert border.margin[0] * shown.speeds == pytest.approx(balance.margin * speed, rel=1e-9)
    fast = {"operations.0.gripping.speed_high": f"{1.02 * balance.margin * speed} rpm"}
    again = assess(varied(HUB, {**unlike, **fast}), contact_model="foundation", advised=False)
    assert next(v for v in again.verdicts if v.name == "unbalance").status == "warn"


def test_inside_gripping_gains_by_speed(quick_window: Callable[[str, int], Window]) -> None:
    """Above the cuts' speeds the pressure that is needed does not rise; the seat carries what speed adds."""
    shown = quick_window(HOUSING, 0)
    low = border(shown, "grip at rest")[shown.speeds >= 300.0]
    assert low == pytest.approx(low[0], rel=1e-6)
    seat = border(shown, "jaw seat stays closed")
    known = seat[~np.isnan(seat)]
    assert (np.diff(known) <= 1e-9).all()


@pytest.mark.usefixtures("coarse")
def test_chuck_data_is_not_extrapolated(varied: Varied) -> None:
    points = [
        {"pressure": p, "grip": g} for p, g in (("10 bar", "26 kN"), ("20 bar", "54 kN"), ("25 bar", "66 kN"))
    ]
    judged = assess(varied(HUB, {"chuck.grip_points": points}), contact_model=MODEL, advised=False)
    shown = window(judged, 0)
    assert shown.pressures[-1] == pytest.approx(2.5)
    assert {1.0, 2.0} <= set(np.round(shown.pressures, 12))


def test_criterion_is_finite_and_read_only() -> None:
    found = Criterion("c", np.array([[math.inf, -1.0, math.nan, 2.0]]))
    assert found.margin.tolist() == [[LARGEST, 0.0, 0.0, 2.0]]
    with pytest.raises(ValueError, match="read-only"):
        found.margin[0, 0] = 1.0


def test_unknown_border(bonnet: tuple[Assessment, Window]) -> None:
    with pytest.raises(KeyError):
        border(bonnet[1], "colour")


def test_of_a_closed_window_the_pressure_at_which_the_fewest_fail() -> None:
    """By hand, of three straight lines; what no pressure mends has no say."""
    pressures, speeds = np.linspace(0.1, 4.0, 40), np.array([100.0, 200.0])
    lines = {
        "held": pressures / 1.8,
        "round": 2.5 - pressures,
        "whole": 4.0 - pressures,
        "lost": 0.3 + 0.0 * pressures,
    }
    criteria = tuple(
        Criterion(name, np.repeat(line[:, None], 2, axis=1), verdict=name) for name, line in lines.items()
    )
    shown = windowed("closed", pressures, speeds, criteria, (1.0, 100.0))
    assert shown.recommended is None
    # From 1.8 on it holds, up to 1.5 it stays round, up to 3 it stays whole: two of three are met up to 1.5 and from
    # 1.8 to 3. The least of the three is 1.5 / 1.8 = 0.83 at 1.5 and 2.5 - 1.8 = 0.7 at 1.8.
    found = least_failing(shown, 100.0)
    assert found == pytest.approx(1.5, abs=0.02)
    without = windowed("closed", pressures, speeds, criteria[:3], (1.0, 100.0))
    assert least_failing(without, 100.0) == found
