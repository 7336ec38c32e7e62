"""Holes on the axis: drilling in one go or in pecks, tapping, boring out at feed (common practice, no source)."""

from __future__ import annotations

import math
from typing import Literal

from meshes.points import Point
from sim.programs.cycles.legs import Leg, cut, moves_of, rapid
from sim.programs.cycles.pecks import stops
from sim.programs.path import Move

Hole = Literal["drilling", "pecking", "tapping", "boring"]
PeckReturn = Literal["out", "back off"]


def hole(
    start: Point,
    bottom: float,
    *,
    kind: Hole,
    plane: float,
    ends_at: float,
    peck: float | None,
    peck_return: PeckReturn,
    back_off: float,
    feed: float | None,
    name: str,
) -> tuple[Move, ...]:
    """Return the moves of a hole along z at the x where the tool stands.

    Parameters
    ----------
    start : (x, z)
        Where the tool stands, mm.
    bottom, plane, ends_at : float
        z of the hole's end, of where feeding begins, and of where the cycle leaves the tool, mm.
    kind : {'drilling', 'pecking', 'tapping', 'boring'}
        Tapping and boring go back at feed.
    peck : float or None
        Depth of a peck, mm.
    peck_return : {'out', 'back off'}
        After a peck the drill goes back to the plane and at rapid to within `back_off` of the last bottom, or backs off
        by that only.
    back_off : float
        mm.
    feed : float or None
        mm/rev; of a tap its pitch.
    name : str
        'G83' makes 'peck 2 (G83)'.

    Raises
    ------
    ValueError
        If the plane does not lie between where the tool stands and the bottom.
    """
    x, z = start
    ahead = math.copysign(1.0, bottom - z)
    if not (plane - z) * ahead >= 0.0 or not (bottom - plane) * ahead > 0.0:
        raise ValueError(
            f"begins to feed {abs(plane - bottom):.4g} mm from the bottom, but the tool stands {abs(z - bottom):.4g} "
            "mm from it: the plane where feeding begins must lie between the two"
        )
    thread = 0.0 if kind == "tapping" else None
    legs: list[Leg] = [rapid((x, plane), f"to the plane ({name})")]
    depths = stops(plane, bottom, peck if kind == "pecking" else None)
    for count, depth in enumerate(depths, start=1):
        stage = f"peck {count} ({name})" if len(depths) > 1 else f"{kind} ({name})"
        legs.append(cut((x, depth), stage, feed, thread))
        if count < len(depths):
            near = depth - ahead * min(back_off, abs(depth - plane))
            legs += [rapid((x, plane), stage)] if peck_return == "out" else []
            legs.append(rapid((x, near), stage))
    if kind in ("tapping", "boring"):
        legs.append(cut((x, plane), f"out ({name})", feed, thread))
    legs.append(rapid((x, ends_at), f"out ({name})"))
    return moves_of(start, legs)
