"""The window of boring: its margins are those of `check` for the file at another boring pressure and speed."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest

from sim.assessment.results import Assessment
from sim.assessment.stages import assess
from sim.assessment.turning_masses import turning_masses
from sim.layouts.boring_window import boring_window
from sim.layouts.criteria import LAXER
from sim.layouts.window import Window, border, margin_at
from sim.mechanics.grip import grip_at_rest
from sim.mechanics.spin import centrifugal_moment
from sim.scenario import Scenario
from sim.setup.drive import drive
from sim.setup.fixture import fixture_height

HUB = "cast_hub_on_ring"
AS_CHECK = {
    "ring's pressure limit": "boring ring pressure",
    "ring's speed limit": "boring ring speed",
    "load on the fixture": "load on the fixture",
    "steady pressure": "steady pressure",
    "jaw taper, first side": "jaw taper under grip",
    "run-out, first side": "run-out in the jaws",
    "squareness, first side": "squareness in the jaws",
}


@pytest.fixture(scope="module")
def hub(quickly_judged: Callable[[str], Assessment]) -> Assessment:
    return quickly_judged(HUB)


@pytest.fixture(scope="module")
def shown(hub: Assessment) -> Window:
    found = boring_window(hub)
    assert found is not None
    return found


@pytest.mark.parametrize(("pressure", "speed"), [(0.55, 700.0), (1.1, 1000.0)])
def test_margins_are_those_of_check(
    pressure: float, speed: float, shown: Window, varied: Callable[..., Scenario]
) -> None:
    changes = {"boring.pressure": f"{pressure} MPa", "boring.speed": f"{speed} rpm"}
    whole = assess(varied(HUB, changes), contact_model="foundation")
    for criterion in shown.criteria:
        name = AS_CHECK.get(criterion.name)
        if name is None:
            continue
        stage = "first side" if "jaw" in name else "boring"
        verdict = next(v for v in whole.verdicts if (v.name, v.stage) == (name, stage))
        # The taper's inverse has a kink where boring and gripping force are alike; all is linear between grid points.
        assert margin_at(shown, criterion, pressure, speed) == pytest.approx(verdict.margin, rel=0.02), name


def test_borders_have_closed_forms(hub: Assessment, shown: Window) -> None:
    """p = limit; n = limit; the jaws leave the ring where 3 M omega^2 = k p (statics; kg mm/s2 are mN)."""
    scenario = hub.scenario
    assert border(shown, "ring's pressure limit") == pytest.approx(scenario.limits.ring_pressure, rel=1e-3)
    assert border(shown, "steady pressure") == pytest.approx(scenario.machine.lowest_pressure, rel=1e-3)
    lever = fixture_height(scenario) + scenario.chuck.guideway_depth
    per_mpa = grip_at_rest(1.0, lever, drive(scenario.chuck)).total
    moment = centrifugal_moment(turning_masses(hub.parts, scenario.boring.travel))
    wanted = 3e-3 * moment * (np.pi * shown.speeds / 30.0) ** 2 / per_mpa
    inside = (wanted > shown.pressures[0]) & (wanted < shown.pressures[-1])
    assert inside.sum() > 20
    assert border(shown, "jaws leave the fixture")[inside] == pytest.approx(wanted[inside], rel=2e-3)


def test_boring_nearer_to_the_grip_runs_truer(shown: Window) -> None:
    """Bored at 7 bar and gripped at 22: of two boring pressures the higher one leaves less of unlike jaws' yield."""
    (run_out,) = [c for c in shown.criteria if c.name == "run-out, first side"]
    found = [margin_at(shown, run_out, pressure, 600.0) for pressure in (0.3, 0.5, 0.7)]
    assert found == sorted(found)
    assert found[2] > 1.1 * found[0]


def test_what_ends_the_window_of_a_ring(varied: Callable[..., Scenario]) -> None:
    """Common practice: 7 bar, 900 rev/min; the hydraulics hold 3 bar and more steadily. Run-out is let be here."""
    shown = boring_window(
        assess(varied(HUB, {"operations.0.runout_limit": "1 mm"}), contact_model="foundation")
    )
    assert shown is not None
    best = shown.recommended
    assert best is not None
    assert best.low is not None
    assert best.high is not None
    assert best.fast is not None
    assert (best.low.name, best.low.at) == ("steady pressure", pytest.approx(0.3, rel=0.01))
    assert (best.high.name, best.high.at) == ("ring's pressure limit", pytest.approx(0.7, rel=0.01))
    assert best.fast.name in {"ring's speed limit", "load on the fixture"}
    # Between 3 and 7 bar the largest margin lies where both margins are alike, at the root of the product.
    assert best.pressure == pytest.approx(np.sqrt(0.3 * 0.7), rel=0.01)


def test_without_a_fixture_there_is_none(varied: Callable[..., Scenario]) -> None:
    bare = assess(varied(HUB, {"boring.fixture": {"kind": "none"}}), contact_model="foundation")
    assert boring_window(bare) is None


def test_a_limit_laxer_than_practice_is_told(varied: Callable[..., Scenario], shown: Window) -> None:
    """The window may be as wide as it likes, but says by whose limit."""
    lax = {"limits.ring_speed": "3000 rpm", "limits.ring_pressure": "25 bar", "limits.jaw_taper": "40 um"}
    found = boring_window(assess(varied(HUB, lax), contact_model="foundation"))
    assert found is not None
    laxer = {c.name.removesuffix(LAXER) for c in found.criteria if c.name.endswith(LAXER)}
    assert laxer == {"ring's pressure limit", "ring's speed limit", "jaw taper, first side"}
    assert not any(c.name.endswith(LAXER) for c in shown.criteria)
