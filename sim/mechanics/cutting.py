"""Cutting forces by Kienzle, and how they load the part in the jaws.

Lengths in mm, forces in N, stresses in MPa, angles in rad, cutting speed in m/min, spindle speed in rev/min.
Kienzle: F_c = b h^(1 - mc) kc1.1 K with h = f sin kappa and b = a_p / sin kappa (O. Kienzle, 1952; textbook
form of Dietrich and Tschaetsch, Praxis der Zerspantechnik). The corrections for rake, wear and chip compression are
that textbook's, as an open program after it quotes them (with kc1.1 and mc of S235; another has those of C45).

Feed, depth of cut, speed, wear and the material's values may be floats or arrays of one shape; angles and diameters are
floats.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Any, Generic, Literal, overload

import numpy as np

from sim.base.arrays import Floats
from sim.base.floats import Number, choose, hypot, larger, power
from sim.base.tables import Kienzle, Material, kienzle, material

# Tools with an axis of their own, whose tangential forces are a couple about it.
ALONG_AN_AXIS = ("drilling", "tapping")
# Share of its pitch that each tooth of a tap cuts: 17/32 of sqrt(3)/2 P over ten to twenty teeth (derived).
TAP_CHIP = 0.03
Kind = Literal["turning", "facing", "boring", "drilling", "tapping", "grooving", "parting", "threading"]
FeedTowards = Literal["chuck", "tailstock", "axis", "outward"]

# Feed and passive force over the cutting force. Handbooks give 0.2 to 0.5 for both, moving from one to the
# other with the approach angle and the nose radius (common practice, no source): the upper end, for holding.
FEED_RATIO = 0.5
PASSIVE_RATIO = 0.5
REFERENCE_RAKE = math.radians(
    6.0
)  # of the textbook's steel values; catalogue values for 0 deg then err upward
DEFAULT_SPEED = 180.0  # m/min, of a cut that states no speed (carbide, common practice, no source)
# The correction by cutting speed of carbide, (factor, exponent) below and from the reference speed on, m/min: from
# memory; within 9 % of a table book's steps for drilling (scribd 127821968: 1.3 at 10 to 30 m/min, 1.1 at 31 to 80)
# and up to 400 m/min within 10 % of the 1.0 that one of the textbook's programs takes for carbide. Below the least
# speed, where built-up edges rule, its value there.
REFERENCE_SPEED, LEAST_SPEED = 100.0, 20.0
_SLOW, _FAST = (2.023, 0.153), (1.380, 0.07)
# A load that comes at once upon an undamped spring deflects it to twice the rest position, and so strains it by twice
# itself (energy: F x = k x^2 / 2; textbooks of strength of materials, "suddenly applied load"). What damps makes
# it less.
SUDDEN_LOAD = 2.0
# Of drilling 1.2 (a table book, scribd 127821968: Kienzle's values come from turning), of boring the same. Of grooving
# and parting 1.3 (the textbook, from memory), of threads, whose chips have as little room, the same.
_CHIP_COMPRESSION = {
    "turning": 1.0,
    "facing": 1.0,
    "boring": 1.2,
    "drilling": 1.2,
    "tapping": 1.3,
    "grooving": 1.3,
    "parting": 1.3,
    "threading": 1.3,
}
DRILL_POINT = math.radians(118.0)
# Handbook values of kc1.1 hold at a rake of 6 deg for steel, 2 deg for cast iron, 0 deg for the rest.
_LAST_STEEL, _LAST_IRON = 14, 20  # last VDI 3323 groups of steel and of cast iron


@dataclass(frozen=True, slots=True)
class CutMetal:
    """What is cut: Kienzle's values of its group in two printings, and the rake (rad) at which they hold."""

    kienzle: Kienzle
    rake: float


def cut_metal(metal: Material | str, rake: float = 0.0) -> CutMetal:
    """Return what cutting a material takes, or one of the table by its name; UnknownNameError otherwise.

    `rake` (rad) is that of the cut: values of one's own that state none count as found at it.
    """
    own = None if isinstance(metal, str) else metal.cutting
    if own is None:
        return group_metal(metal)
    return own_metal(own.kc11, own.mc, rake if own.rake is None else own.rake)


def group_metal(metal: Material | str) -> CutMetal:
    """Return what cutting takes by the group of a material, whatever the material states of its own."""
    row = kienzle((material(metal) if isinstance(metal, str) else metal).kienzle)
    number = int(row.group)
    return CutMetal(row, math.radians(6.0 if number <= _LAST_STEEL else 2.0 if number <= _LAST_IRON else 0.0))


def own_metal(specific_force: float, chip_exponent: float, rake: float) -> CutMetal:
    """Return what cutting takes by a shop's own kc1.1 (MPa) and mc, found at a rake (rad)."""
    values = specific_force, chip_exponent
    return CutMetal(Kienzle("own", "as stated", *values, *values, "the scenario"), rake)


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


def chip_section(
    feed: Number, depth_of_cut: Number | float, approach_angle: float
) -> tuple[Number, Number | float]:
    """Return chip thickness h = f sin kappa and width b = a_p / sin kappa, mm.

    Raises
    ------
    ValueError
        If feed or depth is not greater than 0 mm, or the approach angle not between 0 and 180 deg.
    """
    if not (np.all(feed > 0.0) and np.all(depth_of_cut > 0.0)):
        raise ValueError(
            "feed and depth of cut must be greater than 0 mm, "
            f"found {np.min(feed):g} mm and {np.min(depth_of_cut):g} mm"
        )
    if not 0.0 < approach_angle < math.pi:
        raise ValueError(
            f"approach angle must lie between 0 and 180 deg, found {math.degrees(approach_angle):g} deg"
        )
    sine = math.sin(approach_angle)
    return feed * sine, depth_of_cut / sine


def specific_force(chip_thickness: Number, kc11: Number, mc: Number) -> Number:
    """Return kc = kc1.1 h^-mc, MPa."""
    return kc11 * power(chip_thickness, -mc)


def rake_factor(rake: float, reference: float = REFERENCE_RAKE) -> float:
    """Return K_gamma = 1 - (gamma - gamma_0) / 100 deg: 1 % per degree of rake.

    gamma_0 is 6 deg for steel, 2 deg for cast iron, 0 deg for aluminium.
    """
    return 1.0 - math.degrees(rake - reference) / 100.0


def speed_factor(cutting_speed: Number) -> Number:
    """Return K_v for carbide at a cutting speed in m/min; 1 at 100 m/min.

    2.023 / v^0.153 below 100 m/min, 1.380 / v^0.07 above. Below 20 m/min, where
    built-up edges rule, the value at 20 m/min.
    """
    slow = _SLOW[0] / power(larger(cutting_speed, LEAST_SPEED), _SLOW[1])
    fast = _FAST[0] / power(larger(cutting_speed, REFERENCE_SPEED), _FAST[1])
    return choose(cutting_speed < REFERENCE_SPEED, slow, fast)


@overload
def correction(
    rake: float = ...,
    wear: float = ...,
    cutting_speed: float = ...,
    kind: Kind = ...,
    reference_rake: float = ...,
) -> float: ...
@overload
def correction(
    rake: float, wear: Floats, cutting_speed: Floats, kind: Kind = ..., reference_rake: float = ...
) -> Floats: ...
def correction(
    rake: float = REFERENCE_RAKE,
    wear: Any = 1.3,
    cutting_speed: Any = REFERENCE_SPEED,
    kind: Kind = "turning",
    reference_rake: float = REFERENCE_RAKE,
) -> Any:
    """Return K = K_gamma K_wear K_v K_st, the product of the corrections.

    `wear` is 1 for a sharp edge and 1.3 to 1.5 for a worn one; K_st, chip compression, 1 for outside turning
    and facing, 1.2 for boring and drilling, 1.3 for grooving, parting, tapping and threading.
    """
    return rake_factor(rake, reference_rake) * wear * speed_factor(cutting_speed) * _CHIP_COMPRESSION[kind]


def cutting_force(
    feed: Number,
    depth_of_cut: Number | float,
    approach_angle: float,
    kc11: Number,
    mc: Number,
    factor: Number | float = 1.0,
) -> Number:
    """Return the cutting force F_c (N) by Kienzle, times the correction `factor`."""
    h, b = chip_section(feed, depth_of_cut, approach_angle)
    return b * h * specific_force(h, kc11, mc) * factor


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


def drilling_forces(
    feed: Number,
    drill_diameter: float,
    kc11: Number,
    mc: Number,
    height: float,
    factor: Number | float = 1.0,
    point_angle: float = DRILL_POINT,
    feed_towards: FeedTowards = "chuck",
    off_axis: float = 0.0,
) -> CutForces[Number]:
    """Return the forces of a two-lipped drill, whose axis lies `off_axis` mm from the spindle's.

    Each lip cuts b = D / (2 sin kappa), h = f/2 sin kappa, kappa half the point angle, with F_cz at D/4. Two
    of them make the torque F_cz D/2: F_cz at the drill's diameter, as the tangential force here (so a table book,
    scribd 127821968). Feed force 2 F_cz sin kappa: the push square to a lip is taken as large as its cutting force
    (textbook form, from memory). The lips' passive forces cancel.
    """
    kappa = 0.5 * point_angle
    per_lip = cutting_force(0.5 * feed, 0.5 * drill_diameter, kappa, kc11, mc, factor)
    thrust = 2.0 * per_lip * math.sin(kappa)
    return CutForces(
        per_lip, thrust, 0.0 * per_lip, drill_diameter, height, feed_towards, "drilling", off_axis
    )


def tap_forces(
    metal: CutMetal,
    *,
    pitch: Number,
    rake_angle: float,
    wear_factor: Number,
    diameter: float,
    height: float,
    off_axis: float = 0.0,
) -> CutForces[Number]:
    """Return the forces of a tap: torque kc P^2 D / 8, and as much pull as its flutes can make of it.

    The torque is the usual form of tool makers' handbooks (lubero.de, calculations: kc P^2 D / 8000 in N m): the
    thread's section, P^2 / 4, at half the nominal diameter. (An internal thread to ISO 68-1 has 0.237 P^2.) kc is
    that of the thin chip of one tooth, at the least cutting speed. Flutes inclined by up to 45 deg turn the
    tangential force into as much axial force, as those of a drill that breaks through do. Which way is a matter of
    hand and reversal: out of the jaws is judged.
    """
    thickness = TAP_CHIP * pitch
    kc11, mc = metal.kienzle.unfavourable(thickness)
    factor = rake_factor(rake_angle, metal.rake) * speed_factor(LEAST_SPEED) * _CHIP_COMPRESSION["tapping"]
    force = specific_force(thickness, kc11, mc) * 0.25 * pitch * pitch * factor * wear_factor
    return CutForces(force, force, 0.0 * force, diameter, height, "tailstock", "tapping", off_axis)


def breaking_through(forces: CutForces[Number]) -> CutForces[Number]:
    """Return a drill's forces as it breaks through: the part is pulled off with what pressed it home before.

    When the point is through, nothing holds the lips back and they screw into what is left. A rake face inclined by the
    flute's helix angle delta turns a torque T on the radius R into at most (T / R) tan delta along the axis (without
    friction; the same at every radius, as the helix angle falls with it). That is `tangential` times tan delta; with
    the steepest usual 40 deg, and twice the torque as of a load that comes at once (`SUDDEN_LOAD`), 1.68 times. The
    thrust of two lips at 118 deg, 1.71 times, bounds it. A drill that is fed towards the tailstock pulls all the way.
    """
    return replace(forces, feed_towards="tailstock")


def opening(forces: CutForces[Number], drill_diameter: float) -> CutForces[Number]:
    """Return the forces of a drill that opens a hole, from those of one whose lips cut as much from the axis on.

    Each lip cuts a ring D/2 wide at the drill's rim instead of D/4 from the axis: the torque of both is that of two
    forces at (D_drill - D/2) / 2, so the tangential force counts at 2 D_drill - D.
    """
    return replace(forces, diameter=2.0 * max(drill_diameter, forces.diameter) - forces.diameter)


def drill_forces(
    metal: CutMetal,
    speed: Number,
    *,
    feed: Number,
    rake_angle: float,
    wear_factor: Number,
    diameter: float,
    height: float,
    feed_towards: FeedTowards,
    off_axis: float = 0.0,
) -> CutForces[Number]:
    """Return the forces of a drill at a cutting `speed` (m/min) by Kienzle with the less favourable printing."""
    kc11, mc = metal.kienzle.unfavourable(0.5 * feed)
    factor = correction(rake_angle, wear_factor, speed, "drilling", metal.rake)
    return drilling_forces(
        feed, diameter, kc11, mc, height, factor, feed_towards=feed_towards, off_axis=off_axis
    )


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
