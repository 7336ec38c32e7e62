"""Forces of a single-point thread: the section that one pass takes, in chips as thin as flanks make them.

A pass that goes deeper by a small step takes a chip along both flanks and the crest of the tool. Its section is at most
that step times the width of the groove, and the width at most the pitch. On a flank at the half angle beta the chip is
step x sin beta thick; taken as thin over the whole section, the specific force is the highest of Kienzle's law. That
of pipe threads, 27.5 deg, bounds the 30 deg of ISO metric ones, and flatter profiles as well: a trapezoidal thread has
its thinner flanks beside a crest over which the chip is as thick as the step (see its test). One flank alone, fed along
the other, takes a chip twice as thick: less force.
"""

from __future__ import annotations

import math

from sim.base.floats import Number, smaller
from sim.mechanics.cutting import FEED_RATIO, PASSIVE_RATIO, CutForces, FeedTowards
from sim.mechanics.kienzle import CutMetal, Kind, correction, specific_force

HALF_ANGLE = math.radians(
    27.5
)  # between flank and the square to the axis: half of 55 deg, the Whitworth form that ISO 228-1 gives pipe threads


def thread_forces(
    metal: CutMetal,
    speed: Number,
    *,
    pitch: Number,
    infeed: Number,
    width: Number,
    rake_angle: float,
    wear_factor: Number,
    diameter: float,
    height: float,
    feed_towards: FeedTowards,
    inside: bool,
) -> CutForces[Number]:
    """Return the forces of one pass of a thread.

    What a turning tool parts into feed and passive force acts across the edge: on one flank alone it lies along the
    spindle, on the crest square to it, so both are taken whole. Which flank cuts is a matter of infeed: along the
    spindle, out of the jaws is judged.

    Parameters
    ----------
    metal : CutMetal
    speed : float or array
        Cutting speed, m/min.
    pitch, infeed, width : float or array
        Feed of a turn, how much deeper the pass goes, how wide its groove then is, mm.
    rake_angle : float
        rad.
    wear_factor : float or array
    diameter, height : float
        Where it cuts, mm.
    feed_towards : {'chuck', 'tailstock', 'axis', 'outward'}
        Of the tool; a feed along the spindle either way is judged as one towards the tailstock.
    inside : bool
        Of an internal thread, whose tool presses into the wall of a bore.
    """
    kind: Kind = "boring" if inside else "threading"
    section = infeed * smaller(width, pitch)
    thickness = math.sin(HALF_ANGLE) * infeed
    kc11, mc = metal.kienzle.unfavourable(thickness)
    factor = correction(rake_angle, wear_factor, speed, "threading", metal.rake)
    force = section * specific_force(thickness, kc11, mc) * factor
    thrust = math.hypot(FEED_RATIO, PASSIVE_RATIO) * force
    along = feed_towards in ("chuck", "tailstock")
    return CutForces(force, thrust, thrust, diameter, height, "tailstock" if along else feed_towards, kind)
