"""The fixed grid: exact at its points, linear between them, whatever was asked before."""

from __future__ import annotations

import numpy as np
import pytest

from sim.variants.table import Axis, GridTable


def table(calls: list[tuple[float, ...]] | None = None) -> GridTable:
    def node(at: tuple[float, ...]) -> np.ndarray:
        if calls is not None:
            calls.append(at)
        return np.array([at[0] * at[1], at[0] + at[1]])

    return GridTable((Axis("linear", 0.5), Axis("log", 0.25, 2.0)), node, 2)


@pytest.mark.parametrize(
    "axis",
    [Axis("sinh", 0.1, 3.0), Axis("log", 0.1, 2.0), Axis("linear", 0.2, 5.0)],
    ids=["sinh", "log", "linear"],
)
def test_places_and_coordinates_are_inverse(axis: Axis) -> None:
    for steps in (-7, 0, 12):
        assert axis.place(np.array([axis.at(steps)]))[0] == pytest.approx(steps, abs=1e-9)


def test_what_is_linear_is_exact() -> None:
    axes = (Axis("linear", 0.5), Axis("linear", 0.3))
    exact = GridTable(axes, lambda at: np.array([2.0 + 3.0 * at[0] - at[1]]))
    points = np.random.default_rng(1).uniform(-4.0, 4.0, (50, 2))
    assert exact(points)[:, 0] == pytest.approx(2.0 + 3.0 * points[:, 0] - points[:, 1])


def test_the_error_falls_with_the_square_of_the_step() -> None:
    points = np.linspace(0.9, 7.3, 400)[:, None]
    steps, errors = (0.4, 0.2, 0.1, 0.05), []
    for step in steps:
        curve = GridTable((Axis("log", step),), lambda at: np.array([at[0] ** 1.5]))
        errors.append(np.abs(curve(points)[:, 0] - points[:, 0] ** 1.5).max())
    rate = np.polyfit(np.log(steps), np.log(errors), 1)[0]
    assert rate == pytest.approx(2.0, abs=0.2)


def test_a_point_is_computed_once_and_answers_do_not_depend_on_the_company() -> None:
    calls: list[tuple[float, ...]] = []
    mine = table(calls)
    points = np.column_stack([np.linspace(0.1, 1.4, 9), np.linspace(2.1, 5.0, 9)])
    whole = mine(points)
    count = len(calls)
    assert len(set(calls)) == count == mine.size
    assert np.array_equal(mine(points), whole)
    assert len(calls) == count
    fresh = table()
    for row in reversed(range(9)):
        assert np.array_equal(fresh(points[row : row + 1])[0], whole[row])


def test_a_point_of_the_grid_asks_for_no_other() -> None:
    calls: list[tuple[float, ...]] = []
    assert table(calls)(np.array([[1.5, 2.0]]))[0] == pytest.approx([3.0, 3.5])
    assert len(calls) == 1
    table(calls)(np.array([[1.5, 2.1], [2.0, 2.1]]))
    assert len(calls) == 1 + 2 + 2
