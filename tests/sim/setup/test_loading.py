"""What is refused before anything is built, where the command line's table does not reach: both directions, bounds."""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from pathlib import Path

import pytest

from sim.base.errors import ScenarioError
from sim.scenario import Scenario
from sim.setup.grip_travel import band, face_width
from sim.setup.loading import load

OUTSIDE, INSIDE = "cast_hub_on_ring", "housing_gripped_inside"


def test_loaded_from_text_or_path(scenario_file: Callable[[str], Path]) -> None:
    file = scenario_file(OUTSIDE)
    assert load(str(file)) == load(file)


def test_message_names_the_file(scenario_file: Callable[[str], Path], tmp_path: Path) -> None:
    file = tmp_path / "setup.toml"
    text = scenario_file(OUTSIDE).read_text(encoding="utf-8")
    file.write_text(text.replace('"22 bar"', '"32 bar"'), encoding="utf-8")
    with pytest.raises(ScenarioError) as found:
        load(file)
    assert str(found.value) == (
        f"{file}: operations[0].gripping.pressure must be at most 30 bar, chuck.pressure_limit, found 32 bar"
    )


def test_the_machine_may_be_the_weaker(varied: Callable[..., Scenario]) -> None:
    with pytest.raises(ScenarioError, match=r"at most 20 bar, machine\.pressure_limit"):
        varied(OUTSIDE, {"machine.pressure_limit": "20 bar"})


def test_pressure_at_the_limit_is_allowed(varied: Callable[..., Scenario]) -> None:
    assert varied(
        OUTSIDE, {"operations.0.gripping.pressure": "30 bar"}
    ).chuck.pressure_limit == pytest.approx(3.0)


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

    assert band(with_limit(limit - sign * 1e-3), 0).loading_clearance == pytest.approx(5e-4, abs=1e-4)
    with pytest.raises(ScenarioError, match=f"gripped_diameter_{word}"):
        with_limit(limit + sign * 1e-3)


def test_out_of_round_takes_from_the_opening(varied: Callable[..., Scenario]) -> None:
    even = band(varied(OUTSIDE), 0).loading_clearance
    uneven = varied(OUTSIDE, {"operations.0.workpiece.out_of_round": "0.2 mm"})
    assert band(uneven, 0).loading_clearance == pytest.approx(even - 0.2)


def test_face_is_the_jaw_without_its_chamfers(varied: Callable[..., Scenario]) -> None:
    scenario = varied(OUTSIDE, {"soft_jaw.edge_chamfer": "2 mm"})
    assert face_width(scenario, scenario.pockets[0]) == 46.0


@pytest.mark.parametrize(
    ("diameter", "refused"),
    # Nut: 45 mm + 57 mm + 12.5 mm = 114.5 mm from the axis with the jaws open.
    [("229.0 mm", False), ("228.9 mm", True)],
)
def test_nut_ends_at_the_body(varied: Callable[..., Scenario], diameter: str, refused: bool) -> None:
    changes = {"chuck.body_diameter": diameter}
    if not refused:
        assert varied(OUTSIDE, changes)
        return
    with pytest.raises(ScenarioError, match=r"T-nut within the chuck body, radius 114\.45 mm.*114\.5 mm"):
        varied(OUTSIDE, changes)


def test_serrations_move_the_jaw(varied: Callable[..., Scenario]) -> None:
    """Eight teeth of 1.5 mm outward carry the outer T-nut from 114.5 mm to 126.5 mm, past the master jaw's 126 mm."""
    assert varied(OUTSIDE, {"soft_jaw.serration_index": 7})
    with pytest.raises(ScenarioError, match=r"126\.5 mm"):
        varied(OUTSIDE, {"soft_jaw.serration_index": 8})


def test_inside_step_may_not_cut_a_screw(varied: Callable[..., Scenario]) -> None:
    """Turned from outside, the step reaches inward to the outer screw's head."""
    with pytest.raises(ScenarioError, match=r"pockets\[0\]\.diameter must not bore through the screw"):
        varied(INSIDE, {"pockets.0.depth": "50 mm", "boring.fixture.height": "2 mm"})


def test_locking_guideway(varied: Callable[..., Scenario]) -> None:
    """1 - mu tan(alpha + phi) - 3 mu a/L = 0 (free body of the jaw) at mu = 0.797 for 19 deg, 15 mm, 80 mm."""

    def left(mu: float) -> float:
        return 1.0 - mu * math.tan(math.radians(19.0) + math.atan(mu)) - 3.0 * mu * 15.0 / 80.0

    low, high = 0.1, 1.0
    for _ in range(60):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if left(middle) > 0.0 else (low, middle)
    assert varied(OUTSIDE, {"chuck.guideway_friction": low - 1e-4})
    with pytest.raises(ScenarioError, match=r"chuck\.guideway_friction"):
        varied(OUTSIDE, {"chuck.guideway_friction": high + 1e-4})


def test_cuts_and_speeds_are_read_for_every_operation(varied: Callable[..., Scenario]) -> None:
    with pytest.raises(ScenarioError, match=r"operations\[1\]\.gripping\.speed_low"):
        varied("valve_bonnet_two_steps", {"operations.1.gripping.speed_low": "1200 rpm"})


def test_directions_do_not_mix(varied: Callable[..., Scenario]) -> None:
    with pytest.raises(ScenarioError, match="all grip outside or all inside"):
        varied("valve_bonnet_two_steps", {"operations.1.gripping.direction": "inside"})


@pytest.mark.parametrize("diameter", ["118.0037 mm", "118.0062 mm", "118.0088 mm", "118.04 mm"])
def test_a_refusal_names_no_size_that_is_refused_too(varied: Callable[..., Scenario], diameter: str) -> None:
    """The jaws open to a little less than the part's largest size: 'at most' that, rounded up, was refused again."""
    field = "operations.0.workpiece.gripped_diameter_high"
    with pytest.raises(ScenarioError) as caught:
        varied(OUTSIDE, {field: "135 mm", "pockets.0.diameter": diameter})
    named = re.search(r"at most ([\d.]+) mm, the opening", str(caught.value))
    assert named is not None
    assert varied(OUTSIDE, {field: f"{named[1]} mm", "pockets.0.diameter": diameter})
