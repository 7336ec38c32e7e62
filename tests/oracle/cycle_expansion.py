"""Roughing cycles expanded a second time, with planar overlays: shares nothing with `sim.programs.cycles`.

The metal above the contour is a polygon. A pass is what the polygon leaves of the line at its level; which of them lie
over which is asked of the lines themselves, and flanks are clipped out of the contour by bands. Contours are polylines
that run towards smaller z with the metal at larger x; mirror others first. Lengths in mm, points (x, z).
"""

from __future__ import annotations

import itertools
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray
from shapely import Polygon, box, line_merge
from shapely.geometry import LineString, Point

At = tuple[float, float]
Step = tuple[bool, At]  # whether it feeds, and where it ends
_FAR = 1e5


def expand(
    start: At, line: Sequence[At], depth: float, retract: float, shift: At, *, hollows: bool
) -> list[Step]:
    """Return the steps of a roughing cycle.

    Parameters
    ----------
    start : (x, z)
        Where it is called.
    line : sequence of (x, z)
        The finished contour, from where its first block ends.
    depth, retract : float
    shift : (x, z)
        Allowance.
    hollows : bool
        Type II.
    """
    contour = np.array(line, dtype=float) + np.array(shift)
    corner = (start[0] + shift[0], start[1] + shift[1])
    metal = Polygon([*contour, (corner[0], contour[-1, 1]), corner, (contour[0, 0], corner[1])]).buffer(0)
    levels = corner[0] - depth * np.arange(1, 10_000)
    levels = levels[levels > contour[:, 0].min() + 1e-6]
    rows = [_stretches(metal, float(level)) for level in levels]
    if not hollows:
        rows = [[row[0]] if row and abs(row[0][0] - corner[1]) < 1e-6 else [] for row in rows]
    steps: list[Step] = [(False, corner)]
    todo = [(0, one) for one in rows[0]] if rows else []
    while todo:
        row, (begin, end) = todo[0]
        level = float(levels[row])
        above = level + depth
        open_side = abs(begin - corner[1]) < 1e-6 and _outside(metal, level, corner[1])
        entry = [] if open_side else _run(contour, (level, begin), above, rising=False)
        if open_side:
            steps += _over(steps[-1][1], corner[1], above + retract)
        else:
            steps += _over(steps[-1][1], entry[0][1], above + retract)
            steps.append((False, (above + retract, entry[0][1])))
            steps += [(True, at) for at in entry]
        steps.append((not open_side, (level, begin)))
        steps.append((True, (level, end)))
        if hollows:
            steps += [(True, at) for at in _run(contour, (level, end), above, rising=True)]
        x, z = steps[-1][1]
        steps.append((False, (x + retract, z + retract)))
        below = rows[row + 1] if row + 1 < len(rows) else []
        todo = [(row + 1, one) for one in below if one[0] <= begin + 1e-6 and one[1] >= end - 1e-6] + todo[1:]
    if hollows:
        steps.append((False, (corner[0], steps[-1][1][1])))
    steps.append((False, (steps[-1][1][0], corner[1])))
    steps.append((False, (float(contour[0, 0]), float(contour[0, 1]))))
    steps += [(True, (float(x), float(z))) for x, z in contour[1:]]
    steps.append((False, start))
    return steps


def _stretches(metal: Polygon, level: float) -> list[tuple[float, float]]:
    """Return where a level runs through the metal, each from its larger z to its smaller one, in that order."""
    cut = metal.intersection(LineString([(level, -_FAR), (level, _FAR)]))
    merged = line_merge(cut) if cut.geom_type == "MultiLineString" else cut
    parts = [one for one in getattr(merged, "geoms", [merged]) if not one.is_empty]
    spans = [(max(z), min(z)) for z in ([c[1] for c in one.coords] for one in parts)]
    return sorted(spans, reverse=True)


def _outside(metal: Polygon, level: float, z: float) -> bool:
    return bool(metal.exterior.distance(Point(level, z)) < 1e-9 and metal.intersects(Point(level, z - 1e-7)))


def _run(contour: NDArray[np.float64], at: At, height: float, *, rising: bool) -> list[At]:
    """Return the contour up (or down) to a point of it, between the levels of the point and `height`."""
    sign = 1.0 if rising else -1.0
    climbs = sign * np.diff(contour[:, 0]) > 1e-6
    for wanted, group in itertools.groupby(range(len(climbs)), key=lambda n: bool(climbs[n])):
        numbers = list(group)
        if not wanted:
            continue
        run = LineString(contour[numbers[0] : numbers[-1] + 2])
        if run.distance(Point(at)) > 1e-6:
            continue
        band = run.intersection(box(at[0] - 1e-9, -_FAR, height, _FAR))
        if band.geom_type != "LineString" or band.length < 1e-6:
            continue
        points = [(float(x), float(z)) for x, z in band.coords]
        if sign * (points[-1][0] - points[0][0]) < 0.0:
            points.reverse()
        return points
    return []


def _over(at: At, z: float, height: float) -> list[Step]:
    """Return the way at rapid to another z."""
    if abs(at[1] - z) <= 1e-6:
        return []
    lifted = max(at[0], height)
    return [(False, (lifted, at[1])), (False, (lifted, z))]
