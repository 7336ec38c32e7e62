r"""Pockets turned into soft jaws: what is removed, as (r, z) outlines about the spindle axis.

Shape of one pocket gripped outside (r to the right, z up, the axis far left)::

    void           /|   lead-in chamfer, 45 deg, leg `chamfer`, from z = mouth - chamfer to the mouth
                  | |
                  | |   wall at r = diameter / 2, the gripping face
                   \|   run-out of the groove, 30 deg to the wall (steeper if groove_width leaves no room)
    ________________|   relief groove at the seat corner: groove_depth beyond the wall, flush with the seat
         seat at z = jaw height - depth

The groove undercuts the wall only, as the undercut of type E in DIN 509 does (there the run-out is 15
deg, as a control's public manual quotes it); the seat stays flat out to the groove's bottom. groove_width is the whole
width along the wall, from the seat to the end of the run-out. A pocket gripped inside is the mirror
image: material outside the wall goes, the groove and the chamfer reach inwards.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from meshes.dimension import require_less, require_not_negative, require_positive

RUN_OUT = math.radians(30.0)  # the trailing edge of a 55 deg insert at 93 deg (32 deg) still clears it
OVERCUT = 2.0  # mm by which the removed region reaches beyond the jaw's faces, so that no faces coincide


@dataclass(frozen=True, slots=True)
class Pocket:
    """One pocket (step); lengths in mm.

    Attributes
    ----------
    diameter : float
        Of the gripping wall, about the spindle axis while it is turned.
    depth : float
        From the jaw's top face down to the seat (back face).
    groove_width, groove_depth : float
        Relief groove at the seat corner, see the module; both 0 for none.
    chamfer : float
        Leg of the 45 deg lead-in at the pocket's mouth; 0 for none.
    """

    diameter: float
    depth: float
    groove_width: float = 0.0
    groove_depth: float = 0.0
    chamfer: float = 0.0

    def __post_init__(self) -> None:
        require_positive("pocket", diameter=self.diameter, depth=self.depth)
        require_not_negative(
            "pocket", groove_width=self.groove_width, groove_depth=self.groove_depth, chamfer=self.chamfer
        )
        if (self.groove_width == 0.0) != (self.groove_depth == 0.0):
            raise ValueError(
                "pocket: groove width and groove depth must both be 0 mm or both be greater, found "
                f"{self.groove_width:g} mm and {self.groove_depth:g} mm"
            )
        require_less(
            "pocket",
            "groove width plus chamfer",
            self.groove_width + self.chamfer,
            "the depth",
            self.depth,
        )


def groove_flat(pocket: Pocket) -> float:
    """Return the width (mm) of the groove's cylindrical bottom, from the seat to where the run-out begins."""
    return max(0.0, pocket.groove_width - pocket.groove_depth / math.tan(RUN_OUT))


def removed_outside(
    pockets: Sequence[Pocket], jaw_height: float, through_diameter: float | None = None
) -> NDArray[np.float64]:
    """Return the (r, z) outline removed from the front for parts gripped outside.

    Parameters
    ----------
    pockets : sequence of Pocket
        In any order; the wider must be the shallower.
    jaw_height : float
        z of the jaws' top faces, mm.
    through_diameter : float, optional
        A clearance bore of this diameter goes on from the deepest seat through the jaw.

    Returns
    -------
    (n, 2) array
        mm, counter-clockwise, from the axis; it reaches `OVERCUT` beyond the jaw's faces.

    Raises
    ------
    ValueError
        If the pockets do not nest; the message names which (numbered from 1 as given).
    """
    ordered = _nested(pockets, jaw_height, growing=False)
    deepest = ordered[-1][1]
    if through_diameter is None:
        points = [(0.0, jaw_height - deepest.depth)]
    else:
        require_positive("pocket", through_diameter=through_diameter)
        require_less(
            "pocket", "through diameter", through_diameter, "the deepest pocket's diameter", deepest.diameter
        )
        through = 0.5 * through_diameter
        points = [(0.0, -OVERCUT), (through, -OVERCUT), (through, jaw_height - deepest.depth)]
    mouths = [jaw_height, *(jaw_height - pocket.depth for _, pocket in ordered)]
    for index in reversed(range(len(ordered))):
        points += _wall(ordered[index][1], jaw_height, mouths[index], outward=1.0, over=index == 0)
    points.append((0.0, points[-1][1]))
    return np.array(points)


def removed_inside(pockets: Sequence[Pocket], jaw_height: float, outer_radius: float) -> NDArray[np.float64]:
    """Return the (r, z) outline removed from the front for parts gripped by their bore.

    Everything outside diameter / 2 above the seat is turned away.

    Parameters
    ----------
    pockets : sequence of Pocket
        In any order; the narrower must be the shallower.
    jaw_height : float
        z of the jaws' top faces, mm.
    outer_radius : float
        Radius (mm) to which material is removed; beyond every corner of the jaw's outer end.

    Returns
    -------
    (n, 2) array
        mm, counter-clockwise; it reaches `OVERCUT` above the jaw's top face.

    Raises
    ------
    ValueError
        If the pockets do not nest; the message names which (numbered from 1 as given).
    """
    ordered = _nested(pockets, jaw_height, growing=True)
    number, deepest = ordered[-1]
    end = "the diameter at the jaws' outer ends"
    require_less(f"pocket {number}", "diameter", deepest.diameter, end, 2.0 * outer_radius)
    mouths = [jaw_height, *(jaw_height - pocket.depth for _, pocket in ordered)]
    points = [(outer_radius, jaw_height - deepest.depth)]
    for index in reversed(range(len(ordered))):
        points += _wall(ordered[index][1], jaw_height, mouths[index], outward=-1.0, over=index == 0)
    if points[-1][0] < 0.0:
        raise ValueError(
            f"pocket: chamfer must leave a wall of the {ordered[0][1].diameter:g} mm diameter, found "
            f"{ordered[0][1].chamfer:g} mm"
        )
    points.append((outer_radius, points[-1][1]))
    return np.array(points)[::-1].copy()


def _wall(
    pocket: Pocket, jaw_height: float, mouth: float, *, outward: float, over: bool
) -> list[tuple[float, float]]:
    """Points from the seat's corner up to the mouth; `over` carries the top one past the jaw's face."""
    wall, seat = 0.5 * pocket.diameter, jaw_height - pocket.depth
    points = []
    if pocket.groove_width > 0.0:
        bottom, flat = wall + outward * pocket.groove_depth, groove_flat(pocket)
        points.append((bottom, seat))
        if flat > 0.0:
            points.append((bottom, seat + flat))
        points.append((wall, seat + pocket.groove_width))
    else:
        points.append((wall, seat))
    rise = OVERCUT if over else 0.0
    if pocket.chamfer > 0.0:
        # The chamfer's cone goes on above the face, so that the removed region cuts the face where it should.
        points.append((wall, mouth - pocket.chamfer))
        points.append((wall + outward * (pocket.chamfer + rise), mouth + rise))
    else:
        points.append((wall, mouth + rise))
    return points


def _nested(pockets: Sequence[Pocket], jaw_height: float, *, growing: bool) -> list[tuple[int, Pocket]]:
    """Pockets with their numbers, shallowest first; ValueError unless they nest with a land between them."""
    if not pockets:
        raise ValueError("pockets: at least one pocket is needed, found none")
    require_positive("pocket", jaw_height=jaw_height)
    ordered = sorted(enumerate(pockets, start=1), key=lambda numbered: numbered[1].depth)
    for number, pocket in ordered:
        require_less(f"pocket {number}", "depth", pocket.depth, "the jaw height", jaw_height)
    for (upper_number, upper), (lower_number, lower) in itertools.pairwise(ordered):
        step = 0.5 * (lower.diameter - upper.diameter) if growing else 0.5 * (upper.diameter - lower.diameter)
        names = f"pocket {lower_number} (diameter {lower.diameter:g} mm, depth {lower.depth:g} mm)"
        above = f"pocket {upper_number} (diameter {upper.diameter:g} mm, depth {upper.depth:g} mm)"
        if lower.depth <= upper.depth or step <= 0.0:
            wanted = "wider" if growing else "narrower"
            raise ValueError(f"{names} does not nest in {above}: the deeper one must be the {wanted}")
        if step <= lower.chamfer:
            raise ValueError(f"{names} leaves no seat for {above}: its chamfer takes the seat away")
        needed = lower.chamfer + lower.groove_width
        if lower.depth - upper.depth <= needed:
            raise ValueError(
                f"{names} leaves no wall below {above}: its own wall must be longer than its groove "
                f"and chamfer, {needed:g} mm"
            )
    return ordered
