"""Why the jaws grip unequally, in a sentence beside their figures."""

from __future__ import annotations

from sim.assessment.figures.operation import OperationFigures
from sim.scenario.soft_jaw import SoftJaw

SEEN = 0.01  # of the mean grip of a jaw; a smaller difference is not seen in the figures


def why_unequal(figures: OperationFigures, jaw: SoftJaw) -> str:
    """Return why the jaws grip unequally before any cut pushes; empty where they grip alike.

    One piston closes the three jaws alike: what differs is the part, or where a jaw is bolted.
    """
    if not (causes := cause_of_unequal(figures, jaw)):
        return ""
    first, second, third = (f"{float(one) / 1000.0:.1f}" for one in figures.contact.grip_n)
    each = f"jaw 1 grips with {first}, jaw 2 with {second}, jaw 3 with {third} kN"
    return f"{figures.clamping.state}, with a part of middle size, {each} because {causes}"


def cause_of_unequal(figures: OperationFigures, jaw: SoftJaw) -> str:
    """Return what lets the jaws grip unequally, whatever the pressure; empty where they grip alike."""
    grip = figures.contact.grip_n
    if float(grip.max() - grip.min()) <= SEEN * float(grip.mean()):
        return ""
    causes = []
    if (out := figures.operation.workpiece.out_of_round) > 0.0:
        causes.append(f"the part comes {1000.0 * out:.3g} µm out of round, counted as oval")
    if any(jaw.serrations_off):
        causes.append("a jaw does not stand on the serration it was bored on")
    return " and ".join(causes) or "the part does not lie alike on the three of them"
