"""A block's rows beside the whole assessment of each edited file."""

from __future__ import annotations

import io
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pyarrow.parquet as pq
import pytest

from sim.assessment.results import Assessment
from sim.assessment.stages import assess
from sim.base.errors import ScenarioError
from sim.scenario import Scenario
from sim.studies.judging import Finished, Wanting, judge_block, solve_nodes
from sim.studies.plan import Block, blocks
from sim.studies.preparing import Prepared
from sim.studies.rows import plain
from sim.variants import holding
from sim.variants.contact import TOLERANCE

ROUGH = 2.0 * max(TOLERANCE, holding.TOLERANCE)
SLOW = """
[[vary]]
key = "soft_jaw.height"
values = ["50 mm", "25 mm", "60 mm"]
"""


def table(study: Prepared, block: Block) -> list[dict[str, Any]]:
    case = study.cases[block.case]
    first = judge_block(case, block, None)
    if isinstance(first, Wanting):
        given = {
            geometry: solve_nodes(case, block, geometry, nodes).values
            for geometry, nodes in first.nodes.items()
            if nodes
        }
        first = judge_block(case, block, given)
    assert isinstance(first, Finished)
    rows: list[dict[str, Any]] = pq.read_table(io.BytesIO(first.content)).to_pylist()
    assert first.summary.count == len(rows) == block.count
    return rows


def whole(varied: Callable[..., Scenario], row: dict[str, Any], extra: dict[str, Any]) -> Assessment | str:
    changes = {
        "operations.0.gripping.pressure": f"{row['operations.0.gripping.pressure_MPa']!r} MPa",
        "operations.0.gripping.speed_high": f"{row['operations.0.gripping.speed_high_rpm']!r} rpm",
        "chuck.guideway_friction": row["chuck.guideway_friction"],
        **extra,
    }
    try:
        return assess(varied("cast_hub_on_ring", changes), contact_model="foundation")
    except ScenarioError as error:
        return str(error)


def differences(row: dict[str, Any], found: Assessment, share: float) -> list[str]:
    wrong = []
    for verdict in found.verdicts:
        start = f"{plain(verdict.stage)}.{plain(verdict.name)}"
        unit = f"_{plain(verdict.unit)}" if verdict.unit else ""
        value = row[f"{start}.value{unit}"]
        near = abs(verdict.value - verdict.limit) <= share * abs(verdict.limit)
        if abs(value - verdict.value) > share * abs(verdict.value) + 1e-3:
            wrong.append(f"{start}: {value}, check finds {verdict.value}")
        if row[f"{start}.status"] != verdict.status and not near:
            wrong.append(f"{start}: {row[f'{start}.status']}, check says {verdict.status}")
    return wrong


def test_rows_are_what_check_says(
    ready: Callable[[str], Prepared], small: str, varied: Callable[..., Scenario]
) -> None:
    study = ready(small)
    rows = [row for block in blocks(study.cases) for row in table(study, block)]
    assert [row["variant"] for row in rows] == list(range(72))
    assert all(row["from_shared_solutions"] for row in rows)
    refused = [row for row in rows if row["status"] == "refused"]
    made = [row for row in rows if row["status"] != "refused"]
    assert {round(row["operations.0.gripping.pressure_MPa"], 9) for row in made} == {1.2, 2.0}
    assert any("above the pressure limit" in row["refusal"] for row in refused)
    below = [row for row in refused if row["chuck.guideway_friction"] < 0.0]
    assert below
    assert all("must be greater than or equal to 0" in row["refusal"] for row in below)
    for row in (refused[0], below[0]):
        assert isinstance(whole(varied, row, {}), str)
        assert row["least_margin"] is None
    for row in (made[0], made[-1]):
        found = whole(varied, row, {})
        assert isinstance(found, Assessment)
        assert differences(row, found, ROUGH) == []
        assert row["status"] == found.status
        f = found.operations[0]
        assert row["first_side.grip_at_rest_N"] == pytest.approx(f.grip.rest_total, rel=1e-9)
        assert row["first_side.needed_grip_N"] == pytest.approx(f.grip.needed_total, rel=ROUGH)
        least = min(h.factor for h in f.holdings)
        assert row["first_side.least_holding_factor"] == pytest.approx(least, rel=ROUGH, abs=1e-6)


def test_a_geometry_that_varies_is_assessed_one_by_one(
    ready: Callable[[str], Prepared], small: str, varied: Callable[..., Scenario]
) -> None:
    """Three heights; one cannot be built, and says so in its row."""
    text = small.replace("samples = 8", "samples = 1").replace('"12 bar", "20 bar", "40 bar"', '"20 bar"')
    text = text.replace('low = "600 rpm"', 'low = "1100 rpm"')
    study = ready(text + SLOW)
    (case,) = study.cases
    assert (case.together, case.shared, case.geometries) == (False, 2, 3)
    (block,) = blocks(study.cases)
    rows = table(study, block)
    assert [row["soft_jaw.height_mm"] for row in rows] == [50.0, 25.0, 60.0] * 2
    assert [row["status"] == "refused" for row in rows] == [False, True, False] * 2
    assert "counterbore" in rows[1]["refusal"]
    assert not any(row["from_shared_solutions"] for row in rows)
    found = whole(varied, rows[2], {"soft_jaw.height": "60 mm"})
    assert isinstance(found, Assessment)
    assert differences(rows[2], found, 1e-9) == []


def test_many_variants_of_each_geometry_are_judged_together(
    ready: Callable[[str], Prepared], small: str, varied: Callable[..., Scenario]
) -> None:
    """A key that changes solids makes groups; a group that cannot be built as it stands is refused row by row."""
    text = small.replace('"12 bar", "20 bar", "40 bar"', '"20 bar"').replace("samples = 8", "samples = 3")
    study = ready(text + SLOW)
    (case,) = study.cases
    assert (case.together, case.shared, case.geometries) == (True, 3 * 3, 3)
    rows = [row for block in blocks(study.cases) for row in table(study, block)]
    tall = [row for row in rows if row["soft_jaw.height_mm"] == 60.0]
    low = [row for row in rows if row["soft_jaw.height_mm"] == 25.0]
    assert low
    assert {row["status"] for row in low} == {"refused"}
    row = next(row for row in tall if row["status"] != "refused")
    assert row["from_shared_solutions"]
    found = whole(varied, row, {"soft_jaw.height": "60 mm"})
    assert isinstance(found, Assessment)
    assert differences(row, found, ROUGH) == []


def test_a_process_does_not_mistake_an_edited_scenario_for_the_earlier_one(
    ready: Callable[[str], Prepared], small: str, root: Path, tmp_path: Path
) -> None:
    """Workers of a cluster live on from study to study."""
    scenario = tmp_path / "hub.toml"
    text = (root / "scenarios" / "cast_hub_on_ring.toml").read_text(encoding="utf-8")
    mine = small.replace(str(root / "scenarios" / "cast_hub_on_ring.toml"), "hub.toml")
    mine = mine.replace('"12 bar", "20 bar", "40 bar"', '"20 bar"').replace("samples = 8", "samples = 3")
    swings = []
    for limit in ("400 mm", "420 mm"):
        scenario.write_text(
            text.replace('swing_diameter = "400 mm"', f'swing_diameter = "{limit}"'), encoding="utf-8"
        )
        study = ready(mine)
        swings.append(table(study, blocks(study.cases)[0])[-1]["first_side.swing.limit_mm"])
    assert swings == [400.0, 420.0]


def test_every_block_has_the_same_columns(ready: Callable[[str], Prepared], small: str, root: Path) -> None:
    """Scenarios with other operations and verdicts leave columns empty, they do not take or add any."""
    text = small.replace("cast_hub_on_ring.toml", 'cast_hub_on_ring.toml", "{s}/valve_bonnet_two_steps.toml')
    study = ready(text.replace("{s}", str(root / "scenarios")).replace("samples = 8", "samples = 2"))
    cut = blocks(study.cases)
    first, last = table(study, cut[0]), table(study, cut[-1])
    assert list(first[0]) == list(last[0])
    assert first[0]["second_side.swing.status"] is None
    made = [row for row in last if row["status"] != "refused"]
    assert all(row["second_side.swing.value_mm"] > 0.0 for row in made)
    assert np.isfinite([row["least_margin"] for row in made]).all()
