"""A setup's variants by the emulator, against whole assessments of edited files and against each other."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
from rich.console import Console

from sim.assessment.results import Assessment
from sim.assessment.stages import assess
from sim.assessment.verdicts.part import LOADING_CLEARANCE
from sim.base.errors import ScenarioError
from sim.report.uncertainty import uncertainty_object
from sim.scenario import Scenario
from sim.terminal.uncertainty import uncertainty_table
from sim.uncertainty import Analysis, Input, analysed, analysis, stated_inputs, usual_inputs
from sim.uncertainty.distribution import normal, uniform
from sim.uncertainty.inputs import batch
from sim.variants import emulated, judged, variants
from sim.variants.emulated import SolvedContact

NAME = "thin_ring_distorts"  # no out-of-round, one cut: the quickest
ONE = "uncertainty.operations"
SPREADS: dict[str, Any] = {
    "guideway_friction": {"kind": "triangular", "low": 0.06, "high": 0.16},
    "grip_gauge": {"kind": "normal", "standard_deviation": 0.03},
    "operations": [
        {
            "name": "finish the bore",
            "pressure": {"kind": "uniform", "low": "3 bar", "high": "6 bar"},
            "friction": {"kind": "uniform", "low": 0.1, "high": 0.2},
            "cutting_force": {"kind": "normal", "standard_deviation": 0.0},
        }
    ],
}
SAMPLES = 256


@pytest.fixture(scope="module")
def setup(varied: Callable[..., Scenario]) -> Assessment:
    return assess(
        varied(NAME, {"uncertainty": SPREADS, "operations.0.roundness_limit": "80 um"}), advised=False
    )


@pytest.fixture(scope="module")
def by_columns(varied: Callable[..., Scenario]) -> Assessment:
    """The same for questions to which it does not matter what presses."""
    changes = {"uncertainty": SPREADS, "operations.0.roundness_limit": "80 um"}
    return assess(varied(NAME, changes), contact_model="foundation", advised=False)


@pytest.fixture(scope="module")
def found(setup: Assessment) -> Analysis:
    return analysed(setup, stated_inputs(setup), SAMPLES, 3)


def test_same_seed_same_answer(by_columns: Assessment, monkeypatch: pytest.MonkeyPatch) -> None:
    """To the last bit, from the start; and another seed draws others."""
    setup = by_columns
    monkeypatch.setattr(analysis, "CHECKED", 2)
    monkeypatch.setattr(emulated, "PER_DIRECTION", 4)
    inputs = stated_inputs(setup)[1:2]
    first, again, other = (analysed(setup, inputs, SAMPLES, seed) for seed in (3, 3, 4))
    assert [v.holds for v in again.verdicts] == [v.holds for v in first.verdicts]
    assert [v.margin for v in again.verdicts] == [v.margin for v in first.verdicts]
    assert np.array_equal(again.verdicts[0].total_interval, first.verdicts[0].total_interval)
    assert again.figures == first.figures
    assert other.figures != first.figures


def test_friction_drawn_beyond_the_table_is_no_verdict_that_nothing_moves(
    setup: Assessment, found: Analysis
) -> None:
    """Aluminium in aluminium, smooth, turned: 0.097 to 0.126. Of 0.1 to 0.2 drawn alike, 0.026 / 0.1 keep to it."""
    (friction,) = (v for v in found.verdicts if v.name == "friction of the part in the jaws")
    assert friction.holds.value == pytest.approx(0.26, abs=0.02)
    assert friction.of_input is not None
    assert friction.of_input.field == "uncertainty.operations 'finish the bore'.friction"
    assert len(found.verdicts) + found.unmoved + len(found.not_asked) == len(setup.verdicts)
    # What matters is a verdict on the setup, not on what is claimed of it.
    assert found.leading is not None
    assert found.leading.of_input is None
    assert found.claims == (friction,)
    console = Console(width=200, record=True, highlight=False)
    with console.capture() as said:
        console.print(uncertainty_table(found))
    words = " ".join(said.get().split())
    assert (
        "friction part on jaws, finish the bore lies beyond the limit of 'friction of the part in the jaws' in"
        in words
    )
    assert "% of the draws: what holds in them is claimed, not known" in words
    made = uncertainty_object(found)
    assert {v["name"]: v["of_input"] for v in made["verdicts"]}[friction.name] == friction.of_input.field


def test_a_verdict_without_meaning_for_a_draw_is_named_with_its_reason(
    by_columns: Assessment, monkeypatch: pytest.MonkeyPatch
) -> None:
    """It is neither judged nor counted among those that nothing moves; here one that the diameter surely moves."""
    setup, why = by_columns, "it has no meaning for a drawn size"
    monkeypatch.setattr(analysis, "NO_QUESTION", {LOADING_CLEARANCE.key: ("diameter", why)})
    monkeypatch.setattr(analysis, "CHECKED", 1)
    monkeypatch.setattr(emulated, "MOST", 16)
    one = Input("diameter", 0, "finish the bore", uniform(125.9, 126.1), "test")
    drawn = analysed(setup, [one], SAMPLES, 1)
    (left,) = drawn.not_asked
    assert (left.name, left.stage, left.why) == ("loading clearance", "finish the bore", why)
    assert all(v.name != left.name for v in drawn.verdicts)
    assert len(drawn.verdicts) + drawn.unmoved + 1 == len(setup.verdicts)
    assert uncertainty_object(drawn)["not_asked"][0]["name"] == left.name


def test_an_input_without_spread_has_index_0(found: Analysis) -> None:
    fixed = next(k for k, one in enumerate(found.inputs) if one.name == "cutting_force")
    for one in found.verdicts:
        assert one.first[fixed] == pytest.approx(0.0, abs=1e-12)
        assert one.total[fixed] == pytest.approx(0.0, abs=1e-12)


def test_probability_against_whole_assessments(found: Analysis, varied: Callable[..., Scenario]) -> None:
    """Drawn by another generator, each file edited and judged anew: the shares agree within both sampling errors."""
    count, rng = 16, np.random.default_rng(11)
    held = 0
    for _ in range(count):
        values = [float(one.distribution.ppf(rng.uniform())) for one in found.inputs]
        greasy, gauge, pressure, friction, _ = values
        changes = {
            "chuck.guideway_friction": greasy,
            # The chuck's efficiency scales the grip as the gauge's error does.
            "chuck.efficiency": 0.9 / (1.0 + gauge),
            "operations.0.gripping.pressure": f"{pressure * 0.95 / 0.9!r} MPa",
            "operations.0.gripping.friction": friction,
            "operations.0.roundness_limit": "80 um",
        }
        whole = assess(varied(NAME, changes), advised=False)
        held += next(v for v in whole.verdicts if v.name == "roundness after release").status == "pass"
    share = next(v for v in found.verdicts if v.name == "roundness after release").holds.value
    assert 0.1 < share < 0.9
    assert abs(held / count - share) < 3.0 * np.sqrt(share * (1.0 - share) / count)


def test_contact_solved_row_by_row_is_what_check_finds(
    varied: Callable[..., Scenario], assessment: Callable[[str], Assessment]
) -> None:
    changes: dict[str, Any] = {
        "operations.0.gripping.pressure": "4 bar",
        "operations.0.workpiece.gripped_diameter_low": "125.95 mm",
        "operations.0.workpiece.gripped_diameter_high": "125.95 mm",
        "operations.0.workpiece.out_of_round": "0.02 mm",
    }
    whole = assess(varied(NAME, changes), advised=False)
    own = assessment(NAME)
    name = "operations.0.workpiece."
    values = {
        "operations.0.gripping.pressure": [0.4],
        f"{name}gripped_diameter_low": [125.95],
        f"{name}gripped_diameter_high": [125.95],
        f"{name}out_of_round": [0.02],
    }
    found = judged(variants(own, SolvedContact), values)
    for verdict in whole.verdicts:
        column = found.column(verdict.key, verdict.stage)
        assert found.value[0, column] == pytest.approx(verdict.value, rel=2e-3, abs=1e-6), verdict.name


def test_emulated_contact_states_its_error(setup: Assessment, monkeypatch: pytest.MonkeyPatch) -> None:
    """With both moduli and the size drawn, the emulator's stated error is small and is not 0."""
    monkeypatch.setattr(analysis, "CHECKED", 3)
    monkeypatch.setattr(emulated, "MOST", 32)  # a fifth of the rows, for the sake of time
    inputs = [
        *stated_inputs(setup)[2:3],
        Input("diameter", 0, "finish the bore", uniform(125.97, 126.0), "test"),
        Input("part_modulus", 0, "finish the bore", normal(70e3, 2e3), "test"),
        Input("jaw_modulus", -1, "", normal(70e3, 2e3), "test"),
    ]
    found = analysed(setup, inputs, SAMPLES, 5)
    errors = {v.name: v.emulated_error for v in found.verdicts}
    assert 0.0 < errors["roundness after release"] < 0.02
    assert 0.0 < errors["marking"] < 0.05


def test_modulus_of_the_part_moves_roundness_as_1_over_e(setup: Assessment) -> None:
    """Stiffness of a linear body; the jaws' own modulus hardly matters to the shape of a thin ring."""
    one = Input("part_modulus", 0, "finish the bore", uniform(69e3, 71e3), "test")
    stated = setup.parts.jaw_material.modulus  # the part is of the same aluminium
    shares = np.array([0.97, 1.0, 1.03])
    found = judged(variants(setup, SolvedContact), batch(setup, [one], stated * shares[None, :]))
    round_ = found.value[:, found.column("roundness_after_release", "finish the bore")]
    assert round_[0] / round_[1] == pytest.approx(1.0 / 0.97, rel=0.01)
    assert round_[2] / round_[1] == pytest.approx(1.0 / 1.03, rel=0.01)


def test_usual_spreads_are_only_for_what_is_not_stated(setup: Assessment) -> None:
    stated = stated_inputs(setup)
    usual = usual_inputs(setup, stated)
    assert set(stated) <= set(usual)
    more = {one.name for one in usual} - {one.name for one in stated}
    assert more == {"jaw_modulus", "part_modulus", "diameter"}
    assert all(one.basis for one in usual)


@pytest.mark.parametrize(
    ("spread", "message"),
    [
        (
            {"kind": "normal", "standard_deviation": "2 bar"},
            "must stay above 0 bar, but reaches from -3.6 to 12.4 bar",
        ),
        (
            {"kind": "triangular", "low": "6 bar", "high": "8 bar"},
            "must rise, but the scenario states 4.4 bar",
        ),
    ],
)
def test_what_cannot_be_is_refused(
    spread: dict[str, Any], message: str, varied: Callable[..., Scenario]
) -> None:
    table = {"operations": [{"name": "finish the bore", "pressure": spread}]}
    with pytest.raises(ScenarioError, match=message):
        stated_inputs(assess(varied(NAME, {"uncertainty": table}), contact_model="foundation", advised=False))
