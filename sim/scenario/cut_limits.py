"""The least cut that is one: below it the edge only rubs and no chip forms, so that no force can be worked out."""

from __future__ import annotations

# Edges of indexable inserts are rounded by 20 to 60 um, and a chip forms from about a third of that on (from memory,
# not verified); finishing cuts are ten times as deep (common practice, no source). Kienzle's values come from chips of
# 0.05 to 2.5 mm (from memory). What is thinner than this is a slip of the unit.
LEAST_DEPTH = 0.05  # mm
LEAST_FEED = 0.02  # mm/rev


def require_chip(feed: float, depth_of_cut: float) -> None:
    """Refuse a cut that is too thin to be one.

    Raises
    ------
    ValueError
        One clause with the field.
    """
    if depth_of_cut < LEAST_DEPTH:
        raise ValueError(
            f"depth_of_cut must be at least {LEAST_DEPTH:g} mm, below which an edge rubs and does not cut, found "
            f"{depth_of_cut:g} mm"
        )
    if feed < LEAST_FEED:
        raise ValueError(
            f"feed must be at least {LEAST_FEED:g} mm/rev, below which an edge rubs and does not cut, found "
            f"{feed:g} mm/rev"
        )
