"""Overlap of soft jaw and master jaw by hand, and the setups that it must refuse or fail."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest

from sim.assessment.results import Assessment
from sim.assessment.stages import assess
from sim.assessment.verdict import Verdict
from sim.base.errors import ScenarioError
from sim.scenario import Scenario
from sim.setup.seat import seat, seats

HUB, HOUSING = "cast_hub_on_ring", "housing_gripped_inside"
Varied = Callable[..., Scenario]


def one(found: Assessment, name: str) -> Verdict:
    chosen = [v for v in found.verdicts if v.name == name]
    assert len(chosen) == 1
    return chosen[0]


def test_overlap_by_hand(varied: Varied) -> None:
    """Hub: master jaw from radius 26 to 126 mm, blank from 45 mm, 81 mm long: it ends with the master jaw."""
    found = seat(varied(HUB))
    assert (found.inner, found.outer, found.length) == (0.0, 81.0, 81.0)
    assert (found.free_inner, found.free_outer) == (0.0, 0.0)
    assert (found.master_inner, found.master_outer) == (-19.0, 81.0)


def test_free_ends_by_hand(varied: Varied) -> None:
    """One blank too long by 8 mm; a master jaw that begins 5 mm behind the blank's inner end."""
    assert seat(varied(HUB, {"soft_jaw.length": "89 mm"})).free_outer == pytest.approx(8.0)
    short = seat(varied(HUB, {"master_jaw.inner_radius": "50 mm", "master_jaw.length": "76 mm"}))
    assert (short.free_inner, short.inner, short.length) == pytest.approx((5.0, 5.0, 76.0))


def test_a_jaw_that_stands_off_has_a_seat_of_its_own(varied: Varied) -> None:
    lengths = [s.length for s in seats(varied(HUB, {"soft_jaw.serrations_off": [1, 0, -1]}))]
    assert lengths == pytest.approx([81.0 - 1.5, 81.0, 81.0])


@pytest.mark.parametrize(
    ("changes", "numbers"),
    [
        # The outer screw stands at radius 102 mm, its nut ends at 114.5 mm.
        ({"master_jaw.length": "70 mm"}, ("26 mm to 96 mm", "102 mm", "89.5 mm to 114.5 mm")),
        ({"master_jaw.length": "40 mm"}, ("26 mm to 66 mm", "77 mm", "64.5 mm to 89.5 mm")),
        ({"master_jaw.length": "88 mm"}, ("26 mm to 114 mm", "114.5 mm")),
        ({"master_jaw.inner_radius": "70 mm"}, ("70 mm to 170 mm", "64.5 mm to 89.5 mm")),
        (
            {"soft_jaw.serration_index": 20, "chuck.body_diameter": "330 mm", "pockets.0.diameter": "178 mm"},
            ("26 mm to 126 mm", "132 mm", "119.5 mm to 144.5 mm"),
        ),
        ({"soft_jaw.serrations_off": [0, 0, 3], "master_jaw.length": "91 mm"}, ("jaw 3, +3 serrations off",)),
    ],
)
def test_screws_out_of_the_master_jaw_are_refused(
    varied: Varied, changes: dict[str, object], numbers: tuple[str, ...]
) -> None:
    with pytest.raises(ScenarioError, match=r"^soft_jaw\.screws\.positions must keep each screw") as found:
        varied(HUB, changes)
    assert all(number in str(found.value) for number in numbers)


def test_a_nut_flush_with_the_master_jaw_is_allowed(varied: Varied) -> None:
    assert seat(varied(HUB, {"master_jaw.length": "88.5 mm"})).length == pytest.approx(69.5)


def test_a_jaw_that_hangs_inward_fails(varied: Varied) -> None:
    """A master jaw that begins 21 mm behind the blank's inner end, right under the part's rim."""
    changes = {
        "master_jaw.inner_radius": "60 mm",
        "master_jaw.length": "66 mm",
        "soft_jaw.mounting_radius": "39 mm",
    }
    changes |= {"soft_jaw.screws.positions": ["38 mm", "63 mm"], "soft_jaw.length": "87 mm"}
    found = one(
        assess(varied(HUB, changes), contact_model="foundation", advised=False), "jaw past the master jaw"
    )
    assert (found.status, found.value) == ("fail", pytest.approx(21.0))


@pytest.mark.parametrize("name", ["jaw seat stays closed", "serrations"])
@pytest.mark.parametrize(
    "changes",
    [
        {"master_jaw.length": "92 mm"},
        {"master_jaw.inner_radius": "52 mm", "master_jaw.length": "74 mm"},
        {"soft_jaw.serrations_off": [0, 2, 0]},
    ],
)
def test_less_overlap_is_never_better(varied: Varied, name: str, changes: dict[str, object]) -> None:
    whole, less = (
        one(assess(varied(HUB, c), contact_model="foundation", advised=False), name).value
        for c in (None, changes)
    )
    assert less <= whole * (1.0 + 1e-3)  # a lighter master jaw pulls less at speed


def test_the_long_blank_gapes_on_a_short_master_jaw(varied: Varied) -> None:
    """The seat is the overlap, not the blank: 8 mm of blank more, hanging free, leave the factor as it is."""
    plain, longer = (
        one(assess(varied(HUB, c), contact_model="foundation", advised=False), "jaw seat stays closed").value
        for c in (None, {"soft_jaw.length": "89 mm"})
    )
    assert longer <= plain
    assert longer == pytest.approx(plain, rel=0.02)


def test_one_screw_is_refused_without_a_reason(varied: Varied) -> None:
    with pytest.raises(ScenarioError, match=r"two screws a jaw at least, found 1"):
        varied(HUB, {"soft_jaw.screws.positions": ["57 mm"]})


@pytest.mark.parametrize(
    ("name", "lost"), [(HUB, 0), (HUB, 1), (HOUSING, 0), (HOUSING, 1), ("valve_bonnet_two_steps", 1)]
)
def test_losing_a_screw_improves_no_margin_of_the_joint(varied: Varied, name: str, lost: int) -> None:
    """And one screw never passes without a word: its stated reason stands in a warning."""
    whole = varied(name)
    kept = f"{whole.soft_jaw.screws.positions[1 - lost]:g} mm"
    reason = "short cover, proved on this machine"
    changes = {"soft_jaw.screws.positions": [kept], "soft_jaw.screws.single_screw_reason": reason}
    if whole.boring.fixture.kind == "ring":
        changes["boring.fixture"] = {"kind": "none"}
    left = varied(name, changes)
    before, after = (assess(s, contact_model="foundation", advised=False).verdicts for s in (whole, left))
    for wanted in ("jaw seat stays closed", "serrations"):
        pairs = zip(
            [v.value for v in sorted(before, key=lambda v: v.stage) if v.name == wanted],
            [v.value for v in sorted(after, key=lambda v: v.stage) if v.name == wanted],
            strict=True,
        )
        assert all(less < more for more, less in pairs)
    for wanted in ("grip at rest", "spindle speed", "holding factor", "largest grip", "guideway moment"):
        pairs = [[v.margin for v in of if v.name == wanted] for of in (before, after)]
        assert all(less <= more for more, less in zip(*pairs, strict=False)), wanted
    (warned,) = (v for v in after if v.name == "screws of a jaw")
    assert warned.status == "warn"
    assert reason in warned.message


def test_all_shipped_jaws_rest_on_their_master_jaws(varied: Varied, scenario_name: str) -> None:
    assert all(s.free_inner == 0.0 and s.free_outer == 0.0 for s in seats(varied(scenario_name)))


def test_travel_moves_both_jaws_alike(varied: Varied) -> None:
    scenario = varied(HUB)
    moved = scenario.model_copy(update={"boring": scenario.boring.model_copy(update={"travel": 4.0})})
    assert replace(seat(scenario)) == seat(moved)


def test_a_jaw_that_stands_just_too_far_free_reads_so(varied: Varied) -> None:
    """10.03 mm of 10 mm: 'stands free 10.0 mm' would be within the limit."""
    found = one(
        assess(varied(HUB, {"soft_jaw.length": "91.03 mm"}), contact_model="foundation", advised=False),
        "jaw past the master jaw",
    )
    assert (found.status, found.value) == ("fail", pytest.approx(10.03))
    assert "10.03 mm" in found.message
