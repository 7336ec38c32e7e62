"""What the cuts ask of the grip: `cutting` and `hold` of `sim.mechanics` over arrays. Forces in N, lengths in mm."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sim.assessment.operation import reference_rake
from sim.base import tables
from sim.mechanics import cutting
from sim.scenario import Cut, Scenario
from sim.setup.parts import HeldZone
from sim.variants.keys import FORCE_SHARE, Values

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class Demanded:
    """One cut's variants, (n,) arrays: spindle speed (rev/min); cutting force, side force, grip by closed forms, N."""

    speed: Floats
    tangential: Floats
    side: Floats
    needed: Floats


def demanded(scenario: Scenario, index: int, number: int, values: Values, zone: HeldZone) -> Demanded:
    """Return what one cut asks of the grip."""
    operation = scenario.operations[index]
    cut = operation.cuts[number]
    asked = _asked_speed(scenario, index, number, values)
    grip = f"operations.{index}.gripping"
    low, high = values(f"{grip}.speed_low"), values(f"{grip}.speed_high")
    speed = np.where(asked > 0.0, np.minimum(np.maximum(asked, low), high), 0.0)
    tangential, feed, passive = _forces(scenario, index, number, values, np.minimum(speed, asked))
    along = cut.feed_towards in ("chuck", "tailstock")
    axial, radial = (feed, passive) if along else (passive, feed)
    away = axial if cut.feed_towards == "tailstock" else np.zeros_like(axial)
    mu = friction(scenario, index, values)
    work = f"operations.{index}.workpiece"
    grip_diameter = 0.5 * (values(f"{work}.gripped_diameter_low") + values(f"{work}.gripped_diameter_high"))
    torque_term = tangential * cut.diameter / (grip_diameter * mu)
    # On the back face a push towards the chuck asks for no friction, as in `sim.mechanics.hold.needed_grip`.
    axial_term = np.where((away == 0.0) & zone.stands, 0.0, axial / mu)
    combined = np.hypot(torque_term, axial_term)
    overhang = abs(zone.seat + cut.height - zone.middle)
    drilled = cut.kind == "drilling"
    if drilled:
        moment = radial * overhang + axial * (cut.off_axis or 0.0)
    else:
        moment = np.hypot(tangential * overhang, radial * overhang + 0.5 * axial * cut.diameter)
    tipping = moment / lever(mu, grip_diameter, zone.length)
    side = radial if drilled else np.hypot(tangential, radial)
    return Demanded(speed, tangential, side, np.maximum(combined, tipping))


def lever(mu: Floats, grip_diameter: Floats, held_length: float) -> Floats:
    """Return the lever at which the total grip resists tipping, as `sim.mechanics.hold.overhang_lever`, mm."""
    return np.asarray(0.25 * mu * grip_diameter + held_length / 12.0)


def friction(scenario: Scenario, index: int, values: Values) -> Floats:
    """Return the friction of the part in the jaws: as stated, else the low value of its pairing."""
    key = f"operations.{index}.gripping.friction"
    if values.states(key):
        # A scenario that states 0 gets the table's value, as in `check`.
        stated = values(key)
        return np.asarray(np.where(stated == 0.0, _table_friction(scenario, index), stated))
    return np.full(values.count, _table_friction(scenario, index))


def _table_friction(scenario: Scenario, index: int) -> float:
    return tables.friction(scenario.operations[index].gripping.pairing).low


def _asked_speed(scenario: Scenario, index: int, number: int, values: Values) -> Floats:
    """Return the spindle speed that the cut asks for; 0 where only the tool turns."""
    cut, name = scenario.operations[index].cuts[number], f"operations.{index}.cuts.{number}"
    if cut.rotating_tool:
        return np.zeros(values.count)
    if values.states(f"{name}.speed"):
        return values(f"{name}.speed")
    along = values(f"{name}.cutting_speed") if values.states(f"{name}.cutting_speed") else 180.0
    return np.full(values.count, 1000.0 / (math.pi * cut.diameter)) * along


def _forces(
    scenario: Scenario, index: int, number: int, values: Values, speed: Floats
) -> tuple[Floats, Floats, Floats]:
    """Return cutting, feed and passive force."""
    operation = scenario.operations[index]
    cut, name = operation.cuts[number], f"operations.{index}.cuts.{number}"
    share = values(f"operations.{index}.{FORCE_SHARE}")
    if cut.forces is not None:
        return share * cut.forces.tangential, share * cut.forces.feed, share * cut.forces.passive
    feed = values(f"{name}.feed")
    # A rotating tool has its own cutting speed, whatever the spindle does.
    v = (
        values(f"{name}.cutting_speed")
        if cut.rotating_tool
        else cutting.cutting_speed(cut.diameter, 1.0) * speed
    )
    factor = share * _correction(operation.workpiece.material, cut, v, values(f"{name}.wear_factor"))
    if cut.kind == "drilling":
        kappa = math.radians(59.0)
        main = factor * _kienzle(
            operation.workpiece.material, 0.5 * feed, 0.5 * feed, 0.5 * cut.diameter, kappa
        )
        return main, 2.0 * main * math.sin(kappa), np.zeros_like(main)
    kappa = cut.approach_angle
    thickness = feed * math.sin(kappa)
    main = factor * _kienzle(
        operation.workpiece.material, thickness, feed, values(f"{name}.depth_of_cut"), kappa
    )
    return main, cutting.FEED_RATIO * main, cutting.PASSIVE_RATIO * main


def _kienzle(material: str, chosen_by: Floats, feed: Floats, depth: Floats | float, kappa: float) -> Floats:
    """Return b h^(1 - mc) kc1.1 with the printing that gives more at the thickness `chosen_by`."""
    row = tables.kienzle(tables.material(material).kienzle)
    low = row.kc11_low * chosen_by**-row.mc_low
    high = row.kc11_high * chosen_by**-row.mc_high
    first = low >= high
    kc11, mc = np.where(first, row.kc11_low, row.kc11_high), np.where(first, row.mc_low, row.mc_high)
    h, b = feed * math.sin(kappa), depth / math.sin(kappa)
    return np.asarray(b * h * kc11 * h**-mc)


def _correction(material: str, cut: Cut, v: Floats, wear: Floats) -> Floats:
    """Return the product of the corrections at cutting speeds `v` (m/min), as `sim.mechanics.cutting.correction`."""
    fixed = cutting.correction(cut.rake_angle, 1.0, 100.0, cut.kind, reference_rake(material))
    fixed /= cutting.speed_factor(100.0)
    slow, fast = 2.023 / np.maximum(v, 20.0) ** 0.153, 1.380 / np.maximum(v, 1.0) ** 0.07
    return np.asarray(fixed * wear * np.where(v < 100.0, slow, fast))
