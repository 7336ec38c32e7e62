"""Set-ups counted by hand, metal weighed against volumes, the margin that counts."""

from __future__ import annotations

import math
from collections.abc import Callable

import pytest

from sim.assessment.results import Assessment
from sim.assessment.verdict import Verdict
from sim.layouts.layout import (
    Layout,
    closest,
    counted,
    jaw_mass,
    least_margin,
    metal_left,
    metal_removed,
    set_ups,
)

Judged = Callable[[str], Assessment]


def verdict(name: str, status: str, value: float, limit: float = 1.0) -> Verdict:
    key = name.replace(" ", "_")
    return Verdict(key, name, "boring", status, value, limit, "", "a rule", "found.", "change.")  # type: ignore[arg-type]


def test_set_ups_of_two_steps_and_of_single_sets(assessment: Judged) -> None:
    """A plug stands in a seat that is bored first; a ring is put on and bored once."""
    two = Layout("two steps", (assessment("valve_bonnet_two_steps"),))
    single = Layout("single", (assessment("valve_bonnet_first_side"), assessment("valve_bonnet_second_side")))
    assert (set_ups(two).jaw_sets, set_ups(two).boring, set_ups(two).clampings) == (1, 2, 2)
    assert (set_ups(single).jaw_sets, set_ups(single).boring, set_ups(single).clampings) == (2, 2, 2)
    assert (set_ups(two).total, set_ups(single).total) == (5, 6)
    assert [f.operation.name for _, f in single.operations] == ["first side", "second side"]


def test_metal_removed_is_a_ring_sector(assessment: Judged) -> None:
    """Between the inner end at 42 mm and 59 mm, 23 mm deep, over the jaw's 50 mm: chord times depth, by the circle.

    The area beside a chord of half width h under a circle of radius R, from x = 42: h sqrt(R^2-h^2) + R^2 asin(h/R)
    - 84 h. Groove and chamfer take 2 to 3 cm3 more or less; the blank's screws stand outside.
    """
    hub = assessment("cast_hub_on_ring")
    assert hub.parts.place.bored == 42.0
    half, radius = 25.0, 59.0
    area = half * math.sqrt(radius**2 - half**2) + radius**2 * math.asin(half / radius) - 2.0 * 42.0 * half
    assert metal_removed(hub) == pytest.approx(1e-3 * 23.0 * area, rel=0.02)


def test_mass_is_volume_times_density(assessment: Judged) -> None:
    hub = assessment("cast_hub_on_ring")
    assert jaw_mass(hub) == pytest.approx(7.85e-6 * hub.parts.bored.volume, rel=1e-6)


def test_metal_left_is_that_of_the_worst_pocket(assessment: Judged) -> None:
    assert metal_left(assessment("valve_bonnet_two_steps")).pocket == "spigot step"


def test_a_stated_value_on_its_limit_takes_no_margin() -> None:
    """7 bar on a ring that may get 7 bar is no nearer to failing than 5 bar; 8 bar fails."""
    on_limit = verdict("boring ring pressure", "pass", 1.0)
    real = verdict("tool clearance", "pass", 1.4)
    assert counted((on_limit, real)) == (real,)
    assert least_margin((on_limit, real)) == pytest.approx(1.4)
    over = verdict("boring ring pressure", "warn", 0.9)
    assert closest((over, real)) is over
    assert least_margin((on_limit,)) == math.inf


def test_a_failing_verdict_is_nearest_whatever_its_margin() -> None:
    failing, near = verdict("swing", "fail", 0.9), verdict("marking", "warn", 0.5)
    assert closest((near, failing)) is failing
    with pytest.raises(ValueError, match="empty"):
        closest(())
