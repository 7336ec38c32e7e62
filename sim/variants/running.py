"""Whether variants' parts run true: `sim.assessment.running` over arrays."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

import numpy as np

from sim.assessment.running import (
    JawLoads,
    Springs,
    far_end,
    fixed_shares,
    friction_share,
    jaw_scatters,
    largest_diameter,
    largest_travel,
    left_shift,
    tilts,
)
from sim.assessment.verdicts.running import (
    RUNOUT_IN_THE_JAWS,
    SQUARENESS_IN_THE_JAWS,
    runout_in_the_jaws_and_limit,
    squareness_in_the_jaws_and_limit,
)
from sim.base.arrays import Floats
from sim.mechanics.grip import force_alike
from sim.setup.drive import drive_with
from sim.variants.batch import OperationBatch, fits_of, states_of
from sim.variants.clamped import Shifts, worst_shifts
from sim.variants.grip import boring_rest
from sim.variants.keys import Values
from sim.variants.line import Line
from sim.variants.ready import Variants


def running_lines(
    ready: Variants,
    batch: OperationBatch,
    values: Values,
    before: Sequence[OperationBatch],
    roundness: Floats,
) -> Iterator[Line]:
    """Yield the verdicts on run-out and squareness of parts that are turned out of round, um, (n,)."""
    scenario, own = ready.parts.scenario, ready.operations[batch.index]
    work, stage = own.figures.operation.workpiece, own.figures.operation.name
    states = states_of(ready, batch)
    fits = [states.both(fit) for fit in fits_of(batch.index, values, batch.where)]
    found = worst_shifts([own.clamped.shifts(states.force, fit, states.pulls) for fit in fits])
    loads = _loads(ready, batch, values, found)
    seats, walls = tilts(scenario.running, own.springs, loads)
    tilt = np.maximum(seats.worst, walls.worst)
    shares = [share.worst for share in jaw_scatters(scenario.running, own.springs, loads).values()]
    fixed = math.fsum(share.worst for share in fixed_shares(scenario.running, work.datum_offset).values())
    left = left_shift(_left(ready, batch, values, before), found.per_left).worst
    worst = found.lobes + found.stated_lobes + left + found.jaws + np.sum(shares, axis=0) + fixed
    worst = worst + far_end(work.outline, own.figures.zone) * tilt
    name = f"operations.{batch.index}"
    turned = np.where(np.isfinite(roundness), roundness, 0.0)
    pair = runout_in_the_jaws_and_limit(
        states.split(worst).max(axis=0), turned, values(f"{name}.runout_limit")
    )
    yield Line(RUNOUT_IN_THE_JAWS, stage, *pair)
    leaning = states.split(tilt).max(axis=0)
    face = largest_diameter(work.outline)
    pair = squareness_in_the_jaws_and_limit(leaning, face, values(f"{name}.squareness_limit"))
    yield Line(SQUARENESS_IN_THE_JAWS, stage, *pair)


def _loads(ready: Variants, batch: OperationBatch, values: Values, found: Shifts) -> JawLoads[Floats]:
    """Return what a jaw bears in both states, (2 n,)."""
    scenario, own = ready.parts.scenario, ready.operations[batch.index]
    of: Springs = own.springs
    boring, lever = np.zeros(values.count), of.lever
    if scenario.boring.fixture.kind != "none":
        rest, lever = boring_rest(scenario, values)
        boring = rest / 3.0
    wedge = drive_with(scenario.chuck, lambda name: values(f"chuck.{name}")).wedge
    travel = largest_travel(batch.where.first, batch.where.last, scenario.boring.travel)
    return JawLoads(
        now=states_of(ready, batch).force / 3.0,
        rest=_twice(batch.grip.rest / 3.0),
        boring=_twice(boring),
        boring_here=_twice(force_alike(boring, lever, of.lever)),
        travel=_twice(travel),
        friction=_twice(friction_share(wedge, of.lever, scenario.running.friction_scatter)),
        rho=found.rho,
    )


def _left(ready: Variants, batch: OperationBatch, values: Values, before: Sequence[OperationBatch]) -> Floats:
    """Return the amplitudes (mm) of lobes that the operation which turned the gripped surface leaves, (2 n, m).

    Each lobe as the size within the tolerance has it that keeps most of it.
    """
    made = ready.operations[batch.index].figures.operation.workpiece.turned_in
    for other in before:
        own = ready.operations[other.index]
        if own.figures.operation.name != made:
            continue
        states = states_of(ready, other)
        fits = [states.both(fit) for fit in fits_of(other.index, values, other.where)]
        each = [own.clamped.left_lobes(states.force, fit, states.pulls) for fit in fits]
        found = states.split(np.max(each, axis=0))
        hardest = states.split(states.force).argmax(axis=0)
        one = np.take_along_axis(found, hardest[None, :, None], axis=0)[0]
        return np.concatenate([one, one])
    return np.zeros((2 * values.count, 1))


def _twice(values: Floats) -> Floats:
    return np.concatenate([values, values])
