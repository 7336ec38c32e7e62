"""Forces of tools with an axis of their own: drills, from the full metal, opening a hole and breaking through; taps.

Lengths in mm, forces in N, angles in rad, cutting speed in m/min. Feed, pitch, speed, wear and the material's values
may be floats or arrays of one shape; angles and diameters are floats.
"""

from __future__ import annotations

import math
from dataclasses import replace

from sim.base.floats import Number
from sim.mechanics.cutting import CutForces, FeedTowards
from sim.mechanics.kienzle import (
    CHIP_COMPRESSION,
    LEAST_SPEED,
    CutMetal,
    correction,
    cutting_force,
    rake_factor,
    specific_force,
    speed_factor,
)

# Share of its pitch that each tooth of a tap cuts: 17/32 of sqrt(3)/2 P over ten to twenty teeth (derived).
TAP_CHIP = 0.03
DRILL_POINT = math.radians(118.0)


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
    (within 5 % of a tool maker's public reference for plain steel: `tests/reference/test_drilling_forces.py`).
    The lips' passive forces cancel.
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
    factor = rake_factor(rake_angle, metal.rake) * speed_factor(LEAST_SPEED) * CHIP_COMPRESSION["tapping"]
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
