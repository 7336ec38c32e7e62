"""A part from a file in a setup: as good as its outline where it is turned, and judged by all it sweeps where not.

The files are written here by trimesh; centre of mass and unbalance by hand from the bodies that were put together.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import trimesh

from meshes.boolean import difference, union
from meshes.placement import placed, translation
from sim.assessment.results import Assessment
from sim.assessment.stages import assess
from sim.base.errors import ScenarioError
from sim.drawing.digest import scenario_digest
from sim.mechanics.balance import permissible_unbalance
from sim.scenario import Scenario
from sim.scenario.named_files import read_files
from sim.setup.surroundings import off_the_core
from sim.variants import judged, variants
from sim.views.web.watching import named_files

HUB = "cast_hub_on_ring"
OUTLINE = [(20.0, 0.0), (59.0, 0.0), (59.0, 26.0), (40.0, 26.0), (40.0, 58.0), (20.0, 58.0)]
SIDES = 128
DENSITY = 7.2e-6  # kg/mm3 of grey cast iron (EN 1561)
Of = Callable[..., Scenario]


def hub() -> trimesh.Trimesh:
    found = trimesh.creation.revolve(np.array([*OUTLINE, OUTLINE[0]]), sections=SIDES)
    found.merge_vertices()
    return found


def block(size: tuple[float, float, float], at: tuple[float, float, float]) -> trimesh.Trimesh:
    return placed(trimesh.creation.box(size), translation(*at))


@pytest.fixture
def of(varied: Callable[..., Scenario], tmp_path: Path) -> Of:
    """The hub with its part from a file, as a solid."""

    def read(solid: trimesh.Trimesh, changes: dict[str, Any] | None = None, **keys: Any) -> Scenario:
        file = tmp_path / "part.stl"
        solid.export(file)
        model = {"file": str(file), "unit": "mm", "chuck_end": "low", **keys}
        given = {"operations.0.workpiece": {
            "material": "cast iron GJL-250", "gripped_diameter_low": "117.90 mm", "gripped_diameter_high": "118.05 mm",
            "model": model,
        }}  # fmt: skip
        return varied(HUB, {**given, **(changes or {})})

    return read


def judged_quickly(scenario: Scenario) -> Assessment:
    return assess(scenario, contact_model="foundation")


def verdicts(assessment: Assessment) -> dict[tuple[str, str], Any]:
    return {(one.key, one.stage): one for one in assessment.verdicts}


def test_a_turned_part_from_a_file_is_judged_as_its_outline(
    of: Of, quickly_judged: Callable[[str], Assessment]
) -> None:
    scenario = of(hub())
    assert scenario.operations[0].workpiece.shape is not None
    assert scenario.operations[0].workpiece.shape.surface is None
    assert np.array(scenario.operations[0].workpiece.outline) == pytest.approx(np.array(OUTLINE), abs=1e-4)
    own, found = verdicts(quickly_judged(HUB)), verdicts(judged_quickly(scenario))
    assert own.keys() == found.keys()
    for key, verdict in own.items():
        assert found[key].status == verdict.status, key
        assert found[key].value == pytest.approx(verdict.value, rel=2e-3, abs=2e-3), key


def test_a_lug_weighs_sweeps_and_stands_in_the_way(of: Of) -> None:
    """A lug of 12 x 20 x 8 mm out of the collar, whose turning cut runs into it."""
    scenario = of(union([hub(), block((15.0, 20.0, 8.0), (44.5, 0.0, 50.0))]))
    assert scenario.operations[0].workpiece.shape is not None
    assert scenario.operations[0].workpiece.shape.surface is not None
    assessment = judged_quickly(scenario)
    found, (figures,) = verdicts(assessment), assessment.operations
    lugs = off_the_core(assessment.parts, 0)
    assert lugs is not None
    seat, reach = figures.zone.seat, math.hypot(52.0, 10.0)
    assert lugs.image.bounds == pytest.approx((40.1, seat + 46.0, reach, seat + 54.0), abs=0.03)
    assert found["cuts_clear_of_the_jaws", "first side"].status == "fail"
    assert "lugs of the part" in found["cuts_clear_of_the_jaws", "first side"].message
    # Beyond the circle: the block less what lies within radius 40, small circle segments by Pappus' strip by strip.
    y = np.linspace(-10.0, 10.0, 20001)
    inner = np.sqrt(40.0**2 - y**2)
    moment = 8.0 * np.trapezoid(0.5 * (52.0**2 - inner**2), y)
    unbalance = found["unbalance_of_the_part", "first side"]
    assert unbalance.value == pytest.approx(1e3 * DENSITY * moment, rel=0.01)
    assert unbalance.status == "pass"
    asked = [one for one in assessment.not_judged if "turned core" in one.why]
    assert len(asked) == 1
    assert asked[0].matters


def test_a_part_out_of_balance_and_too_wide_fails(of: Of) -> None:
    """An arm of 160 mm to one side; the limit falls as the speed rises (ISO 21940-11)."""
    arm = union([hub(), block((160.0, 20.0, 8.0), (115.0, 0.0, 50.0))])
    assessment = judged_quickly(of(arm, {"machine.swing_diameter": "380 mm"}))
    found = verdicts(assessment)
    assert found["swing", "first side"].status == "fail"
    assert found["swing", "first side"].value == pytest.approx(2.0 * math.hypot(195.0, 10.0), abs=0.05)
    unbalance = found["unbalance_of_the_part", "first side"]
    assert unbalance.status == "fail"
    ready = judged(variants(assessment), {"operations.0.gripping.speed_high": np.array([500.0, 1000.0])})
    column = ready.keys.index("unbalance_of_the_part")
    assert not ready.carried[column]
    assert ready.limit[:, column] == pytest.approx([2.0 * unbalance.limit, unbalance.limit], rel=1e-9)
    assert ready.value[:, column] == pytest.approx([unbalance.value] * 2, rel=1e-9)
    assert unbalance.limit > permissible_unbalance(3.0, 1000.0)


@pytest.mark.parametrize(
    ("off", "words"),
    [
        (block((20.0, 200.0, 200.0), (68.0, 0.0, 0.0)), "58"),  # a flat, 1 mm deep
        (
            block((40.0, 3.0, 4.0), (50.0, 0.0, 12.0)),
            "turned all around",
        ),  # a slot across the gripped surface
    ],
)
def test_what_is_not_round_where_it_is_gripped_is_refused(of: Of, off: trimesh.Trimesh, words: str) -> None:
    with pytest.raises(ScenarioError, match="where the jaws grip it") as told:
        of(difference(hub(), [off]))
    assert words in str(told.value)


def test_a_hole_off_the_axis_is_filled_in_the_core_and_missing_in_the_mass(of: Of) -> None:
    hole = placed(trimesh.creation.cylinder(4.0, 100.0, sections=64), translation(30.0, 0.0, 30.0))
    scenario = of(difference(hub(), [hole]))
    outline = scenario.operations[0].workpiece.outline
    assert np.array(outline) == pytest.approx(np.array(OUTLINE), abs=0.02)
    assessment = judged_quickly(scenario)
    drilled = 64 / 2.0 * math.sin(2.0 * math.pi / 64) * 16.0 * 58.0  # a prism of 64 sides
    found = verdicts(assessment)["unbalance_of_the_part", "first side"]
    assert found.value == pytest.approx(1e3 * DENSITY * drilled * 30.0, rel=0.01)


def test_the_file_is_watched_and_part_of_every_digest(of: Of, tmp_path: Path) -> None:
    one = of(hub())
    assert str(tmp_path / "part.stl") in [name for _, name in read_files(one)]
    before = scenario_digest(one)
    assert scenario_digest(of(hub())) == before
    small = hub()
    small.apply_scale((1.0, 1.0, 0.999))
    assert scenario_digest(of(small)) != before
    live = tmp_path / "live.toml"
    live.write_text('[operations.workpiece]\nmodel = { file = "none.step" }\n', encoding="utf-8")
    assert named_files(live) == (tmp_path / "none.step",)


@pytest.mark.parametrize(
    ("keys", "words"),
    [
        ({"unit": None}, "unit must be stated"),
        ({"file": "part.dxf"}, "axis must be x or y"),
        ({"file": "part.step"}, "unit must be left out"),
        ({"chuck_end": "left"}, "low"),
        ({"file": "none.stl"}, r"operations\[0\].workpiece.model: file none.stl cannot be read"),
    ],
)
def test_a_wrong_table_is_one_sentence(of: Of, keys: dict[str, Any], words: str) -> None:
    with pytest.raises(ScenarioError, match=words):
        of(hub(), {f"operations.0.workpiece.model.{key}": value for key, value in keys.items()})


def test_outline_and_model_exclude_each_other(varied: Callable[..., Scenario]) -> None:
    model = {"file": "a.step", "chuck_end": "low"}
    with pytest.raises(ScenarioError, match="exactly one of outline"):
        varied(HUB, {"operations.0.workpiece.model": model})
