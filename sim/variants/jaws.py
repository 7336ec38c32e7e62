"""Verdicts on the jaws as they are bolted that torque, friction and speed can change."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from sim.assessment.verdicts.jaw import PRESSURE_UNDER_THE_HEAD, SCREW_TORQUE, STAGE, UNBALANCE, preload
from sim.assessment.verdicts.metal import METAL_UNDER_THE_SCREW_HEAD
from sim.variants.keys import Values
from sim.variants.line import Line
from sim.variants.ready import Variants
from sim.variants.result import WARN
from sim.variants.seat import Screwed


def jaw_lines(ready: Variants, values: Values, screw: Screwed) -> Iterator[Line]:
    """Yield the verdicts on screws and unbalance."""
    torque = values("soft_jaw.screws.torque")
    yield Line(SCREW_TORQUE, STAGE, torque / 1000.0, screw.allowed_torque / 1000.0)
    bears = np.full(values.count, ready.parts.jaw_material.surface_pressure)
    yield Line(PRESSURE_UNDER_THE_HEAD, STAGE, screw.head_pressure, bears)
    sheared = next(v for v in ready.assessment.verdicts if v.key == METAL_UNDER_THE_SCREW_HEAD.key)
    stress = sheared.value * screw.largest / preload(ready.parts).largest
    limit = np.full(values.count, sheared.limit)
    yield Line(METAL_UNDER_THE_SCREW_HEAD, STAGE, stress, limit)
    judged = [v for v in ready.assessment.verdicts if v.key == UNBALANCE.key]
    if judged:
        speeds = [values(f"operations.{f.figures.index}.gripping.speed_high") for f in ready.operations]
        speed = np.max(speeds, axis=0)
        # The permissible unbalance falls as 1 / speed (ISO 21940-11).
        stated = max(o.gripping.speed_high for o in ready.parts.scenario.operations)
        limit = judged[0].limit * stated / speed
        found = np.full(values.count, judged[0].value)
        yield Line(UNBALANCE, STAGE, found, limit, otherwise=WARN)
