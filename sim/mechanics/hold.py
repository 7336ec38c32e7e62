"""What grip a cut needs: closed forms for torque, axial force and overhang.

Grips are totals over the jaws, N; lengths in mm. Coulomb friction `mu` at the jaws.

Torque and axial force: friction acts at the gripped radius against the resultant of both, so that
mu F >= sqrt((Fc d_cut / d_grip)^2 + Fa^2): friction is a vector of at most mu N, so all of it in one direction is the
most (worked out in `tests/reference/test_worked_out.py`).

Overhang: the cut, at the distance l from the middle of the held length, tips the part with
M = sqrt((Fc l)^2 + (Fp l + Ff d_cut / 2)^2). Three jaws at the angles theta_i to the plane of M, each with
F / 3, resist it in two ways, both growing with cos theta_i (sum of cos^2 = 3/2):

- axial friction, up to mu F / 3 at the radius d / 2:  mu (F / 3) (d / 2) (3 / 2) = F mu d / 4 (handbooks);
- the pressure shifts along the jaw, linear in z; its resultant may move by l_grip / 6 before the jaw's end
  lets go:  (F / 3) (l_grip / 6) (3 / 2) = F l_grip / 12 (derived here).

So M <= F (mu d / 4 + l_grip / 12). A drill on the axis tips nothing: its lips' forces are a couple and its thrust
goes along the axis. No credit is given to the back face against tipping.

The larger of the two is the handbooks' practice, not a bound: friction and pressure cannot be used up twice.
`sim.holding` takes everything at once.

Forces, friction and the gripped diameter may be floats or arrays of one shape.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Generic, Literal

import numpy as np

from sim.base.floats import Number, hypot, larger

Governing = Literal["torque and axial force", "overhang"]

LEAST_HELD_SHARE = 1.0 / 3.0  # common practice, no source


@dataclass(frozen=True, slots=True)
class NeededGrip(Generic[Number]):
    """Total grip that a cut needs, N, without any safety factor.

    Attributes
    ----------
    torque_term, axial_term : float or array
        For the torque alone and for the axial force alone.
    combined : float or array
        For both: root of the sum of their squares.
    overhang : float or array
        For the tipping moment alone.
    """

    torque_term: Number
    axial_term: Number
    combined: Number
    overhang: Number

    @property
    def total(self) -> Number:
        """The larger of `combined` and `overhang`: the handbooks' practice, a lower bound without a back face."""
        return larger(self.combined, self.overhang)

    @property
    def governing(self: NeededGrip) -> Governing:
        """Which of them that is."""
        return "overhang" if self.overhang > self.combined else "torque and axial force"

    @property
    def superposed(self) -> Number:
        """`combined` plus `overhang`: an upper bound but for the side load, as two states that hold may be added."""
        return self.combined + self.overhang


def torque_factor(total_grip: float, mu: float, part_radius: float, torque: float) -> float:
    """Return the multiple of a pure torque (N mm) that friction holds: mu F Rp / T; infinite for none."""
    return _multiple(mu * total_grip * part_radius, torque)


def axial_factor(total_grip: float, mu: float, axial: float) -> float:
    """Return the multiple of a pure axial force (N) that friction holds: mu F / A; infinite for none."""
    return _multiple(mu * total_grip, axial)


def overhang_moment(
    tangential: Number,
    feed: Number,
    passive: Number,
    cut_diameter: float,
    overhang: float,
    drill_off_axis: float | None = None,
) -> Number:
    """Return the tipping moment (N mm) of a cut at `overhang` from the middle of the held length.

    A drill's tangential forces are a couple about its axis, which tips nothing, and its feed force acts on that axis,
    `drill_off_axis` mm from the spindle's (None for all other cuts).
    """
    if drill_off_axis is not None:
        return abs(passive) * overhang + abs(feed) * drill_off_axis
    return hypot(tangential * overhang, abs(passive) * overhang + 0.5 * abs(feed) * cut_diameter)


def overhang_lever(mu: Number, grip_diameter: Number, held_length: float) -> Number:
    """Return the lever mu d / 4 + l_grip / 12 (mm) at which the total grip resists tipping."""
    return 0.25 * mu * grip_diameter + held_length / 12.0


def needed_grip(
    tangential: Number,
    feed: Number,
    passive: Number,
    cut_diameter: float,
    grip_diameter: Number,
    mu: Number,
    overhang: float,
    held_length: float,
    *,
    feed_on_back_face: bool = False,
    drill_off_axis: float | None = None,
) -> NeededGrip[Number]:
    """Return the total grip that friction needs against a cut.

    Parameters
    ----------
    tangential, feed, passive : float or array
        Cutting force Fc along the cut, feed force Ff along the axis, passive force Fp along the radius, N.
    cut_diameter, grip_diameter : float, float or array
        Where the tool cuts and where the jaws hold, mm.
    mu : float or array
        Friction of the part in the jaws, the low value.
    overhang : float
        From the middle of the held length to the cut along the axis, mm.
    held_length : float
        Length on which the jaws hold, mm.
    feed_on_back_face : bool
        The feed force pushes the part on its back face, so that friction need not carry it.
    drill_off_axis : float, optional
        The cut is a drill's, whose axis lies so far from the spindle's, mm.

    Raises
    ------
    ValueError
        If friction or a diameter is not greater than 0, or a length is negative.
    """
    if not (np.all(mu > 0.0) and np.all(grip_diameter > 0.0)):
        raise ValueError(
            "friction and gripped diameter must be greater than 0, "
            f"found {np.min(mu):g} and {np.min(grip_diameter):g} mm"
        )
    if not min(cut_diameter, overhang, held_length) >= 0.0:
        raise ValueError(
            "diameter of the cut, overhang and held length must be 0 mm or more, "
            f"found {cut_diameter:g} mm, {overhang:g} mm and {held_length:g} mm"
        )
    torque_term = abs(tangential) * cut_diameter / (grip_diameter * mu)
    axial_term = 0.0 * torque_term if feed_on_back_face else abs(feed) / mu
    combined = hypot(torque_term, axial_term)
    moment = overhang_moment(tangential, feed, passive, cut_diameter, overhang, drill_off_axis)
    tipping = moment / overhang_lever(mu, grip_diameter, held_length)
    return NeededGrip(torque_term, axial_term, combined, tipping)


def holding_factor(total_grip: float, needed: NeededGrip) -> float:
    """Return total grip (N) over needed grip; infinite where nothing is needed."""
    return _multiple(total_grip, needed.total)


def held_share(held_length: float, part_length: float) -> float:
    """Return the share of the part's length that the jaws hold; both in mm.

    Raises
    ------
    ValueError
        If the part's length is not greater than 0 or the held length does not lie within it.
    """
    if not 0.0 <= held_length <= part_length or part_length == 0.0:
        raise ValueError(
            f"held length must lie between 0 mm and the part's length, {part_length:g} mm, "
            f"found {held_length:g} mm"
        )
    return held_length / part_length


def _multiple(available: float, wanted: float) -> float:
    return math.inf if wanted == 0.0 else available / abs(wanted)
