"""Has the spindle the power and the torque for each cut at its speed?"""

import math
from collections.abc import Callable

import numpy as np
import pytest

from sim import assess
from sim.assessment.results import Assessment
from sim.assessment.verdict import Verdict
from sim.assessment.verdicts.spindle import SPINDLE_POWER
from sim.base.errors import ScenarioError
from sim.scenario import Scenario
from sim.variants import judged, variants

HUB = "cast_hub_on_ring"
CUT = "operations.0.cuts.0"
Varied = Callable[..., Scenario]
Changes = dict[str, object]


def chart(*points: tuple[float, float]) -> Changes:
    return {"machine.spindle_power": [{"speed": f"{n} rpm", "power": f"{p} kW"} for n, p in points]}


def found(assessment: Assessment) -> Verdict:
    (verdict,) = (v for v in assessment.verdicts if v.key == SPINDLE_POWER.key)
    return verdict


def test_the_power_is_force_times_cutting_speed(varied: Varied) -> None:
    """F_c v_c, by hand from what the check says of the cut, times 1 / 60 000 for kW."""
    assessment = assess(varied(HUB, chart((800, 15), (3500, 15))), contact_model="foundation", advised=False)
    verdict, operation = found(assessment), assessment.operations[0]
    by_hand = []
    for d in operation.demands:
        needed = d.forces.tangential * math.pi * d.forces.diameter * d.speed / 1000.0 / 60_000.0
        by_hand.append((needed, 0.8 * 15.0 * min(d.speed / 800.0, 1.0)))
    needed, given = max(by_hand, key=lambda pair: pair[0] / pair[1])
    assert verdict.value == pytest.approx(needed)
    assert verdict.limit == pytest.approx(given)
    assert verdict.status == "pass"


def test_a_weak_spindle_stalls(varied: Varied) -> None:
    assert (
        found(
            assess(varied(HUB, chart((800, 1), (3500, 1))), contact_model="foundation", advised=False)
        ).status
        == "fail"
    )


def test_a_heavy_cut_at_low_speed_fails_by_torque_though_the_power_would_do(varied: Varied) -> None:
    """The nameplate's 15 kW are there at 3000 rev/min only: at the cut's speed there is a part of it."""
    assessment = assess(varied(HUB, chart((3000, 15), (3500, 15))), contact_model="foundation", advised=False)
    verdict = found(assessment)
    assert verdict.limit < 0.5 * 0.8 * 15.0
    assert verdict.value < 0.8 * 15.0


def test_towards_the_axis_the_spindle_speeds_up_into_the_weak_end_of_the_chart(varied: Varied) -> None:
    face = {
        "name": "face",
        "kind": "facing",
        "diameter": "110 mm",
        "height": "26 mm",
        "feed_towards": "axis",
        "depth_of_cut": "2 mm",
        "feed": "0.3 mm/rev",
        "cutting_speed": "150 m/min",
    }
    fast: Changes = {"operations.0.cuts": [face], "operations.0.gripping.speed_high": "2200 rpm"}
    falls = chart((300, 15), (600, 15), (3500, 2))
    weak = found(assess(varied(HUB, {**fast, **falls}), contact_model="foundation", advised=False))
    level = found(
        assess(
            varied(HUB, {**fast, **chart((300, 15), (3500, 15))}), contact_model="foundation", advised=False
        )
    )
    assert weak.limit == pytest.approx(0.8 * (15.0 - 13.0 * (2200.0 - 600.0) / 2900.0))
    assert (weak.value, level.limit) == (level.value, pytest.approx(12.0))


def test_no_chart_no_verdict_but_a_question(varied: Varied) -> None:
    assessment = assess(varied(HUB, {"machine.spindle_power": []}), contact_model="foundation", advised=False)
    assert SPINDLE_POWER.key not in {v.key for v in assessment.verdicts}
    assert any(SPINDLE_POWER.key in one.verdicts for one in assessment.not_judged)
    with_chart = assess(varied(HUB, chart((800, 15), (3500, 15))), contact_model="foundation", advised=False)
    assert not any(SPINDLE_POWER.key in one.verdicts for one in with_chart.not_judged)


@pytest.mark.parametrize(
    ("points", "said"),
    [
        (((800, 15), (800, 16), (3500, 15)), "rising speeds"),
        (((800, 15), (3000, 15)), "its last point stands at 3000 rev/min"),
    ],
)
def test_charts_that_are_none_are_refused(
    varied: Varied, points: tuple[tuple[float, float], ...], said: str
) -> None:
    with pytest.raises(ScenarioError, match=said):
        varied(HUB, chart(*points))


def test_horsepower_is_not_guessed(varied: Varied) -> None:
    with pytest.raises(ScenarioError, match="kW"):
        varied(HUB, {"machine.spindle_power": [{"speed": "3500 rpm", "power": "20 hp"}]})


def test_variants_say_the_same(varied: Varied) -> None:
    scenario = varied(HUB, chart((700, 12), (1500, 14), (3500, 9)))
    ready = variants(assess(scenario, contact_model="foundation", advised=False))
    feeds, efficiency = np.array([0.15, 0.3, 0.45]), np.array([0.9, 0.6, 0.75])
    lines = judged(ready, {f"{CUT}.feed": feeds, "machine.drive_efficiency": efficiency})
    for k in range(3):
        changes = {
            **chart((700, 12), (1500, 14), (3500, 9)),
            f"{CUT}.feed": f"{feeds[k]} mm/rev",
            "machine.drive_efficiency": float(efficiency[k]),
        }
        single = found(assess(varied(HUB, changes), contact_model="foundation", advised=False))
        column = lines.column(SPINDLE_POWER.key, single.stage)
        assert lines.value[k, column] == single.value
        assert lines.limit[k, column] == single.limit
