"""How sure the verdicts are: figures as distributions, the probability that each verdict holds, what matters most.

`stated_inputs` reads the scenario's own spreads, `usual_inputs` offers those of common practice to a user who asks;
`analysed` draws the variants and judges them by `sim.variants` with an emulated contact, whose error it measures.
"""

from sim.uncertainty.analysis import Analysis, VerdictFound, analysed
from sim.uncertainty.inputs import Input, stated_inputs
from sim.uncertainty.probability import Estimate
from sim.uncertainty.usual import usual_inputs

__all__ = [
    "Analysis",
    "Estimate",
    "Input",
    "VerdictFound",
    "analysed",
    "stated_inputs",
    "usual_inputs",
]
