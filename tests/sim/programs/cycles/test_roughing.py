"""Roughing and pattern repeating, move by move, against examples worked out by hand.

How the cycles run is common practice, no source; the arithmetic of each example stands beside it.
"""

from __future__ import annotations

import dataclasses
import itertools
import math

import pytest

from meshes.points import Point
from sim.programs.cycles.contour import Contour
from sim.programs.cycles.pattern import Pattern, repeated
from sim.programs.cycles.roughing import Roughing, roughed
from sim.programs.path import Move, arc_points
from sim.programs.words import ProgramError

TURNING = Roughing(
    facing=False, hollows=False, depth=4.0, retract=1.0, allowance=(0.5, 0.25), code="G71", line=5
)


def contour(*points: Point, kind: str = "rapid") -> Contour:
    """Straight contour; the first point is where the cycle starts, each later one its own line from 10 on."""
    moves = [Move("feed", a, b, line=10 + number) for number, (a, b) in enumerate(itertools.pairwise(points))]
    return Contour(dataclasses.replace(moves[0], kind=kind), tuple(moves[1:]))  # type: ignore[arg-type]


def path(moves: tuple[Move, ...]) -> list[tuple[str, float, float]]:
    return [(move.kind, round(move.end[0], 9), round(move.end[1], 9)) for move in moves]


SHAFT = contour((25.0, 2.0), (10.0, 2.0), (10.0, -20.0), (20.0, -30.0), (25.0, -30.0))


def test_turning_outside_by_hand() -> None:
    """Start at radius 25, z 2; a journal of radius 10 to z -20, a taper of 45 deg to radius 20, a shoulder at z -30.

    The allowance moves the start to (25.5, 2.25) and the contour to journal 10.5, taper from (10.5, -19.75) to
    (20.5, -29.75), shoulder -29.75. Levels 4 mm apart: 21.5, 17.5 and 13.5; the next, 9.5, is under 10.5. Level 21.5
    meets the shoulder at -29.75. On the taper x - 10.5 = -19.75 - z: level 17.5 ends at z = -26.75, level 13.5 at
    -22.75. Each escapes by 1 mm in both axes and goes back to z 2.25.
    """
    assert path(roughed(SHAFT, TURNING)) == [
        ("rapid", 25.5, 2.25),
        ("rapid", 21.5, 2.25), ("feed", 21.5, -29.75), ("rapid", 22.5, -28.75), ("rapid", 22.5, 2.25),
        ("rapid", 17.5, 2.25), ("feed", 17.5, -26.75), ("rapid", 18.5, -25.75), ("rapid", 18.5, 2.25),
        ("rapid", 13.5, 2.25), ("feed", 13.5, -22.75), ("rapid", 14.5, -21.75), ("rapid", 14.5, 2.25),
        ("rapid", 10.5, 2.25), ("feed", 10.5, -19.75), ("feed", 20.5, -29.75), ("feed", 25.5, -29.75),
        ("rapid", 25.0, 2.0),
    ]  # fmt: skip


def test_stages_name_the_pass_and_the_cycle() -> None:
    stages = [
        (stage, len(list(group)))
        for stage, group in itertools.groupby(m.stage for m in roughed(SHAFT, TURNING))
    ]
    assert stages == [
        ("rough pass 1 (G71)", 5), ("rough pass 2 (G71)", 4), ("rough pass 3 (G71)", 4),
        ("rough contour pass (G71)", 4), ("return (G71)", 1),
    ]  # fmt: skip
    assert [m.on_its_line for m in roughed(SHAFT, TURNING)] == [n in (3, 7, 11) for n in range(18)]


def test_the_first_block_says_how_passes_step() -> None:
    """With G1 in it the tool steps at feed, and goes to the contour at feed; all else is as with G0."""
    at_feed = roughed(
        contour((25.0, 2.0), *[m.end for m in (SHAFT.approach, *SHAFT.shape)], kind="feed"), TURNING
    )
    steps = [
        n for n, move in enumerate(at_feed) if move.kind == "feed" and move.start[1] == move.end[1] == 2.25
    ]
    assert [at_feed[n].end[0] for n in steps] == [21.5, 17.5, 13.5, 10.5]
    plain = roughed(SHAFT, TURNING)
    assert [(m.start, m.end) for m in at_feed] == [(m.start, m.end) for m in plain]
    assert [m.kind for n, m in enumerate(at_feed) if n not in steps] == [
        m.kind for n, m in enumerate(plain) if n not in steps
    ]


def _turned(points: list[Point], x: int, z: int) -> list[Point]:
    return [(x * a, z * b) for a, b in points]


@pytest.mark.parametrize(("x", "z"), [(1, -1), (-1, 1), (-1, -1)])
@pytest.mark.parametrize("facing", [False, True])
def test_every_direction_is_a_mirror_image(x: int, z: int, facing: bool) -> None:
    """Inside, towards the tailstock, and facing: the same path, mirrored, with the signs of its allowances."""
    corners = [SHAFT.approach.start, SHAFT.approach.end, *(move.end for move in SHAFT.shape)]
    images = _turned(corners, x, z)
    allowance = (0.5 * x, 0.25 * z)
    if facing:
        images, allowance = [(b, a) for a, b in images], (allowance[1], allowance[0])
    told = dataclasses.replace(TURNING, allowance=allowance, facing=facing)
    found = [(kind, *((b, a) if facing else (a, b))) for kind, a, b in path(roughed(contour(*images), told))]
    assert [(kind, a * x, b * z) for kind, a, b in found] == path(roughed(SHAFT, TURNING))


def test_an_arc_keeps_its_sense_in_every_direction() -> None:
    """A quarter about (20, -10) from (10, -10) to (20, -20), hollow: all its points lie 10 mm from the centre."""
    for x, z, facing in ((1, 1, False), (-1, 1, False), (1, -1, True), (1, 1, True)):

        def image(p: Point, x: int = x, z: int = z, facing: bool = facing) -> Point:
            a, b = x * p[0], z * p[1]
            return (b, a) if facing else (a, b)

        # From z towards x angles grow counter-clockwise: from -90 deg to -180 deg is clockwise, in a mirror it is not.
        clockwise = ((x * z < 0) != facing) is False
        shape = (
            Move("feed", image((10.0, 2.0)), image((10.0, -10.0))),
            Move("feed", image((10.0, -10.0)), image((20.0, -20.0)), image((20.0, -10.0)), clockwise),
        )
        given = Contour(Move("rapid", image((21.0, 2.0)), image((10.0, 2.0))), shape)
        told = dataclasses.replace(TURNING, depth=3.0, allowance=(0.0, 0.0), facing=facing)
        made = roughed(given, told)
        # Level 18 ends where (x - 20)^2 + (z + 10)^2 = 100: z = -10 - sqrt(96).
        ends = [image((18.0, -10.0 - 96.0**0.5)), image((15.0, -10.0 - 75.0**0.5)), image((12.0, -16.0))]
        for end in ends:
            assert any(move.kind == "feed" and move.end == pytest.approx(end) for move in made), end
        arc = next(move for move in made if move.centre is not None)
        middle = arc_points(arc)[len(arc_points(arc)) // 2]
        # All of it lies on the side of the part, below the chord from end to end.
        part = image((0.0, -20.0))
        begin, end = arc.start, arc.end

        def side(p: Point, begin: Point = begin, end: Point = end) -> float:
            return (end[0] - begin[0]) * (p[1] - begin[1]) - (end[1] - begin[1]) * (p[0] - begin[0])

        assert side((float(middle[0]), float(middle[1]))) * side(part) > 0.0


def test_a_hollow_by_hand() -> None:
    """Type II: radius 10 to z -10, 45 deg down to 5 at z -15, along to z -20, up to 13, along to z -25; no allowance.

    Start (20, 1), depth 4: levels 16, 12, 8; 4 is under 5. Level 16 lies over all of the contour and ends with it at
    z -25. Level 12 ends at the wall of z -20 and follows it up to 13, where the contour stops rising. Level 8 begins on
    the flank, x - 10 = z + 10, at z -12: it is entered from the flank's upper end (10, -10), reached at rapid down to
    the last level and the retract, 12.5, and it ends at z -20, followed up to the level before, 12.
    """
    given = contour(
        (20.0, 1.0), (10.0, 1.0), (10.0, -10.0), (5.0, -15.0), (5.0, -20.0), (13.0, -20.0), (13.0, -25.0)
    )
    told = dataclasses.replace(TURNING, hollows=True, retract=0.5, allowance=(0.0, 0.0))
    assert path(roughed(given, told)) == [
        ("rapid", 16.0, 1.0), ("feed", 16.0, -25.0), ("rapid", 16.5, -24.5), ("rapid", 16.5, 1.0),
        ("rapid", 12.0, 1.0), ("feed", 12.0, -20.0), ("feed", 13.0, -20.0), ("rapid", 13.5, -19.5),
        ("rapid", 13.5, -10.0), ("rapid", 12.5, -10.0), ("feed", 10.0, -10.0), ("feed", 8.0, -12.0),
        ("feed", 8.0, -20.0), ("feed", 12.0, -20.0), ("rapid", 12.5, -19.5),
        ("rapid", 20.0, -19.5), ("rapid", 20.0, 1.0),
        ("rapid", 10.0, 1.0), ("feed", 10.0, -10.0), ("feed", 5.0, -15.0), ("feed", 5.0, -20.0), ("feed", 13.0, -20.0),
        ("feed", 13.0, -25.0), ("rapid", 20.0, 1.0),
    ]  # fmt: skip


def test_two_hollows_by_hand() -> None:
    """Two grooves from radius 10 to 6 with flanks of 45 deg, z -5 to -14 and -16 to -26: the nearer one comes first.

    Depth 6 from 20: level 14 runs over all to z -30, level 8 lies in both grooves, from z -7 to -12 and -18 to -24.
    Each is entered from its flank's upper end, reached at rapid at the level before and the retract, 14.5.
    """
    given = contour(
        (20.0, 1.0), (10.0, 1.0), (10.0, -5.0), (6.0, -9.0), (6.0, -10.0), (10.0, -14.0), (10.0, -16.0), (6.0, -20.0),
        (6.0, -22.0), (10.0, -26.0), (10.0, -30.0),
    )  # fmt: skip
    told = dataclasses.replace(TURNING, hollows=True, depth=6.0, retract=0.5, allowance=(0.0, 0.0))
    assert path(roughed(given, told))[:20] == [
        ("rapid", 14.0, 1.0), ("feed", 14.0, -30.0), ("rapid", 14.5, -29.5),
        ("rapid", 14.5, -5.0), ("feed", 10.0, -5.0), ("feed", 8.0, -7.0), ("feed", 8.0, -12.0), ("feed", 10.0, -14.0),
        ("rapid", 10.5, -13.5),
        ("rapid", 14.5, -13.5), ("rapid", 14.5, -16.0), ("feed", 10.0, -16.0), ("feed", 8.0, -18.0),
        ("feed", 8.0, -24.0), ("feed", 10.0, -26.0), ("rapid", 10.5, -25.5),
        ("rapid", 20.0, -25.5), ("rapid", 20.0, 1.0), ("rapid", 10.0, 1.0), ("feed", 10.0, -5.0),
    ]  # fmt: skip


def test_a_pattern_by_hand() -> None:
    """Relief 3 mm in x and 1.5 mm in z over 3 passes, allowance 0.2 and 0.1: 3.2/1.6, 1.7/0.85, 0.2/0.1."""
    given = contour((20.0, 2.0), (10.0, 2.0), (10.0, -5.0), (15.0, -8.0))
    told = Pattern(relief=(3.0, 1.5), count=3, allowance=(0.2, 0.1), code="G73", line=5)
    expected = []
    for x, z in ((3.2, 1.6), (1.7, 0.85), (0.2, 0.1)):
        expected += [
            ("rapid", 20.0 + x, 2.0 + z), ("rapid", 10.0 + x, 2.0 + z), ("feed", 10.0 + x, -5.0 + z),
            ("feed", 15.0 + x, -8.0 + z),
        ]  # fmt: skip
    made = repeated(given, told)
    assert path(made) == [(k, round(x, 9), round(z, 9)) for k, x, z in (*expected, ("rapid", 20.0, 2.0))]
    assert made[1].stage == "rough pass 1 of 3 (G73)"
    assert path(repeated(given, dataclasses.replace(told, count=1))) == path(made)[8:]


HOLLOW = contour((25.0, 2.0), (10.0, 2.0), (10.0, -20.0), (8.0, -30.0), (25.0, -31.0))
BACK = contour((25.0, 2.0), (10.0, 2.0), (10.0, -20.0), (15.0, -15.0), (25.0, -30.0))
BEYOND = contour((25.0, 2.0), (10.0, 2.0), (10.0, -20.0), (25.1, -30.0))
BEHIND = contour((25.0, 2.0), (10.0, 3.0), (10.0, -20.0), (25.0, -30.0))
AT_THE_LEVEL = contour((25.0, 2.0), (25.0, 2.0), (25.0, -20.0), (25.0, -30.0))


@pytest.mark.parametrize(
    ("given", "changes", "line", "what"),
    [
        (HOLLOW, {}, 12, "runs back in x"),
        (BACK, {"hollows": True}, 12, "runs back in z"),
        (BEYOND, {}, 12, "beyond the start"),
        (BEHIND, {}, 11, "behind the start"),
        (AT_THE_LEVEL, {}, 5, "lies off its start in x"),
        (SHAFT, {"allowance": (-0.5, 0.25)}, 11, "into the part"),
        (SHAFT, {"allowance": (0.5, -0.25)}, 13, "into the part"),
        (HOLLOW, {"hollows": True, "allowance": (0.0, 0.2)}, 12, "into the part"),
        (SHAFT, {"depth": 0.005}, 5, "at most 2000"),
    ],
)
def test_what_is_not_roughed(given: Contour, changes: dict[str, object], line: int, what: str) -> None:
    with pytest.raises(ProgramError, match=what) as error:
        roughed(given, dataclasses.replace(TURNING, **changes))  # type: ignore[arg-type]
    assert error.value.line == line


def test_what_is_no_pattern() -> None:
    given = contour((20.0, 2.0), (10.0, 2.0), (10.0, -5.0), (15.0, -8.0))
    told = Pattern(relief=(-3.0, 0.0), count=3, allowance=(0.2, 0.1), code="G73", line=5)
    with pytest.raises(ProgramError, match=r"program line 11: is a contour that .* into the part"):
        repeated(given, told)
    with pytest.raises(ProgramError, match="program line 5: word G73 must start beside the line"):
        repeated(contour((10.0, 5.0), (10.0, 2.0), (10.0, -5.0), (10.0, -8.0)), told)


@pytest.mark.parametrize(("slip", "fits"), [(2e-3, True), (2e-2, False)])
def test_an_arc_whose_ends_are_rounded_runs_one_way(slip: float, fits: bool) -> None:
    """An arc of radius 10 that begins b before it turns rises by 10 (1 - cos b): 2 um pass, 20 um do not."""
    turn = math.acos(1.0 - slip / 10.0)
    centre = (10.0 + 10.0 * math.sin(turn), -10.0 - 10.0 * math.cos(turn))
    first = Move("feed", (10.0, 2.0), (10.0, -10.0), line=11)
    arc = Move("feed", first.end, (centre[0] + 10.0, centre[1]), centre, clockwise=False, line=12)
    assert arc_points(arc)[:, 1].max() == pytest.approx(-10.0 + slip, abs=1e-4)
    given = Contour(Move("rapid", (25.0, 2.0), (10.0, 2.0)), (first, arc))
    if fits:
        assert roughed(given, TURNING)
    else:
        with pytest.raises(ProgramError, match="line 12: runs back in z"):
            roughed(given, TURNING)
