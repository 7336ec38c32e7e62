"""What a live centre bears across the spindle for as long as its force keeps it seated. Forces in N, angles in rad.

The cone of half-angle b bears by a pressure p (1 + k cos t) around it; k = 1 is where one side lets go. With A the
cone's area, the pressure's normal leans by b out of the plane across the spindle, so that

    along the spindle   F = p A sin b
    across it           Q = (k / 2) p A cos b    (the mean of cos^2 is 1/2)

and Q = F / (2 tan b) at the most: 0.87 F for a cone of 60 deg. A frictionless cone that bears on one line alone would
take twice as much before it climbs out: that is not counted (derived here, elementary statics).
"""

from __future__ import annotations

import math

from sim.base.floats import Number


def borne_across(force: Number, cone_angle: float) -> Number:
    """Return the largest force (N) across the spindle under which a cone stays seated all around.

    Parameters
    ----------
    force : float or array
        Of the centre along the spindle, N.
    cone_angle : float
        Included, rad.
    """
    return force / (2.0 * math.tan(0.5 * cone_angle))
