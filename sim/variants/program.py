"""The grip under the moves of a program that machines the part, over arrays. N, rev/min."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from sim.assessment.verdicts.grip import may_creep
from sim.assessment.verdicts.machining import (
    HOLDING_FACTOR_EACH_MOVE,
    PROGRAM_SPEED,
    holding_factor_each_move_and_limit,
    program_speed_and_limit,
)
from sim.variants.batch import OperationBatch
from sim.variants.grip import permissible_speed
from sim.variants.keys import Values
from sim.variants.line import Line
from sim.variants.ready import Variants
from sim.variants.result import PASS, WARN


def program_lines(ready: Variants, batch: OperationBatch, values: Values) -> Iterator[Line]:
    """Yield the verdicts on a program: the grip under its worst moves, and its highest speed.

    The moves looked at are those that the closed forms find worst at the scenario's own state.
    """
    scenario, own, grip = ready.parts.scenario, ready.operations[batch.index], batch.grip
    machining, index = ready.assessment.machining[batch.index], batch.index
    if machining is None:
        return
    stage = own.figures.operation.name
    if batch.moves_held:
        factors = [held.factor for held in batch.moves_held]
        factor, wanted = holding_factor_each_move_and_limit(factors, values("limits.holding_factor"))
        passed = np.where(may_creep(factor), WARN, PASS).astype(np.int8)
        yield Line(HOLDING_FACTOR_EACH_MOVE, stage, factor, wanted, passed=passed)
    fastest = max(float(way.grip.speed.max()) for way in machining.readings)
    speed = np.full(values.count, fastest)
    permissible, machine = (
        permissible_speed(scenario, index, values, grip, batch.needed),
        "machine.speed_limit",
    )
    pair = program_speed_and_limit(speed, permissible, values(machine), grip.speed_high)
    yield Line(PROGRAM_SPEED, stage, *pair)
