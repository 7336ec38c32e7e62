"""Limits laxer than their standard, over arrays: `sim.assessment.practice`."""

from __future__ import annotations

import numpy as np

from sim.assessment.practice import (
    DECIDED_BY,
    FACTORS,
    GREASED,
    GRIPPED,
    LEAST_FACTOR,
    LIMITS,
    LOST,
    WHOLE_LOSS,
    WORN,
    WORN_EDGE,
    is_laxer,
    least_impact,
    usual,
)
from sim.mechanics.cutting import SUDDEN_LOAD
from sim.variants.keys import Values
from sim.variants.line import Line
from sim.variants.ready import Variants
from sim.variants.result import FAIL, PASS, WARN, Codes


def with_practice(ready: Variants, values: Values, line: Line) -> Codes:
    """Return the status of a verdict's variants, (n,): at best a warning where a limit is laxer than usual."""
    status = line.status
    if line.rule.key in FACTORS:
        status = np.where(line.value < LEAST_FACTOR, FAIL, status).astype(np.int8)
    laxer = np.zeros(values.count, dtype=np.bool_)
    for key in DECIDED_BY.get(line.rule.key, ()):
        laxer |= is_laxer(values(f"limits.{key}"), usual(key), at_least=LIMITS[key].at_least)
    if line.rule.key in GRIPPED:
        laxer |= is_laxer(values("chuck.guideway_friction"), GREASED, at_least=True)
    for n, own in enumerate(ready.operations):
        operation, name = own.figures.operation, f"operations.{n}"
        if operation.name != line.stage:
            continue
        if line.rule.key in LOST and operation.gripping.direction == "outside":
            laxer |= is_laxer(values(f"{name}.gripping.grip_loss_share"), WHOLE_LOSS, at_least=True)
        if line.rule.key in WORN:
            laxer |= is_laxer(least_impact(operation), SUDDEN_LOAD, at_least=True)
            for k, cut in enumerate(operation.cuts):
                if cut.forces is None:
                    laxer |= is_laxer(values(f"{name}.cuts.{k}.wear_factor"), WORN_EDGE, at_least=True)
    return np.asarray(np.where(laxer & (status == PASS), WARN, status), dtype=np.int8)
