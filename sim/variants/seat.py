"""Jaw screws and the jaw's seat over arrays: `sim.mechanics.screws` with the scenario's own screw. N, mm, MPa, N mm."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sim.assessment.verdicts.jaw import SEAT_FRICTION, seat_reach, seat_width
from sim.base import tables
from sim.mechanics import screws
from sim.mechanics.spin import centrifugal_force
from sim.setup import seat as resting
from sim.variants.grip import Gripped
from sim.variants.keys import Values
from sim.variants.ready import Variants

Floats = NDArray[np.float64]
SHOWN = 99.0  # factors beyond are shown as this


@dataclass(frozen=True, slots=True, eq=False)
class Screwed:
    """Preload of one screw, N, and the torque allowed, N mm, (n,) arrays."""

    least: Floats
    largest: Floats
    allowed_torque: Floats
    head_pressure: Floats


def screwed(ready: Variants, values: Values) -> Screwed:
    """Return what torque and friction give."""
    stated = ready.parts.scenario.soft_jaw.screws
    thread = tables.thread(stated.thread)
    strength = tables.property_class(stated.property_class, thread.diameter)
    in_thread, under_head = (values(f"soft_jaw.screws.{n}_friction") for n in ("thread", "head"))
    # Torque over preload is linear in both frictions.
    at = [
        screws.torque_per_preload(thread, stated.hole_diameter, *mu)
        for mu in ((0.0, 0.0), (1.0, 0.0), (0.0, 1.0))
    ]
    per_preload = at[0] + (at[1] - at[0]) * in_thread + (at[2] - at[0]) * under_head
    largest = values("soft_jaw.screws.torque") / per_preload
    # The square of the equivalent stress is a second power of the thread's friction.
    squares = [screws.equivalent_stress(1.0, thread, mu) ** 2 for mu in (0.0, 0.5, 1.0)]
    second = 2.0 * (squares[0] - 2.0 * squares[1] + squares[2])
    first = squares[2] - squares[0] - second
    stress = np.sqrt(squares[0] + first * in_thread + second * in_thread**2)
    allowed = screws.YIELD_UTILISATION * strength.yield_strength / stress * per_preload
    bearing = screws.head_pressure(1.0, thread, stated.hole_diameter, stated.washer_diameter)
    least = largest / tables.tightening(stated.tightening).factor_high
    return Screwed(least, largest, allowed, bearing * largest)


@dataclass(frozen=True, slots=True, eq=False)
class Seated:
    """Seat of the jaws in one operation, (n,) arrays: factor to gaping and least factor of the serrations."""

    gaping: Floats
    serrations: Floats


def seated(ready: Variants, index: int, grip: Gripped, travel: Floats, screw: Screwed) -> Seated:
    """Return how the jaws sit under grip and centrifugal force; `travel` of the jaws in mm."""
    parts = ready.parts
    scenario, zone, top = parts.scenario, ready.operations[index].figures.zone, ready.top
    radius, reach = top.radius + top.radius_per_travel * travel, seat_reach(parts)
    outside = parts.direction == "outside"
    sign = 1.0 if outside else -1.0
    rest, fast = grip.rest / 3.0, grip.largest / 3.0  # outside alike: what speed takes away is no relief
    along = grip.largest / 3.0
    clamping = len(scenario.soft_jaw.screws.positions) * screw.least
    factors = []
    for place, more in zip(resting.seats(scenario), scenario.soft_jaw.mass_differences, strict=True):
        pull = centrifugal_force((top.mass + more) * radius, grip.speed_high)
        along = np.maximum(along, fast + pull if outside else 0.0)
        outward, inward = (_gaping_lever(place, lean, reach) for lean in ("outward", "inward"))
        for moment in (sign * rest * zone.middle, sign * fast * zone.middle + pull * top.height):
            gaping = np.where(moment > 0.0, outward, inward) * clamping
            with np.errstate(divide="ignore", invalid="ignore"):
                factors.append(np.where(moment == 0.0, np.inf, gaping / np.abs(moment)))
    return Seated(
        np.minimum(np.min(factors, axis=0), SHOWN),
        np.minimum(_serrations(ready, along, clamping), SHOWN),
    )


def _gaping_lever(place: resting.Seat, lean: screws.Lean, reach: float) -> float:
    """Return the tipping moment at which a seat gapes over the preload of its screws, mm."""
    positions = [position - place.inner for position in place.screws]
    ends = (place.far_inner, place.free_outer)
    levers = screws.seat_levers(lean, positions, place.length, reach, ends).gaping
    return sum(levers) / len(levers)


def _serrations(ready: Variants, per_jaw: Floats, clamping: Floats) -> Floats:
    """Return the lesser of shear and climbing factor, both per force as `screws.serrations` gives them."""
    parts = ready.parts
    bearing = min(place.length for place in resting.seats(parts.scenario))
    yielding = screws.shear_yield(min(parts.jaw_material.yield_strength, 400.0))
    one = screws.serrations(1.0, 1.0, bearing, seat_width(parts), yielding, SEAT_FRICTION)
    with np.errstate(divide="ignore"):
        return np.asarray(np.minimum(one.shear_factor, one.climbing_factor * clamping) / per_jaw)
