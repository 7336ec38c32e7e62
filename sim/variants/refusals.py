"""Which variants `check` would refuse, and why: the rules that `sim.setup.loading` asks, over arrays."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from sim.base.arrays import Flags
from sim.scenario.cut_limits import LEAST_DEPTH, LEAST_FEED
from sim.setup.bores import least_gripped
from sim.setup.drive import drive, locks
from sim.setup.on_part import around_the_jaws, around_the_part, beside_the_part
from sim.setup.parts import Parts
from sim.variants.keys import Values
from sim.variants.ready import ReadyOperation, Variants
from sim.variants.travel import Sizes


def refusals(ready: Variants, values: Values, where: tuple[Sizes, ...]) -> Iterator[tuple[Flags, str]]:
    """Yield rows that are refused, (n,), with the reason, the first reason of a row first."""
    scenario = ready.parts.scenario
    limit = np.minimum(values("chuck.pressure_limit"), values("machine.pressure_limit"))
    largest = drive(scenario.chuck).curve
    keys = ["boring.pressure", *(f"operations.{n}.gripping.pressure" for n in range(len(where)))]
    for key in keys:
        pressure = values(key)
        yield pressure > limit, f"{key} is above the pressure limit of chuck or machine"
        if largest is not None:
            yield pressure > largest.points[-1][0], f"{key} is above the chuck's largest grip point"
            yield (
                (pressure <= largest.starts) & (pressure > 0.0),
                f"{key} is so low that the chuck's grip points leave no grip",
            )
        yield ~(pressure > 0.0), f"{key} is not greater than 0"
    if scenario.machine.spindle_power:
        beyond = values("machine.speed_limit") > scenario.machine.spindle_power[-1].speed
        yield beyond, "machine.speed_limit is beyond the last point of spindle_power"
        share = values("machine.drive_efficiency")
        yield ~((share > 0.0) & (share <= 1.0)), "machine.drive_efficiency is not above 0 and up to 1"
    friction = values("chuck.guideway_friction")
    possible = friction >= 0.0
    yield ~possible, "chuck.guideway_friction is less than 0"
    locked = np.zeros(values.count, dtype=np.bool_)
    # Of a friction below 0, refused just above, there is no wedge.
    locked[possible] = locks(scenario.chuck, friction[possible])
    yield locked, "chuck.guideway_friction locks the jaw in its guideway"
    for own, size in zip(ready.operations, where, strict=True):
        yield from _operation(ready.parts, values, own, size)


def _operation(parts: Parts, values: Values, own: ReadyOperation, size: Sizes) -> Iterator[tuple[Flags, str]]:
    name = f"operations.{own.figures.index}"
    low, high = values(f"{name}.gripping.speed_low"), values(f"{name}.gripping.speed_high")
    yield low > high, f"{name}.gripping.speed_low is above speed_high"
    yield ~(low > 0.0), f"{name}.gripping.speed_low is not greater than 0"
    measured = f"{name}.gripping.friction"
    if values.states(measured):
        yield ~(values(measured) > 0.0), f"{measured} is not greater than 0"
    yield size.low > size.high, f"{name}.workpiece.gripped_diameter_low is above gripped_diameter_high"
    pocket, operation = parts.scenario.pocket_of(own.figures.operation), own.figures.operation
    narrow = ~(np.minimum(size.low, size.high) > least_gripped(parts.place, pocket))
    yield narrow, f"{name}.workpiece: the jaws' faces reach 60 deg around the part to a side, or more"
    off = (size.middle <= own.gripped_low) | (size.middle > own.gripped_high)
    yield off, f"{name}.workpiece: the outline's gripped surface is not that of the gripped diameter"
    shut = ~(size.loading_clearance >= 0.0)
    yield shut, f"{name}.workpiece: the part does not go into the jaws at the loading position"
    for k, cut in enumerate(operation.cuts):
        if cut.forces is None:
            feed, depth = values(f"{name}.cuts.{k}.feed"), values(f"{name}.cuts.{k}.depth_of_cut")
            yield (
                ~((feed >= LEAST_FEED) & (depth >= LEAST_DEPTH)),
                f"{name}.cuts.{k}: feed or depth of cut is less than an edge can cut",
            )
            wear = values(f"{name}.cuts.{k}.wear_factor")
            yield (
                ~((wear >= 1.0) & (wear <= 10.0)),
                f"{name}.cuts.{k}.wear_factor does not lie between 1 and 10",
            )
            outline = operation.workpiece.outline
            away = beside_the_part(cut, outline, depth) | around_the_part(cut, outline, depth)
            yield np.asarray(away), f"{name}.cuts.{k} does not lie on the part"
        around = around_the_jaws(cut, operation, pocket.depth, size.low)
        yield np.asarray(around), f"{name}.cuts.{k} turns the part where the jaws stand"
