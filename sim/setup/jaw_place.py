"""Where the jaws stand at a travel, and how wide a bored face is. Lengths in mm."""

from __future__ import annotations

import math
from dataclasses import dataclass

from meshes import sector
from sim.base.floats import Number, hypot, larger
from sim.base.gripping import Direction
from sim.scenario import Scenario

STANDS_ON = 5.0  # mm


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
    flank : float
        Angle of the flanks, which begin at the inner end's corners, to the middle plane, rad.
    round_end : float or None
        Radius of a sector jaw's outer end, about the line in which its flanks would meet; None for a block.
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
    flank: float
    round_end: float | None

    @property
    def narrowed(self) -> bool:
        """Whether the jaws are narrower at their inner ends than over all: pointed jaws and sector jaws."""
        return self.tip < self.side

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

    def corner(self, inner: Number) -> Number:
        """Return the radius of what a soft jaw reaches farthest with, its inner end at a radius: corners, or crown."""
        if self.round_end is None:
            return hypot(inner + self.length, self.side)
        return larger(inner + self.length, self._round_corner(inner))

    def outer_end(self, inner: float) -> float:
        """Return the least radius of a soft jaw's outer end, its inner end at a radius."""
        if self.round_end is None:
            return inner + self.length
        return min(inner + self.length, self._round_corner(inner))

    def _round_corner(self, inner: Number) -> Number:
        """Return the radius of a sector jaw's outer corners, its inner end at a radius."""
        return hypot(inner + (self.side - self.tip) / math.tan(self.flank), self.side)

    def as_wide_as(self, width: float) -> float:
        """Return how far from its inner end a narrowed jaw is as wide as this, or as its widest; 0 of a plain block."""
        return max(0.0, min(0.5 * width, self.side) - self.tip) / math.tan(self.flank)

    def width_at(self, position: float) -> float:
        """Return the width of a jaw so far from its inner end."""
        return 2.0 * min(self.side, self.tip + position * math.tan(self.flank))

    def counted_half_angle(self, radius: float, share: float) -> float:
        """Return half the arc (rad) of a share of a jaw's width about its middle, at a radius while it is bored."""
        if not self.narrowed:
            return math.asin(min(0.8, share * self.side / radius))
        return share * math.asin(min(1.0, self.face_half_chord(radius) / radius))

    def outer_half_chord(self, radius: float) -> float:
        """Return half the chord of a face turned to a radius behind the inner end, between its edge chamfers."""
        return self.face_half_chord(radius) if self.narrowed else self.side - self.edge_chamfer

    def face_half_chord(self, radius: float) -> float:
        """Return half the chord of the face that boring to a radius gives, between its edge chamfers.

        As wide as the jaw where the bore leaves the blank through its sides. A small bore leaves it through the inner
        end: then the face is narrower, and its edges are those of the inner end. Beside a narrowed tip and in a sector
        jaw it ends on the flanks, less the chamfer of its edges.
        """
        inner = self.bored
        end = math.sqrt(max(radius**2 - max(inner, 0.0) ** 2, 0.0))
        if end > self.tip:
            # The flank's line stands this far from the axis; it meets the bore at its angle less what that takes off.
            off = self.tip * math.cos(self.flank) - inner * math.sin(self.flank)
            angle = self.flank + math.asin(max(-1.0, min(1.0, off / radius)))
            angle = max(math.asin(min(1.0, self.tip / radius)), angle - self.edge_chamfer / radius)
            end = radius * math.sin(min(angle, 0.5 * math.pi))
        return min(self.side - self.edge_chamfer, end)


def stands_free(scenario: Scenario) -> bool:
    """Tell whether soft jaws stand far past the sides of their master jaws, which then hold only their middles.

    What a jaw stands past them by no more than `STANDS_ON` counts as held: 2.5 mm move no pressure by half a percent.
    """
    return 0.5 * (scenario.soft_jaw.width - scenario.master_jaw.width) > STANDS_ON


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
        flank=0.5 * (jaw.tip_angle if jaw.sector_angle is None else jaw.sector_angle),
        round_end=None
        if jaw.sector_angle is None or jaw.tip_width is None
        else sector.sector_radius(jaw.length, jaw.tip_width, jaw.sector_angle),
    )
