"""Screw heads in their counterbores: refused where they stand out, where a bore meets them, where a pin meets them."""

from __future__ import annotations

from meshes.jaw_screw import HEADS
from sim.base.errors import ScenarioError
from sim.base.rounding import SAME
from sim.base.tables import thread
from sim.scenario import Ring, Scenario
from sim.setup.jaw_place import jaw_place
from sim.setup.jaw_screws import head_seat, head_top
from sim.setup.metal import turned


def require_heads(scenario: Scenario) -> None:
    """Refuse heads that stand out of the jaws' top faces, and whatever is bored into them or stands on them.

    Raises
    ------
    ScenarioError
        Names the fields, what was found and what is allowed, without the file.
    """
    _below_the_face(scenario)
    _whole(scenario)
    _above_the_heads(scenario)


def head_height(scenario: Scenario) -> float:
    """Return how high (mm) a screw's head stands above the counterbore's bottom, with its washer if one is used."""
    return head_top(scenario) - head_seat(scenario)


def _heads(scenario: Scenario) -> str:
    """Say what stands in a counterbore, as in 'the head of an M14 screw (ISO 4762) and its washer'."""
    screws = scenario.soft_jaw.screws
    washer = " and its washer" if screws.washer_diameter is not None else ""
    return f"the head of an {screws.thread} screw (ISO 4762){washer}"


def _below_the_face(scenario: Scenario) -> None:
    depth, needed = scenario.soft_jaw.screws.counterbore_depth, head_height(scenario)
    if depth < needed * (1.0 - SAME):
        raise ScenarioError(
            f"soft_jaw.screws.counterbore_depth must be at least {needed:g} mm, {_heads(scenario)}, so that no head "
            f"stands out of the jaw's face, found {depth:g} mm"
        )


def _whole(scenario: Scenario) -> None:
    """Refuse a fixture's seat, a through bore or an earlier boring that meets a head or takes its seat away.

    The pockets themselves are refused by `sim.setup.bores`.
    """
    radius, top = 0.5 * HEADS[thread(scenario.soft_jaw.screws.thread).diameter].diameter, head_top(scenario)
    for one in turned(scenario, jaw_place(scenario)):
        if one.is_pocket:
            continue
        for position in scenario.soft_jaw.screws.positions:
            if one.reach_over(position, radius) < 0.0 and one.low < top * (1.0 - SAME):
                reach = "through the jaw" if one.low <= 0.0 else f"down to z = {one.low:g} mm"
                stood = "stands" if one.now else "stood"
                raise ScenarioError(
                    f"{one.field} must keep {one.what} off the screws: a head whose axis {stood} at radius "
                    f"{one.inner + position:g} mm, {2.0 * radius:g} mm wide, reaches up to z = {top:g} mm; found a "
                    f"bore of radius {one.side:g} mm {reach}"
                )


def _above_the_heads(scenario: Scenario) -> None:
    fixture = scenario.boring.fixture
    if not isinstance(fixture, Ring):
        return
    depth = scenario.soft_jaw.screws.counterbore_depth
    room = depth - head_height(scenario)
    if fixture.pin_length > room + SAME * depth:
        raise ScenarioError(
            f"boring.fixture.pin_length must be at most {room:g} mm, what soft_jaw.screws.counterbore_depth of "
            f"{depth:g} mm leaves over {_heads(scenario)}, {head_height(scenario):g} mm high; found "
            f"{fixture.pin_length:g} mm"
        )
