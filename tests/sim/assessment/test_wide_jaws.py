"""Jaws wider than their master jaws: what they gain a thin ring, what they cost, what their free sides must bear."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

import pytest

from sim.assessment.jaws import top_jaw
from sim.assessment.results import Assessment
from sim.assessment.stages import assess
from sim.assessment.verdict import Verdict
from sim.layouts.comparison import compare
from sim.layouts.layout import Layout
from sim.scenario import Scenario

SECTORS, BLOCKS = "thin_ring_in_sector_jaws", "thin_ring_distorts"
Varied = Callable[..., Scenario]


def one(found: Assessment, key: str) -> Verdict:
    (chosen,) = (v for v in found.verdicts if v.key == key)
    return chosen


def test_sector_jaws_are_the_thin_rings_remedy(assessment: Callable[[str], Assessment]) -> None:
    """One pressure, one ring: what is squeezed three-lobed falls to under a quarter, and nothing else fails instead."""
    blocks, sectors = assessment(BLOCKS), assessment(SECTORS)
    assert one(blocks, "roundness_after_release").status == "fail"
    assert {v.status for v in sectors.verdicts} == {"pass"}
    assert sectors.scenario.operations == blocks.scenario.operations
    figures = [found.operations[0] for found in (blocks, sectors)]
    assert figures[1].roundness < 0.25 * figures[0].roundness
    assert figures[1].clamping.band_peak < 0.6 * figures[0].clamping.band_peak


def test_what_sector_jaws_cost_is_told(assessment: Callable[[str], Assessment]) -> None:
    """They are heavier by their volume, and so lose more grip at speed; at rest, lower, they grip a little more."""
    blocks, sectors = assessment(BLOCKS), assessment(SECTORS)
    half, tip = math.radians(59.5), 45.0
    apex = tip / math.tan(half)
    plan = half * (81.0 + apex) ** 2 - tip * apex
    found = [top_jaw(one.parts).mass for one in (blocks, sectors)]
    # A piece of a disc instead of 81 x 50 mm, 45 instead of 50 mm high; bore and holes take more of a block.
    assert 1.0 < found[1] / found[0] / (plan * 45.0 / (81.0 * 50.0 * 50.0)) < 1.3
    grips = [one.operations[0].grip for one in (blocks, sectors)]
    lost = [g.rest_total - g.high_speed_total for g in grips]
    assert lost[1] > 1.25 * lost[0]
    assert one(sectors, "spindle_speed").margin < one(blocks, "spindle_speed").margin


def test_compare_shows_what_wide_jaws_gain(assessment: Callable[[str], Assessment]) -> None:
    names = ("blocks", "sectors")
    layouts = [Layout(n, (assessment(s),)) for n, s in zip(names, (BLOCKS, SECTORS), strict=True)]
    found = compare(layouts)
    rows = {row.what: row for row in found.rows}
    arc, spread = rows["arc held by a jaw"], rows["grip of a jaw on 1 mm of its arc"]
    # Blocks of 50 mm less two chamfers of 1 mm hold 2 asin(24 / 63); a third of the grip stands on that arc.
    assert arc.values[0] == pytest.approx(2.0 * math.degrees(math.asin(24.0 / 62.9925)), abs=0.01)
    assert isinstance(arc.values[1], float)
    assert 90.0 < arc.values[1] < 119.0
    rest = layouts[0].sets[0].operations[0].grip.rest_total / 3.0
    assert spread.values[0] == pytest.approx(rest / (62.9925 * math.radians(float(arc.values[0]))), rel=1e-6)
    assert float(spread.values[1] or 0.0) < 0.55 * float(spread.values[0] or 0.0)
    assert found.decision.first == "sectors"


def test_advice_names_wide_jaws_until_the_jaws_are_wide(
    varied: Varied, assessment: Callable[[str], Assessment]
) -> None:
    narrow = one(assessment(BLOCKS), "roundness_after_release")
    assert "sector jaws" in narrow.advice
    tight = varied(SECTORS, {"operations.0.roundness_limit": "1 um", "soft_jaw.tip_width": "60 mm"})
    wide = one(assess(tight, contact_model="foundation"), "roundness_after_release")
    assert wide.status == "fail"
    assert "sector jaws" not in wide.advice


@pytest.mark.parametrize(("name", "status"), [(BLOCKS, "pass"), (SECTORS, "fail")])
def test_a_thin_floor_bends_where_nothing_lies_under_it(varied: Varied, name: str, status: str) -> None:
    """On its master jaw a floor of 6 mm carries a block's wall; beside it, it bends as a plate as wide as the face.

    26 bar grip with 22 kN a jaw, 20 mm above the floor's middle: 6 F h / (yield w) is more than 6 mm squared.
    """
    height = 50.0 if name == BLOCKS else 45.0
    changes: dict[str, Any] = {
        "pockets.0.depth": f"{height - 6.0} mm",
        "operations.0.workpiece.outline": [
            ["54 mm", "0 mm"],
            ["63 mm", "0 mm"],
            ["63 mm", "50 mm"],
            ["54 mm", "50 mm"],
        ],
        "operations.0.gripping.pressure": "26 bar",
    }
    found = one(assess(varied(name, changes), contact_model="foundation"), "wall_behind_the_face")
    assert found.status == status
    if status == "fail":
        assert found.value == pytest.approx(6.0)
        assert "stands free beside its master jaw" in found.message
