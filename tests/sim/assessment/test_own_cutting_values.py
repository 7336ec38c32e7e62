"""A shop's own kc1.1 and mc: forces by hand, what they may be, and what they are held to.

By hand for a turned cut 2 mm deep at 0.25 mm a turn, approach 90 deg, at 100 m/min (no correction by speed), a sharp
edge: Fc = kc1.1 b h^(1 - mc), 1 % a degree of rake. Table of GJL-250, lower printing: kc1.1 1160 MPa, mc 0.26.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

from sim.assessment import demand
from sim.assessment.results import Assessment
from sim.assessment.stages import assess
from sim.assessment.verdict import Verdict
from sim.base.errors import ScenarioError
from sim.mechanics.cutting import CutForces
from sim.scenario import Scenario
from sim.variants import judged, variants

HUB, BY_PROGRAM = "cast_hub_on_ring", "cast_hub_by_program"
CUT = {"name": "cut", "kind": "turning", "diameter": "80 mm", "height": "50 mm", "depth_of_cut": "2 mm",
       "feed": "0.25 mm/rev", "approach_angle": "90 deg", "cutting_speed": "100 m/min", "wear_factor": 1.0}  # fmt: skip
KEY = "specific_force_of_the_cuts"
Varied = Callable[..., Scenario]


def forces(varied: Varied, **fields: Any) -> CutForces:
    cut = varied(HUB, {"operations.0.cuts": [CUT | fields]}).operations[0].cuts[0]
    return demand.cut_forces(cut, "cast iron GJL-250", 100e3 / (math.pi * 80.0))


@pytest.mark.parametrize(("rake", "reference", "factor"), [
    ("6 deg", None, 1.0), ("-6 deg", None, 1.0), ("6 deg", "6 deg", 1.0), ("-4 deg", "6 deg", 1.1),
    ("10 deg", "0 deg", 0.9),
])  # fmt: skip
def test_forces_by_own_values(varied: Varied, rake: str, reference: str | None, factor: float) -> None:
    own: dict[str, Any] = {"specific_force": "1500 MPa", "chip_exponent": 0.2, "rake_angle": rake}
    found = forces(varied, **own, **({} if reference is None else {"reference_rake": reference}))
    assert found.tangential == pytest.approx(1500.0 * 2.0 * 0.25**0.8 * factor, rel=1e-3)


def test_own_values_of_a_drill(varied: Varied) -> None:
    """Lips of a 10 mm drill at 0.2 mm a turn: h = 0.1 sin 59 deg, b = 5 mm / sin 59 deg; 1.2 for chip compression."""
    found = forces(varied, kind="drilling", diameter="10 mm", feed="0.2 mm/rev", specific_force="1500 MPa",
                   chip_exponent=0.2, approach_angle="95 deg")  # fmt: skip
    thick = 0.1 * math.sin(math.radians(59.0))
    slow = (
        2.023 / (math.pi * 10.0 / (math.pi * 80.0) * 100.0) ** 0.153
    )  # it turns with the spindle: 12.5 m/min,
    slow = min(slow, 2.023 / 20.0**0.153)  # below 20 m/min the value there
    assert found.tangential == pytest.approx(1500.0 * thick**-0.2 * 0.1 * 5.0 * 1.2 * slow)


@pytest.mark.parametrize(("fields", "words"), [
    ({"specific_force": "1500 MPa"}, "chip_exponent must be stated beside specific_force"),
    ({"chip_exponent": 0.2}, "specific_force must be stated beside chip_exponent"),
    ({"reference_rake": "0 deg"}, "reference_rake must be left out without specific_force"),
    ({"specific_force": "1.5 MPa", "chip_exponent": 0.2}, "between 50 MPa and 10000 MPa, found 1.5 MPa"),
    ({"specific_force": "1500 N", "chip_exponent": 0.2}, "specific_force"),
    ({"specific_force": "1500 MPa", "chip_exponent": 0.8}, "chip_exponent must be .* 0.6"),
    ({"specific_force": "1500 MPa", "chip_exponent": 0.2, "reference_rake": "50 deg"}, "between -30 deg and 30 deg"),
    ({"specific_force": "1500 MPa", "chip_exponent": 0.2,
      "forces": {"tangential": "900 N", "feed": "400 N", "passive": "300 N"}}, "left out beside forces"),
])  # fmt: skip
def test_values_that_tell_no_force_are_refused(varied: Varied, fields: dict[str, Any], words: str) -> None:
    with pytest.raises(ScenarioError, match=words):
        forces(varied, **fields)


def own_verdict(found: Assessment) -> Verdict:
    (one,) = [v for v in found.verdicts if v.key == KEY]
    return one


def test_values_far_below_the_tables_fail(varied: Varied) -> None:
    """The table's at the cut's rake of 6 deg: 1160 MPa h^-0.26 less 4 % (its rake is 2 deg), h = 0.25 mm.

    As many again at other feeds, drawn with the forms of `check`.
    """
    rows = []
    for kc11, status in ((1160.0, "pass"), (700.0, "warn"), (350.0, "fail")):
        cut = CUT | {"specific_force": f"{kc11} MPa", "chip_exponent": 0.2}
        found = assess(varied(HUB, {"operations.0.cuts": [cut]}), contact_model="foundation", advised=False)
        share = kc11 * 0.25**-0.2 / (1160.0 * 0.25**-0.26 * 0.96)
        one = own_verdict(found)
        assert one.value == pytest.approx(share)
        assert one.status == ("warn" if share < 1.0 and status == "pass" else status)
        rows.append(share)
        drawn = judged(variants(found), {"operations.0.cuts.0.feed": np.array([0.25, 0.1])})
        number = drawn.keys.index(KEY)
        again = 1.0 / (kc11 * 0.1**-0.2 / (1160.0 * 0.1**-0.26 * 0.96))
        assert drawn.margin[:, number] == pytest.approx([share, 1.0 / again])
    assert rows == sorted(rows, reverse=True)


def test_harder_metal_never_holds_better_also_in_a_program(varied: Varied) -> None:
    """A program's moves take the least favourable metal of the operation's cuts: one of two that states more counts."""

    def needed(*kc11: float | None) -> tuple[float, float]:
        changes: dict[str, Any] = {}
        for number, one in enumerate(kc11):
            if one is not None:
                changes |= {f"operations.0.cuts.{number}.specific_force": f"{one} MPa",
                            f"operations.0.cuts.{number}.chip_exponent": 0.26}  # fmt: skip
        found = assess(varied(BY_PROGRAM, changes), contact_model="foundation", advised=False)
        machining = found.machining[0]
        assert machining is not None
        return max(d.needed for d in found.operations[0].demands), float(machining.grip.needed.max())

    plain, hard, soft = needed(None), needed(4000.0), needed(1200.0)
    assert hard[0] > 1.5 * plain[0]
    assert hard[1] > 1.5 * plain[1]
    assert soft[1] <= plain[1]
