"""Chamfers, roundings and angles of straight blocks.

What the words mean is common practice, no source; where the points lie is geometry, worked out in each test.
"""

from __future__ import annotations

import math

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from sim.programs.path import Move, arc_points
from sim.programs.program import Program, read
from sim.programs.reading import Reading
from sim.programs.words import ProgramError

START = (50.0, 50.0)
BARE = {"corner_words": "without comma"}


def program(text: str, **options: object) -> Program:
    return read(text, Reading(start=START, **options))  # type: ignore[arg-type]


def moves(text: str, **options: object) -> tuple[Move, ...]:
    return program(text, **options).moves


def test_a_chamfer_leaves_both_blocks_at_its_size_from_the_corner() -> None:
    """Along radius 20 to Z-30, out to radius 30: 2 mm before the corner (20, -30) at Z-28, 2 mm behind it at x 22."""
    found = moves("G0 X40. Z2.\nG1 Z-30. ,C2. F.2\nX60.\nG0 X100.")
    assert [(move.end, move.line) for move in found] == [
        ((20.0, 2.0), 1), (pytest.approx((20.0, -28.0)), 2), (pytest.approx((22.0, -30.0)), 2), ((30.0, -30.0), 3),
        ((50.0, -30.0), 4),
    ]  # fmt: skip
    assert [move.centre for move in found] == [None] * 5
    assert [move.feed for move in found[1:4]] == [0.2] * 3
    assert [move.ordinal for move in found] == [1, 2, 2, 3, 4]


@pytest.mark.parametrize(
    ("way", "end", "centre", "clockwise"),
    [
        # Towards the chuck at radius 20, then out: an inner corner; the arc's centre lies 3 mm out of it and before it.
        ("X60.", (23.0, -30.0), (23.0, -27.0), True),
        # Then in: an outer corner, the other way round.
        ("X20.", (17.0, -30.0), (17.0, -27.0), False),
    ],
)
def test_a_rounding_touches_both_blocks(
    way: str, end: tuple[float, float], centre: tuple[float, float], clockwise: bool
) -> None:
    """A square corner at (20, -30) with 3 mm: it begins at Z-27.

    From going to -z (left in the picture) to going to +x (up) the way turns right: clockwise.
    """
    before, arc, after = moves(f"G0 X40. Z2.\nG1 Z-30. ,R3. F.2\n{way}")[1:]
    assert before.end == arc.start == pytest.approx((20.0, -27.0))
    assert arc.end == after.start == pytest.approx(end)
    assert arc.centre == pytest.approx(centre)
    assert arc.clockwise is clockwise


def test_corners_of_a_slope() -> None:
    """Along x 20 to Z-30, then out at 45 deg to (30, -40): a turn of 45 deg.

    R 10 touches at 10 tan 22.5 deg = 4.142 mm from the corner; C 2 ends at 2 cos 45 deg = 1.414 mm along both axes.
    """
    round_ = moves("G0 X40. Z2.\nG1 Z-30. ,R10. F.2\nX60. Z-40.")[2]
    reach = 10.0 * math.tan(math.pi / 8.0)
    assert round_.start == pytest.approx((20.0, -30.0 + reach))
    assert round_.end == pytest.approx((20.0 + reach * math.sqrt(0.5), -30.0 - reach * math.sqrt(0.5)))
    assert round_.centre == pytest.approx((30.0, -30.0 + reach))
    chamfer = moves("G0 X40. Z2.\nG1 Z-30. ,C2. F.2\nX60. Z-40.")[2]
    assert chamfer.end == pytest.approx((20.0 + math.sqrt(2.0), -30.0 - math.sqrt(2.0)))


def test_two_corners_may_use_a_block_up() -> None:
    """A face of 10 mm between two roundings of 5 mm: nothing of it is left, and no move of no length stands for it."""
    found = moves("G0 X40. Z0.\nG1 Z-20. ,R5. F.2\nX60. ,R5.\nZ-40.")
    assert [move.centre is None for move in found] == [True, True, False, False, True]
    assert found[2].end == found[3].start == pytest.approx((25.0, -20.0))
    with pytest.raises(
        ProgramError, match=r"line 3: word ,R5\.1 takes 5\.1000 mm of the 5\.0000 mm that are left"
    ):
        moves("G0 X40. Z0.\nG1 Z-20. ,R5. F.2\nX60. ,R5.1\nZ-40.")
    with pytest.raises(ProgramError, match=r"line 3: word ,C1\. has no room"):
        moves("G0 X40. Z0.\nG1 Z-20. ,C10. F.2\nX60. ,C1.\nZ-40.")


def test_increments_count_from_the_corner_not_from_the_end_of_the_chamfer() -> None:
    found = moves("G0 X40. Z0.\nG1 W-20. ,C2. F.2\nU20. ,R1.\nW-20.")
    assert found[-1].end == pytest.approx((30.0, -40.0))


def test_an_angle_gives_the_other_coordinate() -> None:
    """From (20, 0) at 150 deg to Z-10: x rises by 10 tan 30 deg; at 45 deg from there to radius 30."""
    found = moves("G0 X40. Z0.\nG1 Z-10. ,A150. F.2\nX60. ,A135.")
    rise = 10.0 * math.tan(math.pi / 6.0)
    assert found[1].end == pytest.approx((20.0 + rise, -10.0))
    assert found[2].end == pytest.approx((30.0, -10.0 - (10.0 - rise)))
    both = moves("G0 X40. Z0.\nG1 Z-10. ,A150. ,C1. F.2\nZ-30.")
    assert both[1].end == pytest.approx((20.0 + rise - 0.5, -10.0 + math.sqrt(0.75)))
    assert both[2].end == pytest.approx((20.0 + rise, -11.0))


def test_words_without_a_comma_mean_the_same_where_that_is_stated() -> None:
    for bare, comma in (("C2.", ",C2."), ("R3.", ",R3."), ("R-3.", ",R3.")):
        text = "G0 X40. Z2.\nG1 Z-30. {} F.2\nX20.\nG0 Z9."
        assert (
            moves(text.format(bare), **BARE) == moves(text.format(comma)) == moves(text.format(comma), **BARE)
        )
    slope = "G0 X40. Z0.\nG1 Z-10. {} F.2\nX60."
    assert moves(slope.format("A150."), **BARE) == moves(slope.format(",A150."))
    # R of an arc and of a block without motion words after an arc stays a radius.
    arc = "G0 X40. Z0.\nG3 X60. Z-10. R10. F.2\nX40. Z-20. R10."
    assert moves(arc, **BARE) == moves(arc)


def test_inches_and_compensation() -> None:
    """A chamfer of 0.1 inch; along a rounding of 5 mm a nose of 1 mm on the inner side runs an arc of 4 mm."""
    assert moves("G20\nG0 X2. Z0.\nG1 Z-1. ,C.1 F.01\nX3.")[2].end == pytest.approx((25.4 + 2.54, -25.4))
    text = "G0 X50. Z5.\nG42 G1 X40. Z2. F.2\nZ-30. ,R5.\nX60.\nG40 X80."
    arc = next(move for move in moves(text, nose_radius=1.0, tip_direction=(0, 0)) if move.centre is not None)
    assert math.dist(arc.start, arc.centre or (0.0, 0.0)) == pytest.approx(4.0)


def test_a_corner_is_judged_at_the_higher_speed_and_feed_of_its_blocks() -> None:
    before, between, after = moves("G96 S100\nG0 X40. Z2.\nG1 Z-30. ,C2. F.2\nX30. F.3")[1:]
    assert between.feed == 0.3
    assert before.speed is not None
    assert after.speed is not None
    assert between.speed == after.speed > before.speed
    assert moves("G0 X40. Z2.\nG1 Z-30. ,C2.\nX30. F.3")[2].feed is None


@pytest.mark.parametrize(
    ("text", "line", "word", "what"),
    [
        ("G0 X40. Z-30. ,C2.\nG1 X60.", 1, ",C2.", "moves straight by G1"),
        ("G0 X40. Z0.\nG3 X60. Z-10. R10. ,R2. F.2", 2, ",R2.", "moves straight by G1"),
        ("G1 Z-30. ,C2. F.2", 1, ",C2.", "in a next block"),
        ("G1 Z-30. ,C2. F.2\nM30", 1, ",C2.", "in the next block, line 2"),
        ("G1 Z-30. ,C2. F.2\nM8\nX60.", 1, ",C2.", "in the next block, line 2"),
        ("G1 Z-30. ,C2. F.2\nG0 X60.", 1, ",C2.", "straight move by G1"),
        ("G1 Z-30. ,C2. F.2\nG2 X110. Z-35. R5.", 1, ",C2.", "straight move by G1"),
        ("G1 Z-30. ,C2. F.2\nZ-40.", 1, ",C2.", "straight on or back"),
        ("G1 Z-30. ,R2. F.2\nZ-20.", 1, ",R2.", "straight on or back"),
        ("G1 Z-30. ,C5. F.2\nX108.", 1, ",C5.", "takes 5.0000 mm of the 4.0000 mm"),
        ("G1 Z49. ,C5. F.2\nX60.", 1, ",C5.", "takes 5.0000 mm of the 1.0000 mm"),
        ("G1 Z-30. ,C0. F.2\nX60.", 1, ",C0.", "greater than 0"),
        ("G1 Z-30. ,R-2. F.2\nX60.", 1, ",R-2.", "greater than 0"),
        ("G1 Z-30. ,R2. ,C2. F.2\nX60.", 1, ",C2.", "exclude"),
        ("G1 Z-30. ,R2. ,R2. F.2\nX60.", 1, ",R2.", "exclude"),
        ("G1 Z50. ,R2. F.2\nX60.", 1, ",R2.", "does not move"),
        ("G1 F.2\n,R2.\nX60.", 2, ",R2.", "needs X or Z"),
        ("G1 X60. Z-10. ,A150. F.2", 1, ",A150.", "not both"),
        ("G1 Z-10. ,A90. F.2", 1, ",A90.", "does not come to another Z"),
        ("G1 X60. ,A180. F.2", 1, ",A180.", "does not come to another X"),
        ("G1 Z50. ,A150. F.2", 1, ",A150.", "does not come to another Z"),
        ("G1 Z-30. R2. F.2\nX60.", 1, "R2.", "corner_words must state 'without comma'"),
        ("G1 Z-30. C2. F.2\nX60.", 1, "C2.", "corner_words must state 'without comma'"),
        ("G1 Z-30. A170. F.2\nX60.", 1, "A170.", "corner_words must state 'without comma'"),
        ("G1 Z-30. ,E2. F.2", 1, ",E2.", "address"),
    ],
)
def test_what_is_no_corner_is_refused(text: str, line: int, word: str, what: str) -> None:
    with pytest.raises(ProgramError) as error:
        program(text)
    assert (error.value.line, error.value.word) == (line, word)
    assert what in str(error.value)
    assert "\n" not in str(error.value)


def test_a_sign_without_a_comma_must_say_the_next_blocks_way() -> None:
    with pytest.raises(ProgramError, match=r"word R-2\. has a sign that says another way"):
        program("G0 X40. Z2.\nG1 Z-30. R-2. F.2\nX60.", **BARE)
    with pytest.raises(ProgramError, match="along one axis only"):
        program("G0 X40. Z2.\nG1 X44. Z-30. C-2. F.2\nX20.", **BARE)


def test_sizes_without_a_point() -> None:
    with pytest.raises(ProgramError, match="word ,C2 has no decimal point"):
        program("G1 Z-30. ,C2 F.2\nX60.", point_required=True)
    with pytest.raises(ProgramError, match="word ,A170 has no decimal point"):
        program("G1 Z-30. ,A170 F.2", least_increment=1e-3)
    found = moves("G0 X40. Z2.\nG1 Z-30. ,C2000 F.2\nX60.", least_increment=1e-3)
    assert found[2].end == pytest.approx((22.0, -30.0))


ways = st.tuples(st.floats(5.0, 60.0), st.floats(0.0, 2.0 * math.pi))


@given(ways, ways, st.floats(0.05, 8.0), st.sampled_from("CR"))
def test_any_corner_touches_its_blocks(
    first: tuple[float, float], second: tuple[float, float], size: float, kind: str
) -> None:
    """Ends on both lines at one distance from the corner; an arc is square to its spokes there."""
    turn = (second[1] - first[1] + math.pi) % (2.0 * math.pi) - math.pi
    assume(0.02 < abs(turn) < math.pi - 0.02)
    size = round(size, 4)
    reach = size if kind == "C" else size * math.tan(0.5 * abs(turn))
    assume(reach < min(first[0], second[0]) - 0.01)
    p, r = (
        (100.0 + length * sign * math.sin(angle), length * sign * math.cos(angle))
        for (length, angle), sign in ((first, -1.0), (second, 1.0))
    )
    text = f"G0 X{p[0]:.9f} Z{p[1]:.9f}\nG1 X100. Z0. ,{kind}{size:.4f} F.2\nX{r[0]:.9f} Z{r[1]:.9f}"
    before, between, after = moves(text, diameter=False)[1:]
    corner = (100.0, 0.0)
    assert before.start == pytest.approx(p)
    assert after.end == pytest.approx(r)
    assert before.end == between.start
    assert between.end == after.start
    for end, far, length in ((before.end, p, first[0]), (after.start, r, second[0])):
        assert math.dist(end, corner) == pytest.approx(reach, abs=1e-6)
        assert math.dist(end, far) == pytest.approx(length - reach, abs=1e-6)
    if kind == "C":
        assert between.centre is None
        return
    assert between.centre is not None
    for end in (between.start, between.end):
        assert math.dist(end, between.centre) == pytest.approx(size, abs=1e-6)
        spoke = (end[0] - between.centre[0], end[1] - between.centre[1])
        along = (end[0] - corner[0], end[1] - corner[1])
        assert spoke[0] * along[0] + spoke[1] * along[1] == pytest.approx(0.0, abs=1e-5 * size * reach + 1e-7)
    # The short way round: no point of it lies further from the corner than its ends.
    distances = [math.dist(point, corner) for point in arc_points(between, 1e-3).tolist()]
    assert max(distances) <= reach + 1e-6
