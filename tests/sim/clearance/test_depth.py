"""What counts as a cut and how deep it is: slivers do not, metal that is there does. Elementary geometry, no source."""

from __future__ import annotations

import itertools
import math
from types import SimpleNamespace

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from meshes import insert as inserts
from meshes.points import Point
from sim.base.arrays import Geometries
from sim.clearance import depth
from sim.clearance.check import clearance_of
from sim.clearance.depth import depth_of_cut
from sim.clearance.removal import removal
from sim.clearance.result import ClearanceResult
from sim.clearance.sweep import along_path
from sim.clearance.tool import Tool, cut, mirrored, pieces
from sim.clearance.tool_outlines import insert_outline
from sim.clearance.touch import TOUCH
from sim.programs.path import Move
from sim.programs.program import read
from sim.programs.reading import Reading

STOCK = shapely.box(30.0, 0.0, 90.0, 50.0)
SQUARE = Tool("square", pieces("insert", "insert", [(-9.0, 0.0), (0.0, 0.0), (0.0, 9.0), (-9.0, 9.0)]), 0.0)
INSERTS = [
    ("CNMG 120408", 95.0),
    ("CNMG 120404", 90.0),
    ("DCMT 11T304", 93.0),
    ("CCMT 09T304", 95.0),
    ("TNMG 160404", 91.0),
    ("VCMT 110302", 107.5),
    ("RCMT 0803M0", 90.0),
]
tenths = st.integers(0, 1999).map(lambda n: n / 100.0)


def tipped(number: int) -> Tool:
    name, angle = INSERTS[number]
    insert = inserts.parse(name)
    return Tool(name, cut([insert_outline(insert, math.radians(angle))]), insert.nose_radius)


def feed(*points: Point) -> list[Move]:
    return [Move("feed", a, b) for a, b in itertools.pairwise(points)]


def depths(moves: list[Move], tool: Tool, limit: float | None = None) -> ClearanceResult:
    return clearance_of(moves, tool, [], STOCK, None, 0.0, depth_limit=limit)


@settings(max_examples=60, deadline=None)
@given(st.integers(0, len(INSERTS) - 1), tenths, tenths, st.integers(-1, 1))
def test_a_retract_along_what_is_cut_cuts_nothing(number: int, x: float, z: float, off: int) -> None:
    """Down to a corner, across, and back out along the wall; a thousandth beside it at most, as coordinates round."""
    wall, floor = 40.0 + x, 20.0 + z
    across = feed((wall, 60.0), (wall, floor), (wall - 6.0, floor), (wall - 6.0, 60.0))
    back = feed(
        (wall - 6.0, 60.0), (wall - 6.0, floor), (wall, floor), (wall + 0.001 * off, 60.0), (wall, floor),
        (wall - 0.5, floor + 0.5), (wall - 0.5, 60.0),
    )  # fmt: skip
    found = depths([*across, *back], tipped(number), limit=100.0)
    assert found.depth_of_cut[0] > 5.0
    assert found.depth_of_cut[len(across) :].tolist() == [0.0] * len(back)


@settings(max_examples=40, deadline=None)
@given(
    st.integers(0, len(INSERTS) - 1),
    st.lists(st.tuples(st.floats(-4.0, 4.0), st.floats(-5.0, 0.0)), min_size=2, max_size=6),
    st.floats(0.0, 5e-4),
    st.randoms(use_true_random=False),
)
def test_a_contour_cut_again_cuts_nothing(
    number: int, steps: list[Point], rounding: float, random: np.random.Generator
) -> None:
    """The second time each point is up to half a thousandth off, as a program that is written anew has it."""
    points = [(55.0, 52.0)]
    for dx, dz in steps:
        points.append((points[-1][0] + dx, points[-1][1] - 4.0 + dz))
    again = [(x + rounding * random.choice((-1, 1)), z) for x, z in points]  # type: ignore[attr-defined]
    moves = feed(*points, (20.0, points[-1][1]), (20.0, 60.0), *again)
    found = depths(moves, tipped(number))
    assert found.depth_of_cut[: len(steps)].max() > 0.5
    assert found.depth_of_cut[len(points) + 1 :].max() == 0.0


def test_a_compensated_contour_cut_twice_cuts_once() -> None:
    """Nose radius compensation both times, with an arc and a taper; only the first pass takes metal."""
    contour = "X110. Z48.\nG1 Z30.\nG2 X104. Z27. R3.\nG1 X90. Z20.\nX70.\n"
    program = (
        "G90 G18 G21 G95 T1\nG0 X60. Z60.\nG41 G1 X110. Z55. F0.2\n" + contour
        + "G40 G1 X60. Z25.\nG0 Z60.\nG41 G1 X110. Z55.\n" + contour + "G40 G1 X60. Z25.\nM30\n"
    )  # fmt: skip
    tool = tipped(2)
    made = read(program, Reading(start=(100.0, 100.0), nose_radius=tool.nose_radius, tip_direction=(1, -1)))
    found = depths(list(made.moves), tool)
    half = next(n for n, move in enumerate(made.moves) if n and move.kind == "rapid" and n > 2)
    assert found.depth_of_cut[:half].max() > 10.0
    assert found.depth_of_cut[half:].max() == 0.0
    assert found.removed[half:].max() < 1e-3


@pytest.mark.parametrize("depth", [0.01, 0.02, 0.1, 1.0])
def test_a_thin_finishing_cut_counts_in_full(depth: float) -> None:
    """A square insert down 20 mm of a wall, by its width; a pointed one the same but for its nose."""
    moves = feed((40.0, 60.0), (40.0, 25.0), (40.0, 60.0), (40.0 + depth, 60.0), (40.0 + depth, 30.0))
    found = depths(moves, SQUARE).depth_of_cut
    assert found == pytest.approx([9.0, 0.0, 0.0, depth], abs=1e-9)
    for number in range(len(INSERTS)):
        assert depths(moves, tipped(number)).depth_of_cut[-1] == pytest.approx(depth, abs=1e-6)


@pytest.mark.parametrize("into", [0.02, 0.05, 0.5, 5.0])
def test_a_short_move_into_metal_has_its_whole_depth(into: float) -> None:
    """However little of a long move is in the metal: the square insert takes 9 mm there, and the limit says so."""
    moves = feed((50.0, 90.0), (50.0, 50.0 - into))
    found = depths(moves, SQUARE, limit=4.0)
    assert found.depth_of_cut == pytest.approx([9.0], abs=1e-9)
    assert [touch.kind for touch in found.touches] == ["depth of cut"]


@pytest.mark.parametrize("count", [100, 1000, 4000])
@pytest.mark.parametrize("number", [None, 0, 2, 6])
def test_short_moves_add_up(count: int, number: int | None) -> None:
    """Two millimetres down in steps, the last 0.0005 mm long: the depth is that of one move, to a hundredth."""
    tool = SQUARE if number is None else tipped(number)
    whole = depths(feed((50.0, 50.0), (50.0, 48.0)), tool).depth_of_cut.max()
    zs = np.linspace(50.0, 48.0, count + 1).tolist()
    found = depths(feed(*((50.0, z) for z in zs)), tool).depth_of_cut
    assert found.max() == pytest.approx(whole, abs=0.01 if number is None else 0.1)
    assert (found > 0.0).mean() > 0.95


@pytest.mark.parametrize("bend", [0.0, 1e-4])
def test_pecks_add_up(bend: float) -> None:
    """Back by 0.1 mm and on by 0.103: no step takes more than 0.003 mm, and after some of them it is a cut of 9 mm."""
    points = [(50.0, 50.0)]
    for k in range(40):
        down = 50.0 - 0.003 * (k + 1)
        points += [(50.0 + bend * (k % 2), down), (50.0, down + 0.1)]
    found = depths(feed(*points), SQUARE).depth_of_cut
    assert found.max() == pytest.approx(9.0, abs=0.02)


@settings(max_examples=60, deadline=None)
@given(
    st.lists(st.tuples(st.floats(35.0, 85.0), st.floats(5.0, 49.0)), min_size=2, max_size=5),
    st.integers(0, len(INSERTS) - 1),
    st.floats(0.0, 2.0),
)
def test_more_stock_is_no_shallower_cut(points: list[Point], number: int, more: float) -> None:
    """The first move out of the air: with stock that stands higher it is at least as deep."""
    path = feed((points[0][0], 60.0), *points[:1])
    tool = tipped(number)
    low = clearance_of(path, tool, [], STOCK, None, 0.0).depth_of_cut
    high = clearance_of(path, tool, [], shapely.box(30.0, 0.0, 90.0, 50.0 + more), None, 0.0).depth_of_cut
    assert high[0] >= low[0] - 1e-6


def test_of_outer_diameters_too() -> None:
    """The tool of the other hand: 2 mm off a bar, back along it, and a face."""
    tool = mirrored(tipped(0))
    found = depths(
        feed((88.0, 60.0), (88.0, 20.0), (89.0, 21.0), (89.0, 60.0), (88.0, 60.0), (88.0, 20.5)), tool
    )
    assert found.depth_of_cut == pytest.approx([2.0, 0.0, 0.0, 0.0, 0.0], abs=0.02)


def test_what_rounding_leaves_has_no_depth() -> None:
    """Pecks that take slices 2 mm wide together; one takes a thousandth at their edge, and rounding far from it."""
    z = 0.002 * np.arange(40)
    starts = np.column_stack([np.zeros(40), z - 0.1])
    taken = shapely.box(0.0, z, 2.0, z + 0.002)
    edge, needle = shapely.box(0.0, z[20], 0.001, z[21]), [(1.5, z[20]), (1.9, z[20]), (1.9, z[20] + 7e-15)]
    taken[20] = shapely.MultiPolygon([edge, shapely.Polygon(needle)])
    path = SimpleNamespace(
        starts=starts, ends=np.column_stack([np.zeros(40), z + 0.002]), feeds=np.ones(40, dtype=bool)
    )
    found = depth_of_cut(SimpleNamespace(path=path, tool=tipped(2)), taken)  # type: ignore[arg-type]
    assert found == pytest.approx(np.where(np.arange(40) == 20, 0.001, 2.0), abs=1e-9)


@pytest.mark.parametrize(("number", "pitch"), [(0, 0.0045), (2, 0.0031)])
def test_where_groups_of_steps_end_makes_no_difference(
    number: int, pitch: float, monkeypatch: pytest.MonkeyPatch
) -> None:
    """In and out again down a wall, in slices of micrometres: by blocks, by few steps, by all of them at once."""
    points = [(46.0, 52.0), (46.0, 48.0)]
    for k in range(40):
        z = 48.0 - pitch * k
        points += [(47.5 + 0.1 * math.sin(0.4 * k), z), (46.5, z - 0.4 * pitch)]
    sweep = along_path(feed(*points), tipped(number))
    taken = removal(sweep.images(0), STOCK)
    found = depth.depth_of_cut(sweep, taken.removed, taken)
    assert found[2:].max() > 0.05
    for count in (7, 10_000):
        monkeypatch.setattr(depth, "BLOCK", count)
        assert depth.depth_of_cut(sweep, taken.removed) == pytest.approx(found, abs=0.2 * TOUCH)


def test_ever_shorter_steps_are_put_together_no_more_often(monkeypatch: pytest.MonkeyPatch) -> None:
    """Groups a hundredth and a thousandth of a millimetre long round an arc: each corner is looked at a few times.

    A bound of own choice, no source: each group alone, then with those beside, of which no two bundles share many.
    """
    monkeypatch.setattr(depth, "BLOCK", 4)
    seen: list[int] = []
    thick = depth.thick

    def spy(shapes: Geometries, width: float = TOUCH) -> Geometries:
        seen.append(int(shapely.get_num_coordinates(shapes).sum()))
        return thick(shapes, width)

    monkeypatch.setattr(depth, "thick", spy)
    for length in (0.0025, 0.00025):
        angles = np.arange(400) * length / 5.0
        points = np.column_stack([45.0 + 5.0 * np.sin(angles), 51.0 - 5.0 * np.cos(angles)])
        sweep = along_path(feed((45.0, 52.0), *map(tuple, points.tolist())), tipped(2))
        taken = removal(sweep.images(0), STOCK)
        seen.clear()
        found = depth.depth_of_cut(sweep, taken.removed)
        assert found[-100:].min() > 0.0
        assert sum(seen) < 6 * shapely.get_num_coordinates(taken.removed).sum()


def test_what_the_grid_takes_away_moves_no_other_to_another_bundle() -> None:
    """Shapes far apart, some of nothing: each is put together with itself alone, under its own number."""
    squares = [shapely.box(100.0 * k, 0.0, 100.0 * k + 5.0, 5.0) for k in range(5)]
    for gone in ((1,), (0, 3), (4,), (3, 4), (0, 1, 2, 3, 4)):
        wholes = np.array([*squares, None], dtype=object)[:-1]
        wholes[list(gone)] = shapely.Polygon()
        bundles, bundle = depth._with_those_beside(wholes, shapely.bounds(squares))
        assert len(bundle) == 5
        assert bundle.max() < len(bundles)
        for k, number in enumerate(bundle):
            assert shapely.covers(bundles[number], wholes[k]) or k in gone
            assert bundles[number].area <= 25.0 * int((bundle == number).sum())


@pytest.mark.parametrize("seed", range(6))
def test_no_disc_in_what_a_step_takes_is_wider_than_it_gets_from_earlier_steps(seed: int) -> None:
    """Beside the largest discs that GEOS finds in what is left of each step after the three before it."""
    rng = np.random.default_rng(seed)
    points = np.array([47.0, 40.0]) + np.cumsum(rng.uniform(-0.02, 0.02, (30, 2)), axis=0)
    points[::3, 0] -= 1.0
    sweep = along_path(feed(*map(tuple, points.tolist())), tipped(2))
    images = sweep.images(0)
    bound = depth._beyond_earlier(sweep, np.arange(len(images)))
    assert np.isinf(bound[0])
    assert np.isfinite(bound[1:]).all()
    for k in range(1, len(images)):
        left = shapely.difference(images[k], shapely.union_all(images[max(0, k - 3) : k]))
        disc = (
            shapely.maximum_inscribed_circle(left, tolerance=1e-6)
            if left.area > 0.0
            else shapely.LineString()
        )
        assert 2.0 * disc.length <= bound[k] + 1e-5
    tight = [k for k in range(3, len(images)) if bound[k] < 0.5]
    assert len(tight) > 10


def test_steps_that_are_no_cuts_say_nothing_of_how_thick_the_next_is() -> None:
    """A rapid move down the wall and a feed move along the same line: the second takes all of it."""
    again = Move("feed", (46.0, 44.0), (46.0, 45.0))
    for kind, apart in (("feed", 0.0), ("rapid", math.inf)):
        sweep = along_path([Move(kind, (46.0, 52.0), (46.0, 44.0)), again], tipped(2))  # type: ignore[arg-type]
        assert depth._beyond_earlier(sweep, np.array([1]))[0] == pytest.approx(apart, abs=1e-12)


def test_what_lies_near_a_rectangle_is_put_together_with_what_lies_in_it() -> None:
    """Near enough to make it thicker counts without a common point; what is farther off does not."""
    gaps = depth.BESIDE * np.array([0.9, 5.0])
    one = shapely.box(0.0, 0.0, 1.0, 1.0)
    others = [shapely.box(1.0 + gap, 0.0, 2.0 + gap, 1.0) for gap in gaps.tolist()]
    for other, beside in zip(others, (True, False), strict=True):
        some = np.array([one, other], dtype=object)
        (found,), _ = depth._with_those_beside(some, shapely.bounds(some[:1]))
        assert bool(found.intersection(other).area > 1e-3) is beside
        assert found.contains(one)
