"""Which fixture a path leaves room for: the ring with the smallest hole, or a plug, or an outer ring.

All follow from one region, what the whole tool covers along the path, widened by the clearance required.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from sim.clearance.path import Move
from sim.clearance.removal import bounds
from sim.clearance.sweep import along_path
from sim.clearance.tool import Tool
from sim.threads import each

_FAR = 1e4  # mm, larger than any chuck
_ROUND = 32  # segments of a quarter circle; the region is widened by the chords' loss as well


@dataclass(frozen=True, slots=True)
class RingAdvice:
    """Room for a boring ring on the jaws' top faces; lengths in mm.

    Attributes
    ----------
    least_inner_diameter : float
        The tool with its clearance passes through a ring of this or any larger inner diameter.
    most_inner_diameter : float
        A larger hole would not leave the ring round its pins.
    """

    least_inner_diameter: float
    most_inner_diameter: float

    @property
    def fits(self) -> bool:
        """Tell whether some ring clears the path and still holds its pins."""
        return self.least_inner_diameter <= self.most_inner_diameter


@dataclass(frozen=True, slots=True)
class PlugAdvice:
    """Room for a plug between the jaws, below the path; lengths in mm.

    Attributes
    ----------
    diameter : float
        Of the plug and of its seat.
    top : float
        Highest z of its upper face.
    seat_depth : float
        Of the seat's back face below the jaws' top faces.
    pre_bore_diameter : float
        To which the jaws must be bored from the top (on a ring, or held some other way) to get the plug in.
    fits : bool
        The seat keeps the wall wanted above the serrated plane, and the jaws reach in far enough.
    reason : str
        Why it does not fit, empty if it does.
    """

    diameter: float
    top: float
    seat_depth: float
    pre_bore_diameter: float
    fits: bool
    reason: str


@dataclass(frozen=True, slots=True)
class FixtureAdvice:
    """What to hold the jaws with for a path.

    Attributes
    ----------
    remedy : {'ring', 'plug', 'none'}
        A ring if one fits, else a plug if one fits.
    ring : RingAdvice
    plug : PlugAdvice
    """

    remedy: Literal["ring", "plug", "none"]
    ring: RingAdvice
    plug: PlugAdvice


def covered(moves: Sequence[Move], tool: Tool, clearance: float) -> BaseGeometry:
    """Return what the whole tool covers along a path, widened by a clearance (mm)."""
    sweep = along_path(moves, tool)
    every = np.arange(len(sweep.path.move))

    def passed(index: int) -> BaseGeometry:
        return shapely.union_all(sweep.images(index, sweep.open(index, every)))

    whole = shapely.union_all(each(passed, range(len(tool.parts))))
    # The arcs of a buffer are inscribed; 1 / cos of half a step keeps them outside the true circle.
    return shapely.buffer(whole, clearance * 1.0003, quad_segs=_ROUND)


def ring_advice(
    room: BaseGeometry, top: float, thickness: float, pin_circle_diameter: float, pin_diameter: float
) -> RingAdvice:
    """Return the smallest hole of a boring ring that lies on z = top, for a region that must stay free.

    Parameters
    ----------
    room : BaseGeometry
        From `covered`.
    top : float
        z of the jaws' top faces, mm.
    thickness, pin_circle_diameter, pin_diameter : float
        Of the ring, mm.
    """
    within = shapely.intersection(room, shapely.box(0.0, top, _FAR, top + thickness))
    reach = 0.0 if within.is_empty else bounds(within)[2]
    return RingAdvice(2.0 * reach, pin_circle_diameter - pin_diameter)


def plug_advice(
    room: BaseGeometry,
    stock: BaseGeometry,
    *,
    thickness: float,
    bearing: float = 3.0,
    wall: float = 5.0,
    diameter: float | None = None,
) -> PlugAdvice:
    """Return where a plug may stand below a path that bores the jaws.

    Parameters
    ----------
    room : BaseGeometry
        From `covered`.
    stock : BaseGeometry
        Image of the jaws before boring; its least rho is the opening between them.
    thickness : float
        Of the plug, mm.
    bearing : float
        How far the jaws reach over the plug's seat, mm in radius (common practice, no source).
    wall : float
        Least height of jaw below the seat, mm (common practice, no source).
    diameter : float, optional
        Of the plug; the opening and twice the bearing if not given.
    """
    opening, _, _, top = bounds(stock)
    size = 2.0 * (opening + bearing) if diameter is None else diameter
    above = shapely.intersection(room, shapely.box(0.0, -_FAR, 0.5 * size, _FAR))
    highest = top if above.is_empty else min(top, bounds(above)[1])
    seat = highest - thickness
    reason = ""
    if 0.5 * size < opening + 1e-9:
        reason = f"a plug of {size:g} mm is not held by jaws that stand {2.0 * opening:.1f} mm apart"
    elif seat < wall:
        reason = (
            f"the path leaves room up to z = {highest:.1f} mm; a plug {thickness:g} mm thick needs "
            f"{thickness + wall:g} mm"
        )
    return PlugAdvice(size, highest, top - seat, size, not reason, reason)


def outer_ring_top(room: BaseGeometry, inner_diameter: float) -> float:
    """Return the highest z (mm) of the upper face of an outer ring that a path for inside gripping clears.

    The ring stands round the jaws; everything of the tool outside its inner diameter must pass above it.
    """
    outside = shapely.intersection(room, shapely.box(0.5 * inner_diameter, -_FAR, _FAR, _FAR))
    return _FAR if outside.is_empty else bounds(outside)[1]


def fixture_advice(ring: RingAdvice, plug: PlugAdvice) -> FixtureAdvice:
    """Return the remedy: a ring where one fits, otherwise a plug."""
    return FixtureAdvice("ring" if ring.fits else "plug" if plug.fits else "none", ring, plug)
