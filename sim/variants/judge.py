"""Verdicts of many variants: the columns of the assessment, computed anew where a key that varies can change them."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from numpy.typing import ArrayLike, NDArray

from sim.assessment.as_stated import depends, doubts
from sim.base.arrays import Floats
from sim.variants.batch import OperationBatch
from sim.variants.boring import boring_lines
from sim.variants.jaws import jaw_lines, screwed_at
from sim.variants.keys import Values
from sim.variants.line import Line
from sim.variants.operation import operation_batch, operation_lines
from sim.variants.practice import with_practice
from sim.variants.program import program_lines
from sim.variants.ready import Variants
from sim.variants.refusals import refusals
from sim.variants.result import REFUSED, WARN, WORDS, Judged
from sim.variants.travel import Sizes, sizes


def judged(ready: Variants, varied: Mapping[str, ArrayLike]) -> Judged:
    """Judge n variants of a setup.

    Parameters
    ----------
    ready : Variants
        From `sim.variants.variants`; its tables of the contact fill as forces and sizes are asked for.
    varied : mapping of (n,) arrays
        By key (`quick_keys` lists them), in the inside units. All other keys are as the scenario states them.

    Returns
    -------
    Judged
        Its columns are the verdicts of the assessment, in the same order.

    Raises
    ------
    KeyError
        If a key cannot vary within one judged setup.
    ValueError
        If arrays differ in length or a value is not finite.
    """
    values = Values(ready.assessment, varied)
    parts = ready.parts
    where = tuple(sizes(parts.scenario, parts.place, n, values) for n in range(len(ready.operations)))
    refused, reasons = _refused(ready, values, where)
    rows = np.flatnonzero(refused == 0)
    kept = values.only(rows)
    batches, lines = _lines(ready, kept, tuple(size.only(rows) for size in where))
    verdicts = ready.assessment.verdicts
    doubted = doubts(verdicts, [own.figures.operation.name for own in ready.operations])
    found = {(line.rule.key, line.stage): line for line in lines}
    shape = (values.count, len(verdicts))
    status = np.full(shape, REFUSED, dtype=np.int8)
    value, limit = np.full(shape, np.nan), np.full(shape, np.nan)
    carried = np.ones(len(verdicts), dtype=bool)
    for column, verdict in enumerate(verdicts):
        line = found.get((verdict.key, verdict.stage))
        if line is None:
            status[rows, column] = WORDS.index(verdict.status)
            value[rows, column], limit[rows, column] = verdict.value, verdict.limit
            continue
        carried[column] = False
        codes = with_practice(ready, kept, line)
        if depends(verdict.key, verdict.stage, doubted):
            codes = np.minimum(codes, WARN).astype(np.int8)
        status[rows, column] = codes
        value[rows, column], limit[rows, column] = line.value, line.limit
    figures = {}
    for batch in batches:
        for name, column_of in _figures(ready, batch).items():
            figures[name] = np.full(values.count, np.nan)
            figures[name][rows] = column_of
    return Judged(
        keys=tuple(v.key for v in verdicts),
        names=tuple(v.name for v in verdicts),
        stages=tuple(v.stage for v in verdicts),
        units=tuple(v.unit for v in verdicts),
        at_least=np.array([v.at_least for v in verdicts]),
        carried=carried,
        status=status,
        value=value,
        limit=limit,
        refused=refused,
        reasons=reasons,
        figures=figures,
        unasked=len(ready.assessment.unasked),
    )


def _refused(
    ready: Variants, values: Values, where: tuple[Sizes, ...]
) -> tuple[NDArray[np.int16], tuple[str, ...]]:
    refused = np.zeros(values.count, dtype=np.int16)
    reasons = [""]
    for rows, reason in refusals(ready, values, where):
        if np.any(rows & (refused == 0)):
            refused[rows & (refused == 0)] = len(reasons)
            reasons.append(reason)
    return refused, tuple(reasons)


def _lines(
    ready: Variants, values: Values, where: tuple[Sizes, ...]
) -> tuple[list[OperationBatch], list[Line]]:
    if values.count == 0:
        return [], []
    screw = screwed_at(ready, values)
    lines = [*boring_lines(ready, values, where), *jaw_lines(ready, values, screw)]
    batches = [operation_batch(ready, n, values, size) for n, size in enumerate(where)]
    for batch in batches:
        lines += operation_lines(ready, batch, values, screw, batches[: batch.index])
        lines += program_lines(ready, batch, values)
    return batches, lines


def _figures(ready: Variants, batch: OperationBatch) -> dict[str, Floats]:
    name = ready.operations[batch.index].figures.operation.name
    return {
        f"{name}: grip at rest N": batch.grip.rest,
        f"{name}: grip at the lowest speed N": batch.grip.low_speed,
        f"{name}: grip at the highest speed N": batch.grip.high_speed,
        f"{name}: needed grip N": batch.needed,
        f"{name}: holding factor": batch.factor,
        f"{name}: grip travel mm": batch.where.grip_travel,
    }
