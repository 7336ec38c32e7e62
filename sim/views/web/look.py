"""What each verdict is about: the stage, the state and the place that the page turns to when it is chosen.

Looks are plain data. A verdict that has none of its own shows its stage from the three-quarter view.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from sim.assessment.deformed import deformed, hardest_speed, worst_shape
from sim.assessment.figures.operation import OperationFigures
from sim.assessment.results import Assessment
from sim.assessment.state import BORING, States, at
from sim.assessment.verdict import Verdict
from sim.assessment.verdicts.rules import rule_of
from sim.setup.fixture import fixture_height
from sim.setup.jaw_screws import head_seat
from sim.views.web.look_path import above_path, path_look
from sim.views.web.looking import (
    IN_FRONT,
    PART_AWAY,
    QUARTER,
    SIDE,
    TAILSTOCK,
    THREE_QUARTER,
    THROUGH_JAW,
    Look,
)

SPRUNG = 0.3  # of the gripped radius: as large the deviation from round is drawn
NEAREST_EYE = 0.75  # of the gripped radius above the jaws: nearer a picture along the spindle looks odd


def look(states: States, verdict: Verdict) -> Look:
    """Return what a verdict is about."""
    view = rule_of(verdict.key).view
    if verdict.stage == BORING and (found := path_look(states, BORING, states.assessment.boring, view)):
        return found
    for figures, machining in zip(states.assessment.operations, states.assessment.machining, strict=True):
        if verdict.stage == figures.operation.name:
            if machining and (found := path_look(states, str(figures.index), machining, view)):
                return found
            if view == "shape":
                return _shape(states, figures, worst=verdict.status != "pass")
            return _OPERATION.get(view, _operation)(states, figures)
    if verdict.stage == BORING:
        return _BORING.get(view, _boring)(states)
    return _JAWS.get(view, _jaws)(states)


# Boring


def _boring(states: States) -> Look:
    return Look(BORING, above_path(states, BORING), bodies=("boring ring", "plug", "outer ring"))


def _fixture(states: States) -> Look:
    """Through the middle of the fixture, where the jaws press on it."""
    scenario = states.assessment.scenario
    half = 0.5 * getattr(scenario.boring.fixture, "diameter", scenario.pockets[0].diameter)
    target = (half, 0.0, fixture_height(scenario))
    bodies = ("boring ring", "plug", "outer ring", "soft jaws")
    return Look(BORING, above_path(states, BORING), SIDE, target, 150.0, THROUGH_JAW, bodies)


def _deepest(states: States) -> Look:
    """Show the tool where its tip stands deepest in the jaws."""
    if BORING not in states.tracks:
        return _boring(states)
    moves, ends = states.tracks[BORING].moves, states.tracks[BORING].ends
    number = min(range(len(moves)), key=lambda n: moves[n].end[1])
    x, z = moves[number].end
    position = {"position_mm": float(ends[number])}
    return Look(BORING, position, SIDE, (x, 0.0, z), 170.0, THROUGH_JAW, ("tool",))


def _boring_travel(states: States) -> Look:
    return Look(BORING, above_path(states, BORING), TAILSTOCK, bodies=("soft jaws", "master jaws"))


def _pocket(states: States) -> Look:
    scenario = states.assessment.scenario
    deepest = min(scenario.pockets, key=lambda p: p.diameter)
    target = (0.5 * deepest.diameter, 0.0, scenario.soft_jaw.height - deepest.depth)
    return Look(BORING, above_path(states, BORING), SIDE, target, 90.0, THROUGH_JAW, ("soft jaws",))


# Jaws and their screws


def _jaws(states: States) -> Look:  # noqa: ARG001
    return Look("0", bodies=("soft jaws",))


def _screw(states: States) -> Look:
    scenario, place = states.assessment.scenario, states.assessment.parts.place
    radius = place.inner(_touch_travel(states)) + scenario.soft_jaw.screws.positions[0]
    target = (radius, 0.0, head_seat(scenario))
    return Look(
        "0", view=SIDE, target=target, span=120.0, section=THROUGH_JAW, bodies=("jaw screws", "T-nuts")
    )


def _metal(states: States) -> Look:
    """Show what stands between the pockets and the screws."""
    scenario = states.assessment.scenario
    widest = max(p.diameter for p in scenario.pockets)
    target = (0.5 * widest, 0.0, scenario.soft_jaw.height)
    return Look("0", {}, SIDE, target, 130.0, THROUGH_JAW, ("soft jaws", "jaw screws"))


def _overhang(states: States) -> Look:
    outside = states.assessment.parts.direction == "outside"
    travel = 0.0 if outside else states.assessment.scenario.chuck.stroke
    return Look("0", {"travel_mm": travel}, TAILSTOCK, bodies=("soft jaws", "chuck body"))


# One operation


def _operation(states: States, figures: OperationFigures) -> Look:  # noqa: ARG001
    return Look(str(figures.index), bodies=("workpiece",))


def _loading(states: States, figures: OperationFigures) -> Look:
    outside = states.assessment.parts.direction == "outside"
    work = figures.operation.workpiece
    size = work.gripped_diameter_high if outside else work.gripped_diameter_low
    values = {"travel_mm": 0.0, "gripped_diameter_mm": size}
    target = (0.5 * size, 0.0, figures.zone.middle)
    bodies = ("workpiece", "soft jaws")
    return Look(str(figures.index), values, TAILSTOCK, target, 60.0, bodies=bodies, pair=True)


def _gripped(states: States, figures: OperationFigures) -> Look:  # noqa: ARG001
    return Look(str(figures.index), view=TAILSTOCK, bodies=("workpiece", "soft jaws"))


def _held(states: States, figures: OperationFigures) -> Look:  # noqa: ARG001
    work = figures.operation.workpiece
    target = (0.25 * (work.gripped_diameter_low + work.gripped_diameter_high), 0.0, figures.zone.middle)
    span = max(60.0, 1.4 * figures.zone.part_length, 3.2 * target[0])
    return Look(str(figures.index), {}, SIDE, target, span, THROUGH_JAW, ("workpiece",))


def _pressure(states: States, figures: OperationFigures) -> Look:
    """Into the bore from the axis, the part cut away; jaws that press outward are seen from outside."""
    zone, work = figures.zone, figures.operation.workpiece
    stage, diameter = str(figures.index), work.gripped_diameter_high
    values = {"speed_rpm": hardest_speed(states, figures.index)}
    if states.assessment.parts.direction == "inside":
        return Look(stage, values, THREE_QUARTER, (0.0, 0.0, zone.middle), 1.7 * diameter, PART_AWAY)
    top = states.assessment.scenario.soft_jaw.height
    eye = top + max(NEAREST_EYE * 0.5 * diameter, 1.6 * zone.length + top - zone.high)
    into = (zone.low, eye - zone.low, 2.0 * diameter)
    return Look(stage, values, TAILSTOCK, section=PART_AWAY, into=into)


def _shape(states: States, figures: OperationFigures, *, worst: bool) -> Look:
    """Show the part as it springs back after the release, enlarged; at its worst size and speed where that is asked."""
    work, speed = figures.operation.workpiece, hardest_speed(states, figures.index)
    if worst:
        found = worst_shape(states, figures.index)
    else:
        middle = 0.5 * (work.gripped_diameter_low + work.gripped_diameter_high)
        state = at(states, figures.index, speed=speed, gripped_diameter=middle)
        shape = deformed(states, state)
        found = None if shape is None else (state, shape)
    if found is None:  # without elastic bodies there is no shape to show
        return _pressure(states, figures)
    state, shape = found
    size = state.gripped_diameter
    values = {"speed_rpm": speed, "gripped_diameter_mm": size, "travel_mm": state.touch_travel}
    larger = SPRUNG * 0.5 * size / max(1e-3 * shape.roundness_um, 1e-9)
    return Look(str(figures.index), values, IN_FRONT, bodies=("workpiece",), released_by=larger)


def _marking(states: States, figures: OperationFigures) -> Look:
    """Show the size of the part that is pressed hardest, gripped, at the speed that presses hardest."""
    shown = _pressure(states, figures)
    work = figures.operation.workpiece
    low, high = work.gripped_diameter_low, work.gripped_diameter_high
    speed = hardest_speed(states, figures.index)
    found = [
        (size, at(states, figures.index, speed=speed, gripped_diameter=size))
        for size in (low, 0.5 * (low + high), high)
    ]
    size, state = max(found, key=lambda one: one[1].band_peak)
    values = {**shown.values, "gripped_diameter_mm": size, "travel_mm": state.touch_travel}
    return replace(shown, values=values)


def _cut(states: States, figures: OperationFigures) -> Look:  # noqa: ARG001
    found = zip(figures.demands, figures.holdings, strict=True)
    worst = min(found, key=lambda one: one[1].factor)[0]  # the cut that is held the fewest times
    cut = next(c for c in figures.operation.cuts if c.name == worst.name)
    target = (0.5 * cut.diameter, 0.0, figures.zone.seat + cut.height)
    values = {"speed_rpm": worst.speed, "side_force_N": figures.clamping.side}
    return Look(str(figures.index), values, THREE_QUARTER, target, 240.0, bodies=("workpiece",))


def _at_rest(states: States, figures: OperationFigures) -> Look:  # noqa: ARG001
    return Look(str(figures.index), {"speed_rpm": 0.0}, section=QUARTER, bodies=("soft jaws",))


def _fast(states: States, figures: OperationFigures) -> Look:  # noqa: ARG001
    values = {"speed_rpm": figures.operation.gripping.speed_high}
    return Look(str(figures.index), values, section=QUARTER, bodies=("soft jaws", "master jaws"))


def _side_force(states: States, figures: OperationFigures) -> Look:  # noqa: ARG001
    values = {"speed_rpm": figures.operation.gripping.speed_high, "side_force_N": figures.clamping.side}
    return Look(str(figures.index), values, TAILSTOCK, bodies=("soft jaws",))


def _seat(states: States, figures: OperationFigures) -> Look:
    place = states.assessment.parts.place
    radius = place.inner(figures.grip_travel) + 0.5 * place.length
    target = (radius, 0.0, 0.0)
    bodies = ("soft jaws", "master jaws", "jaw screws")
    return Look(str(figures.index), {}, SIDE, target, 190.0, THROUGH_JAW, bodies)


# By the view that a verdict's rule asks for, and the stage of the verdict; another shows the stage as a whole.
_BORING: dict[str, Callable[[States], Look]] = {
    "travel": _boring_travel,
    "fixture": _fixture,
    "deepest": _deepest,
    "pocket": _pocket,
}
_JAWS: dict[str, Callable[[States], Look]] = {
    "screw": _screw,
    "metal": _metal,
    "overhang": _overhang,
}
_OPERATION: dict[str, Callable[[States, OperationFigures], Look]] = {
    "loading": _loading,
    "gripped": _gripped,
    "held": _held,
    "pressure": _pressure,
    "marking": _marking,
    "cut": _cut,
    "at rest": _at_rest,
    "fast": _fast,
    "side force": _side_force,
    "seat": _seat,
}


def _touch_travel(states: States) -> float:
    assessment: Assessment = states.assessment
    return assessment.operations[0].grip_travel
