"""Which section of its metal a body has: by hand for plates, bars and rings, and thicker never bears more."""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import sim
from sim.base import tables
from sim.scenario import Scenario
from sim.scenario.soft_jaw import SoftJaw
from sim.setup.parts import build
from sim.setup.sections import (
    CAST_ALLOWANCE,
    bar_section,
    cast_section,
    fixture_metal,
    jaw_metal,
    jaw_section,
    part_metal,
)

HUB, HOUSING, PLUG = "cast_hub_on_ring", "housing_gripped_inside", "cast_hub_on_plug"
BONNET, SECTORS = "valve_bonnet_two_steps", "thin_ring_in_sector_jaws"
Varied = Callable[..., Scenario]
Outline = tuple[tuple[float, float], ...]
C45 = "steel C45"


def block(inner: float, outer: float, length: float) -> Outline:
    return ((inner, 0.0), (outer, 0.0), (outer, length), (inner, length))


def yields(scenario: Scenario, index: int = 0) -> float:
    return part_metal(scenario, index).yield_strength


@pytest.mark.parametrize(
    ("outline", "wall"),
    [
        (
            block(0.0, 40.0, 300.0),
            40.0,
        ),  # a bar of 80 mm: volume over surface is d / 4, that of a plate t / 2
        (block(0.0, 100.0, 30.0), 30.0),  # a disc is a plate
        (block(54.0, 63.0, 30.0), 9.0),  # a ring
        (((0, 0), (90, 0), (90, 12), (30, 12), (30, 60), (0, 60)), 30.0),  # a hub on a thin flange
        # A hub as thick as its flange is thicker where they meet: (30 - R) sqrt(2) = R.
        (((0, 0), (90, 0), (90, 30), (30, 30), (30, 90), (0, 90)), 60.0 / (1.0 + math.sqrt(0.5))),
    ],
)
def test_the_thickest_wall_of_a_casting(outline: Outline, wall: float) -> None:
    assert cast_section(outline) - 2.0 * CAST_ALLOWANCE == pytest.approx(wall, abs=0.03)


def test_of_the_blank_the_middle_dimension(varied: Varied) -> None:
    """A bar has two of the three dimensions for its section: 30 x 50 or 30 x 81 or 50 x 81; at most 50 mm thick."""
    jaw = varied(HUB).soft_jaw
    for length, width, height in ((30.0, 50.0, 81.0), (81.0, 30.0, 50.0), (50.0, 81.0, 30.0)):
        blank = jaw.model_copy(update={"length": length, "width": width, "height": height})
        assert jaw_section(blank) == 50.0


@settings(max_examples=60, deadline=None)
@given(
    sizes=st.tuples(*3 * [st.floats(20.0, 200.0)]),
    more=st.tuples(*3 * [st.floats(0.0, 100.0)]),
    across=st.floats(10.0, 400.0),
    name=st.sampled_from([one.name for one in tables.materials() if one.yields]),
)
def test_a_larger_blank_part_or_fixture_never_bears_more(
    sizes: tuple[float, ...], more: tuple[float, ...], across: float, name: str
) -> None:
    """Through its yield strength alone: of the blank's middle dimension, of the bar of a part or fixture."""
    metal, blank = tables.material(name), SoftJaw.model_construct
    small, large = (
        jaw_section(blank(sector_angle=None, **dict(zip(("length", "width", "height"), three, strict=True))))
        for three in (sizes, [a + b for a, b in zip(sizes, more, strict=True)])
    )
    pairs = ((small, large), (bar_section(across), bar_section(across + more[0])))
    for thin, thick in pairs:
        assert metal.of_section(thick).yield_strength <= metal.of_section(thin).yield_strength


def test_a_sector_jaw_has_the_least(varied: Varied) -> None:
    scenario = varied(SECTORS)
    assert jaw_section(scenario.soft_jaw) == math.inf
    assert jaw_metal(scenario).yield_strength == tables.material(scenario.soft_jaw.material).yield_strength


def test_a_bar_a_tenth_thicker_than_part_and_fixture(varied: Varied) -> None:
    """EN 10083-2, C45 normalised: 305 MPa up to 100 mm, 275 over it; 90 mm is turned from 99, 91 mm from 100.1."""
    scenario = varied(HOUSING)
    (operation,) = scenario.operations
    for across, least in ((90.0, 305.0), (91.0, 275.0)):
        ring = scenario.boring.fixture.model_copy(update={"outer_diameter": across})
        assert fixture_metal(ring).yield_strength == least
        turned = {"material": C45, "outline": block(20.0, 0.5 * across, 60.0)}
        work = operation.workpiece.model_copy(update=turned)
        part = scenario.model_copy(update={"operations": (operation.model_copy(update={"workpiece": work}),)})
        assert yields(part) == least


def test_the_second_side_has_the_bar_of_the_first(varied: Varied) -> None:
    scenario = varied(BONNET)
    first, second = (o.workpiece.outline for o in scenario.operations)
    thicker = max(r for r, _ in first) * 2.0
    assert bar_section(thicker) > 100.0
    assert yields(scenario, 0) == yields(scenario, 1) == 275.0
    assert max(r for r, _ in second) <= max(r for r, _ in first)


def test_all_that_is_judged_takes_the_same_strength(varied: Varied) -> None:
    """The jaw's of `Parts`, which marks, screws, serrations, walls and the fixture's seat ask."""
    for name in (HUB, HOUSING, PLUG):
        scenario = varied(name)
        assert build(scenario).jaw_material == jaw_metal(scenario)
        assert jaw_metal(scenario).yield_strength < tables.material(C45).thin_yield_strength


@settings(max_examples=60, deadline=None)
@given(
    inner=st.floats(0.0, 80.0),
    wall=st.floats(2.0, 80.0),
    length=st.floats(5.0, 150.0),
    more=st.tuples(st.floats(0.0, 20.0), st.floats(0.0, 20.0)),
)
def test_more_metal_is_never_a_thinner_casting(
    inner: float, wall: float, length: float, more: tuple[float, float]
) -> None:
    thin = cast_section(block(inner, inner + wall, length))
    thick = cast_section(block(inner, inner + wall + more[0], length + more[1]))
    assert thick >= thin - 0.02
    grey = tables.material("cast iron GJL-250")
    assert grey.of_section(thick).yield_strength <= grey.of_section(thin - 0.02).yield_strength


def test_nothing_asks_the_table_for_a_strength() -> None:
    """Who needs one asks `sim.setup.sections`; `tables.material` is for stiffness, density and names."""
    of_table = re.compile(r"material\([^()]*(\([^()]*\))?[^()]*\)\.(yield_strength|of_section)")
    for file in Path(sim.__file__).parent.rglob("*.py"):
        if file.name != "sections.py":
            assert not of_table.search(file.read_text()), file
