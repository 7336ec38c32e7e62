"""Nose radius compensation: offset contours as programs state them; elementary geometry, no source needed.

Which side G41 and G42 mean is that of ISO 6983-1; the standard was not at hand, the handbook of NIST's open controller
(emc.sourceforge.net, Handbook, 12.2.1) says the same: G41 keeps the tool to the left of the contour, G42 to the right.
"""

from __future__ import annotations

import itertools
import math

import pytest
import shapely

from sim.programs.compensation import Nose
from sim.programs.path import Move, arc_points
from sim.programs.program import read
from sim.programs.reading import Reading
from sim.programs.words import ProgramError

START = (50.0, 50.0)
TOOLS = {1: Nose(0.4, (1, -1)), 2: Nose(0.8, (-1, -1)), 117: Nose(1.2, (1, -1))}


def test_each_tool_is_compensated_with_its_own_nose() -> None:
    """Down a wall at x = 30: the centre keeps one nose radius off it, the tip lies beside the centre by as much."""
    down = "G0 X20 Z40\nG41 G1 X30 Z30\nZ10\nG40 X10 Z40\n"
    moves = read(f"T0101\n{down}T0202\n{down}", Reading(start=START, diameter=False, tools=TOOLS)).moves
    assert [move.end for move in moves if move.line in (4, 9)] == [
        pytest.approx((30.0, 9.6)), pytest.approx((30.0 - 1.6, 9.2)),
    ]  # fmt: skip
    with pytest.raises(ProgramError, match="line 5: word G41/G42 must be ended by G40 before another tool"):
        read("T0101\nG0 X20 Z40\nG41 G1 X30 Z30\nT0202\nZ10", Reading(start=START, tools=TOOLS))


class TestCompensation:
    """Geometry of offset contours; elementary, no source needed."""

    def moves(self, text: str, tip: tuple[int, int] = (0, 0), radius: float = 2.0) -> tuple[Move, ...]:
        return read(text, Reading(start=START, nose_radius=radius, tip_direction=tip, diameter=False)).moves

    def test_bore_with_an_inner_corner(self) -> None:
        """Down a wall at x = 30 and in along a seat at z = 10: G41 in a bore (common practice, no source)."""
        moves = self.moves("G0 X20 Z40\nG41 G1 X30 Z30\nZ10\nX15\nG40 X10 Z40")
        assert [move.end for move in moves[1:]] == [
            pytest.approx(p) for p in ((28.0, 30.0), (28.0, 12.0), (15.0, 12.0), (10.0, 40.0))
        ]

    def test_tip_lies_beside_the_centre(self) -> None:
        moves = self.moves("G0 X20 Z40\nG41 G1 X30 Z30\nZ10\nX15\nG40 X10 Z40", tip=(1, -1))
        assert [move.end for move in moves[1:]] == [
            pytest.approx(p) for p in ((30.0, 28.0), (30.0, 10.0), (17.0, 10.0), (10.0, 40.0))
        ]

    def test_outer_corner_is_rolled_round(self) -> None:
        """Out along a face at z = 10 and down a flank at x = 30: G42 outside (common practice, no source)."""
        moves = self.moves("G0 X10 Z20\nG42 G1 X20 Z10\nX30\nZ0\nG40 X40 Z0")
        on, face, corner, flank, off = moves[1:]
        assert on.end == pytest.approx((20.0, 12.0))
        assert math.dist(corner.start, (30.0, 10.0)) == pytest.approx(2.0)
        assert math.dist(corner.end, (30.0, 10.0)) == pytest.approx(2.0)
        assert corner.centre == (30.0, 10.0)
        assert face.end == corner.start
        assert flank.start == corner.end
        assert off.end == (40.0, 0.0)

    @pytest.mark.parametrize(
        ("text", "turn", "contour"),
        [
            ("G0 X10 Z20\nG42 G1 X20 Z10\nX30\nZ0\nG40 X40 Z0", 90.0, [(20, 10), (30, 10), (30, 0)]),
            ("G0 X40 Z-10\nG41 G1 X30 Z0\nZ10\nX20\nG40 X10 Z20", 90.0, [(30, 0), (30, 10), (20, 10)]),
            ("G0 X10 Z20\nG42 G1 X20 Z10\nX30\nX40 Z0\nG40 X50 Z0", 45.0, [(20, 10), (30, 10), (40, 0)]),
            ("G0 X50 Z-10\nG41 G1 X40 Z0\nX30 Z10\nX20\nG40 X10 Z20", 45.0, [(40, 0), (30, 10), (20, 10)]),
        ],
    )
    def test_the_short_way_round_a_corner(
        self, text: str, turn: float, contour: list[tuple[float, float]]
    ) -> None:
        """The centre turns by as much as the contour, never through the metal: always a nose radius away from it."""
        corners = [move for move in self.moves(text) if move.centre is not None]
        assert len(corners) == 1
        corner = corners[0]
        assert corner.centre is not None
        begin, end = (
            math.atan2(p[0] - corner.centre[0], p[1] - corner.centre[1]) for p in (corner.start, corner.end)
        )
        sense = -1.0 if corner.clockwise else 1.0  # seen with z to the right and x up
        swept = (sense * (end - begin)) % (2.0 * math.pi)
        assert math.degrees(swept) == pytest.approx(turn)
        line = shapely.LineString(contour)
        for share in (0.0, 0.25, 0.5, 0.75, 1.0):
            angle = begin + sense * share * swept
            centre = (corner.centre[0] + 2.0 * math.sin(angle), corner.centre[1] + 2.0 * math.cos(angle))
            assert line.distance(shapely.Point(centre)) == pytest.approx(2.0, abs=1e-6)
        # The path that the check follows goes the same way: over so short a turn it is no longer than the arc.
        points = arc_points(corner)
        length = sum(math.dist(a, b) for a, b in itertools.pairwise(points))
        assert length == pytest.approx(2.0 * math.radians(turn), rel=1e-2)

    def test_left_of_a_motion_outwards_is_towards_the_chuck(self) -> None:
        """Seen with z right and x up, moving up (+x), left is -z."""
        moves = self.moves("G0 X10 Z20\nG41 G1 X20 Z10\nX30")
        assert moves[1].end == pytest.approx((20.0, 8.0))
        assert moves[2].end == pytest.approx((30.0, 8.0))

    @pytest.mark.parametrize(("code", "radius"), [("G41", 8.0), ("G42", 12.0)])
    def test_arcs_grow_or_shrink(self, code: str, radius: float) -> None:
        """A counter-clockwise arc of 10 mm: its centre lies left."""
        moves = self.moves(f"G0 X20 Z20\n{code} G1 X20 Z10\nG3 X30 Z0 I0 K-10\nG40 G1 X60 Z0")
        arc = moves[2]
        assert arc.centre == (20.0, 0.0)
        assert math.dist(arc.start, (20.0, 0.0)) == pytest.approx(radius)
        assert math.dist(arc.end, (20.0, 0.0)) == pytest.approx(radius)

    def test_line_meets_arc_in_an_inner_corner(self) -> None:
        """A wall and a fillet of 5 mm that is tangent to it: the centre's fillet has 3 mm."""
        moves = self.moves("G0 X20 Z40\nG41 G1 X30 Z30\nZ15\nG3 X25 Z10 R5\nG1 X10\nG40 X5 Z40")
        assert [move.end for move in moves[1:]] == [
            pytest.approx(p) for p in ((28.0, 30.0), (28.0, 15.0), (25.0, 12.0), (10.0, 12.0), (5.0, 40.0))
        ]

    def test_contour_too_narrow_for_the_nose(self) -> None:
        with pytest.raises(ProgramError, match=r"program line [45]: word G41/G42 is too short"):
            self.moves("G0 X20 Z40\nG41 G1 X30 Z30\nZ10\nX29\nZ5\nX10\nG40 X10 Z40")
        with pytest.raises(ProgramError, match=r"too tight for the nose radius"):
            self.moves("G0 X20 Z40\nG41 G1 X30 Z30\nZ11\nG3 X29 Z10 R1\nG1 X10\nG40 Z40")

    def test_compensation_without_radius_changes_nothing(self) -> None:
        text = "G0 X20 Z40\n{}G1 X30 Z30\nZ10\nX15\nG3 X10 Z15 R5\nG40 G1 X10 Z40"
        plain = self.moves(text.format(""), radius=0.0)
        assert [m.end for m in self.moves(text.format("G42 "), radius=0.0)] == [m.end for m in plain]
