"""It is told of layouts that can be run: one that fails has no merits, however much else of it holds."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from sim.assessment.results import Assessment
from sim.layouts.comparison import compare
from sim.layouts.layout import Layout
from sim.layouts.weighed import unlike, weighed

Judged = Callable[[str], Assessment]


def of(assessment: Judged, **names: str) -> list[Layout]:
    return [Layout(name, (assessment(file),)) for name, file in names.items()]


def test_the_ring_takes_a_set_up_less_and_the_plug_has_more_to_spare(assessment: Judged) -> None:
    found = compare(of(assessment, ring="cast_hub_on_ring", plug="cast_hub_on_plug"))
    apart = [[v.margin for v in line.cells if v is not None] for line in unlike(found)]
    assert all(max(pair) > 1.1 * min(pair) for pair in apart)
    more = sum(min(plug, 20.0) > min(ring, 20.0) for ring, plug in apart)
    assert 2 * more > len(apart)
    assert weighed(found) == (
        f"To be weighed: plug has most to spare in {more} of {len(apart)} verdicts that differ; "
        "ring takes 1 set-up less"
    )


@pytest.mark.parametrize("bad", ["cast_hub_ring_blocks", "cast_hub_gauged"])
def test_a_layout_that_fails_is_never_named(assessment: Judged, bad: str) -> None:
    names = {"bad": bad, "ring": "cast_hub_on_ring", "plug": "cast_hub_on_plug"}
    found = compare(of(assessment, **names))
    assert found.layouts[0].status == "fail"
    assert "bad" not in weighed(found)
