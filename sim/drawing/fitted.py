"""The scale at which views fit their sheet, and where they then stand."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import shapely

from sim.base.errors import ScenarioError
from sim.drawing.primitives import Item, View, flat, geometry

SCALES = (2.0, 1.0, 0.5, 0.2, 0.1, 0.05)  # ISO 5455 in decimal steps of 1, 2, 5, as metrication.com quotes it
BETWEEN = (2.0, 1.0, 0.5, 0.4, 0.2, 0.1, 0.05)  # where little room is left: 1:2.5 is no step of the standard


def fitted(
    room: shapely.Polygon, drawn: Callable[[View], Sequence[Item]], scales: Sequence[float] = SCALES
) -> View:
    """Return the main view in the largest usual scale in which all fits the room, in its middle.

    Parameters
    ----------
    room : Polygon
        A box on the paper, mm.
    drawn : callable
        From a view to all that is drawn with it.
    scales : sequence of float, optional
        The largest first, no unit.

    Raises
    ------
    ScenarioError
        If it does not fit in any.
    """
    left, low, right, high = room.bounds
    for scale in scales:
        shapes = [geometry(item) for item in flat(list(drawn(View((0.0, 0.0), scale))))]
        a, b, c, d = shapely.total_bounds(shapes).tolist()
        if c - a <= right - left and d - b <= high - low:
            return View((0.5 * (left + right - a - c), 0.5 * (low + high - b - d)), scale)
    raise ScenarioError(
        f"no drawing is made: at the least scale, 1:{1.0 / scales[-1]:g}, it is larger than the room on the paper, "
        f"{right - left:.0f} by {high - low:.0f} mm"
    )
