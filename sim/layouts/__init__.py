"""Judge layouts against each other: side by side, over pressure and speed, over ranges, out of a store of jaw sets.

Everything here asks `sim.assessment.stages`; no figure has a second formula.
"""
