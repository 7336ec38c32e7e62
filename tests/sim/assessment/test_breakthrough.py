"""A drill that breaks through pulls the part out of the jaws: the bound by its flutes' helix, and what holds it."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

from sim.assessment import demand
from sim.assessment.results import Assessment
from sim.assessment.stages import assess
from sim.base.errors import ScenarioError
from sim.mechanics.cutting import SUDDEN_LOAD, part_load
from sim.scenario import Scenario
from sim.variants import judged, variants
from sim.variants.result import WORDS

HUB = "cast_hub_on_ring"
DRILL: dict[str, Any] = {"name": "drill", "kind": "drilling", "diameter": "20 mm", "height": "58 mm",
                         "depth_of_cut": "10 mm", "feed": "0.2 mm/rev", "cutting_speed": "60 m/min"}  # fmt: skip
LIVE = {"rotating_tool": True, "off_axis": "40 mm"}
Varied = Callable[..., Scenario]


def of(varied: Varied, **fields: Any) -> Assessment:
    return assess(varied(HUB, {"operations.0.cuts": [DRILL | fields]}), contact_model="foundation")


def test_the_thrust_bounds_what_the_flutes_pull(varied: Varied) -> None:
    """By virtual work: a helix of 40 deg advances pi D / tan 40 deg a turn, so T turns into 2 pi T / lead at most."""
    cut = varied(HUB, {"operations.0.cuts": [DRILL]}).operations[0].cuts[0]
    found = demand.cut_forces(cut, "cast iron GJL-250", 500.0)
    lead = math.pi * 20.0 / math.tan(math.radians(40.0))
    pull = SUDDEN_LOAD * 2.0 * math.pi * part_load(found).torque / lead
    assert pull <= part_load(found).away_from_chuck < 1.05 * pull
    assert part_load(found).towards_chuck == 0.0


@pytest.mark.parametrize("tool", [{}, LIVE], ids=["on the axis", "live"])
def test_no_back_face_helps_a_drill_that_breaks_through(varied: Varied, tool: dict[str, Any]) -> None:
    """Friction alone carries torque and pull; said to be blind it holds more, unsaid it is taken to break through."""
    blind, through, unsaid = (
        of(varied, **tool, **said) for said in ({"through": False}, {"through": True}, {})
    )
    figures = through.operations[0]
    one, held = (
        figures.demands[0],
        [found.operations[0].holdings[0].factor for found in (blind, through, unsaid)],
    )
    assert held[0] > held[1] == held[2] > 0.0
    work, mu = figures.operation.workpiece, figures.grip.friction
    size = 0.5 * (work.gripped_diameter_low + work.gripped_diameter_high)
    slip = math.hypot(one.forces.tangential * 20.0 / size, one.forces.feed) / mu
    assert one.needed >= slip * (1.0 - 1e-9)
    if not tool:
        assert one.needed == pytest.approx(slip)
    words = [
        next(v for v in found.verdicts if v.key == "holding_factor").message
        for found in (blind, through, unsaid)
    ]
    assert "breaks through" not in words[0]
    assert "breaks through" in words[1]
    assert "through is not stated" in words[2]


def test_the_advice_on_breaking_through_holds(varied: Varied) -> None:
    """12 mm at 0.3 mm/rev is held half a time by the pull of its full feed; its end at a sixth of it, as advised."""
    thin = {"diameter": "12 mm", "depth_of_cut": "6 mm", "feed": "0.3 mm/rev"}
    words = []
    for stated in ({}, {"through": True}):
        (found,) = (v for v in of(varied, **thin, **stated).verdicts if v.key == "holding_factor")
        assert found.status == "fail"
        assert "state that end as a cut of its own" in found.advice
        words.append("of a blind hole state through = false" in found.advice)
    assert words == [True, False]
    end = {"name": "end", "feed": "0.05 mm/rev", "through": True}
    cuts = [DRILL | thin | {"through": False}, DRILL | thin | end]
    gentle = assess(varied(HUB, {"operations.0.cuts": cuts}), contact_model="foundation")
    (held,) = (v for v in gentle.verdicts if v.key == "holding_factor")
    assert held.status != "fail"
    assert held.value > 3.0 * found.value


def test_variants_break_through_alike(varied: Varied) -> None:
    own, other = of(varied), of(varied, feed="0.3 mm/rev")
    drawn = judged(variants(own), {"operations.0.cuts.0.feed": np.array([0.3])})
    one = next(v for v in other.verdicts if v.key == "holding_factor")
    number = drawn.keys.index("holding_factor")
    assert drawn.margin[0, number] == pytest.approx(one.margin, rel=0.02)
    assert WORDS[drawn.status[0, number]] == one.status


def test_only_a_drill_breaks_through(varied: Varied) -> None:
    with pytest.raises(ScenarioError, match="through is for drilling"):
        varied(HUB, {"operations.0.cuts.0.through": True})
