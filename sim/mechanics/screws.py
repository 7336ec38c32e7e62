"""One jaw screw: preload, torque, pressure under its head, thread in the T-nut.

Lengths in mm, forces in N, stresses in MPa, torques in N mm. Forces, torques and frictions may be floats or arrays of
one shape; dimensions are floats.

Preload and torque follow VDI 2230-1 (the formulas as they are printed in textbooks; the guideline itself was
not at hand; what stands below with an equation's number is as open programs after it print it, and that the least C3
is that of equal strength is worked out in `tests/reference/test_worked_out.py`). `scatter`: the stated friction is
taken as the lowest that may occur, so that a torque gives at most the preload computed with it and at least that
divided by the tightening factor alpha_A. Settling of the seat and the screw's share of a working load are left out:
both are small beside the scatter.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Generic

import numpy as np

from sim.base.floats import Number, root
from sim.base.tables import PropertyClass, Thread, Tightening

YIELD_UTILISATION = 0.9  # VDI 2230: share of Rp0.2 used in assembly
_SHEAR_TO_YIELD = 1.0 / math.sqrt(3.0)  # von Mises
_SHEAR_TO_TENSILE = 0.6  # tau_B / R_m of steel, VDI 2230, so one open program
_NUT_DILATION = 0.897  # C3 of VDI 2230 (5.5/44b) at equal strength, its least value
_TENSILE_SPREAD = 1.2  # largest over least tensile strength of a screw, VDI 2230, so one open program
_LOST_THREAD = 0.8  # of a pitch lost at chamfer and point, VDI 2230 (5.5/48)
_WASHER_SPREAD = 1.6  # d_Wa = d_w + 1.6 h_S, VDI 2230, so one open program


@dataclass(frozen=True, slots=True)
class Preload(Generic[Number]):
    """Preload of one screw from a torque, N.

    Attributes
    ----------
    largest, least : float or array
        With the stated friction, and that divided by the tightening factor.
    allowed : float or array
        At 90 % of the yield strength, tension and torsion together.
    utilisation : float or array
        Equivalent stress at the largest preload over the yield strength; 0.9 is the guideline's limit.
    """

    largest: Number
    least: Number
    allowed: Number
    utilisation: Number


@dataclass(frozen=True, slots=True)
class Engagement:
    """Length of thread in the T-nut, mm: needed for the screw to break before the nut strips, and there."""

    needed: float
    engaged: float
    factor: float


def torque_per_preload(thread: Thread, hole_diameter: float, mu_thread: Number, mu_head: Number) -> Number:
    """Return MA / FM = 0.159 P + 0.577 d2 mu_thread + 0.5 Dkm mu_head, mm; Dkm = (d_w + d_h) / 2."""
    friction_diameter = 0.5 * (thread.bearing_diameter + hole_diameter)
    in_thread = 0.159 * thread.pitch + 0.577 * thread.pitch_diameter * mu_thread
    return in_thread + 0.5 * friction_diameter * mu_head


def equivalent_stress(preload: Number | float, thread: Thread, mu_thread: Number) -> Number:
    """Return the von Mises stress (MPa) while tightening.

    Tension FM / A_s; torsion MG / W_p with MG = FM d2/2 (P / (pi d2) + 1.155 mu) and W_p = pi d0^3 / 12, the
    whole section at its shear yield (VDI 2230 since 2001), d0 the diameter of the stress area.
    """
    diameter = 0.5 * (thread.pitch_diameter + thread.root_diameter)
    lead = thread.pitch / (math.pi * thread.pitch_diameter) + 1.155 * mu_thread
    torsion_over_tension = 1.5 * thread.pitch_diameter / diameter * lead
    return preload / thread.stress_area * root(1.0 + 3.0 * (torsion_over_tension * torsion_over_tension))


def allowed_preload(thread: Thread, strength: PropertyClass, mu_thread: Number) -> Number:
    """Return the assembly preload (N) at 90 % of the yield strength, tension and torsion together."""
    return YIELD_UTILISATION * strength.yield_strength / equivalent_stress(1.0, thread, mu_thread)


def allowed_torque(
    thread: Thread, strength: PropertyClass, hole_diameter: float, mu_thread: Number, mu_head: Number
) -> Number:
    """Return the tightening torque (N mm) that gives the allowed preload."""
    per_preload = torque_per_preload(thread, hole_diameter, mu_thread, mu_head)
    return allowed_preload(thread, strength, mu_thread) * per_preload


def preload(
    torque: Number,
    thread: Thread,
    strength: PropertyClass,
    hole_diameter: float,
    mu_thread: Number,
    mu_head: Number,
    tightening: Tightening,
) -> Preload[Number]:
    """Return what a tightening torque (N mm) gives; the larger tightening factor is taken.

    Raises
    ------
    ValueError
        If the torque or the friction is negative.
    """
    given = (torque, mu_thread, mu_head)
    if not all(np.all(value >= 0.0) for value in given):
        found, in_thread, under_head = (float(np.min(value)) for value in given)
        raise ValueError(
            "torque and friction of a screw must be 0 or more, "
            f"found {found:g} N mm, {in_thread:g} and {under_head:g}"
        )
    largest = torque / torque_per_preload(thread, hole_diameter, mu_thread, mu_head)
    return Preload(
        largest,
        largest / tightening.factor_high,
        allowed_preload(thread, strength, mu_thread),
        equivalent_stress(largest, thread, mu_thread) / strength.yield_strength,
    )


def bearing_diameter(thread: Thread, washer_diameter: float | None = None) -> float:
    """Return the diameter (mm) on which a screw head presses the jaw, or a hard washer below it.

    A washer of the thread's listed thickness h_S spreads the load to d_w + 1.6 h_S, at most to its own
    diameter.
    """
    if washer_diameter is None:
        return thread.bearing_diameter
    return min(washer_diameter, thread.bearing_diameter + _WASHER_SPREAD * thread.washer_thickness)


def head_pressure(
    force: Number, thread: Thread, hole_diameter: float, washer_diameter: float | None = None
) -> Number:
    """Return the pressure (MPa) on the jaw under a screw head, or under a hard washer below it.

    Raises
    ------
    ValueError
        If the hole is as wide as what rests on it.
    """
    outer = bearing_diameter(thread, washer_diameter)
    if not outer > hole_diameter:
        raise ValueError(
            f"the screw's hole must be smaller than the {outer:g} mm that rest on it, "
            f"found {hole_diameter:g} mm"
        )
    return force / (0.25 * math.pi * (outer**2 - hole_diameter**2))


def shear_yield(yield_strength: float) -> float:
    """Return the shear yield strength (MPa) of a yield strength: 1 / sqrt(3) of it (von Mises)."""
    return _SHEAR_TO_YIELD * yield_strength


def engagement(engaged: float, thread: Thread, strength: PropertyClass, nut_tensile: float) -> Engagement:
    """Return the thread length in the T-nut that lets the screw break before the nut's thread strips.

    VDI 2230 / E. M. Alexander: the nut's thread shears on A = pi d (m / P) (P / 2 + (d - D2) tan 30 deg) at
    0.6 R_m of the nut, less a tenth for bending of its flanks; 0.8 P of the length does not carry. The
    screw breaks at 1.2 times its least tensile strength. Basic profile, no clearance.

    Parameters
    ----------
    engaged : float
        Length of screw thread in the nut, mm.
    nut_tensile : float
        Tensile strength of the T-nut, MPa.
    """
    breaking = _TENSILE_SPREAD * strength.tensile * thread.stress_area
    depth = 0.5 * thread.pitch + (thread.diameter - thread.pitch_diameter) * math.tan(math.pi / 6.0)
    area_per_length = math.pi * thread.diameter / thread.pitch * depth
    strip_per_length = _NUT_DILATION * _SHEAR_TO_TENSILE * nut_tensile * area_per_length
    needed = breaking / strip_per_length + _LOST_THREAD * thread.pitch
    return Engagement(needed, engaged, engaged / needed)
