"""Verdicts on the boring set-up: travel, fixture limits, clearance, what the path leaves."""

from __future__ import annotations

import itertools
from collections.abc import Iterator

from sim.assess.operation import drive, turning_masses
from sim.assess.rule import at_least, at_most
from sim.assessment import BoringFigures, OperationFigures, Verdict
from sim.clearance.result import Touch
from sim.grip import grip_at_rest
from sim.parts import Parts, fixture_height
from sim.rebore import LEAST_LAND
from sim.scenario import NoFixture, Ring
from sim.spin import centrifugal_force, centrifugal_moment

STAGE = "boring"
PRACTICE = "common practice"
LEFTOVER = 0.5  # mm, what nose radius and groove corners leave (common practice, no source)
GOUGE = 0.02  # mm


def boring_verdicts(
    parts: Parts, boring: BoringFigures, operations: tuple[OperationFigures, ...]
) -> Iterator[Verdict]:
    """Yield the verdicts on boring."""
    yield _travel(parts)
    yield from _fixture(parts)
    yield _touch(boring)
    yield _clearance(parts, boring)
    yield at_most(
        "gouge",
        STAGE,
        boring.clearance.gouge_depth,
        GOUGE,
        "mm",
        basis="the pocket as stated",
        message=f"the path cuts {boring.clearance.gouge_depth:.3f} mm below the pocket.",
        advice="Use an insert or an approach angle that follows the pocket's contour.",
    )
    yield at_most(
        "leftover",
        STAGE,
        boring.clearance.leftover_depth,
        LEFTOVER,
        "mm",
        basis=f"{PRACTICE}: nose radius in a relieved corner",
        message=f"the insert leaves {boring.clearance.leftover_depth:.2f} mm at most in the pocket.",
        advice="Choose a smaller nose radius, a slimmer insert or a wider relief groove.",
        otherwise="warn",
    )
    yield from _lands(parts)
    yield from _seat_land(parts)
    load = _load_left(parts)
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
        message=f"bored at {travel:.2f} mm of {stroke:.2f} mm, {spare:.2f} mm from the nearer end.",
        advice=f"Bore between {reserve:.2f} mm and {stroke - reserve:.2f} mm of the stroke.",
    )


def _fixture(parts: Parts) -> Iterator[Verdict]:
    boring, limits = parts.scenario.boring, parts.scenario.limits
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
            message=f"the ring is loaded with {10.0 * boring.pressure:.1f} bar.",
            advice=f"Bore with {10.0 * limits.ring_pressure:.1f} bar or less, or against a plug.",
            otherwise="warn",
        )
        yield at_most(
            "boring ring speed",
            STAGE,
            boring.speed,
            limits.ring_speed,
            "rpm",
            basis=f"{PRACTICE}, unless the ring's maker says otherwise",
            message=f"the ring turns at {boring.speed:.0f} rpm.",
            advice=f"Bore at {limits.ring_speed:.0f} rpm or less.",
            otherwise="warn",
        )
    yield at_most(
        "boring speed",
        STAGE,
        boring.speed,
        min(parts.scenario.chuck.marked_speed, parts.scenario.machine.speed_limit),
        "rpm",
        basis="marked on chuck and machine",
        message=f"the jaws are bored at {boring.speed:.0f} rpm.",
        advice="Lower the boring speed.",
    )


def where(touch: Touch) -> str:
    """Say in words what touches what, where and in which move."""
    return (
        f"{touch.part} touches {touch.body} in move {touch.move + 1} at radius {touch.place[0]:.1f} mm, "
        f"z {touch.place[1]:.1f} mm, {touch.depth:.1f} mm deep"
    )


def _touch(boring: BoringFigures) -> Verdict:
    found = [t for t in boring.clearance.touches if t.kind != "gouge"]
    if not found:
        return Verdict(
            "tool contact",
            STAGE,
            "pass",
            0.0,
            0.0,
            "touches",
            "no contact allowed",
            f"nothing but the insert's cut touches in {len(boring.moves)} moves.",
            at_least=False,
        )
    first = found[0]
    advice = boring.advice or "Choose another tool or fixture."
    return Verdict(
        "tool contact",
        STAGE,
        "fail",
        float(len(found)),
        0.0,
        "touches",
        "no contact allowed",
        f"{where(first)} ({first.kind}).",
        advice,
        at_least=False,
    )


def _clearance(parts: Parts, boring: BoringFigures) -> Verdict:
    result, limit = boring.clearance, parts.scenario.limits.clearance
    move = result.least_move
    if move < 0:
        return Verdict(
            "tool clearance", STAGE, "pass", limit, limit, "mm", PRACTICE, "the jaws need no boring."
        )
    least = min(result.least_clearance, 1e6)
    advice = boring.advice or "Choose a slimmer tool or another fixture."
    return at_least(
        "tool clearance",
        STAGE,
        least,
        limit,
        "mm",
        basis=f"{PRACTICE}: wanted clearance of the scenario",
        message=f"least clearance {least:.2f} mm, {result.part[move]} to {result.body[move]}, move {move + 1}.",
        advice=advice,
        otherwise="warn" if least > 0.0 else "fail",
    )


def _lands(parts: Parts) -> Iterator[Verdict]:
    ordered = sorted(parts.pockets, key=lambda p: p.depth)
    for upper, lower in itertools.pairwise(ordered):
        land = 0.5 * abs(upper.diameter - lower.diameter) - lower.chamfer
        yield at_least(
            "land between pockets",
            STAGE,
            land,
            LEAST_LAND,
            "mm",
            basis=f"{PRACTICE}: seat for the wider part",
            message=f"{land:.2f} mm of back face are left between {upper.diameter:g} and {lower.diameter:g} mm.",
            advice="Make the narrower pocket smaller, or its chamfer, or use two sets of jaws.",
        )


def _seat_land(parts: Parts) -> Iterator[Verdict]:
    """Yield the verdict on the back face that a plug's seat or a through-bore leaves under the deepest pocket."""
    deepest = max(parts.pockets, key=lambda p: p.depth)
    through = parts.scenario.boring.through_diameter or 0.0
    hole = max(parts.plug.diameter if parts.plug is not None else 0.0, through)
    if parts.direction == "inside" or hole == 0.0:
        return
    land = 0.5 * (deepest.diameter - hole)
    yield at_least(
        "back face width",
        STAGE,
        land,
        LEAST_LAND,
        "mm",
        basis=f"{PRACTICE}: axial stop for the part",
        message=f"{land:.2f} mm of back face are left around a {hole:g} mm seat or bore.",
        advice="Use a smaller plug or through-bore, or stop the part elsewhere.",
    )


def _load_left(parts: Parts) -> Verdict | None:
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
    pull = 3.0 * centrifugal_force(moment, boring.speed)
    share = 1.0 - pull / rest if parts.direction == "outside" else 1.0 + pull / rest
    return at_least(
        "load on the fixture",
        STAGE,
        max(share, 0.0),
        scenario.limits.boring_load_share,
        "of that at rest",
        basis="limits.boring_load_share of the scenario (common practice); whole centrifugal force of the jaws",
        message=(
            f"the jaws press the {boring.fixture.kind} with {rest / 1000.0:.1f} kN at rest and "
            f"{max(share, 0.0) * rest / 1000.0:.1f} kN at {boring.speed:.0f} rpm."
        ),
        advice="Bore slower, or with more pressure where the fixture bears it.",
        otherwise="fail" if share <= 0.0 else "warn",
    )


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
            message=f"{10.0 * pressure:.1f} bar are set.",
            advice=f"Set {10.0 * lowest:.1f} bar or more, which the hydraulics hold steadily.",
            otherwise="warn",
        )
