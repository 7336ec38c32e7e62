"""Passes of a thread by another way than the program's: grooves as polygons, their sections measured by shapely.

The program takes the square root of a pass's number. Here the depth of each pass is searched: that at which the groove
of a triangular tool has as many times the section of the first one as there have been passes. Where the tip then stands
along the thread is the crossing of the flank that all passes share with the line at that depth.
"""

from __future__ import annotations

import math

import shapely


def groove(depth: float, angle: float) -> shapely.Polygon:
    """Return the section (mm) of a groove with straight flanks, its crest at height 0."""
    half = depth * math.tan(0.5 * angle)
    return shapely.Polygon([(-half, 0.0), (half, 0.0), (0.0, -depth)])


def depths(height: float, first: float, least: float, angle: float) -> list[float]:
    """Return the depths (mm) of roughing passes down to a height."""
    section = groove(first, angle).area
    found: list[float] = []
    while not found or found[-1] < height - 1e-9:
        wanted, low, high = (len(found) + 1) * section, 0.0, 10.0 * height + 10.0 * first
        for _ in range(200):
            middle = 0.5 * (low + high)
            low, high = (middle, high) if groove(middle, angle).area < wanted else (low, middle)
        before = found[-1] if found else 0.0
        # A clamped pass sets the count back: the square-root law gives the increment of its own number only.
        law = high
        if found:
            previous = (len(found)) * section
            low, top = 0.0, high
            for _ in range(200):
                middle = 0.5 * (low + top)
                low, top = (middle, top) if groove(middle, angle).area < previous else (low, middle)
            law = before + high - top
        found.append(min(max(law, before + least), height))
    return found


def tip_along(depth: float, height: float, angle: float) -> float:
    """Return how far (mm) the tip of a pass lies behind that of the last, where all share the trailing flank.

    The groove at full height has its tip at 0; the trailing flank runs from there to the crest behind it.
    """
    half = height * math.tan(0.5 * angle)
    flank = shapely.LineString([(0.0, -height), (half, 0.0)])
    level = shapely.LineString([(-1.0 - half, -depth), (1.0 + half, -depth)])
    crossing = shapely.intersection(flank, level)
    return float(crossing.x)
