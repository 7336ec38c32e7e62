"""Where to stand between borders, on margins whose borders are known by hand: p over 2, 8 over p, 6 over p."""

from __future__ import annotations

import math

import numpy as np
import pytest

from sim.base.arrays import Floats
from sim.layouts.clear_of import CLEAR, farthest_inside

PLACES = np.linspace(1.0, 10.0, 9001)
RISING, FALLING = PLACES / 2.0, 8.0 / PLACES
NO_SOFT = np.zeros((0, PLACES.size))


def best(hard: list[Floats], soft: list[Floats]) -> float:
    found = farthest_inside(np.array(hard), np.array(soft).reshape(len(soft), PLACES.size))
    assert found is not None
    return float(PLACES[found])


def test_in_the_middle_of_two_borders() -> None:
    assert best([RISING, FALLING], []) == pytest.approx(4.0, abs=1e-3)


def test_clear_of_what_only_warns_where_that_can_be() -> None:
    """Over 3 it warns: as far inside of the rest as that leaves, with the margin that is kept from a warning."""
    assert best([RISING, FALLING], [3.0 / PLACES]) == pytest.approx(3.0 / CLEAR, abs=1e-3)
    assert best([RISING, FALLING], [6.0 / PLACES]) == pytest.approx(4.0, abs=1e-3)


def test_without_the_margin_where_only_that_cannot_be_kept() -> None:
    """Over 2.05 it warns, under 2 it slips."""
    assert best([RISING, FALLING], [2.05 / PLACES]) == pytest.approx(2.05, abs=2e-3)


def test_a_warning_that_cannot_be_had_away_moves_nothing() -> None:
    always = np.full(PLACES.size, 0.9)
    assert best([RISING, FALLING], [always]) == best([RISING, FALLING], [])
    assert best([RISING, FALLING], [always, 3.0 / PLACES]) == pytest.approx(3.0 / CLEAR, abs=1e-3)


def test_of_warnings_that_exclude_each_other_as_few_as_can_be() -> None:
    """Under 5 one warns, over 3 another does: between both warn, and on either side one does."""
    found = best([RISING, FALLING], [PLACES / 5.0, 3.0 / PLACES])
    assert not 3.01 < found < 4.99


@pytest.mark.parametrize("least", [1.0, 1.2])
def test_a_margin_that_is_alike_everywhere_leaves_it_to_the_next(least: float) -> None:
    """A speed limit decides at every pressure: the next least margin, not the sum of some, says where to stand."""
    alike, growing = np.full(PLACES.size, least), PLACES**3
    assert best([alike, RISING, FALLING, growing], []) == pytest.approx(4.0, abs=1e-3)


def test_where_nothing_tells_places_apart_in_their_middle() -> None:
    alike = np.where((PLACES >= 2.0) & (PLACES <= 6.0), 1.5, 0.5)
    assert best([alike], []) == pytest.approx(4.0, abs=2e-3)


def test_nowhere_where_something_fails_everywhere() -> None:
    assert farthest_inside(np.array([RISING, 1.9 / PLACES]), NO_SOFT) is None
    assert not math.isnan(best([RISING], []))
