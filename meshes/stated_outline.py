"""What a holder by its outline must do to be one: hold the cutter, reach beyond it, and leave its corner free."""

from __future__ import annotations

import math

import shapely

# Of an insert, seen from above, that the outline must lie under (common practice, no source).
HELD_SHARE = 0.05
SETBACK = 1.0  # mm by which a holder may stay behind a cutter by its outline, so that only that can cut
PLAY = 0.05  # mm, of drawings and of rounding
_FAR = 1e5  # mm


def closed_outline(part: str, outline: tuple[tuple[float, float], ...]) -> shapely.Polygon:
    """Return an outline as a polygon, (x, z) in mm.

    Raises
    ------
    ValueError
        If it has less than three points, crosses itself or bounds nothing.
    """
    if len(outline) < 3:
        raise ValueError(f"{part}: outline must have three or more points, found {len(outline)}")
    polygon = shapely.Polygon(outline)
    if not polygon.is_valid or not polygon.area > 0.0:
        reason = "it encloses no area" if polygon.is_valid else shapely.is_valid_reason(polygon)
        raise ValueError(f"{part}: outline must not cross itself, found: {reason}")
    return polygon


def require_holds(part: str, outline: shapely.Polygon, cutter: shapely.Polygon, nose: float | None) -> None:
    """Refuse an outline that cannot be that of what holds a cutter; frame and tip are those of `meshes.insert`.

    Parameters
    ----------
    part : str
        For messages.
    outline, cutter : Polygon
        (x, z) in mm from the programmed tip, of a tool that cuts outward and towards the chuck.
    nose : float or None
        Nose radius of an insert, mm; None for a cutter by its outline, which only has to be touched.

    Raises
    ------
    ValueError
        Says which of these it is, with the figure.
    """
    past = outline.intersection(shapely.box(PLAY, -_FAR, _FAR, -PLAY))
    if past.area > 0.0:
        x, z = float(past.bounds[2]), float(past.bounds[1])
        raise ValueError(
            f"{part}: outline must not lie past the tip in both directions of cut, found {x:.1f} mm past it across the "
            f"axis and {-z:.1f} mm towards the chuck; x and z count from the programmed tip"
        )
    if nose is not None:
        corner = nose * (1.0 - math.sqrt(0.5))
        if outline.distance(shapely.Point(-corner, corner)) < PLAY:
            raise ValueError(
                f"{part}: outline must leave the cutting corner free, and lies over it: nothing could be cut"
            )
        held = outline.intersection(cutter).area / cutter.area
        if held < HELD_SHARE:
            raise ValueError(
                f"{part}: outline must lie under the insert at the tip, {HELD_SHARE:.0%} of it at least, found "
                f"{held:.1%}; x and z count from the programmed tip"
            )
    elif outline.distance(cutter) > SETBACK:
        raise ValueError(
            f"{part}: outline must come within {SETBACK:g} mm of the cutter that it holds, found "
            f"{outline.distance(cutter):.1f} mm between them"
        )
    if outline.difference(cutter.buffer(PLAY)).area <= 0.0:
        raise ValueError(f"{part}: outline must reach beyond the cutter that it holds, and lies within it")


def require_carries(part: str, thickness: float, insert_thickness: float) -> None:
    """Refuse a holder that is thinner than its insert: seen from the side it would hide what lies below.

    Raises
    ------
    ValueError
    """
    if thickness < insert_thickness:
        raise ValueError(
            f"{part}: must be at least as thick below the edge as the insert that it carries, "
            f"{insert_thickness:g} mm, found {thickness:g} mm"
        )
