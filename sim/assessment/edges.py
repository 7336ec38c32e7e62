"""What a cutting edge takes: feed by its nose, depth by its length; of a drill feed by its diameter. mm and mm/rev."""

from __future__ import annotations

import math

from meshes.insert import Insert, parse
from sim.scenario import Cut

PRACTICE = "common practice"
# Tool makers recommend roughing feeds up to two thirds of the nose radius (common practice; one public guide has 1 /
# 1.6 for strong corners and 1 / 2.5 for slim ones, suporhard.com, pre-processing, another a third to a half). At one
# and a half times that, the nose radius itself, the nose only leaves ridges.
USUAL_FEED = 2.0 / 3.0
# Above the usual feed or depth an edge is overloaded and the verdict warns; from so many times it on it fails.
BEYOND = 1.5
SHARPEST = 0.1  # mm; a corner that is called sharp is rounded by as much
UNKNOWN_NOSE = 0.4  # mm, where neither insert nor nose radius is stated: the smallest usual one
# mm/rev of feed for each mm of a twist drill's diameter: 0.01 to 0.03 (common practice, no source).
DRILL_FEED = 0.03
# Largest pitch over the diameter of the coarse metric threads of ISO 261: M1 with 0.25 mm.
TAP_PITCH = 0.25
# mm/rev of feed for each mm of a blade's width: 0.03 to 0.07 (common practice, no source).
BLADE_FEED = 0.07
# Share of the edge's length that may cut: shapes with a strong corner take two thirds, slim ones less, round inserts
# four tenths of their diameter (tool makers' recommendations, from memory, not verified).
_STRONG, _SLIM = 2.0 / 3.0, 0.5
USABLE = {"C": _STRONG, "E": _STRONG, "H": _STRONG, "M": _STRONG, "O": _STRONG, "P": _STRONG, "S": _STRONG,
          "D": _SLIM, "T": _SLIM, "W": _SLIM, "V": 0.25, "R": 0.4}  # fmt: skip
FEED_BASIS = (
    f"{PRACTICE}, no source: up to two thirds of the nose radius, or {DRILL_FEED:g} of a drill's diameter, "
    f"{BLADE_FEED:g} of a blade's width; "
    f"{BEYOND:g} times that at the very most"
)
DEPTH_BASIS = (
    f"{PRACTICE}, no source: two thirds of the edge of a strong insert, half of a slim one, a quarter of 35 deg; "
    f"{BEYOND:g} times that at the very most"
)


def nose_of(cut: Cut) -> float:
    """Return the nose radius of a cut's tool, mm; the smallest usual one where none is stated."""
    if cut.insert is not None:
        return parse(cut.insert).nose_radius
    return UNKNOWN_NOSE if cut.nose_radius is None else cut.nose_radius


def feed_of_nose(radius: float) -> float:
    """Return the usual feed (mm/rev) of a nose radius (mm)."""
    return USUAL_FEED * max(radius, SHARPEST)


def usual_feed(cut: Cut) -> float:
    """Return the largest usual feed (mm/rev) of a cut.

    Infinite for a cutter that mills, whose teeth share it, and for a thread, whose lead is no feed of an edge.
    """
    if cut.kind == "drilling":
        return DRILL_FEED * cut.diameter
    if cut.kind == "tapping":
        return TAP_PITCH * cut.diameter
    if cut.kind in ("grooving", "parting"):
        return BLADE_FEED * cut.depth_of_cut
    return math.inf if cut.rotating_tool or cut.kind == "threading" else feed_of_nose(nose_of(cut))


def usable_depth(insert: Insert, approach_angle: float) -> float:
    """Return the largest usual depth of cut (mm) of an insert at a tool cutting edge angle (rad)."""
    across = 1.0 if insert.shape == "R" else math.sin(approach_angle)
    return USABLE[insert.shape] * insert.edge_length * across


def usual_depth(cut: Cut) -> float:
    """Return the largest usual depth of cut (mm) of a cut; infinite where no insert is stated, and for a drill."""
    if cut.insert is None or cut.kind in ("drilling", "tapping"):
        return math.inf
    return usable_depth(parse(cut.insert), cut.approach_angle)
