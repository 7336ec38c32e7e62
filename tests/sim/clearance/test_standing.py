"""The tool standing on its path: its least distance over the places of a move is what the check says of the move."""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable

import numpy as np
import pytest
import shapely
from how_many import how_many

from sim.assessment.results import Assessment
from sim.clearance.standing import along_move, point_on, standing, standing_at, standings, track
from sim.programs.path import Move

SAMPLED = 0.02  # mm; places are looked at every half millimetre, the check looks at whole moves


def test_least_over_a_move_is_its_clearance(
    scenario_name: str, quickly_judged: Callable[[str], Assessment]
) -> None:
    boring = quickly_judged(scenario_name).boring
    on = track(boring.moves, boring.tool, boring.bodies, boring.stock)
    checked = boring.clearance.clearance
    rng = np.random.default_rng(3)
    chosen = {
        int(checked.argmin()),
        *rng.choice(len(boring.moves), how_many("moves of a path stood on"), replace=False).tolist(),
    }
    for number in chosen - {t.move for t in boring.clearance.touches}:
        if checked[number] == 0.0:
            continue  # the place of a touch may be missed between two places
        move = boring.moves[number]
        gone = math.dist(move.start, move.end)
        places = [
            standing_at(on, number, point_on(move, g)) for g in np.linspace(0.0, gone, int(gone / 0.5) + 2)
        ]
        least = min(places, key=lambda s: s.distance)
        assert least.distance == pytest.approx(checked[number], abs=SAMPLED)
        assert least.body == boring.clearance.body[number]


def test_ends_are_as_far_apart_as_said(
    scenario_name: str, quickly_judged: Callable[[str], Assessment]
) -> None:
    boring = quickly_judged(scenario_name).boring
    on = track(boring.moves, boring.tool, boring.bodies, boring.stock)
    for position in np.linspace(0.0, on.length, 9):
        found = standing(on, float(position))
        assert found.ends is not None
        assert math.dist(*found.ends) == pytest.approx(found.distance, abs=1e-9)


def test_first_touch_is_found_where_the_check_has_it(quickly_judged: Callable[[str], Assessment]) -> None:
    boring = quickly_judged("cast_hub_ring_blocks").boring
    touch = boring.clearance.first_touch
    assert touch is not None
    on = track(boring.moves, boring.tool, boring.bodies, boring.stock)
    deeper = point_on(
        boring.moves[touch.move], math.dist(boring.moves[touch.move].start, touch.tool_at) + 0.1
    )
    found = standing_at(on, touch.move, deeper)
    assert (found.distance, found.part, found.body) == (0.0, touch.part, touch.body)


def test_the_stock_goes_as_the_tip_runs(quickly_judged: Callable[[str], Assessment]) -> None:
    boring = quickly_judged("valve_bonnet_two_steps").boring
    on = track(boring.moves, boring.tool, boring.bodies, boring.stock)
    areas = [float(shapely.area(s)) for s in on.stock]
    assert areas[0] == pytest.approx(boring.stock.area)
    assert all(b <= a + 1e-9 for a, b in itertools.pairwise(areas))
    assert areas[-1] == pytest.approx(boring.clearance.stock_left.area, rel=1e-4)


def test_a_place_runs_along_lines_and_arcs() -> None:
    """A quarter turn of 10 mm radius is 5 pi long; half of it ends at 45 deg."""
    quarter = Move("feed", (10.0, 0.0), (0.0, 10.0), centre=(0.0, 0.0), clockwise=True)
    half = point_on(quarter, 2.5 * math.pi)
    assert half == pytest.approx((10.0 * math.sqrt(0.5), 10.0 * math.sqrt(0.5)), abs=2e-3)
    line = Move("rapid", (1.0, 2.0), (4.0, 6.0))
    assert point_on(line, 2.5) == pytest.approx((2.5, 4.0))
    assert point_on(line, 99.0) == pytest.approx((4.0, 6.0))


def test_positions_are_held_within_the_path(quickly_judged: Callable[[str], Assessment]) -> None:
    boring = quickly_judged("cast_hub_on_plug").boring
    on = track(boring.moves, boring.tool, boring.bodies, boring.stock)
    assert standing(on, -5.0).tip == pytest.approx(boring.moves[0].start)
    assert standing(on, 1e9).tip == pytest.approx(boring.moves[-1].end)
    with pytest.raises(ValueError, match="finite position"):
        standing(on, math.nan)
    with pytest.raises(ValueError, match="needs a move"):
        standing(track((), boring.tool, boring.bodies, boring.stock), 0.0)


def test_many_places_are_what_each_is_alone(quickly_judged: Callable[[str], Assessment]) -> None:
    boring = quickly_judged("cast_hub_ring_blocks").boring
    on = track(boring.moves, boring.tool, boring.bodies, boring.stock)
    positions = [float(p) for p in np.linspace(0.0, on.length, 37)]
    found = standings(on, positions)
    assert found == tuple(standing(on, p) for p in positions)
    assert {one.distance == 0.0 for one in found} == {True, False}
    number = found[5].move
    assert along_move(on, number, [0.0, 0.3])[1] == standing_at(
        on, number, point_on(on.moves[number], 0.3), 0.3
    )
