"""Verdicts on the boring set-up: travel, fixture limits, the path, lands, pressure."""

from __future__ import annotations

import itertools
from collections.abc import Iterator

from sim.assessment.advice import lower_speed, sentence
from sim.assessment.figures.boring import BoringFigures
from sim.assessment.figures.operation import OperationFigures
from sim.assessment.verdict import Verdict
from sim.assessment.verdicts.bar import bar_verdicts
from sim.assessment.verdicts.cutting import nose_verdicts
from sim.assessment.verdicts.fixture import STAGE, fixture_verdicts
from sim.assessment.verdicts.fixture_loads import SLOWEST
from sim.assessment.verdicts.part import grip_travel_and_limit
from sim.assessment.verdicts.path import PRACTICE, path_verdicts
from sim.assessment.verdicts.program import program_verdicts
from sim.assessment.verdicts.rule import Rule
from sim.assessment.ways import worst_way
from sim.base.floats import Number, smaller
from sim.base.rounding import at_least_text, near
from sim.setup.metal import land_left
from sim.setup.parts import Parts
from sim.setup.rebore import LEAST_LAND, pre_bored

__all__ = ["STAGE", "boring_verdicts"]

BORING_TRAVEL = Rule(
    key="boring_travel",
    name="boring travel",
    unit="mm",
    at_least=True,
    basis=f"{PRACTICE}: bore in the middle of the stroke",
    depends=frozenset({"geometry"}),
    view="travel",
    asks="are the jaws bored away from both ends of the stroke?",
)
BORING_SPEED = Rule(
    key="boring_speed",
    name="boring speed",
    unit="rpm",
    at_least=False,
    basis="marked on chuck and machine",
    depends=frozenset({"speed"}),
    view="",
    asks="are the jaws bored no faster than chuck and machine may turn?",
)
BORING_SWING = Rule(
    key="boring_swing",
    name="boring swing",
    unit="mm",
    at_least=False,
    basis="machine.swing_diameter of the scenario",
    depends=frozenset({"geometry"}),
    view="travel",
    asks="do chuck, jaws and fixture swing clear in the machine?",
)
LAND_BETWEEN_POCKETS = Rule(
    key="land_between_pockets",
    name="land between pockets",
    unit="mm",
    at_least=True,
    basis=f"{PRACTICE}: seat for the wider part",
    depends=frozenset({"geometry"}),
    view="pocket",
    asks="is there a back face left for the wider part, earlier borings taken off?",
)
BACK_FACE_WIDTH = Rule(
    key="back_face_width",
    name="back face width",
    unit="mm",
    at_least=True,
    basis=f"{PRACTICE}: axial stop for the part",
    depends=frozenset({"geometry"}),
    view="pocket",
    asks="is there a back face left beside the fixture's seat or a bore?",
)
STEADY_PRESSURE = Rule(
    key="steady_pressure",
    name="steady pressure",
    unit="bar",
    at_least=True,
    basis="machine.lowest_pressure of the scenario",
    depends=frozenset({"pressure"}),
    view="at rest",
    asks="do the hydraulics hold so low a pressure steadily?",
)


def boring_verdicts(
    parts: Parts, boring: BoringFigures, operations: tuple[OperationFigures, ...]
) -> Iterator[Verdict]:
    """Yield the verdicts on boring."""
    yield _travel(parts)
    yield from fixture_verdicts(parts, boring)
    yield _speed(parts, boring.highest_speed)
    remedy = boring.advice or "Choose a slimmer tool or another fixture."
    yield from worst_way(boring, lambda way: _on_path(parts, way, remedy))
    swing, most = boring_swing_and_limit(boring.swing, parts.scenario.machine.swing_diameter)
    yield BORING_SWING.verdict(
        STAGE,
        swing,
        most,
        message=f"chuck, jaws and fixture turn in {near(swing, most, 0)} mm.",
        advice="Use a smaller fixture or shorter jaws, or choose a larger machine.",
    )
    yield from _lands(parts)
    yield from _seat_land(parts)
    yield from _pressure(parts, operations)


def _on_path(parts: Parts, way: BoringFigures, remedy: str) -> Iterator[Verdict]:
    yield from path_verdicts(parts, way, STAGE, "pocket", remedy)
    yield from program_verdicts(way, STAGE, boring=True)
    yield from bar_verdicts(parts, way, STAGE)
    yield from nose_verdicts(way, STAGE, parts.scenario.boring.passes.feed)


def boring_travel_and_limit(travel: Number, stroke: float, share: Number) -> tuple[Number, Number]:
    """Return what is left of the stroke to the end nearer to where jaws are bored, and the reserve there, mm."""
    return grip_travel_and_limit(travel, travel, stroke, share)


def boring_speed_and_limit(speed: Number, marked: Number, machine: Number) -> tuple[Number, Number]:
    """Return a speed and the least that chuck and machine are marked with, rev/min."""
    return speed, smaller(marked, machine)


def boring_swing_and_limit(swing: float, machine: Number) -> tuple[float, Number]:
    """Return in which diameter chuck, jaws and fixture turn and which one clears the machine, mm."""
    return swing, machine


def land_between_pockets_and_limit(land: float) -> tuple[float, float]:
    """Return how much back face is left and how much must be, mm."""
    return land, LEAST_LAND


back_face_width_and_limit = land_between_pockets_and_limit


def steady_pressure_and_limit(pressure: Number, lowest: Number) -> tuple[Number, Number]:
    """Return a pressure and the lowest that is steady (MPa) in bar."""
    return 10.0 * pressure, 10.0 * lowest


def _travel(parts: Parts) -> Verdict:
    scenario = parts.scenario
    stroke, travel = scenario.chuck.stroke, scenario.boring.travel
    spare, reserve = boring_travel_and_limit(travel, stroke, scenario.limits.stroke_reserve)
    return BORING_TRAVEL.verdict(
        STAGE,
        spare,
        reserve,
        message=f"bored at {travel:.2f} mm of {stroke:.2f} mm, {near(spare, reserve, 2)} mm from the nearer end.",
        advice="Turn the pockets nearer to the parts' sizes.",
    )


def _speed(parts: Parts, speed: float) -> Verdict:
    machine = parts.scenario.machine.speed_limit
    speed, marked = boring_speed_and_limit(speed, parts.scenario.chuck.marked_speed, machine)
    return BORING_SPEED.verdict(
        STAGE,
        speed,
        marked,
        message=f"the jaws are bored at {near(speed, marked, 0)} rev/min.",
        advice=sentence([lower_speed(speed, marked, SLOWEST, "bore")], ""),
    )


def _lands(parts: Parts) -> Iterator[Verdict]:
    ordered = sorted(parts.pockets, key=lambda p: p.depth)
    for upper, lower in itertools.pairwise(ordered):
        seat = parts.scenario.soft_jaw.height - upper.depth
        open_to = max(lower.chamfer, lower.groove_depth)  # a land over a groove stands on nothing
        if parts.direction == "outside":
            low, high = 0.5 * lower.diameter + open_to, 0.5 * upper.diameter
        else:
            low, high = 0.5 * upper.diameter, 0.5 * lower.diameter - open_to
        land, least = land_between_pockets_and_limit(land_left(parts.scenario, low, high, seat))
        yield LAND_BETWEEN_POCKETS.verdict(
            STAGE,
            land,
            least,
            message=f"{near(land, least, 2)} mm of back face are left between {upper.diameter:g} and "
            f"{lower.diameter:g} mm.",
            advice="Make the narrower pocket smaller, or its chamfer, or use two sets of jaws."
            if land >= high - low
            else "Take jaws that were not bored there, bore less deep, or use two sets of jaws.",
        )


def _seat_land(parts: Parts) -> Iterator[Verdict]:
    """Yield the verdict on the back face that a fixture's seat or a bore leaves beside the deepest pocket."""
    scenario = parts.scenario
    deepest = max(parts.pockets, key=lambda p: p.depth)
    if parts.direction == "outside":
        through = max(scenario.boring.through_diameter or 0.0, 2.0 * pre_bored(scenario, parts.place))
        hole = max(parts.plug.diameter if parts.plug is not None else 0.0, through)
        low, high = 0.5 * hole, 0.5 * deepest.diameter
    else:
        hole = parts.outer_ring.inner_diameter if parts.outer_ring is not None else 0.0
        low, high = 0.5 * deepest.diameter, 0.5 * hole
    if hole == 0.0:
        return
    left = land_left(scenario, low, high, scenario.soft_jaw.height - deepest.depth)
    land, least = back_face_width_and_limit(left)
    yield BACK_FACE_WIDTH.verdict(
        STAGE,
        land,
        least,
        message=f"{near(land, least, 2)} mm of back face are left beside a {hole:g} mm seat or bore.",
        advice=(
            "Use a smaller plug or through-bore" if parts.direction == "outside" else "Use a wider outer ring"
        )
        + ", jaws that were not bored there, or stop the part elsewhere.",
    )


def _pressure(parts: Parts, operations: tuple[OperationFigures, ...]) -> Iterator[Verdict]:
    stated = [(STAGE, parts.scenario.boring.pressure)]
    stated += [(f.operation.name, f.operation.gripping.pressure) for f in operations]
    for stage, pressure in stated:
        set_to, lowest = steady_pressure_and_limit(pressure, parts.scenario.machine.lowest_pressure)
        yield STEADY_PRESSURE.verdict(
            stage,
            set_to,
            lowest,
            message=f"{near(set_to, lowest, 1)} bar are set.",
            advice=f"Set {at_least_text(lowest, 1)} bar or more, which the hydraulics hold steadily.",
            otherwise="warn",
        )
