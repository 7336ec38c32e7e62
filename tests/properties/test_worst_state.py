"""A worse input never improves the margin concerned: speeds, pressure, wall, out-of-round, masses of the jaws."""

from __future__ import annotations

import itertools
import os
from collections.abc import Callable
from dataclasses import replace
from functools import cache
from typing import Any

import pytest

from sim.assessment.clamping import prepared_contact
from sim.assessment.operation import grip_part
from sim.assessment.results import Assessment
from sim.assessment.stages import assess
from sim.assessment.verdicts.grip import grip_verdicts
from sim.assessment.verdicts.jaw import seat_verdicts
from sim.assessment.verdicts.part import part_verdicts
from sim.assessment.verdicts.running import running_verdicts
from sim.scenario import Scenario

HUB, HOUSING, THIN = "cast_hub_on_ring", "housing_gripped_inside", "thin_ring_distorts"
Margins = dict[str, float]
Judge = Callable[..., Margins]
DRAW_ALL = os.environ.get("CHUCKSCENE_DRAW") == "anew"
SLACK = 1e-6  # relative; linear programs end within their own tolerance


@pytest.fixture(scope="module")
def margins(assessment: Callable[[str], Assessment]) -> Judge:
    """Margins of the first operation by verdict, with some of its values replaced; solids and compliances are kept."""

    @cache
    def known(name: str) -> Any:
        judged = assessment(name)
        figures = judged.operations[0]
        return judged, prepared_contact(judged.parts, 0, figures.zone, "elastic")

    def judge(name: str, masses: tuple[float, ...] | None = None, **changed: float) -> Margins:
        judged, ready = known(name)
        scenario = judged.scenario
        operation = scenario.operations[0]
        work = {k: v for k, v in changed.items() if k == "out_of_round"}
        grip = {k: v for k, v in changed.items() if k not in work}
        operation = operation.model_copy(
            update={
                "gripping": operation.gripping.model_copy(update=grip),
                "workpiece": operation.workpiece.model_copy(update=work),
            }
        )
        update: dict[str, Any] = {"operations": (operation,)}
        if masses is not None:
            update["soft_jaw"] = scenario.soft_jaw.model_copy(update={"mass_differences": masses})
        parts = replace(judged.parts, scenario=scenario.model_copy(update=update))
        figures = grip_part(parts, 0, "elastic", ready)
        found = [
            *part_verdicts(parts, judged.boring, figures),
            *running_verdicts(parts, figures),
            *grip_verdicts(parts, figures),
            *seat_verdicts(parts, figures),
        ]
        return {v.name: v.margin for v in found}

    return judge


def some(*values: float) -> tuple[float, ...]:
    """Every second value and both ends; all of them by hand. An input that helps does so from end to end."""
    return values if DRAW_ALL else (*values[:-1:2], values[-1])


def improved(rows: list[Margins], names: set[str] | None = None) -> list[str]:
    """Names of verdicts whose margin grows from one row to the next."""
    return [
        f"{name}: {before[name]:g} to {after[name]:g}"
        for before, after in itertools.pairwise(rows)
        for name in (names or set(before))
        if after[name] > before[name] * (1.0 + SLACK)
    ]


@pytest.mark.parametrize("name", [HUB, HOUSING, THIN])
def test_a_higher_lowest_speed_improves_nothing(name: str, margins: Judge) -> None:
    """The part is clamped at rest, whatever the lowest speed that is cut at."""
    top = {HUB: 1000.0, HOUSING: 500.0, THIN: 900.0}[name]
    rows = [margins(name, speed_low=share * top, speed_high=top) for share in some(0.05, 0.3, 0.6, 0.8, 1.0)]
    assert improved(rows) == []


@pytest.mark.parametrize("name", [HUB, HOUSING])
def test_a_higher_highest_speed_improves_nothing(name: str, margins: Judge) -> None:
    """But for cuts that it keeps from their own speed: there is none at these speeds, so all verdicts are asked."""
    rows = [margins(name, speed_high=n) for n in some(600.0, 800.0, 1000.0, 1300.0, 2000.0)]
    assert improved(rows) == []


def test_speed_loads_what_grips_inside(margins: Judge) -> None:
    """Gripped inside each of these gets strictly worse by speed; holding and the least grip of a jaw get no credit."""
    slow, fast = (margins(HOUSING, speed_high=n) for n in (500.0, 1100.0))
    for name in (
        "largest grip", "guideway moment", "marking", "roundness after release", "jaw seat stays closed",
        "serrations", "stress against yield", "displacement against wall",
    ):  # fmt: skip
        assert fast[name] < 0.97 * slow[name], name
    for name in ("holding factor", "least grip of a jaw", "grip at rest"):
        assert fast[name] == pytest.approx(slow[name], rel=1e-9), name


@pytest.mark.parametrize("name", [HUB, HOUSING, THIN])
def test_more_pressure_improves_no_limit_of_load(name: str, margins: Judge) -> None:
    load = {
        "marking", "roundness after release", "stress against yield", "displacement against wall", "guideway moment",
        "largest grip", "jaw seat stays closed", "serrations",
    }  # fmt: skip
    rows = [margins(name, pressure=p) for p in some(0.3, 0.6, 1.0, 1.6, 2.2, 3.0)]
    assert improved(rows, load) == []


@pytest.mark.parametrize("name", [HUB, HOUSING])
def test_more_out_of_round_improves_neither_run_out_nor_marking(name: str, margins: Judge) -> None:
    rows = [margins(name, out_of_round=a) for a in (0.0, *some(0.01, 0.03, 0.06, 0.1, 0.2, 0.4))]
    assert improved(rows, {"run-out in the jaws", "marking", "loading clearance"}) == []
    shifts = [row["run-out in the jaws"] for row in rows]
    assert shifts == sorted(shifts, reverse=True)
    assert shifts[1] > 5.0 * shifts[-1]


@pytest.mark.parametrize("name", [HUB, HOUSING])
def test_a_heavier_jaw_improves_nothing(name: str, margins: Judge) -> None:
    rows = [margins(name, masses=(0.0, m, 0.0), out_of_round=0.02) for m in some(0.0, 0.02, 0.06, 0.2, 0.5)]
    assert improved(rows) == []
    assert rows[-1]["run-out in the jaws"] < rows[0]["run-out in the jaws"]


@pytest.mark.parametrize(
    ("model", "radii"),
    [("foundation", (30, 45, 54, 58, 60, 61, 61.9, 62.1, 62.5, 62.8)), ("elastic", (54, 60, 62.5))],
)
def test_a_thinner_wall_improves_nothing(
    model: Any, radii: tuple[float, ...], varied: Callable[..., Scenario]
) -> None:
    """Down to walls of a fifth of a millimetre, which once counted as none, and the part as solid."""
    rows = []
    for r in radii:
        outline = [[f"{r} mm", "0 mm"], ["63 mm", "0 mm"], ["63 mm", "30 mm"], [f"{r} mm", "30 mm"]]
        found = assess(
            varied(THIN, {"operations.0.workpiece.outline": outline}), contact_model=model, advised=False
        )
        rows.append({v.name: v.margin for v in found.verdicts})
        wall = found.operations[0].clamping.wall
        assert wall == pytest.approx(63.0 - r, abs=0.05)
    # Columns take no part's bending, so their marking does not know the wall.
    names = {"stress against yield", "displacement against wall", "roundness after release"}
    assert improved(rows, names) == []
