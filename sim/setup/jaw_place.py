"""Where the jaws stand at a travel, and how wide a bored face is. Lengths in mm."""

from __future__ import annotations

import math
from typing import Literal

from meshes import soft_jaw
from sim.base.floats import Number
from sim.scenario import Scenario

Direction = Literal["outside", "inside"]


def gripping_direction(scenario: Scenario) -> Direction:
    """Return 'outside' or 'inside', the same for all operations."""
    return scenario.operations[0].gripping.direction


def inner_end_radius(scenario: Scenario, travel: Number) -> Number:
    """Return the radius (mm) of the soft jaws' inner ends at a travel (mm)."""
    jaw, stroke = scenario.soft_jaw, scenario.chuck.stroke
    opened = jaw.mounting_radius + jaw.serration_index * scenario.chuck.serration_pitch
    return opened - travel if gripping_direction(scenario) == "outside" else opened - stroke + travel


def master_inner_radius(scenario: Scenario, travel: float) -> float:
    """Return the radius (mm) of the master jaws' inner ends at a travel (mm)."""
    stroke, opened = scenario.chuck.stroke, scenario.master_jaw.inner_radius
    return opened - travel if gripping_direction(scenario) == "outside" else opened - stroke + travel


def face_half_chord(scenario: Scenario, radius: float) -> float:
    """Return half the chord (mm) of the face that boring to a radius (mm) gives, between its edge chamfers.

    As wide as the jaw where the bore leaves the blank through its sides. A small bore leaves it through the inner end
    (or its flanks, beside a narrowed tip): then the face is narrower, and its edges are those of the inner end.
    """
    jaw, inner = scenario.soft_jaw, inner_end_radius(scenario, scenario.boring.travel)
    tip = 0.5 * (jaw.tip_width or jaw.width)
    end = math.sqrt(max(radius**2 - max(inner, 0.0) ** 2, 0.0))
    if end > tip:
        # The flank's line stands this far from the axis; it meets the bore at 60 deg less what that takes off.
        off = tip * math.cos(soft_jaw.FLANK_ANGLE) - inner * math.sin(soft_jaw.FLANK_ANGLE)
        angle = soft_jaw.FLANK_ANGLE + math.asin(max(-1.0, min(1.0, off / radius)))
        end = radius * math.sin(min(angle, 0.5 * math.pi))
    return min(0.5 * jaw.width - jaw.edge_chamfer, end)
