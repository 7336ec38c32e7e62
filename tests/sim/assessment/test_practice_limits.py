"""A limit that is laxer than its standard: the verdict warns at best, and its basis says what the standard asks for.

The standard's and practice's figures stand here as numbers: 1.5 twice (VDI 3106 as quoted), the rest common practice,
no source.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

from sim.assessment.practice import DECIDED_BY, LIMITS, with_practice
from sim.assessment.results import Assessment
from sim.assessment.stages import assess
from sim.assessment.verdict import Verdict
from sim.base.errors import ScenarioError
from sim.scenario import Limits, Scenario
from sim.variants import WARN, variants
from sim.variants import judged as variants_judged

HUB = "cast_hub_on_ring"
Judged = Callable[[dict[str, Any]], Assessment]

LAXER = [
    ("limits.holding_factor", 1.49, "VDI 3106's 1.5 (limits.holding_factor 1.49)"),
    ("limits.holding_factor", 0.001, "VDI 3106's 1.5 (limits.holding_factor 0.001)"),
    ("limits.grip_factor", 0.5, "VDI 3106's 1.5 (limits.grip_factor 0.5)"),
    ("limits.stroke_reserve", 0.01, "common practice's 0.1667 (limits.stroke_reserve 0.01)"),
    ("limits.held_share", 0.1, "common practice's 0.3333 (limits.held_share 0.1)"),
    ("limits.clearance", "0.2 mm", "common practice's 1.5 mm (limits.clearance 0.2 mm)"),
    ("limits.loading_clearance", "0.01 mm", "common practice's 0.5 mm (limits.loading_clearance 0.01 mm)"),
    ("limits.ring_pressure", "60 bar", "common practice's 7 bar (limits.ring_pressure 60 bar)"),
    ("limits.ring_speed", "3000 rpm", "common practice's 900 rpm (limits.ring_speed 3000 rpm)"),
    ("limits.jaw_taper", "1 mm", "common practice's 20 um (limits.jaw_taper 1000 um)"),
    ("limits.boring_load_share", 0.01, "common practice's 0.5 (limits.boring_load_share 0.01)"),
    ("limits.wall", "0.1 mm", "common practice's 3 mm (limits.wall 0.1 mm)"),
    ("limits.floor", "0.1 mm", "common practice's 5 mm (limits.floor 0.1 mm)"),
    ("limits.rebore", "0.01 mm", "common practice's 0.5 mm (limits.rebore 0.01 mm)"),
    ("limits.body_overhang", "200 mm", "common practice's 10 mm (limits.body_overhang 200 mm)"),
    ("chuck.guideway_friction", 0.03, "common practice's 0.08 for greased guideways (chuck.guideway_friction 0.03)"),
    ("operations.0.gripping.grip_loss_share", 0.2, "losing all of the centrifugal force"),
    ("operations.0.cuts.0.wear_factor", 1.0, "common practice's 1.3 for a worn edge (wear_factor 1 of operations[0])"),
]  # fmt: skip


@pytest.fixture(scope="module")
def judged(varied: Callable[..., Scenario]) -> Judged:
    return lambda changes: assess(varied(HUB, changes), contact_model="foundation")


def verdict(found: Assessment, name: str) -> Verdict:
    return next(v for v in found.verdicts if v.name == name)


@pytest.mark.parametrize(("key", "value", "words"), LAXER)
def test_a_laxer_limit_never_passes_and_is_told(judged: Judged, key: str, value: object, words: str) -> None:
    found = [v for v in judged({key: value}).verdicts if words in v.basis]
    assert found
    assert all(v.status in ("warn", "fail") for v in found)
    assert all("stated by the scenario, laxer than" in v.basis for v in found)
    assert all(v.advice for v in found)
    last = key.split(".")[-1]
    if last in LIMITS:
        here = {v.key for v in judged({}).verdicts}
        assert {v.key for v in found} == {n for n, keys in DECIDED_BY.items() if last in keys} & here


def test_the_standards_own_limit_and_a_stricter_one_stay_untold(judged: Judged) -> None:
    same = {"limits.holding_factor": 1.5, "limits.ring_pressure": "0.7 MPa", "limits.clearance": "0.15 cm",
            "limits.jaw_taper": "0.02 mm", "limits.ring_speed": "900 1/min"}  # fmt: skip
    strict = {"limits.holding_factor": 2.0, "limits.ring_pressure": "5 bar", "limits.jaw_taper": "10 um"}
    for changes in ({}, same, strict):
        assert not any("laxer" in v.basis for v in judged(changes).verdicts)


def test_every_limit_of_a_scenario_has_its_practice() -> None:
    """Whoever adds a limit says what is usual for it."""
    assert set(LIMITS) == set(Limits.model_fields)
    assert {key for keys in DECIDED_BY.values() for key in keys} == set(LIMITS)


def test_a_cut_that_moves_the_part_fails_whatever_is_asked_for(judged: Judged) -> None:
    """Forces that the hub's grip holds 0.8 times: a factor of 0.5 asks for less, and the part still flies."""
    strong = {"tangential": "1 kN", "feed": "500 N", "passive": "500 N"}
    cuts = {f"operations.0.cuts.{k}.forces": strong for k in (0, 1)}
    held = verdict(judged(cuts), "holding factor").value
    many = held / 0.8
    strong = {"tangential": f"{many} kN", "feed": f"{0.5 * many} kN", "passive": f"{0.5 * many} kN"}
    changes = {f"operations.0.cuts.{k}.forces": strong for k in (0, 1)}
    found = verdict(judged({**changes, "limits.holding_factor": 0.5}), "holding factor")
    assert 0.7 < found.value < 0.9
    assert found.value > found.limit
    assert found.status == "fail"
    assert "moves the part" in found.advice


def test_a_missed_limit_stays_failed(varied: Callable[..., Scenario]) -> None:
    scenario = varied(HUB, {"limits.wall": "0.1 mm"})
    missed = Verdict(
        "wall_to_the_counterbore", "wall", "jaws", "fail", 0.0, 0.1, "mm", "x", "y", "Move the jaws."
    )
    told = with_practice(missed, scenario)
    assert (told.status, told.advice) == ("fail", "Move the jaws.")
    assert "laxer" in told.basis


@pytest.mark.parametrize(("value", "found"), [(0.99, "0.99"), (0.001, "0.001"), (11.0, "11")])
def test_a_worn_edge_never_takes_less_force(
    varied: Callable[..., Scenario], value: float, found: str
) -> None:
    with pytest.raises(ScenarioError, match=rf"wear_factor must be .* found '{found}"):
        varied(HUB, {"operations.0.cuts.0.wear_factor": value})


def test_a_rake_beyond_its_correction_is_refused(varied: Callable[..., Scenario]) -> None:
    """1 % of force a degree: at 100 deg nothing would be left to hold."""
    with pytest.raises(ScenarioError, match="rake_angle must lie between -30 deg and 30 deg, found 100 deg"):
        varied(HUB, {"operations.0.cuts.0.rake_angle": "100 deg"})


def test_slippery_guideways_are_told_wherever_they_make_more_grip(judged: Judged) -> None:
    """With half of the greased friction every margin of the grip is larger; none of those verdicts passes for it."""
    stated, slippery = judged({}), judged({"chuck.guideway_friction": 0.04})
    for name in ("holding factor", "grip at rest", "spindle speed", "load on the fixture"):
        assert verdict(slippery, name).margin > verdict(stated, name).margin, name
        assert (verdict(stated, name).status, verdict(slippery, name).status) == ("pass", "warn"), name


def test_variants_are_told_alike(judged: Judged) -> None:
    """Each quick key's laxer value, row by row, against an assessment of its own."""
    own = variants(judged({}))
    quick = [
        ("limits.holding_factor", 1.49, 1.49),
        ("limits.jaw_taper", "1 mm", 1.0),
        ("limits.ring_speed", "3000 rpm", 3000.0),
        ("limits.stroke_reserve", 0.01, 0.01),
        ("chuck.guideway_friction", 0.03, 0.03),
        ("operations.0.gripping.grip_loss_share", 0.2, 0.2),
        ("operations.0.cuts.0.wear_factor", 1.0, 1.0),
    ]
    for key, text, value in quick:
        found, whole = variants_judged(own, {key: np.array([value])}), judged({key: text})
        laxer = [v for v in whole.verdicts if "laxer" in v.basis and v.status == "warn"]
        assert laxer
        for v in laxer:
            assert found.status[0, found.column(v.key, v.stage)] == WARN, (key, v.name)
