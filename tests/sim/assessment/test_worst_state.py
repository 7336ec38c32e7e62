"""Each limit at its own worst state: at rest, at the highest speed; and where the figures stop being true."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
import pytest

from sim.assessment.part_wall import part_wall
from sim.assessment.results import Assessment
from sim.assessment.stages import assess
from sim.assessment.verdict import Verdict
from sim.report.assessment import as_object
from sim.scenario import Scenario
from sim.setup.held import held_zone
from sim.setup.parts import build

HUB, HOUSING, THIN = "cast_hub_on_ring", "housing_gripped_inside", "thin_ring_distorts"
SECOND = "valve_bonnet_second_side"
Varied = Callable[..., Scenario]
GRIP = "operations.0.gripping"


def one(found: Assessment, name: str) -> Verdict:
    (verdict,) = [v for v in found.verdicts if v.name == name]
    return verdict


def test_marking_is_judged_where_the_part_is_clamped(
    varied: Varied, assessment: Callable[[str], Assessment]
) -> None:
    """A lowest speed that takes a tenth of the grip away leaves marking and roundness as they were: at rest."""
    slow = assessment(HUB)
    fast = assess(
        varied(HUB, {f"{GRIP}.speed_low": f"{slow.operations[0].operation.gripping.speed_high:g} rpm"}),
        advised=False,
    )
    assert fast.operations[0].grip.low_speed_total < 0.9 * slow.operations[0].grip.low_speed_total
    for name in ("marking", "roundness after release", "stress against yield", "displacement against wall"):
        assert one(fast, name).value == pytest.approx(one(slow, name).value, rel=1e-12), name
    assert slow.operations[0].clamping.state == "at rest"
    grip = slow.operations[0].contact.grip_n
    assert float(grip.sum()) == pytest.approx(slow.operations[0].grip.rest_total)


def test_a_lowest_speed_makes_no_cut_easier(varied: Varied, assessment: Callable[[str], Assessment]) -> None:
    """The cut runs faster than it asks for; its force, which falls with the cutting speed, is not taken to fall."""
    slow = assessment(HUB).operations[0].demands[0]
    changes = {f"{GRIP}.speed_low": f"{slow.speed + 100.0:g} rpm"}
    faster = assess(varied(HUB, changes), contact_model="foundation", advised=False).operations[0].demands[0]
    assert faster.speed == pytest.approx(slow.speed + 100.0)
    assert faster.forces.tangential == pytest.approx(slow.forces.tangential, rel=1e-12)


def test_inside_gripping_is_limited_by_what_it_gains(
    varied: Varied, assessment: Callable[[str], Assessment]
) -> None:
    """F + 3 m r w^2 by hand; within 50 kN at rest and over it at speed is too much."""
    rest = assessment(HOUSING).operations[0].grip
    wanted = 53.6e3
    w = math.sqrt((wanted - rest.rest_total) / (3.0 * rest.centrifugal_moment * 1e-3))
    changes = {f"{GRIP}.speed_high": f"{w * 30.0 / math.pi:.6f} rpm", "chuck.largest_grip": "50 kN"}
    found = assess(varied(HOUSING, changes), advised=False)
    verdict = one(found, "largest grip")
    assert rest.rest_total < 50e3
    assert verdict.value == pytest.approx(53.6, rel=1e-6)
    assert verdict.status == "fail"
    grip, clamping = found.operations[0].grip, found.operations[0].clamping
    assert clamping.state == "at the highest speed"
    assert float(clamping.contact.grip_n.sum()) == pytest.approx(wanted, rel=1e-6)
    lever = found.operations[0].zone.middle + found.scenario.chuck.guideway_depth
    assert one(found, "guideway moment").value == pytest.approx(wanted / 3.0 * lever / 1e6, rel=1e-6)
    # No credit where it would hold the part.
    assert grip.counted_total == grip.rest_total
    assert found.operations[0].holdings[0].grip == grip.rest_total
    turn = clamping.revolution
    assert turn is not None
    assert turn.grip_n.sum(axis=1) == pytest.approx(np.full(len(turn.grip_n), grip.rest_total), rel=1e-6)


def test_the_whole_gain_counts_whatever_share_is_stated(varied: Varied) -> None:
    """A small loss share would let the gain look small, too."""
    found = [
        assess(varied(HOUSING, {f"{GRIP}.grip_loss_share": share}), contact_model="foundation", advised=False)
        for share in (1.0, 0.1)
    ]
    assert one(found[0], "largest grip").value == pytest.approx(one(found[1], "largest grip").value)
    assert one(found[0], "serrations").value == pytest.approx(one(found[1], "serrations").value)


def test_no_loss_of_grip_relieves_the_seat(varied: Varied) -> None:
    """A part that yields keeps its grip at speed, and the jaw's own pull comes on top: as without any loss."""
    heavy = {"soft_jaw.mass_differences": ["0.5 kg", "0.5 kg", "0.5 kg"], f"{GRIP}.speed_high": "1000 rpm"}
    found = [
        assess(
            varied(THIN, {**heavy, f"{GRIP}.grip_loss_share": share}),
            contact_model="foundation",
            advised=False,
        )
        for share in (1.0, 0.17, 0.0)
    ]
    for name in ("jaw seat stays closed", "serrations"):
        values = [one(assessment, name).value for assessment in found]
        assert values == pytest.approx([values[0]] * 3, rel=1e-12)
    assert one(found[0], "jaw seat stays closed").status != "pass"
    at_rest = assess(
        varied(THIN, {**heavy, f"{GRIP}.speed_high": "300 rpm"}), contact_model="foundation", advised=False
    )
    assert one(at_rest, "jaw seat stays closed").status == "pass"


def test_a_thin_wall_that_gives_way_fails_whatever_its_roundness_may_be(varied: Varied) -> None:
    """A wall of 1.5 mm of aluminium: three point loads of P bend it by 0.1888 P R, far beyond its yield."""
    outline = [["61.5 mm", "0 mm"], ["63 mm", "0 mm"], ["63 mm", "30 mm"], ["61.5 mm", "30 mm"]]
    loose = {"operations.0.workpiece.outline": outline, "operations.0.roundness_limit": "100 mm"}
    found = assess(varied(THIN, loose), advised=False)
    assert one(found, "roundness after release").status == "pass"
    grip, zone = found.operations[0].grip, found.operations[0].zone
    bent = 0.1888 * grip.rest_per_jaw * 62.25 / (zone.length * 1.5**2 / 6.0)
    assert bent > 3.0 * 255.0
    for name in ("stress against yield", "displacement against wall"):
        verdict = one(found, name)
        assert verdict.status == "fail"
        assert "beyond small elastic displacement are not true" in verdict.message
    assert one(found, "displacement against wall").limit == pytest.approx(0.15, abs=0.003)


@pytest.mark.parametrize("model", ["assessment", "quickly_judged"])
def test_stress_of_a_thin_ring_is_about_the_ring_formula(request: pytest.FixtureRequest, model: str) -> None:
    """Under three point loads the wall bears 0.1888 P R / (L t^2 / 6); wide jaws spread the load and bear less."""
    found = request.getfixturevalue(model)(THIN).operations[0]
    bent = 0.1888 * found.grip.rest_per_jaw * 58.5 / (found.zone.length * 9.0**2 / 6.0)
    assert 0.2 * bent < found.clamping.hoop_stress < bent


def test_a_solid_part_is_judged_by_its_radius_and_the_pressure(varied: Varied) -> None:
    outline = [["0 mm", "0 mm"], ["63 mm", "0 mm"], ["63 mm", "30 mm"], ["0 mm", "30 mm"]]
    found = assess(
        varied(THIN, {"operations.0.workpiece.outline": outline, "operations.0.cuts.0.kind": "facing"}),
        advised=False,
    )
    clamping = found.operations[0].clamping
    assert clamping.wall == pytest.approx(63.0, abs=0.01)
    assert clamping.hoop_stress == 0.0
    # Of 6082 plate 126 to 150 mm thick: 240 MPa by EN 485-2.
    assert clamping.stress_share == pytest.approx(0.6 * clamping.band_peak / 240.0)


@pytest.mark.parametrize("thickness", [0.2, 0.9, 1.1, 3.0])
def test_no_wall_is_too_thin_to_be_one(varied: Varied, thickness: float) -> None:
    inner = 63.0 - thickness
    outline = [[f"{inner} mm", "0 mm"], ["63 mm", "0 mm"], ["63 mm", "30 mm"], [f"{inner} mm", "30 mm"]]
    parts = build(varied(THIN, {"operations.0.workpiece.outline": outline}))
    assert part_wall(parts, 0, held_zone(parts.scenario, 0)).inner == pytest.approx(inner)


def test_figures_stand_in_the_json(varied: Varied) -> None:
    found = assess(
        varied(HUB, {"operations.0.workpiece.out_of_round": "0.02 mm"}),
        contact_model="foundation",
        advised=False,
    )
    out = as_object(found)
    clamping = found.operations[0].clamping
    assert out["grip"][0]["largest_total_N"] == found.operations[0].grip.rest_total
    assert out["contact"][0]["state"] == "at rest"
    assert out["contact"][0]["run_out_um"] == found.operations[0].running.run_out
    assert [one["state"] for one in out["contact"][0]["run_out"]] == ["at rest", "at the highest speed"]
    assert set(out["contact"][0]["run_out"][0]["by_lobes"]) == {f"lobes_{n}_um" for n in (2, 4, 5, 7)}
    assert out["distortion"][0]["displacement_mm"] == clamping.displacement
    assert out["distortion"][0]["stress_share_of_yield"] == clamping.stress_share
    assert out["distortion"][0]["wall_mm"] == clamping.wall
