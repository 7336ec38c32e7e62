"""Bars of a path: which of several is judged, and where a warning ends; made-up bars, no path is cut."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import pytest

from sim.assessment.figures.path import BarFigures
from sim.assessment.verdict import Verdict
from sim.assessment.verdicts.bar import bar_verdicts

CLEARANCE = 1.5


def bar(name: str, shank: Any, diameter: float, reach: float, bend: float) -> BarFigures:
    return BarFigures(name, shank, diameter, reach, None, 0.0, 0.0, bend, 0.0)


def judged(*bars: BarFigures, clearance: float = CLEARANCE) -> dict[str, Verdict]:
    parts: Any = SimpleNamespace(scenario=SimpleNamespace(limits=SimpleNamespace(clearance=clearance)))
    path: Any = SimpleNamespace(bars=bars)
    return {v.key: v for v in bar_verdicts(parts, path, "boring")}


@pytest.mark.parametrize(
    ("shank", "usual", "most"), [("steel", 4.0, 6.0), ("carbide", 6.0, 9.0), ("damped steel", 10.0, 15.0)]
)
def test_slenderness_warns_from_practice_on_and_fails_half_as_much_beyond(
    shank: str, usual: float, most: float
) -> None:
    """4, 6 and 10 diameters (common practice, no source)."""
    for slender, status in (
        (0.99 * usual, "pass"), (1.01 * usual, "warn"), (0.99 * most, "warn"), (1.01 * most, "fail"),
    ):  # fmt: skip
        found = judged(bar("one", shank, 20.0, 20.0 * slender, 0.0))["bar_slenderness"]
        assert (found.status, found.limit) == (status, usual)
        assert found.value == pytest.approx(slender)


def test_of_several_bars_the_one_nearest_to_its_own_limit_counts() -> None:
    """A steel bar of 5 diameters is worse than one of carbide of 7; how far each bends is another question."""
    steel = bar("steel bar", "steel", 20.0, 100.0, 0.1)
    carbide = bar("carbide bar", "carbide", 20.0, 140.0, 0.3)
    for bars in ((steel, carbide), (carbide, steel)):
        found = judged(*bars)
        assert found["bar_slenderness"].message.startswith("steel bar")
        assert found["bar_slenderness"].value == pytest.approx(5.0)
        assert found["bar_bend"].message.startswith("carbide bar")
        assert found["bar_bend"].value == 0.3


@pytest.mark.parametrize(
    ("clearance", "bend", "status"),
    [
        (1.0, 0.49, "pass"), (1.0, 0.51, "warn"), (1.0, 0.99, "warn"), (1.0, 1.01, "fail"),
        # a wanted clearance beyond the usual 1.5 mm lets no bar bend farther
        (4.0, 0.74, "pass"), (4.0, 0.76, "warn"), (4.0, 1.49, "warn"), (4.0, 1.51, "fail"),
    ],
)  # fmt: skip
def test_half_of_the_clearance_is_left_to_the_bar(clearance: float, bend: float, status: str) -> None:
    assert judged(bar("one", "steel", 20.0, 60.0, bend), clearance=clearance)["bar_bend"].status == status


def test_without_a_bar_nothing_is_asked() -> None:
    assert judged() == {}
