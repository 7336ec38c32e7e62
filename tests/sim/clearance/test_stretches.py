"""A path judged in stretches says what it says judged at once. Elementary, no source."""

from __future__ import annotations

import itertools

import numpy as np
import pytest
import shapely

from sim.clearance import cells, stretches, tiles
from sim.clearance.check import clearance_of
from sim.clearance.result import Body, ClearanceResult
from sim.clearance.sweep import along_path
from sim.clearance.tool import Tool, pieces
from sim.programs.path import Move

STOCK = shapely.box(40.0, 0.0, 70.0, 40.0)
WANTED = shapely.box(50.2, 0.0, 70.0, 30.0)
BODY = Body("ring", shapely.box(60.0, 39.0, 66.0, 48.0), "fixture")
TOOL = Tool(
    "tool",
    (
        *pieces("insert", "insert", [(-5.0, 0.2), (0.0, 0.0), (-1.0, 5.0)]),
        *pieces("plate", "holder", [(-9.0, 3.0), (1.2, 3.0), (1.2, 30.0), (-9.0, 30.0)], 0.0, 6.0),
        *pieces("bar", "shank", [(-9.0, 8.0), (-3.0, 8.0), (-3.0, 60.0), (-9.0, 60.0)]),
    ),
    0.0,
)


def random_path(seed: int) -> list[Move]:
    """Return passes with a rapid, an arc and a rapid off its line here and there."""
    rng = np.random.default_rng(seed)
    points = [tuple(one) for one in rng.uniform((42.0, 24.0), (56.0, 50.0), (70, 2)).tolist()]
    moves = []
    for k, (a, b) in enumerate(itertools.pairwise(points)):
        if k % 9 == 4:
            moves.append(Move("rapid", a, b, astray=True))
        elif k % 7 == 3:
            middle = (0.5 * (a[0] + b[0]), 0.5 * (a[1] + b[1]))
            moves.append(Move("feed", a, b, centre=middle))
        else:
            moves.append(Move("feed", a, b))
    return moves


def judged(moves: list[Move]) -> ClearanceResult:
    return clearance_of(moves, TOOL, [BODY], STOCK, WANTED, 1.0, depth_limit=2.0)


@pytest.mark.parametrize("in_pieces", [False, True])
@pytest.mark.parametrize("seed", range(3))
def test_a_path_in_stretches_says_the_same(
    seed: int, in_pieces: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Also where the stock goes on in pieces, as one of many corners does."""
    moves = random_path(seed)
    whole = judged(moves)
    assert len(whole.touches) > 3
    if in_pieces:
        monkeypatch.setattr(cells, "MOST", 12)
        monkeypatch.setattr(tiles, "MOST", 12)
        monkeypatch.setattr(tiles, "_WORTH", 0)
    monkeypatch.setattr(stretches, "STEPS", 90)
    assert len(list(stretches.stretches(along_path(moves, TOOL)))) > 3
    found = judged(moves)
    assert found.clearance == pytest.approx(whole.clearance, abs=1e-6)
    assert (found.part, found.body) == (whole.part, whole.body)
    assert found.approach == pytest.approx(whole.approach, abs=1e-6)
    assert found.removed == pytest.approx(whole.removed, abs=1e-6)
    assert found.depth_of_cut == pytest.approx(whole.depth_of_cut, abs=0.01)
    assert found.astray.tolist() == whole.astray.tolist()
    assert found.stock_left.symmetric_difference(whole.stock_left).area < 1e-6
    assert found.gouge_depth == pytest.approx(whole.gouge_depth, abs=1e-6)
    for one, other in zip(found.touches, whole.touches, strict=True):
        assert (one.kind, one.part, one.body, one.move, one.count) == (
            other.kind, other.part, other.body, other.move, other.count,
        )  # fmt: skip
        assert one.depth == pytest.approx(other.depth, abs=0.15)
        assert one.place == pytest.approx(other.place, abs=0.05)


def test_a_move_is_never_cut_in_two(monkeypatch: pytest.MonkeyPatch) -> None:
    """An arc of many chords stays in one stretch, and all moves are there once, in order."""
    moves = random_path(0)
    monkeypatch.setattr(stretches, "STEPS", 5)
    found = list(stretches.stretches(along_path(moves, TOOL)))
    assert [move for one in found for move in one.moves] == moves
    for one in found:
        assert np.unique(one.path.move).tolist() == list(range(len(one.moves)))
        assert one.path.starts[0].tolist() == list(one.moves[0].start)
        assert one.path.ends[-1].tolist() == list(one.moves[-1].end)


def test_a_path_without_a_move() -> None:
    assert judged([]).touches == ()
