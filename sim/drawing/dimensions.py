"""Dimensions made into lines, arrows and words.

The number above the line, to be read from below or from the right (ISO 129-1, a public extract of its edition of 2018);
narrow lines, filled arrows, extension lines 2 mm beyond them (common practice, no source). All in mm on the paper.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from meshes.points import Point
from sim.drawing.pens import DIMENSION
from sim.drawing.primitives import Corners, Group, Line, Primitive, Words

HEIGHT = 2.5  # mm, of the numbers (ISO 3098 has 1.8, 2.5, 3.5, 5)
ARROW = 2.5  # mm, length of an arrow's head
HALF_ARROW = 0.42  # mm, half its width
BEYOND = 2.0  # mm by which extension lines pass the dimension line
ABOVE = 0.9  # mm between line and number
FIRST, NEXT = 9.0, 7.5  # mm from an outline to the first dimension line, and from there to the next
OUTSIDE = 6.0  # mm of the line outside of arrows that point inwards
PAST_AXIS = 5.0  # mm by which the line of half a diameter passes the axis


def arrow(tip: Point, towards: Point) -> Corners:
    """Return the head of an arrow that points to `tip` and comes from the side of `towards`."""
    away = math.hypot(towards[0] - tip[0], towards[1] - tip[1])
    x, y = (towards[0] - tip[0]) / away, (towards[1] - tip[1]) / away
    base = tip[0] + ARROW * x, tip[1] + ARROW * y
    return Corners(
        (
            tip,
            (base[0] - HALF_ARROW * y, base[1] + HALF_ARROW * x),
            (base[0] + HALF_ARROW * y, base[1] - HALF_ARROW * x),
        ),
        DIMENSION,
        filled=True,
    )


def length(
    ends: Sequence[Point], line: float, words: str, *, upright: bool, kind: str = "length", share: float = 0.5
) -> Group:
    """Return the dimension of the distance of two points across the sheet, or up it.

    Parameters
    ----------
    ends : two of Point
        From which the extension lines start.
    line : float
        Where the dimension line lies: its height, or if `upright` how far right it stands, mm.
    words : str
    upright : bool
        The distance up the sheet instead of across it.
    kind : str
        'length', or 'diameter' where the words begin with its sign.
    share : float
        Where along the line the number has its middle: off it where an axis crosses.
    """
    low, high = sorted(ends, key=lambda p: p[1] if upright else p[0])
    start, end = (low[1], high[1]) if upright else (low[0], high[0])

    def at(along: float) -> Point:
        return (line, along) if upright else (along, line)

    def extension(point: Point, along: float) -> list[Primitive]:
        off = line - (point[0] if upright else point[1])
        if abs(off) < 1e-9:
            return []
        end = line + math.copysign(BEYOND, off)
        return [Line(point, (end, along) if upright else (along, end), DIMENSION)]

    text = Words((0.0, 0.0), words, HEIGHT)
    items = extension(low, start) + extension(high, end)
    room = end - start
    if room >= 2.0 * ARROW + 1.0:
        items += [Line(at(start), at(end), DIMENSION), arrow(at(start), at(end)), arrow(at(end), at(start))]
    else:
        items += [
            Line(at(start - OUTSIDE), at(end + OUTSIDE), DIMENSION),
            arrow(at(start), at(start - OUTSIDE)),
            arrow(at(end), at(end + OUTSIDE)),
        ]
    if text.width <= room - 1.0:
        reach = 0.5 * text.width + 0.5
        middle = min(max(start + share * room, start + reach), end - reach)
    else:
        # Beside the arrows, on the side of the beginning: there the neighbours leave room.
        gap = 1.0 + (ARROW if room < 2.0 * ARROW + 1.0 else 0.0)
        middle = start - gap - 0.5 * text.width
        items.append(Line(at(start), at(start - gap - text.width), DIMENSION))
    place = (line - ABOVE, middle) if upright else (middle, line + ABOVE)
    items.append(Words(place, words, HEIGHT, "middle", upright))
    return Group(kind, words, tuple(items))


def half_diameter(wall: Point, axis: float, line: float, words: str) -> Group:
    """Return the dimension of a diameter of which only one side is drawn: one arrow, the line goes past the axis.

    Parameters
    ----------
    wall : Point
        On the side that is drawn, from which the extension line starts.
    axis : float
        Height of the spindle axis on the sheet, mm.
    line : float
        How far right the dimension line stands, mm.
    words : str
    """
    tip, end = (line, wall[1]), (line, axis - math.copysign(PAST_AXIS, wall[1] - axis))
    beyond = line + math.copysign(BEYOND, line - wall[0])
    middle = 0.5 * (wall[1] + axis)
    return Group(
        "half diameter",
        words,
        (
            Line(wall, (beyond, wall[1]), DIMENSION),
            Line(end, tip, DIMENSION),
            arrow(tip, end),
            Words((line - ABOVE, middle), words, HEIGHT, "middle", upwards=True),
        ),
    )


def leader(
    tip: Point, words: tuple[str, ...], corner: Point, *, leftwards: bool, kind: str = "note"
) -> Group:
    """Return a note that points at something.

    Parameters
    ----------
    tip : Point
    words : tuple of str
        Its lines, the first on top.
    corner : Point
        End of the leader: there the line under the words begins.
    leftwards : bool
        The words stand left of the corner.
    kind : str
    """
    rows = [Words((0.0, 0.0), one, HEIGHT) for one in words]
    width = max(row.width for row in rows) + 1.0
    end = (corner[0] - width if leftwards else corner[0] + width, corner[1])
    items: list[Primitive] = [Line(tip, corner, DIMENSION), Line(corner, end, DIMENSION), arrow(tip, corner)]
    left = min(corner[0], end[0]) + 0.5
    for number, row in enumerate(reversed(rows)):
        items.append(Words((left, corner[1] + ABOVE + number * 1.6 * HEIGHT), row.words, HEIGHT))
    return Group(kind, " ".join(words), tuple(items))
