"""The soft jaw: a blank with counterbored screw holes, and the blank as bored."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import shapely
import trimesh
from numpy.typing import ArrayLike

from meshes.boolean import difference
from meshes.dimension import require_less, require_positive
from meshes.extrude import prism
from meshes.placement import placed, translation
from meshes.revolve import revolve
from meshes.sector import AGREES, LARGEST, sector_radius, sector_width

TIP_ANGLE = math.radians(120.0)  # between the flanks of a narrowed inner end: three such jaws meet in a point
SLIMMEST = math.radians(20.0)
HOLE_SECTIONS = 64
BORE_SECTIONS = 1024
_ARC = 240  # facets of a sector's round end; even, so that a corner of them stands on the middle plane
_OVER = 1.0  # mm by which cutters of holes reach beyond the faces


@dataclass(frozen=True, slots=True)
class SoftJawBlank:
    """A soft jaw before it is bored; lengths in mm.

    Jaw frame: x outward from the inner end (x = 0) to `length`, y across, the seat on the serrations in z
    = 0, the top face in z = height. The inner end is flat over `tip_width` and widens up to the full width
    between flanks that stand at half of `tip_angle` to the middle plane: a pointed jaw.

    A sector jaw (pie jaw; three of them make a full circle) is a piece of a disc: its flanks stand at half
    of `sector_angle` to the middle plane and go on to the outer end, which is round about the line in which
    they would meet.

    Attributes
    ----------
    width : float
        Over all; of a sector jaw over its outer corners, which its other dimensions give.
    screws : tuple of float
        x of each screw's axis, on the middle plane.
    hole_diameter, counterbore_diameter, counterbore_depth : float
        Through hole, and the counterbore from the top face.
    sector_angle : float or None
        Between the flanks of a sector jaw, rad; None for a block.
    tip_angle : float
        Between the flanks of a block's inner end, rad; nothing where it is as wide as the jaw.
    """

    length: float
    width: float
    height: float
    tip_width: float
    screws: tuple[float, ...]
    hole_diameter: float
    counterbore_diameter: float
    counterbore_depth: float
    sector_angle: float | None = None
    tip_angle: float = TIP_ANGLE

    def __post_init__(self) -> None:
        part = "soft jaw"
        require_positive(
            part,
            length=self.length,
            width=self.width,
            height=self.height,
            tip_width=self.tip_width,
            hole_diameter=self.hole_diameter,
            counterbore_diameter=self.counterbore_diameter,
            counterbore_depth=self.counterbore_depth,
        )
        if self.tip_width > self.width:
            raise ValueError(
                f"{part}: tip width must be at most the width ({self.width:g} mm), "
                f"found {self.tip_width:g} mm"
            )
        if self.sector_angle is None:
            if not SLIMMEST <= self.tip_angle <= TIP_ANGLE:
                raise ValueError(
                    f"{part}: tip angle must lie between {math.degrees(SLIMMEST):g} deg and "
                    f"{math.degrees(TIP_ANGLE):g} deg, found {math.degrees(self.tip_angle):g} deg"
                )
            require_less(part, "length of the flanks", flank_length(self), "the length", self.length)
        else:
            _require_sector(self, self.sector_angle)
        require_less(
            part, "hole diameter", self.hole_diameter, "the counterbore diameter", self.counterbore_diameter
        )
        require_less(part, "counterbore diameter", self.counterbore_diameter, "the width", self.width)
        require_less(part, "counterbore depth", self.counterbore_depth, "the height", self.height)
        outline = plan(self)
        for position in self.screws:
            disc = shapely.Point(position, 0.0).buffer(0.5 * self.counterbore_diameter)
            if not outline.contains(disc):
                raise ValueError(
                    f"{part}: screw at {position:g} mm must have its {self.counterbore_diameter:g} mm "
                    f"counterbore inside the blank of {self.length:g} mm by {self.width:g} mm"
                )


def _require_sector(blank: SoftJawBlank, angle: float) -> None:
    if not 0.0 < angle <= LARGEST:
        raise ValueError(
            f"soft jaw: sector angle must be over 0 deg and at most {math.degrees(LARGEST):g} deg, "
            f"found {math.degrees(angle):g} deg"
        )
    wide = sector_width(blank.length, blank.tip_width, angle)
    if abs(blank.width - wide) > AGREES:
        raise ValueError(
            f"soft jaw: width must be {wide:.2f} mm, what length, tip width and sector angle of a sector jaw "
            f"give over its outer corners, found {blank.width:g} mm"
        )


def flank_angle(blank: SoftJawBlank) -> float:
    """Return the angle (rad) of the flanks to the jaw's middle plane."""
    return 0.5 * (blank.tip_angle if blank.sector_angle is None else blank.sector_angle)


def flank_length(blank: SoftJawBlank) -> float:
    """Return the x (mm) at which the flanks of the inner end reach the full width."""
    return 0.5 * (blank.width - blank.tip_width) / math.tan(flank_angle(blank))


def plan(blank: SoftJawBlank) -> shapely.Polygon:
    """Return the outline seen from the top, (x, y) in mm, without the holes."""
    tip, side, flank = 0.5 * blank.tip_width, 0.5 * blank.width, flank_length(blank)
    if blank.sector_angle is not None:
        return _sector_plan(blank, blank.sector_angle)
    if flank == 0.0:
        return shapely.box(0.0, -side, blank.length, side)
    return shapely.Polygon(
        [(0.0, -tip), (flank, -side), (blank.length, -side), (blank.length, side), (flank, side), (0.0, tip)]
    )


def _sector_plan(blank: SoftJawBlank, angle: float) -> shapely.Polygon:
    tip, radius = 0.5 * blank.tip_width, sector_radius(blank.length, blank.tip_width, angle)
    turns = np.linspace(-0.5 * angle, 0.5 * angle, _ARC + 1)
    # The middle one stands at the jaw's length to the last bit; the others need not.
    arc = np.column_stack([blank.length - radius * (1.0 - np.cos(turns)), radius * np.sin(turns)])
    return shapely.Polygon([(0.0, -tip), *arc.tolist(), (0.0, tip)])


def mesh(blank: SoftJawBlank, sections: int = HOLE_SECTIONS) -> trimesh.Trimesh:
    """Return the blank's solid: through holes, and counterbores from the top face."""
    hole, bore = 0.5 * blank.hole_diameter, 0.5 * blank.counterbore_diameter
    step, top = blank.height - blank.counterbore_depth, blank.height + _OVER
    cutter = revolve(
        [(0.0, -_OVER), (hole, -_OVER), (hole, step), (bore, step), (bore, top), (0.0, top)], sections
    )
    cutters = [placed(cutter, translation(position, 0.0, 0.0)) for position in blank.screws]
    return difference(prism(plan(blank), blank.height), cutters)


def bored(
    blank: trimesh.Trimesh,
    removed_outline: ArrayLike,
    inner_end_radius: float,
    sections: int = BORE_SECTIONS,
) -> trimesh.Trimesh:
    """Return the jaw after the solid of revolution of an outline about the spindle axis is cut away.

    Parameters
    ----------
    blank : trimesh.Trimesh
        Closed solid in the jaw frame; stays as it is.
    removed_outline : (n, 2) array_like
        (r, z) in mm about the spindle axis, as from `meshes.pocket`.
    inner_end_radius : float
        Where the jaw's inner end (x = 0) stands while it is bored, mm from the spindle axis.
    sections : int
        Facets per full turn of the bore. They are volume-true (see `meshes.revolve`), a facet's middle on
        y = 0: with 1024 the bored face of radius 60 mm lies within 0.2 micrometres of the true cylinder.

    Returns
    -------
    trimesh.Trimesh
        In the jaw frame.
    """
    half = _half_sector(blank, inner_end_radius, sections)
    sector = None if half is None else (-half, half)
    cutter = revolve(removed_outline, sections, sector)
    return difference(blank, [placed(cutter, translation(-inner_end_radius, 0.0, 0.0))])


def _half_sector(blank: trimesh.Trimesh, inner_end_radius: float, sections: int) -> float | None:
    """Half angle (rad) about the axis that holds the whole jaw and some more; None for the full turn.

    A whole odd number of facets, so that a facet's middle lies on the jaw's middle plane.
    """
    vertices = np.asarray(blank.vertices)
    x = vertices[:, 0] + inner_end_radius
    if x.min() <= 0.0:
        return None
    facet = 2.0 * math.pi / sections
    needed = float(np.abs(np.arctan2(vertices[:, 1], x)).max()) + 2.0 * facet
    count = 2 * math.ceil(needed / facet) + 1
    half = 0.5 * count * facet
    return half if half < 0.9 * math.pi else None
