"""Layouts side by side: every figure is that of its assessment, and the decision follows from the verdicts."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from sim.assessment.results import Assessment
from sim.assessment.stages import assess
from sim.layouts.comparison import MOST_REASONS, Comparison, compare
from sim.layouts.layout import Layout
from sim.scenario import Scenario

Judged = Callable[[str], Assessment]
HUB, PLUG, BLOCKED = "cast_hub_on_ring", "cast_hub_on_plug", "cast_hub_ring_blocks"
BONNET = "valve_bonnet"


@pytest.fixture(scope="module")
def bonnets(assessment: Judged) -> Comparison:
    return compare(
        [
            Layout("two steps", (assessment(f"{BONNET}_two_steps"),)),
            Layout("single", (assessment(f"{BONNET}_first_side"), assessment(f"{BONNET}_second_side"))),
        ]
    )


def row(found: Comparison, what: str, group: str = "jaws and boring") -> tuple[object, ...]:
    return next(r.values for r in found.rows if (r.what, r.group) == (what, group))


def test_figures_are_those_of_the_assessments(bonnets: Comparison) -> None:
    for place, layout in enumerate(bonnets.layouts):
        for _, figures in layout.operations:
            name = figures.operation.name
            assert row(bonnets, "grip at rest", name)[place] == figures.grip.rest_total / 1000.0
            assert row(bonnets, "roundness after release", name)[place] == figures.roundness
            assert row(bonnets, "held length", name)[place] == figures.zone.length
    assert row(bonnets, "jaw height") == (60.0, 45.0)
    assert row(bonnets, "fixture while boring") == ("plug", "ring")


def test_lower_single_jaws_grip_harder(bonnets: Comparison) -> None:
    """The same pressure at less height above the guideway: the raw flange sits 15 mm lower in its own set."""
    two, single = row(bonnets, "grip at rest", "first side")
    assert single > two  # type: ignore[operator]
    assert row(bonnets, "grip height", "first side") == pytest.approx((52.25, 37.25))


def test_two_steps_leave_less_wall(bonnets: Comparison) -> None:
    """The wide step leaves 18 mm of wall, a pocket of its own 20 mm; groove 2 mm, chamfer 1 mm."""
    assert row(bonnets, "held length", "second side") == pytest.approx((15.0, 17.0))


def test_every_verdict_of_every_layout_stands_in_the_table(bonnets: Comparison) -> None:
    for place, layout in enumerate(bonnets.layouts):
        shown = [r.cells[place] for r in bonnets.verdicts]
        for verdict in layout.verdicts:
            twins = [v for v in shown if v is not None and v.name == verdict.name]
            # of several sets' verdicts on jaws and boring the nearest to its limit stands for all
            assert any(v is verdict or v.margin <= verdict.margin for v in twins)
    asked_once = {r.name for r in bonnets.verdicts if None in r.cells}
    assert {"land between pockets", "one boring travel for all", "clear of the other step"} <= asked_once


def test_set_ups_and_margins_are_said(bonnets: Comparison) -> None:
    words = " ".join(bonnets.decision.reasons)
    assert "Set-ups: 5 in 'two steps'" in words
    assert "6 in 'single'" in words
    assert "held length, second side" in words


def test_a_layout_that_fails_is_never_first(assessment: Judged) -> None:
    """The ring in the bar's way fails whatever else is better; its sentence says what touches what."""
    found = compare([Layout("blocked", (assessment(BLOCKED),)), Layout("plug", (assessment(PLUG),))])
    assert found.decision.first == "plug"
    assert found.decision.reasons[0].startswith("'blocked' cannot be run as it is: ")
    assert "boring ring" in found.decision.reasons[0]
    assert found.any_fit
    assert not compare([Layout(n, (assessment(BLOCKED),)) for n in ("a", "b")]).any_fit


def test_alike_layouts_are_not_told_apart(assessment: Judged) -> None:
    found = compare([Layout(name, (assessment(HUB),)) for name in ("a", "b")])
    assert found.decision.first is None
    assert len(found.decision.reasons) == 1


def test_steel_against_aluminium(varied: Callable[..., Scenario], assessment: Judged) -> None:
    """Light jaws lose less grip by speed (2.7 instead of 7.85 g/cm3), so they may turn faster."""
    light = assess(varied(HUB, {"soft_jaw.material": "aluminium EN AW-6082-T6"}), contact_model="foundation")
    found = compare([Layout("steel", (assessment(HUB),)), Layout("aluminium", (light,))])
    steel, other = row(found, "permissible speed", "first side")
    assert other > steel  # type: ignore[operator]
    masses = row(found, "mass of one jaw")
    assert masses[1] / masses[0] == pytest.approx(2.7 / 7.85, rel=0.01)  # type: ignore[operator]
    assert sum(": margin" in r for r in found.decision.reasons) <= MOST_REASONS


def test_impossible_comparisons(assessment: Judged) -> None:
    one = Layout("a", (assessment(HUB),))
    with pytest.raises(ValueError, match="at least two"):
        compare([one])
    with pytest.raises(ValueError, match="different names"):
        compare([one, one])
