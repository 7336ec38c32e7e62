"""Verdicts on the boring set-up: travel, fixture limits, the path, lands, pressure."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator

from sim.assess.advice import Bound, lower_pressure, lower_speed, raise_pressure, sentence
from sim.assess.operation import drive, turning_masses
from sim.assess.rule import at_least, at_most
from sim.assess.verdicts_bar import bar_verdicts
from sim.assess.verdicts_path import PRACTICE, path_verdicts
from sim.assessment import BoringFigures, OperationFigures, Verdict
from sim.grip import grip_at_rest, pressure_for_grip
from sim.metal import fixture_pressed, land_left
from sim.parts import Parts, fixture_height
from sim.rebore import LEAST_LAND, pre_bored
from sim.rounding import at_least_text, near
from sim.scenario import NoFixture, Ring
from sim.spin import centrifugal_force, centrifugal_moment

STAGE = "boring"
WHAT = "boring pressure"
SLOWEST = Bound(50.0, "the least that is advised")  # rev/min


def boring_verdicts(
    parts: Parts, boring: BoringFigures, operations: tuple[OperationFigures, ...]
) -> Iterator[Verdict]:
    """Yield the verdicts on boring."""
    yield _travel(parts)
    yield from _fixture(parts, boring)
    remedy = boring.advice or "Choose a slimmer tool or another fixture."
    yield from path_verdicts(parts, boring, STAGE, "pocket", remedy)
    yield from bar_verdicts(parts, boring, STAGE)
    yield at_most(
        "boring swing",
        STAGE,
        boring.swing,
        parts.scenario.machine.swing_diameter,
        "mm",
        basis="machine.swing_diameter of the scenario",
        message=f"chuck, jaws and fixture turn in {near(boring.swing, parts.scenario.machine.swing_diameter, 0)} mm.",
        advice="Use a smaller fixture or shorter jaws, or choose a larger machine.",
    )
    yield from _lands(parts)
    yield from _seat_land(parts)
    load = _load_left(parts, boring.highest_speed)
    if load is not None:
        yield load
    yield from _pressure(parts, operations)


def _travel(parts: Parts) -> Verdict:
    scenario = parts.scenario
    stroke, travel = scenario.chuck.stroke, scenario.boring.travel
    spare = min(travel, stroke - travel)
    reserve = scenario.limits.stroke_reserve * stroke
    return at_least(
        "boring travel",
        STAGE,
        spare,
        reserve,
        "mm",
        basis=f"{PRACTICE}: bore in the middle of the stroke",
        message=f"bored at {travel:.2f} mm of {stroke:.2f} mm, {near(spare, reserve, 2)} mm from the nearer end.",
        advice="Turn the pockets nearer to the parts' sizes.",
    )


def _fixture(parts: Parts, figures: BoringFigures) -> Iterator[Verdict]:
    boring, limits, speed = parts.scenario.boring, parts.scenario.limits, figures.highest_speed
    if isinstance(boring.fixture, NoFixture):
        yield Verdict(
            "boring fixture",
            STAGE,
            "warn",
            0.0,
            1.0,
            "",
            PRACTICE,
            "the jaws are bored without load against a fixture.",
            "Load the jaws against a ring, a plug or an outer ring, in the direction in which they will grip.",
        )
    if isinstance(boring.fixture, Ring):
        yield at_most(
            "boring ring pressure",
            STAGE,
            10.0 * boring.pressure,
            10.0 * limits.ring_pressure,
            "bar",
            basis=f"{PRACTICE}, unless the ring's maker says otherwise",
            message=f"the ring is loaded with {near(10.0 * boring.pressure, 10.0 * limits.ring_pressure, 1)} bar.",
            advice=sentence(
                [
                    lower_pressure(
                        10.0 * boring.pressure,
                        10.0 * limits.ring_pressure,
                        _lowest(parts, min(speed, limits.ring_speed)),
                        WHAT,
                    )
                ],
                "Bore against a plug.",
            ),
            otherwise="warn",
        )
        yield at_most(
            "boring ring speed",
            STAGE,
            speed,
            limits.ring_speed,
            "rpm",
            basis=f"{PRACTICE}, unless the ring's maker says otherwise",
            message=f"the ring turns at {near(speed, limits.ring_speed, 0)} rpm.",
            advice=sentence([lower_speed(speed, limits.ring_speed, SLOWEST, "bore")], "Bore against a plug."),
            otherwise="warn",
        )
    marked = min(parts.scenario.chuck.marked_speed, parts.scenario.machine.speed_limit)
    yield at_most(
        "boring speed",
        STAGE,
        speed,
        marked,
        "rpm",
        basis="marked on chuck and machine",
        message=f"the jaws are bored at {near(speed, marked, 0)} rpm.",
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
        land = land_left(parts.scenario, low, high, seat)
        yield at_least(
            "land between pockets",
            STAGE,
            land,
            LEAST_LAND,
            "mm",
            basis=f"{PRACTICE}: seat for the wider part",
            message=f"{near(land, LEAST_LAND, 2)} mm of back face are left between {upper.diameter:g} and "
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
        through = max(scenario.boring.through_diameter or 0.0, 2.0 * pre_bored(scenario))
        hole = max(parts.plug.diameter if parts.plug is not None else 0.0, through)
        low, high = 0.5 * hole, 0.5 * deepest.diameter
    else:
        hole = parts.outer_ring.inner_diameter if parts.outer_ring is not None else 0.0
        low, high = 0.5 * deepest.diameter, 0.5 * hole
    if hole == 0.0:
        return
    land = land_left(scenario, low, high, scenario.soft_jaw.height - deepest.depth)
    yield at_least(
        "back face width",
        STAGE,
        land,
        LEAST_LAND,
        "mm",
        basis=f"{PRACTICE}: axial stop for the part",
        message=f"{near(land, LEAST_LAND, 2)} mm of back face are left beside a {hole:g} mm seat or bore.",
        advice=(
            "Use a smaller plug or through-bore" if parts.direction == "outside" else "Use a wider outer ring"
        )
        + ", jaws that were not bored there, or stop the part elsewhere.",
    )


def _load_left(parts: Parts, speed: float) -> Verdict | None:
    """Return the verdict on the jaws' load on the fixture at the boring speed; None without a fixture.

    Jaws that press outward against an outer ring gain by speed, so that the ring is loaded more than at rest.
    """
    scenario = parts.scenario
    boring, chuck = scenario.boring, scenario.chuck
    lever = fixture_height(scenario) + chuck.guideway_depth
    if isinstance(boring.fixture, NoFixture):
        return None
    rest = grip_at_rest(boring.pressure, lever, drive(chuck)).total
    moment = centrifugal_moment(turning_masses(parts, boring.travel))
    pull = 3.0 * centrifugal_force(moment, speed)
    share = 1.0 - pull / rest if parts.direction == "outside" else 1.0 + pull / rest
    pressed = fixture_pressed(scenario)
    share = share if pressed else 0.0
    return at_least(
        "load on the fixture",
        STAGE,
        max(share, 0.0),
        scenario.limits.boring_load_share,
        "of that at rest",
        basis="limits.boring_load_share of the scenario (common practice); whole centrifugal force of the jaws",
        message=(
            f"the jaws press the {boring.fixture.kind} with {rest / 1000.0:.1f} kN at rest and "
            f"{max(share, 0.0) * rest / 1000.0:.1f} kN at {speed:.0f} rpm."
            if pressed
            else f"too little metal is left to press the {boring.fixture.kind}, which carries no load."
        ),
        advice=_more_load(parts, speed)
        if pressed
        else "Take a fixture of another size or height, move the jaws by some serrations, or take other jaws.",
        otherwise="fail" if share <= 0.0 else "warn",
    )


def _more_load(parts: Parts, speed: float) -> str:
    """Judge a lower speed and a higher pressure for more load on the fixture."""
    scenario = parts.scenario
    limits, chuck = scenario.limits, scenario.chuck
    highs = [
        Bound(10.0 * chuck.pressure_limit, "the chuck's pressure limit"),
        Bound(10.0 * scenario.machine.pressure_limit, "the machine's pressure limit"),
    ]
    if isinstance(scenario.boring.fixture, Ring):
        highs.append(Bound(10.0 * limits.ring_pressure, "the ring's pressure limit"))
    now, wanted = 10.0 * scenario.boring.pressure, _loaded_pressure(parts, speed)
    # The loss grows with the square of the speed, and the load at rest with the pressure.
    slower = speed * math.sqrt(now / wanted) if 0.0 < wanted < math.inf else 0.0
    changes = [lower_speed(speed, slower, SLOWEST, "bore"), raise_pressure(now, wanted, highs, WHAT)]
    return sentence(changes, "Use lighter jaws.")


def _loaded_pressure(parts: Parts, speed: float) -> float:
    """Return the boring pressure (bar) at which as much load stays on the fixture as is wanted; 0 without any."""
    scenario = parts.scenario
    if isinstance(scenario.boring.fixture, NoFixture) or parts.direction == "inside":
        return 0.0
    pull = 3.0 * centrifugal_force(centrifugal_moment(turning_masses(parts, scenario.boring.travel)), speed)
    lost = 1.0 - scenario.limits.boring_load_share
    lever = fixture_height(scenario) + scenario.chuck.guideway_depth
    try:
        return 10.0 * pressure_for_grip(pull / lost, lever, drive(scenario.chuck)) if lost > 0.0 else math.inf
    except ValueError:
        return math.inf


def _lowest(parts: Parts, speed: float) -> list[Bound]:
    """Return below what the boring pressure may not go."""
    return [
        Bound(10.0 * parts.scenario.machine.lowest_pressure, "the lowest that the hydraulics hold steadily"),
        Bound(_loaded_pressure(parts, speed), "what keeps the jaws loaded at the boring speed"),
    ]


def _pressure(parts: Parts, operations: tuple[OperationFigures, ...]) -> Iterator[Verdict]:
    lowest = parts.scenario.machine.lowest_pressure
    stated = [(STAGE, parts.scenario.boring.pressure)]
    stated += [(f.operation.name, f.operation.gripping.pressure) for f in operations]
    for stage, pressure in stated:
        yield at_least(
            "steady pressure",
            stage,
            10.0 * pressure,
            10.0 * lowest,
            "bar",
            basis="machine.lowest_pressure of the scenario",
            message=f"{near(10.0 * pressure, 10.0 * lowest, 1)} bar are set.",
            advice=f"Set {at_least_text(10.0 * lowest, 1)} bar or more, which the hydraulics hold steadily.",
            otherwise="warn",
        )
