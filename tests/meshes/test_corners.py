"""Corners as they are stated: what breaks them, and what does not fit."""

from __future__ import annotations

import math
import re

import numpy as np
import pytest

from meshes.corners import Corner, WrongCornersError, sides_of
from meshes.sides import Line, chords

RING = [Corner(20.0, 0.0), Corner(50.0, 0.0), Corner(50.0, 30.0), Corner(20.0, 30.0)]
RING_VOLUME = math.pi * (50.0**2 - 20.0**2) * 30.0


def ring(**shaped: float | bool) -> list[Corner]:
    """Return a ring of 40 and 100 mm whose outside runs on an arc."""
    return [*RING[:2], Corner(50.0, 30.0, **shaped), RING[3]]  # type: ignore[arg-type]


def test_a_chamfer_has_its_leg_along_both_sides() -> None:
    sides = sides_of([*RING[:2], Corner(50.0, 30.0, chamfer=3.0), RING[3]])
    assert all(isinstance(side, Line) for side in sides)
    wanted = [(20.0, 0.0), (50.0, 0.0), (50.0, 27.0), (47.0, 30.0), (20.0, 30.0)]
    assert np.allclose(chords(sides), wanted)
    slant = [Corner(10.0, 0.0), Corner(30.0, 0.0, chamfer=2.0), Corner(20.0, math.sqrt(300.0))]
    cut = [side for side in sides_of(slant) if isinstance(side, Line)][1]
    assert cut.length == pytest.approx(2.0)  # 60 degrees: as long as its legs


@pytest.mark.parametrize(
    ("corners", "told"),
    [
        (
            ring(arc=14.9),
            r"corner 3: arc must be at least 15 mm, half the way from the corner before, found 14.9 mm",
        ),
        (
            [Corner(20.0, 0.0), Corner(50.0, 0.0), Corner(50.0, 0.0, arc=3.0), Corner(20.0, 30.0)],
            r"corner 3: arc must run between two corners that stand apart",
        ),
        (
            ring(radius=31.0),
            r"corner 3: radius must fit on its sides: it takes 31 mm of 30 mm that the side has",
        ),
        (
            [RING[0], Corner(50.0, 0.0, radius=16.0), Corner(50.0, 30.0, chamfer=16.0), RING[3]],
            r"corner 2: radius must fit on its sides: it takes 16 mm of 14 mm that the blend at its other end leaves; "
            r"corner 3: chamfer",
        ),
        (
            [
                Corner(20.0, 0.0),
                Corner(50.0, 0.0, radius=2.0),
                Corner(50.0, 30.0, arc=25.0),
                Corner(20.0, 30.0),
            ],
            r"corner 2: radius must stand between two straight sides, found an arc beside it",
        ),
        ([Corner(0.0, 0.0, chamfer=1.0), *RING[1:]], r"corner 1: chamfer must be none on the spindle axis"),
        (
            [*RING[:2], Corner(50.0, 15.0, radius=2.0), *RING[2:]],
            r"corner 3: radius must break a corner, found both its sides in one line",
        ),
        (ring(arc=20.0, convex=False, longer=True), r"arc must not meet another side of the outline"),
        (
            [
                Corner(1.0, 0.0),
                Corner(9.0, 0.0),
                Corner(9.0, 30.0),
                Corner(1.0, 30.0),
                Corner(1.0, 0.0, arc=15.0),
            ],
            r"arc must (keep to r >= 0 mm, found that it reaches r = -14 mm|run between)",
        ),
        (
            [Corner(1.0, 0.0, arc=15.0), Corner(9.0, 0.0), Corner(9.0, 30.0), Corner(1.0, 30.0)],
            r"corner 1: arc must keep to r >= 0 mm, found that it reaches r = -14 mm",
        ),
    ],
)
def test_what_does_not_fit_is_refused_at_its_corner(corners: list[Corner], told: str) -> None:
    with pytest.raises(WrongCornersError) as refused:
        sides_of(corners)
    assert re.search(told, str(refused.value)), refused.value


def test_all_mistakes_of_an_outline_are_told_at_once() -> None:
    with pytest.raises(WrongCornersError) as refused:
        sides_of([Corner(20.0, 0.0, chamfer=40.0), Corner(50.0, 0.0), Corner(50.0, 30.0, arc=3.0), RING[3]])
    assert [(k, what) for k, what, _ in refused.value.mistakes] == [(2, "arc"), (0, "chamfer")]
