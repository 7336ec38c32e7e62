"""Interrupted cuts: a load that comes at once upon an undamped spring strains it by twice itself.

The factor of 2 is also integrated here, step by step, for a mass on a spring under a force that is there at once.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

from sim.assessment.results import Assessment
from sim.assessment.stages import assess
from sim.assessment.verdict import Verdict
from sim.base.errors import ScenarioError
from sim.mechanics.cutting import SUDDEN_LOAD
from sim.scenario import Scenario
from sim.variants import judged, variants
from sim.variants.result import WORDS

HUB, BY_PROGRAM = "cast_hub_on_ring", "cast_hub_by_program"
CUT = "operations.0.cuts.0"
Varied = Callable[..., Scenario]
Of = Callable[..., Assessment]


@pytest.fixture(scope="module")
def of(varied: Varied) -> Of:
    return lambda changes, name=HUB: assess(varied(name, changes), contact_model="foundation", advised=False)


def holding(found: Assessment) -> Verdict:
    return next(v for v in found.verdicts if v.key == "holding_factor")


def test_a_load_at_once_strains_a_spring_by_twice_itself() -> None:
    mass, stiffness, force, step = 2.0, 5_000.0, 300.0, 1e-6
    place, speed, largest = 0.0, 0.0, 0.0
    for _ in range(100_000):
        speed += (force - stiffness * place) / mass * step
        place += speed * step
        largest = max(largest, place)
    assert stiffness * largest / force == pytest.approx(SUDDEN_LOAD, rel=1e-3)


def test_an_interrupted_cut_asks_for_twice_the_grip(of: Of) -> None:
    steady, struck, stated = (
        of(changes)
        for changes in (
            {},
            {f"{CUT}.interrupted": True},
            {f"{CUT}.interrupted": True, f"{CUT}.impact_factor": 1.4},
        )
    )
    first, twice, less = (found.operations[0].demands[0] for found in (steady, struck, stated))
    assert twice.needed == pytest.approx(2.0 * first.needed)
    assert less.needed == pytest.approx(1.4 * first.needed)
    assert (first.forces.impact, twice.forces.impact, less.forces.impact) == (1.0, 2.0, 1.4)
    holds = [found.operations[0].holdings[0].factor for found in (steady, stated, struck)]
    # The part's weight is not multiplied with the cut.
    assert holds[0] > holds[1] > holds[2] > 0.0
    assert "interrupted: 2 times" in holding(struck).message
    assert "impact_factor 1.4" in holding(stated).basis


def test_measured_forces_are_struck_too(of: Of) -> None:
    forces = {"tangential": "900 N", "feed": "400 N", "passive": "300 N"}
    one, two = (of({f"{CUT}.forces": forces, f"{CUT}.interrupted": way}) for way in (False, True))
    assert two.operations[0].demands[0].forces.tangential == pytest.approx(1800.0)
    assert holding(two).value < holding(one).value


def test_a_programs_moves_may_all_be_the_interrupted_one(of: Of) -> None:
    def needed(changes: dict[str, Any]) -> np.ndarray[Any, Any]:
        machining = of(changes, BY_PROGRAM).machining[0]
        assert machining is not None
        return machining.grip.needed

    assert needed({f"{CUT}.interrupted": True}) == pytest.approx(2.0 * needed({}))


@pytest.mark.parametrize("impact", [None, 1.0, 2.5])
def test_variants_agree(of: Of, impact: float | None) -> None:
    """At another feed as `check` finds it; a stated factor under 2 is at best a warning there too."""
    blow = {f"{CUT}.interrupted": True} | ({} if impact is None else {f"{CUT}.impact_factor": impact})
    own = of(blow)
    theirs = of(blow | {f"{CUT}.feed": "0.1 mm/rev"})
    drawn = judged(variants(own), {f"{CUT}.feed": np.array([0.1])})
    number = drawn.keys.index("holding_factor")
    assert drawn.margin[0, number] == pytest.approx(holding(theirs).margin, rel=0.02)
    assert WORDS[drawn.status[0, number]] == holding(theirs).status


def test_whether_a_cut_is_interrupted_is_asked_once(of: Of) -> None:
    asked = [n for n in of({}).not_judged if "interrupted" in n.question]
    assert [n.matters for n in asked] == [False]
    cuts = len(of({}).operations[0].operation.cuts)
    said = of({f"operations.0.cuts.{k}.interrupted": False for k in range(cuts)})
    assert not [n for n in said.not_judged if "interrupted" in n.question]
    assert said.operations[0].demands[0].forces.impact == 1.0


@pytest.mark.parametrize(("fields", "words"), [
    ({f"{CUT}.impact_factor": 2.0}, "impact_factor must be left out unless interrupted is true"),
    ({f"{CUT}.impact_factor": 2.0, f"{CUT}.interrupted": False}, "left out unless interrupted"),
    ({f"{CUT}.impact_factor": 0.9, f"{CUT}.interrupted": True}, "impact_factor must be .* 1"),
    ({f"{CUT}.interrupted": 1}, "interrupted"),
])  # fmt: skip
def test_what_may_not_be_stated(varied: Varied, fields: dict[str, Any], words: str) -> None:
    with pytest.raises(ScenarioError, match=words):
        varied(HUB, fields)
