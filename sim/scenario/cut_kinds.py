"""What grooves and threads state, and what they may not: both lie between two diameters, mm."""

from __future__ import annotations

from collections.abc import Set

GROOVES = ("grooving", "parting")
# What a blade with a straight edge along the spindle, in a tool that stands, has no use for.
_NOT_OF_A_BLADE = {
    "insert": "ISO 1832 designates no blade",
    "nose_radius": "a blade cuts with its whole front",
    "approach_angle": "a blade's edge lies along the spindle, 90 deg",
}
_NOT_OF_A_THREAD = {
    "insert": "ISO 1832 designates no profile of a thread",
    "nose_radius": "a thread is cut by its flanks",
    "approach_angle": "a thread's flanks are those of its profile",
}


def require_groove(
    kind: str,
    feed_towards: str,
    diameter: float,
    end_diameter: float | None,
    stated: Set[str],
    *,
    rotating_tool: bool,
) -> None:
    """Refuse a groove whose ends (mm) are not stated or that states what a blade has not, and an end of other cuts.

    Raises
    ------
    ValueError
        One clause with the field.
    """
    if kind not in GROOVES:
        if end_diameter is not None and kind != "threading":
            raise ValueError(
                f"end_diameter is for grooving and parting, or threading, found {end_diameter:g} mm for a cut of kind "
                f"{kind}"
            )
        return
    ways = ("axis", "outward") if kind == "grooving" else ("axis",)
    if feed_towards not in ways:
        raise ValueError(
            f"feed_towards must be {' or '.join(ways)} for {kind}: the blade feeds across the "
            f"spindle, found '{feed_towards}'"
        )
    if rotating_tool:
        raise ValueError(
            f"rotating_tool must be left out for {kind}: a slot that is milled is no groove of a blade"
        )
    for name, why in _NOT_OF_A_BLADE.items():
        if name in stated:
            raise ValueError(f"{name} must be left out for {kind}: {why}")
    if end_diameter is None:
        raise ValueError(
            f"end_diameter must state where {kind} ends (0 mm on the axis): torque and speed follow the diameter"
        )
    inward = feed_towards == "axis"
    if (end_diameter >= diameter) if inward else (end_diameter <= diameter):
        raise ValueError(
            f"end_diameter must be {'less' if inward else 'more'} than diameter, {diameter:g} mm, where the feed "
            f"is towards '{feed_towards}', found {end_diameter:g} mm"
        )


def require_thread(
    kind: str,
    feed_towards: str,
    diameters: tuple[float, float | None],
    depth_of_cut: float,
    stated: Set[str],
    *,
    rotating_tool: bool,
) -> None:
    """Refuse a thread whose crests and root (mm) are not stated or that states what it has not.

    Raises
    ------
    ValueError
        One clause with the field.
    """
    if kind != "threading":
        return
    crest, root = diameters
    if rotating_tool:
        raise ValueError(
            "rotating_tool must be left out for threading: a thread that is milled is no turned one"
        )
    if feed_towards not in ("chuck", "tailstock"):
        raise ValueError(
            'feed_towards must be "chuck" or "tailstock" for threading: threads are judged along the spindle, found '
            f"'{feed_towards}'"
        )
    for name, why in _NOT_OF_A_THREAD.items():
        if name in stated:
            raise ValueError(f"{name} must be left out for threading: {why}")
    if root is None:
        raise ValueError(
            "end_diameter must state the root of a thread, whose crests stand at diameter: less outside, more inside"
        )
    height = 0.5 * abs(crest - root)
    if depth_of_cut > height:
        raise ValueError(
            f"depth_of_cut must be the deepest pass of a thread, at most its height of {height:g} mm, found "
            f"{depth_of_cut:g} mm"
        )
