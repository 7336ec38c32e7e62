"""A sample's findings with invented figures, for what only shows them."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest

from sim.assessment.results import Assessment
from sim.uncertainty import Analysis, Estimate, Input, VerdictFound
from sim.uncertainty.distribution import normal, uniform


def verdict(name: str, holds: Estimate, *margins: float) -> VerdictFound:
    first, total = np.array([0.62, 0.21]), np.array([0.75, 0.33])
    ends = np.array([[-0.05, 0.05]])
    return VerdictFound(
        name.replace(" ", "_"),
        name,
        "finish the bore",
        holds,
        tuple(Estimate(m, 0.97 * m, 1.03 * m) for m in margins),
        0.004,
        first,
        total,
        first[:, None] + ends,
        total[:, None] + ends,
    )


@pytest.fixture(scope="module")
def invented(assessment: Callable[[str], Assessment]) -> Analysis:
    figures = tuple(Estimate(m, 0.9 * m, 1.1 * m) for m in (21e3, 24e3, 28e3))
    return Analysis(
        assessment=assessment("thin_ring_distorts"),
        inputs=(
            Input("pressure", 0, "finish the bore", uniform(0.4, 0.6), "the pressure gauge"),
            Input("grip_gauge", -1, "", normal(0.0, 0.02), "its calibration"),
        ),
        samples=256,
        seed=9,
        runs=1024,
        verdicts=(
            verdict("roundness after release", Estimate(0.713, 0.67, 0.75), 0.82, 1.09, 1.44),
            verdict("holding factor", Estimate(1.0, 0.992, 1.0), 4.0, 5.5, 99.0),
        ),
        unmoved=17,
        figures={"finish the bore: grip at rest N": figures},
        refused=0.031,
        reasons=("operations.0.workpiece: the part does not go into the jaws at the loading position",),
    )
