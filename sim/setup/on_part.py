"""Cuts and back stops where the part is, beside jaws and chuck. Lengths in mm."""

from __future__ import annotations

from meshes.points import Outline
from sim.base.arrays import Flags
from sim.base.floats import Number
from sim.scenario import Cut, Operation, Scenario
from sim.setup.jaw_place import JawPlace
from sim.setup.refusal import refuse

_FROM_OUTSIDE = ("turning", "grooving", "parting")
BESIDE = 1.0  # mm of diameter under the gripped one from which a cut turns where the jaws stand


def around_the_jaws(cut: Cut, operation: Operation, wall: float, gripped: Number) -> bool | Flags:
    """Tell whether a cut turns a part where the jaws stand around it.

    Parameters
    ----------
    cut : Cut
    operation : Operation
    wall : float
        Height of the jaws' top face above the part's back face, mm.
    gripped : float or array
        Smallest gripped diameter, mm.
    """
    thread = cut.kind == "threading" and cut.end_diameter is not None and cut.end_diameter < cut.diameter
    outer = thread or cut.kind in _FROM_OUTSIDE
    stand = operation.gripping.direction == "outside" and outer and cut.height < wall
    return (cut.diameter >= gripped - BESIDE) & stand


def beside_the_part(cut: Cut, outline: Outline, depth: Number) -> bool | Flags:
    """Tell whether a cut lies before or behind the part by more than its depth of cut (mm)."""
    low, high = min(z for _, z in outline), max(z for _, z in outline)
    return (cut.height < low - depth) | (cut.height > high + depth)


def around_the_part(cut: Cut, outline: Outline, depth: Number) -> bool | Flags:
    """Tell whether a cut lies around the part by more than its depth of cut (mm)."""
    return cut.diameter > 2.0 * (max(r for r, _ in outline) + depth)


def require_cuts_on_part(scenario: Scenario, index: int) -> None:
    """Refuse cuts of an operation that lie off the part, or beside the jaws that stand around it.

    Raises
    ------
    ScenarioError
        Names the field, what was found and what is allowed, without the file.
    """
    operation = scenario.operations[index]
    heights = [z for _, z in operation.workpiece.outline]
    widest = max(r for r, _ in operation.workpiece.outline)
    wall, outline = scenario.pocket_of(operation).depth, operation.workpiece.outline
    for k, cut in enumerate(operation.cuts):
        field = f"operations[{index}].cuts[{k}]"
        if beside_the_part(cut, outline, cut.depth_of_cut):
            refuse(
                f"{field}.height",
                f"must lie on the part, {min(heights):g} to {max(heights):g} mm, found {cut.height:g} mm",
            )
        if cut.off_axis is not None and 2.0 * cut.off_axis + cut.diameter > 2.0 * widest:
            refuse(
                f"{field}.off_axis",
                f"must keep the drill of {cut.diameter:g} mm on the part, at most {widest - 0.5 * cut.diameter:g} mm, "
                f"found {cut.off_axis:g} mm",
            )
        if around_the_part(cut, outline, cut.depth_of_cut):
            refuse(
                f"{field}.diameter",
                f"must lie on the part, at most {2.0 * widest:g} mm, found {cut.diameter:g} mm",
            )
        if around_the_jaws(cut, operation, wall, operation.workpiece.gripped_diameter_low):
            refuse(
                f"{field}.height",
                f"must be over {wall:g} mm, the jaws' top face above the part's back face, to turn "
                f"{cut.diameter:g} mm, found {cut.height:g} mm",
            )


def require_back_stops(scenario: Scenario, place: JawPlace) -> None:
    """Refuse a stop that stands in the part, in the jaws or in the chuck body."""
    for n, operation in enumerate(scenario.operations):
        stop = operation.back_stop
        if stop is None:
            continue
        seat = scenario.soft_jaw.height - scenario.pocket_of(operation).depth
        upper, lowest = stop.height + stop.thickness, operation.workpiece.lowest
        if upper > seat + lowest:
            refuse(
                f"operations[{n}].back_stop.height",
                f"must keep the stop's upper face at or below the part, z = {seat + lowest:g} mm, found "
                f"{upper:g} mm",
            )
        widest = 2.0 * place.closed if upper > 0.0 else scenario.chuck.bore_diameter
        if stop.height < 0.0:
            widest = min(widest, scenario.chuck.bore_diameter)
        if stop.outer_diameter > widest:
            refuse(
                f"operations[{n}].back_stop.outer_diameter",
                f"must be at most {widest:g} mm, what chuck bore and closed jaws leave, found "
                f"{stop.outer_diameter:g} mm",
            )
