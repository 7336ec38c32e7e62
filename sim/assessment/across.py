"""A jaw under what a cut pushes across it, as much as friction holds: its tip from the face to its seat, and the seat.

Grip, pull, preload and friction may be floats or arrays of one shape; the rest is the setup's own.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Generic

import numpy as np

from sim.assessment.jaws import SEAT_FRICTION, SHOWN, seat_reach
from sim.base.floats import Number, smaller
from sim.mechanics import across, jaw_seat
from sim.scenario import Pocket
from sim.setup import seat
from sim.setup.held import HeldZone
from sim.setup.parts import Parts

SECTIONS = 49  # between face and seat


@dataclass(frozen=True, slots=True)
class PushedAcross(Generic[Number]):
    """A jaw pushed across: stress of its tip (MPa), and how many times that load tip and seat bear, as it is shown."""

    stress: Number
    tip_factor: Number
    seat_factor: Number

    @property
    def factor(self) -> Number:
        """Of tip and seat the lesser one."""
        return smaller(self.tip_factor, self.seat_factor)


def tip_sections(parts: Parts, pocket: Pocket) -> tuple[across.Section, ...]:
    """Return the sections of a jaw between its bored face and where its seat begins, the worst place of three jaws.

    What the master jaw holds of the tip itself counts as free. Gripping inside the face stands over the seat.
    """
    place, jaw = parts.place, parts.scenario.soft_jaw
    radius, inner = 0.5 * pocket.diameter, parts.place.bored
    half = place.face_half_chord(radius)
    ends = math.sqrt(max(radius**2 - half**2, 0.0)) - inner  # of the face, from the blank's inner end
    held = max(one.inner for one in seat.seats(parts.scenario)) if place.outside else 0.0
    found = [across.Section(0.0, 2.0 * half)]
    for at in np.linspace(ends, held, SECTIONS).tolist() if held > ends else ():
        off = min(abs(at - position) for position in jaw.screws.positions)
        hole = 2.0 * math.sqrt(max((0.5 * jaw.screws.counterbore_diameter) ** 2 - off**2, 0.0))
        wide = place.width_at(at)
        found.append(across.Section(at - ends, wide, min(hole, 0.99 * wide)))
    return tuple(found)


def pushed_across(
    parts: Parts,
    zone: HeldZone,
    pocket: Pocket,
    grip: Number,
    pull: Number,
    preload: Number,
    friction: Number,
) -> PushedAcross[Number]:
    """Return how a jaw bears a push across it as large as friction holds.

    Parameters
    ----------
    grip, pull, preload : float or array
        Largest grip of a jaw, the most that a soft jaw's own mass pulls with, least preload of one screw, N.
    friction : float or array
        Of the part in the jaws.
    """
    scenario = parts.scenario
    stress = across.tip_stress(tip_sections(parts, pocket), grip, friction, zone.length)
    common = min(scenario.soft_jaw.width, scenario.master_jaw.width)
    lever = across.sideways_lever(common, scenario.master_jaw.slot_neck_width, seat_reach(scenario))
    along = grip + pull if parts.direction == "outside" else grip
    of_seat = across.sideways_factor(
        len(scenario.soft_jaw.screws.positions) * preload,
        friction * grip * zone.middle,
        along * jaw_seat.flank_lift(SEAT_FRICTION),
        lever,
    )
    return PushedAcross(
        stress, smaller(parts.jaw_material.yield_strength / stress, SHOWN), smaller(of_seat, SHOWN)
    )
