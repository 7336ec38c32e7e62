"""Touches of several shapes together, against squares that are counted on a grid, and along roughing passes."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from hypothesis import example, given, settings
from hypothesis import strategies as st

from sim.clearance.check import clearance_of
from sim.clearance.together import may_touch, touch_together
from sim.clearance.tool import Tool, ToolPart
from sim.programs.path import Move

STEP = 2e-3  # mm; so a square of two steps is under the tolerance of 5e-3 mm, and one of three above it
SIDE = 24  # steps
Sides = tuple[int, int, int, int]


@st.composite
def rectangle(draw: st.DrawFn) -> Sides:
    low, bottom = (draw(st.integers(0, SIDE - 1)) for _ in range(2))
    return low, bottom, draw(st.integers(low + 1, SIDE)), draw(st.integers(bottom + 1, SIDE))


def filled(sides: Sides) -> np.ndarray:
    cells = np.zeros((SIDE, SIDE), dtype=bool)
    low, bottom, high, top = sides
    cells[low:high, bottom:top] = True
    return cells


def counted(image: Sides, shapes: list[Sides]) -> bool:
    """Tell whether three by three cells of the image lie in the shapes together."""
    cells = filled(image) & np.any([filled(one) for one in shapes], axis=0)
    return bool(np.lib.stride_tricks.sliding_window_view(cells, (3, 3)).all(axis=(2, 3)).any())


def box(sides: Sides) -> shapely.Polygon:
    return shapely.box(*(30.0 + STEP * np.array(sides)).tolist())


pairs = st.lists(
    st.tuples(rectangle(), st.lists(rectangle(), min_size=1, max_size=6)), min_size=1, max_size=4
)


@settings(max_examples=150, deadline=None)
@given(pairs)
@example([((0, 0, 24, 24), [(k, 0, k + 1, 24) for k in range(3)])])  # none alone, three side by side
@example(
    [((0, 0, 24, 24), [(0, 0, 2, 24)]), ((0, 0, 2, 24), [(0, 0, 24, 24)]), ((0, 0, 3, 3), [(0, 0, 3, 3)])]
)
def test_touches_are_those_of_all_shapes_together(drawn: list[tuple[Sides, list[Sides]]]) -> None:
    images = np.array([box(image) for image, _ in drawn], dtype=object)
    shapes = [(row, box(one)) for row, (_, some) in enumerate(drawn) for one in some]
    shapes = shapes[::-1]  # in no order
    of, each = np.array([row for row, _ in shapes]), np.array([one for _, one in shapes], dtype=object)
    expected = np.array([counted(image, some) for image, some in drawn])
    assert touch_together(images, of, each).tolist() == expected.tolist()
    assert may_touch(images, of, each)[expected].all()


def test_what_only_meets_along_an_edge_is_told_without_an_overlay() -> None:
    """A square beside one shape and along another's edge, and the same in metal by three steps of a 500th of a mm."""
    square, around = box((8, 8, 16, 16)), [(0, 0, 8, 24), (8, 16, 24, 24)]
    beside = np.array([box(one) for one in around], dtype=object)
    of = np.zeros(2, dtype=np.int64)
    assert not may_touch(np.array([square]), of, beside).any()
    assert may_touch(np.array([square, box((5, 8, 16, 16))]), of + 1, beside).tolist() == [False, True]


def test_nothing_touches_nothing() -> None:
    images = np.array([box((0, 0, 9, 9))], dtype=object)
    assert not touch_together(images, np.zeros(0, dtype=np.int64), images[:0]).any()
    assert not touch_together(images, np.zeros(1, dtype=np.int64), np.array([box((9, 0, 18, 9))])).any()


BAR = Tool(
    "pointed",
    (ToolPart("insert", "insert", np.array([(0.0, 0.0), (0.0, 5.0), (-5.0, 5.0), (-5.0, 0.0)])),),
    0.0,
)
STOCK = shapely.box(30.0, 0.0, 60.0, 40.0)


@pytest.mark.parametrize("pitch", [0.1, 0.004])
@pytest.mark.parametrize("early", [-0.02, 0.0, 0.02])
def test_a_rapid_move_off_a_pass_meets_the_next_one_or_does_not(early: float, pitch: float) -> None:
    """150 passes, each back along the wall that it has left; one goes back farther out, or farther in.

    What the thin ones take is each under the tolerance, and five of them together are not.
    """
    moves, at = [], (30.0, 42.0)
    for k in range(150):
        x = 30.1 + pitch * k
        back = x + (early if k == 77 else 0.0)
        for kind, end in (
            ("rapid", (x, 42.0)),
            ("feed", (x, 10.0)),
            ("rapid", (back, 11.0)),
            ("rapid", (back, 42.0)),
        ):
            moves.append(Move(kind, at, end, line=len(moves) + 1))
            at = end
    touches = clearance_of(moves, BAR, [], STOCK, None, 0.0).touches
    if early <= 0.0:
        assert not touches
    else:
        (touch,) = touches
        assert (touch.kind, touch.line, touch.count) == ("rapid contact", 4 * 77 + 3, 2)
        assert touch.depth == pytest.approx(early, abs=0.005)
