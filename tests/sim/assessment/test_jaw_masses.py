"""What the jaws weigh beyond the bored blank counts in grip, seat, contact and balance alike."""

from __future__ import annotations

import cmath
import math
from collections.abc import Callable

import pytest

from sim.assessment.jaws import own_pulls, top_jaw
from sim.assessment.results import Assessment
from sim.assessment.stages import assess
from sim.assessment.turning_masses import turning_masses, uncommon_masses
from sim.assessment.verdict import Verdict
from sim.assessment.verdicts.jaw import jaw_verdicts
from sim.base.errors import ScenarioError
from sim.mechanics.spin import centrifugal_moment
from sim.scenario import Scenario
from sim.setup.parts import build

HUB, RING = "cast_hub_on_ring", "cast_hub_ring_blocks"
HEAVY = ["10 kg", "10 kg", "10 kg"]
Varied = Callable[..., Scenario]


def judged(varied: Varied, masses: list[str] | None) -> Assessment:
    changes = None if masses is None else {"soft_jaw.mass_differences": masses}
    return assess(varied(HUB, changes), contact_model="foundation")


def one(found: Assessment, name: str) -> Verdict:
    chosen = [v for v in found.verdicts if v.name == name]
    assert len(chosen) == 1
    return chosen[0]


def test_mass_on_all_jaws_pulls_at_their_centre_of_mass(varied: Varied) -> None:
    """F = m r omega^2 of 0.3 kg more on each jaw, at the radius of the soft jaw's centre of mass."""
    plain, heavy = judged(varied, None), judged(varied, ["300 g"] * 3)
    radius = turning_masses(plain.parts, plain.operations[0].grip_travel)[0].radius
    omega = 1000.0 * math.pi / 30.0
    more = [f.operations[0].grip.centrifugal_per_jaw for f in (plain, heavy)]
    assert more[1] - more[0] == pytest.approx(0.3 * 1e-3 * radius * omega**2)
    lost = [f.operations[0].grip.high_speed_total for f in (plain, heavy)]
    assert lost[0] - lost[1] == pytest.approx(3.0 * (more[1] - more[0]))
    assert one(heavy, "spindle speed").limit < one(plain, "spindle speed").limit
    assert one(heavy, "load on the fixture").value < one(plain, "load on the fixture").value


def test_ten_kilograms_more_fail(varied: Varied) -> None:
    plain, heavy = judged(varied, None), judged(varied, HEAVY)
    failing = {v.name for v in heavy.verdicts if v.status == "fail"}
    assert {"grip at rest", "spindle speed"} <= failing
    assert not {v.name for v in plain.verdicts if v.status == "fail"}
    assert heavy.operations[0].grip.high_speed_total < 0.5 * plain.operations[0].grip.high_speed_total


def test_a_heavier_jaw_counts_as_a_third_for_all_and_the_rest_alone(varied: Varied) -> None:
    """Sums are kept: the mean in the grip of all, what is left in the contact of each."""
    scenario = varied(HUB, {"soft_jaw.mass_differences": ["600 g", "0 g", "0 g"]})
    assert uncommon_masses(scenario) == pytest.approx((0.4, -0.2, -0.2))
    plain, heavy = (centrifugal_moment(turning_masses(build(s), 3.0)) for s in (varied(HUB), scenario))
    radius = turning_masses(build(scenario), 3.0)[0].radius
    assert heavy - plain == pytest.approx(0.2 * radius)


def test_each_jaw_keeps_its_own_mass(varied: Varied) -> None:
    """Three unlike jaws in their order: beyond the mean of 200 g, and their pulls of m r omega^2 at 1000 rev/min."""
    scenario = varied(HUB, {"soft_jaw.mass_differences": ["0 g", "100 g", "500 g"]})
    assert uncommon_masses(scenario) == pytest.approx((-0.2, -0.1, 0.3))
    found = assess(scenario, contact_model="foundation")
    figures = found.operations[0]
    speed = figures.operation.gripping.speed_high
    pulls = own_pulls(found.parts, top_jaw(found.parts), figures.grip_travel, speed)
    radius = turning_masses(found.parts, figures.grip_travel)[0].radius
    omega = 1000.0 * math.pi / 30.0
    assert pulls[1] - pulls[0] == pytest.approx(0.1 * 1e-3 * radius * omega**2)
    assert pulls[2] - pulls[0] == pytest.approx(0.5 * 1e-3 * radius * omega**2)


@pytest.mark.parametrize(
    ("off", "masses"),
    [((0, 1, 0), (0, 0, 60)), ((0, 1, 0), (0, 60, 0)), ((1, 0, 0), (0, 0, 60)), ((-1, 0, 2), (10, 40, 0))],
)
def test_unbalance_takes_place_and_mass_of_the_same_jaw(
    varied: Varied, off: tuple[int, int, int], masses: tuple[int, int, int]
) -> None:
    """Vector sum of m r of three jaws at 0, 120 and 240 deg: a mass on the jaw that stands off weighs otherwise."""
    changes = {"soft_jaw.serrations_off": list(off), "soft_jaw.mass_differences": [f"{m} g" for m in masses]}
    scenario = varied(HUB, changes)
    parts = build(scenario)
    own = parts.bored.volume * 7.85e-6  # kg of steel, mm^3
    radius = turning_masses(parts, scenario.boring.travel)[0].radius
    moments = [
        1e3 * (own + 1e-3 * m) * (radius + o * scenario.chuck.serration_pitch)
        for o, m in zip(off, masses, strict=True)
    ]
    total = sum(u * cmath.exp(2j * math.pi * k / 3.0) for k, u in enumerate(moments))
    found = [v for v in jaw_verdicts(parts) if v.name == "unbalance"]
    assert [v.value for v in found] == pytest.approx([abs(total)], rel=1e-6)


@pytest.mark.parametrize("masses", [["300 g"] * 3, ["300 g", "0 g", "0 g"], ["0 g", "2 kg", "1 kg"]])
def test_more_mass_improves_no_margin_of_grip_seat_or_contact(varied: Varied, masses: list[str]) -> None:
    plain, heavy = judged(varied, None), judged(varied, masses)
    for name in ("grip at rest", "spindle speed", "holding factor", "least grip of a jaw"):
        before, after = one(plain, name), one(heavy, name)
        assert after.margin < before.margin, name
    assert one(heavy, "jaw seat stays closed").value <= one(plain, "jaw seat stays closed").value


@pytest.mark.parametrize("lighter", ["-1.4 kg", "-5 kg"])
def test_a_jaw_of_no_mass_is_refused(varied: Varied, lighter: str) -> None:
    scenario = varied(HUB, {"soft_jaw.mass_differences": ["0 g", lighter, "0 g"]})
    weight = build(varied(HUB)).bored.volume * 7.85e-6
    assert weight < 1.4
    with pytest.raises(
        ScenarioError, match=rf"^soft_jaw\.mass_differences\[1\] must leave .* {weight:.3f} kg"
    ):
        build(scenario)
