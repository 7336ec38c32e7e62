"""Which fixture a path leaves room for: the ring with the smallest hole, or a plug, or an outer ring.

All follow from what the whole tool covers along the path, widened by the clearance required.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from sim.base.arrays import Ints
from sim.base.rounding import at_most_text, near
from sim.clearance.shapes import bounds
from sim.clearance.sweep import ToolSweep

_FAR = 1e4  # mm, larger than any chuck
_AT_ONCE = 32  # steps looked at together
_ROUND = 32  # segments of a quarter circle, which are inscribed in it
_OUTSIDE = 1.0 / math.cos(0.25 * math.pi / _ROUND)  # keeps the chords outside of the true circle


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


@dataclass(frozen=True, slots=True, eq=False)
class Room:
    """What whole tools cover along their paths, widened by a clearance; looked at only where asked.

    Attributes
    ----------
    sweeps : tuple of ToolSweep
    clearance : float
        mm.
    """

    sweeps: tuple[ToolSweep, ...]
    clearance: float

    def reach(self, low: float, high: float) -> float:
        """Return the largest radius (mm) that is covered between two heights (z, mm); 0 where nothing is."""
        found = self._extreme((0.0, low, _FAR, high), column=2, sign=1.0)
        return 0.0 if found is None else found

    def lowest(self, inner: float, outer: float) -> float:
        """Return the least z (mm) that is covered between two radii (mm); inf where nothing is."""
        found = self._extreme((inner, -_FAR, outer, _FAR), column=1, sign=-1.0)
        return math.inf if found is None else found

    def _extreme(self, window: tuple[float, float, float, float], column: int, sign: float) -> float | None:
        """Largest (sign 1) or least (-1) bound of what is covered within a window; the likely steps come first."""
        wide = np.array(window) + self.clearance * np.array([-1.0, -1.0, 1.0, 1.0])
        box = shapely.box(*window)
        best: float | None = None
        for sweep in self.sweeps:
            every = np.arange(len(sweep.path.move))
            for index in range(len(sweep.tool.parts)):
                rows = sweep.within(index, sweep.open(index, every), (wide[0], wide[1], wide[2], wide[3]))
                hopes = sign * sweep.bounds(index, rows)[:, column] + self.clearance
                order = np.argsort(-hopes, kind="stable")
                for chosen in np.split(order, range(_AT_ONCE, len(order), _AT_ONCE)):
                    if not len(chosen) or (best is not None and hopes[chosen[0]] <= sign * best):
                        break
                    found = shapely.intersection(box, self._widened(sweep, index, rows[chosen]))
                    values = shapely.bounds(found)[:, column]
                    if not np.isnan(values).all():
                        value = sign * float(np.nanmax(sign * values))
                        best = value if best is None else sign * max(sign * best, sign * value)
        return best

    def _widened(self, sweep: ToolSweep, index: int, rows: Ints) -> NDArray[np.object_]:
        images = sweep.images(index, rows)
        return np.asarray(shapely.buffer(images, self.clearance * _OUTSIDE, quad_segs=_ROUND), dtype=object)


def ring_advice(
    room: Room, top: float, thickness: float, pin_circle_diameter: float, pin_diameter: float
) -> RingAdvice:
    """Return the smallest hole of a boring ring that lies on z = top, for a region that must stay free.

    Parameters
    ----------
    room : Room
    top : float
        z of the jaws' top faces, mm.
    thickness, pin_circle_diameter, pin_diameter : float
        Of the ring, mm.
    """
    return RingAdvice(2.0 * room.reach(top, top + thickness), pin_circle_diameter - pin_diameter)


def plug_advice(
    room: Room,
    stock: BaseGeometry,
    *,
    thickness: float,
    wall: float,
    bearing: float = 3.0,
    diameter: float | None = None,
    largest: float = math.inf,
) -> PlugAdvice:
    """Return where a plug may stand below a path that bores the jaws.

    Parameters
    ----------
    room : Room
    stock : BaseGeometry
        Image of the jaws before boring; its least rho is the opening between them.
    thickness : float
        Of the plug, mm.
    wall : float
        Least height of jaw below the seat, mm.
    bearing : float
        How far the jaws reach over the plug's seat, mm in radius (common practice, no source).
    diameter : float, optional
        Of the plug; the opening and twice the bearing if not given.
    largest : float
        Diameter of the plug's seat that leaves the part its back face, mm.
    """
    opening, _, _, top = bounds(stock)
    size = 2.0 * (opening + bearing) if diameter is None else diameter
    highest = min(top, room.lowest(0.0, 0.5 * size))
    seat = highest - thickness
    reason = ""
    if 0.5 * size < opening + 1e-9:
        reason = f"a plug of {size:g} mm is not held by jaws that stand {2.0 * opening:.1f} mm apart"
    elif size > largest:
        shown, bound = near(size, largest, 1), at_most_text(largest, 1)
        reason = f"a plug of {shown} mm leaves the part no back face; {bound} mm would"
    elif seat < wall:
        reason = (
            f"the path leaves room up to z = {highest:.1f} mm; a plug {thickness:g} mm thick needs "
            f"{thickness + wall:g} mm"
        )
    return PlugAdvice(size, highest, top - seat, size, not reason, reason)


def outer_ring_top(room: Room, inner_diameter: float) -> float:
    """Return the highest z (mm) of the upper face of an outer ring that a path for inside gripping clears; inf for any.

    The ring stands round the jaws; everything of the tool outside its inner diameter must pass above it.
    """
    return room.lowest(0.5 * inner_diameter, _FAR)


def fixture_advice(ring: RingAdvice, plug: PlugAdvice) -> FixtureAdvice:
    """Return the remedy: a ring where one fits, otherwise a plug."""
    return FixtureAdvice("ring" if ring.fits else "plug" if plug.fits else "none", ring, plug)
