"""Verdicts on jaws, screws and seats that torque, friction, grip and speed can change."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from sim.assessment.across import pushed_across
from sim.assessment.jaws import (
    Screwed,
    own_pulls,
    rotor_mass,
    screwed,
    seated,
    unbalance,
    unlike,
)
from sim.assessment.verdicts.across import JAW_PUSHED_ACROSS, jaw_pushed_across_and_limit
from sim.assessment.verdicts.jaw import (
    JAW_SEAT_STAYS_CLOSED,
    PRESSURE_UNDER_THE_HEAD,
    SCREW_TORQUE,
    SERRATIONS,
    STAGE,
    UNBALANCE,
    jaw_seat_stays_closed_and_limit,
    lifts,
    pressure_under_the_head_and_limit,
    screw_torque_and_limit,
    serrations_and_limit,
    unbalance_and_limit,
)
from sim.assessment.verdicts.metal import METAL_UNDER_THE_SCREW_HEAD, metal_under_the_screw_head_and_limit
from sim.base.arrays import Floats
from sim.variants.grip import VariantGrip
from sim.variants.keys import Values
from sim.variants.line import Line
from sim.variants.ready import Variants
from sim.variants.result import WARN, fails_where


def screwed_at(ready: Variants, values: Values) -> Screwed[Floats]:
    """Return what the jaws' screws do."""
    given = (values(f"soft_jaw.screws.{name}") for name in ("torque", "thread_friction", "head_friction"))
    return screwed(ready.parts.scenario, *given)


def jaw_lines(ready: Variants, values: Values, screw: Screwed[Floats]) -> Iterator[Line]:
    """Yield the verdicts on screws and unbalance."""
    torque, jaw, scenario = values("soft_jaw.screws.torque"), ready.parts.jaw_material, ready.parts.scenario
    yield Line(SCREW_TORQUE, STAGE, *screw_torque_and_limit(torque, screw.allowed_torque))
    borne = pressure_under_the_head_and_limit(screw.head_pressure, jaw.surface_pressure)
    yield Line(PRESSURE_UNDER_THE_HEAD, STAGE, *borne)
    sheared = metal_under_the_screw_head_and_limit(screw.head_shear, jaw.yield_strength)
    yield Line(METAL_UNDER_THE_SCREW_HEAD, STAGE, *sheared)
    if unlike(scenario):
        speeds = [values(f"operations.{f.figures.index}.gripping.speed_high") for f in ready.operations]
        found, rotor = unbalance(ready.parts, ready.jaw), rotor_mass(ready.parts, ready.jaw)
        pair = unbalance_and_limit(found, rotor, np.max(speeds, axis=0))
        yield Line(UNBALANCE, STAGE, *pair, otherwise=WARN)


def seat_lines(
    ready: Variants,
    index: int,
    grip: VariantGrip,
    travel: Floats,
    screw: Screwed[Floats],
    friction: Floats,
) -> Iterator[Line]:
    """Yield the verdicts on the jaws' seats and tips under the grip of an operation; `travel` of the jaws in mm."""
    figures, parts = ready.operations[index].figures, ready.parts
    pulls = own_pulls(parts, ready.jaw, travel, grip.speed_high)
    least = screw.preload.least
    found = seated(parts, ready.jaw, figures.zone.middle, grip.rest / 3.0, grip.largest / 3.0, pulls, least)
    stage = figures.operation.name
    otherwise = fails_where(lifts(found.lifting_factor))
    yield Line(JAW_SEAT_STAYS_CLOSED, stage, *jaw_seat_stays_closed_and_limit(found), otherwise=otherwise)
    yield Line(SERRATIONS, stage, *serrations_and_limit(found))
    pocket = parts.scenario.pocket_of(figures.operation)
    pull = np.max(pulls, axis=0)
    pushed = pushed_across(parts, figures.zone, pocket, grip.largest / 3.0, pull, least, friction)
    yield Line(JAW_PUSHED_ACROSS, stage, *jaw_pushed_across_and_limit(pushed))
