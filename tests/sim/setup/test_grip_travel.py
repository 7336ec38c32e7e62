"""Opening of the jaws at the loading position, and the bored face's width."""

from __future__ import annotations

import math
import re
from collections.abc import Callable

import pytest

from sim.base.errors import ScenarioError
from sim.scenario import Scenario
from sim.setup.grip_travel import band, face_width
from sim.setup.jaw_place import jaw_place

OUTSIDE, INSIDE = "cast_hub_on_ring", "housing_gripped_inside"


def opening(scenario: Scenario, sign: float) -> float:
    """Largest (outside) or smallest (inside) radius that goes in at s = 0, by the circle of the bored face.

    Outside, the face's arc of radius Rb stands e = sb outward; its edges come nearest to the axis. Inside it
    stands e = sb inward, and its middle reaches farthest out.
    """
    bored, e = 0.5 * scenario.pockets[0].diameter, scenario.boring.travel
    half = 0.5 * scenario.soft_jaw.width - scenario.soft_jaw.edge_chamfer
    corner = math.hypot(e * sign + math.sqrt(bored**2 - half**2), half)
    middle = bored + e * sign
    return min(corner, middle) if sign > 0.0 else max(corner, middle)


def loading_clearance(scenario: Scenario) -> float:
    return band(scenario, jaw_place(scenario), 0).loading_clearance


@pytest.mark.parametrize(("name", "sign", "word"), [(OUTSIDE, 1.0, "high"), (INSIDE, -1.0, "low")])
def test_opening_at_the_loading_position(
    varied: Callable[..., Scenario], name: str, sign: float, word: str
) -> None:
    """The part is refused just beyond the opening and taken just within it."""
    limit = 2.0 * opening(varied(name), sign)
    other = "low" if word == "high" else "high"

    def with_limit(diameter: float) -> Scenario:
        nominal = f"{diameter:.5f} mm"
        fields = {f"operations.0.workpiece.gripped_diameter_{w}": nominal for w in (word, other)}
        return varied(name, fields)

    assert loading_clearance(with_limit(limit - sign * 1e-3)) == pytest.approx(5e-4, abs=1e-4)
    with pytest.raises(ScenarioError, match=f"gripped_diameter_{word}"):
        with_limit(limit + sign * 1e-3)


def test_out_of_round_takes_from_the_opening(varied: Callable[..., Scenario]) -> None:
    even = loading_clearance(varied(OUTSIDE))
    uneven = varied(OUTSIDE, {"operations.0.workpiece.out_of_round": "0.2 mm"})
    assert loading_clearance(uneven) == pytest.approx(even - 0.2)


def test_face_is_the_jaw_without_its_chamfers(varied: Callable[..., Scenario]) -> None:
    scenario = varied(OUTSIDE, {"soft_jaw.edge_chamfer": "2 mm"})
    assert face_width(jaw_place(scenario), scenario.pockets[0]) == 46.0


@pytest.mark.parametrize("diameter", ["118.0037 mm", "118.0062 mm", "118.0088 mm", "118.04 mm"])
def test_a_refusal_names_no_size_that_is_refused_too(varied: Callable[..., Scenario], diameter: str) -> None:
    """The jaws open to a little less than the part's largest size: 'at most' that, rounded up, was refused again."""
    field = "operations.0.workpiece.gripped_diameter_high"
    with pytest.raises(ScenarioError) as caught:
        varied(OUTSIDE, {field: "135 mm", "pockets.0.diameter": diameter})
    named = re.search(r"at most ([\d.]+) mm, the opening", str(caught.value))
    assert named is not None
    assert varied(OUTSIDE, {field: f"{named[1]} mm", "pockets.0.diameter": diameter})
