"""Where the jaws stand at a travel, and how wide a bored face is. Lengths in mm."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from meshes import soft_jaw
from sim.base.floats import Number
from sim.scenario import Scenario

Direction = Literal["outside", "inside"]


@dataclass(frozen=True, slots=True)
class JawPlace:
    """Where the jaws stand along their stroke, and how wide the soft jaws are there; mm.

    Attributes
    ----------
    direction : {'outside', 'inside'}
        In which they grip, the same for all operations.
    sign : float
        1 where the part lies inside of the jaws and travel closes them on it, -1 where they grip its bore; no unit.
    soft, master : float
        Radius of the inner ends of soft jaws and master jaws at travel 0.
    stroke : float
        The longest travel.
    boring_travel, bored : float
        Travel at which the jaws are bored, and radius of the soft jaws' inner ends there.
    length, tip, side, edge_chamfer : float
        Length of a soft jaw, half the width of its inner end and of the whole, and its edges' chamfer.
    """

    direction: Direction
    sign: float
    soft: float
    master: float
    stroke: float
    boring_travel: float
    bored: float
    length: float
    tip: float
    side: float
    edge_chamfer: float

    @property
    def outside(self) -> bool:
        """Whether the jaws grip a part from outside."""
        return self.direction == "outside"

    @property
    def opened(self) -> float:
        """Radius of the soft jaws' inner ends with the jaws as far out as they go."""
        return self.inner(0.0 if self.outside else self.stroke)

    @property
    def closed(self) -> float:
        """Radius of the soft jaws' inner ends with the jaws as far in as they go."""
        return min(self.inner(0.0), self.inner(self.stroke))

    def inner(self, travel: Number) -> Number:
        """Return the radius of the soft jaws' inner ends at a travel."""
        return self.soft - self.sign * travel

    def master_inner(self, travel: float) -> float:
        """Return the radius of the master jaws' inner ends at a travel."""
        return self.master - self.sign * travel

    def corner(self, inner: float) -> float:
        """Return the radius of a soft jaw's outermost corners, its inner end at a radius."""
        return math.hypot(inner + self.length, self.side)

    def face_half_chord(self, radius: float) -> float:
        """Return half the chord of the face that boring to a radius gives, between its edge chamfers.

        As wide as the jaw where the bore leaves the blank through its sides. A small bore leaves it through the inner
        end (or its flanks, beside a narrowed tip): then the face is narrower, and its edges are those of the inner end.
        """
        inner = self.bored
        end = math.sqrt(max(radius**2 - max(inner, 0.0) ** 2, 0.0))
        if end > self.tip:
            # The flank's line stands this far from the axis; it meets the bore at 60 deg less what that takes off.
            off = self.tip * math.cos(soft_jaw.FLANK_ANGLE) - inner * math.sin(soft_jaw.FLANK_ANGLE)
            angle = soft_jaw.FLANK_ANGLE + math.asin(max(-1.0, min(1.0, off / radius)))
            end = radius * math.sin(min(angle, 0.5 * math.pi))
        return min(self.side - self.edge_chamfer, end)


def jaw_place(scenario: Scenario) -> JawPlace:
    """Return where the jaws of a scenario stand along their stroke."""
    jaw, chuck, travel = scenario.soft_jaw, scenario.chuck, scenario.boring.travel
    direction = scenario.operations[0].gripping.direction
    outside = direction == "outside"
    sign, shut = (1.0, 0.0) if outside else (-1.0, chuck.stroke)
    soft = jaw.mounting_radius + jaw.serration_index * chuck.serration_pitch - shut
    return JawPlace(
        direction=direction,
        sign=sign,
        soft=soft,
        master=scenario.master_jaw.inner_radius - shut,
        stroke=chuck.stroke,
        boring_travel=travel,
        bored=soft - sign * travel,
        length=jaw.length,
        tip=0.5 * (jaw.tip_width or jaw.width),
        side=0.5 * jaw.width,
        edge_chamfer=jaw.edge_chamfer,
    )
