"""Forces of a cut on the part, and how they load the part in the jaws.

Lengths in mm, forces in N, angles in rad, cutting speed in m/min, spindle speed in rev/min. Feed, depth of cut, speed,
wear and the material's values may be floats or arrays of one shape; angles and diameters are floats.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Generic, Literal

from sim.base.floats import Number, hypot
from sim.mechanics.kienzle import CutMetal, Kind, chip_section, correction, cutting_force

# Tools with an axis of their own, whose tangential forces are a couple about it.
ALONG_AN_AXIS = ("drilling", "tapping")
FeedTowards = Literal["chuck", "tailstock", "axis", "outward"]

# Feed and passive force over the cutting force. Handbooks give 0.2 to 0.5 for both, moving from one to the
# other with the approach angle and the nose radius (common practice, no source): the upper end, for holding.
FEED_RATIO = 0.5
PASSIVE_RATIO = 0.5
# A load that comes at once upon an undamped spring deflects it to twice the rest position, and so strains it by twice
# itself (energy: F x = k x^2 / 2; textbooks of strength of materials, "suddenly applied load"). What damps makes
# it less.
SUDDEN_LOAD = 2.0


@dataclass(frozen=True, slots=True)
class CutForces(Generic[Number]):
    """Forces of one cut on the part, and where they act.

    Attributes
    ----------
    tangential, feed, passive : float or array
        Cutting force, force along the feed, force square to both, N, all positive.
    diameter : float
        At which it cuts, mm; for drilling the drill's diameter.
    height : float
        z of the cut from the part's back face, mm.
    feed_towards : {'chuck', 'tailstock', 'axis', 'outward'}
        Direction of the feed.
    kind : {'turning', 'facing', 'boring', 'drilling', 'tapping', 'grooving', 'parting', 'threading'}
        Kind of cut.
    off_axis : float
        Distance of a drill's axis from the spindle's, mm; 0 for all other cuts.
    impact : float
        By how many times an interrupted cut's forces are raised in these; 1 for any other. No unit.
    """

    tangential: Number
    feed: Number
    passive: Number
    diameter: float
    height: float
    feed_towards: FeedTowards
    kind: Kind = "turning"
    off_axis: float = 0.0
    impact: float = 1.0

    def struck(self, impact: float) -> CutForces[Number]:
        """Return the forces while the edge enters the metal again, `impact` times these (no unit)."""
        return replace(self.times(impact), impact=impact * self.impact)

    def times(self, share: Number | float) -> CutForces[Number]:
        """Return forces that are a share of these."""
        return replace(
            self,
            tangential=share * self.tangential,
            feed=share * self.feed,
            passive=share * self.passive,
        )


@dataclass(frozen=True, slots=True)
class PartLoad(Generic[Number]):
    """What a cut asks of the grip.

    Attributes
    ----------
    torque : float or array
        About the spindle axis, N mm.
    towards_chuck, away_from_chuck : float or array
        Axial force, N; the first is taken by the back face where there is one. One of them is 0.
    radial : float or array
        Side force at the cut, N: tangential and radial part together; a drill's tangential forces are a couple.
    """

    torque: Number
    towards_chuck: Number
    away_from_chuck: Number
    radial: Number


def turning_forces(
    feed: Number,
    depth_of_cut: Number,
    approach_angle: float,
    kc11: Number,
    mc: Number,
    diameter: float,
    height: float,
    feed_towards: FeedTowards,
    kind: Kind = "turning",
    factor: Number | float = 1.0,
    feed_ratio: float = FEED_RATIO,
    passive_ratio: float = PASSIVE_RATIO,
) -> CutForces[Number]:
    """Return the forces of a turning, facing or boring cut.

    Parameters
    ----------
    feed, depth_of_cut, approach_angle : float
        mm/rev, mm, rad.
    kc11, mc : float
        Kienzle's values, MPa and 1.
    diameter, height : float
        Where it cuts, mm.
    factor : float
        Product of the corrections, see `correction`.
    feed_ratio, passive_ratio : float
        Feed and passive force over the cutting force.
    """
    force = cutting_force(feed, depth_of_cut, approach_angle, kc11, mc, factor)
    return CutForces(force, feed_ratio * force, passive_ratio * force, diameter, height, feed_towards, kind)


def kienzle_forces(
    metal: CutMetal,
    spindle_speed: Number,
    *,
    feed: Number,
    depth_of_cut: Number,
    approach_angle: float,
    rake_angle: float,
    wear_factor: Number,
    diameter: float,
    height: float,
    feed_towards: FeedTowards,
    kind: Kind,
) -> CutForces[Number]:
    """Return the forces of turning, facing or boring by Kienzle with the less favourable printing."""
    speed = cutting_speed(diameter, spindle_speed)
    factor = correction(rake_angle, wear_factor, speed, kind, metal.rake)
    thickness, _ = chip_section(feed, depth_of_cut, approach_angle)
    kc11, mc = metal.kienzle.unfavourable(thickness)
    return turning_forces(
        feed, depth_of_cut, approach_angle, kc11, mc, diameter, height, feed_towards, kind, factor
    )


def groove_forces(
    metal: CutMetal,
    speed: Number,
    *,
    feed: Number,
    width: Number,
    rake_angle: float,
    wear_factor: Number,
    diameter: float,
    height: float,
    feed_towards: FeedTowards,
    kind: Kind,
) -> CutForces[Number]:
    """Return the forces of a blade that feeds across the spindle at a cutting `speed` (m/min): b its width, h its feed.

    Its straight edge lies along the spindle, so what parts into feed and passive force at a turning tool (`FEED_RATIO`,
    `PASSIVE_RATIO`) acts along the feed together, and nothing along the edge.
    """
    factor = correction(rake_angle, wear_factor, speed, kind, metal.rake)
    kc11, mc = metal.kienzle.unfavourable(feed)
    thrust = math.hypot(FEED_RATIO, PASSIVE_RATIO)
    return turning_forces(
        feed,
        width,
        0.5 * math.pi,
        kc11,
        mc,
        diameter,
        height,
        feed_towards,
        kind,
        factor,
        feed_ratio=thrust,
        passive_ratio=0.0,
    )


def tooth_forces(forces: CutForces[Number]) -> CutForces[Number]:
    """Return the forces of a cutter that turns: all of a tooth's force around the spindle, and as much out of the jaws.

    A tooth pushes another way at each angle of the cutter, along or against the feed, and inclined flutes pull along
    its axis by their hand: which way the largest force of a tooth pointed is not known from three amounts. No force of
    that size, wherever it points, turns, pulls or tips the part by more: its torque is at most F d/2, its pull F, its
    moment about the held middle F sqrt(l^2 + d^2/4), as here.
    """
    tooth = hypot(hypot(forces.tangential, forces.feed), forces.passive)
    return replace(forces, tangential=tooth, feed=tooth, passive=0.0 * tooth, feed_towards="tailstock")


def part_load(forces: CutForces[Number]) -> PartLoad[Number]:
    """Return what a cut asks of the grip.

    A feed along the spindle pushes the part along the feed, and the passive force is radial; a feed across it
    makes the feed force radial and the passive force axial, towards the chuck. A drill loads the side by no more
    than a passive force that is stated for it.
    """
    torque = 0.5 * forces.tangential * forces.diameter
    if forces.feed_towards in ("chuck", "tailstock"):
        axial, across = forces.feed, forces.passive
    else:
        axial, across = forces.passive, forces.feed
    away = axial if forces.feed_towards == "tailstock" else 0.0 * axial
    side = across if forces.kind in ALONG_AN_AXIS else hypot(forces.tangential, across)
    return PartLoad(torque, axial - away, away, side)


def cut_wrench(forces: CutForces, above_middle: float) -> tuple[float, float, float, float, float, float]:
    """Return force (x, y, z, N) and moment (about x, y, z, N mm) of a cut on the part.

    About the axis' point `above_middle` mm under the cut (the middle of the held height); x points from the axis to
    the tool, z away from the chuck. r x F with the cut at (d/2, 0, above_middle): the tangential force along -y, the
    radial one along x, away from the tool outside and into the wall of a bore. A drill's tangential forces are a
    couple wherever its axis lies; its thrust, and a passive force if one is stated, act on the drill's axis.
    """
    along = forces.feed_towards in ("chuck", "tailstock")
    axial, radial = (forces.feed, forces.passive) if along else (forces.passive, forces.feed)
    axial = axial if forces.feed_towards == "tailstock" else -axial
    torque = -0.5 * forces.diameter * forces.tangential
    if forces.kind in ALONG_AN_AXIS:
        return -radial, 0.0, axial, 0.0, -above_middle * radial - forces.off_axis * axial, torque
    outward = forces.kind == "boring" if along else forces.feed_towards == "outward"
    x, y = radial if outward else -radial, -forces.tangential
    return x, y, axial, -above_middle * y, above_middle * x - 0.5 * forces.diameter * axial, torque


def bar_bend(force: float, reach: float, modulus: float, diameter: float) -> float:
    """Return how far (mm) a round bar bends at its tip: F L^3 / (3 E I), I = pi d^4 / 64.

    A cantilever clamped at the end of its reach (Euler-Bernoulli); what its holder and the turret give is not in it.
    """
    return force * reach**3 / (3.0 * modulus * math.pi * diameter**4 / 64.0)


def cutting_power(tangential: float, cutting_speed: float) -> float:
    """Return the cutting power (kW) at a cutting speed in m/min: F_c v_c / 60000."""
    return tangential * cutting_speed / 60_000.0


def cutting_speed(diameter: float, spindle_speed: Number) -> Number:
    """Return the cutting speed (m/min) at a diameter (mm) and a spindle speed (rev/min)."""
    return math.pi * diameter * spindle_speed / 1000.0


def spindle_speed(diameter: float, speed: Number) -> Number:
    """Return the spindle speed (rev/min) for a cutting speed (m/min) at a diameter (mm)."""
    return 1000.0 * speed / (math.pi * diameter)
