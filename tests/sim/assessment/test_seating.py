"""The part sits in its pocket, on its back face, and meets nothing else: setups built to numbers that hold by hand.

The hub's land lies at z = 27 mm, its inner ends stand at 42 mm while boring and about as far gripping; the chuck body's
face lies at z = -2 mm around a bore of 75 mm, the master jaws begin near 23 mm below z = 0.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from sim.assessment.results import Assessment
from sim.assessment.stages import assess
from sim.assessment.verdict import Verdict
from sim.scenario import Scenario

HUB, PLUG, BONNET, HOUSING = (
    "cast_hub_on_ring",
    "cast_hub_on_plug",
    "valve_bonnet_two_steps",
    "housing_gripped_inside",
)
OUTLINE, STOP = "operations.0.workpiece.outline", "operations.0.back_stop"
CLEAR, LAND = "part clear of the chuck", "part on its back face"
# Master jaws that begin outside the chuck's bore leave its face open.
OPEN = {"master_jaw.inner_radius": "45 mm", "master_jaw.length": "80 mm"}
Corners = list[tuple[float, float]]


def mm(corners: Corners) -> list[list[str]]:
    return [[f"{r} mm", f"{z} mm"] for r, z in corners]


def hub(*back: tuple[float, float]) -> dict[str, Any]:
    """Return the hub with another back, from its bore to its rim."""
    return {OUTLINE: mm([*back, (59, 0), (59, 26), (40, 26), (40, 58), (20, 58)])}


def spigot(radius: float, length: float) -> dict[str, Any]:
    return hub((20, -length), (radius, -length), (radius, 0))


def flange(height: float) -> dict[str, Any]:
    """Return the hub with a flange of 132 mm whose underside lies so high; the jaws' faces lie at 23 mm."""
    collar = [(66, height), (66, height + 8), (40, height + 8), (40, 58), (20, 58)]
    return {
        OUTLINE: mm([(20, 0), (59, 0), (59, height), *collar]),
        "operations.0.cuts.1.height": f"{height + 8} mm",
    }


@pytest.fixture(scope="module")
def judged(varied: Callable[..., Scenario]) -> Callable[..., Assessment]:
    return lambda name, changes=None: assess(varied(name, changes), contact_model="foundation", advised=False)


def one(found: Assessment, name: str, stage: str | None = None) -> Verdict:
    (verdict,) = (v for v in found.verdicts if v.name == name and stage in (None, v.stage))
    return verdict


# ---------------------------------------------------------------- the files as they stand


def test_every_shipped_part_sits_in_its_pocket(
    scenario_name: str, assessment: Callable[[str], Assessment]
) -> None:
    found = assessment(scenario_name)
    for figures in found.operations:
        for name in (CLEAR, LAND):
            assert one(found, name, figures.operation.name).status == "pass"
        assert figures.zone.stands


# ---------------------------------------------------------------- what meets, and how far


@pytest.mark.parametrize(
    ("name", "changes", "body", "along", "across"),
    [
        # 33 mm below the land at 27 mm lie 4 mm under the body's face, from its bore, 37.5 mm, outward
        (HUB, {**OPEN, **spigot(40, 33)}, "chuck body", 4.0, 2.5),
        # 31 mm: 4 mm under the serrated plane, where the master jaws stand at 26 mm less the travel of some 3 mm
        (HUB, spigot(30, 31), "master jaws", 4.0, 7.0),
        # between inner ends at 42 mm
        (HUB, spigot(45, 5), "soft jaws", 5.0, 3.0),
        # in the plug's seat, 92 mm wide and 17 mm deep, onto its floor
        (PLUG, spigot(44, 20), "soft jaws", 3.0, 2.0),
        # a flange that reaches the jaws' faces before the back face reaches the land
        (HUB, flange(22.8), "soft jaws", 0.2, 6.0),
        # gripped inside: a lip in the bore, 3 mm high at 85 mm, where the step of 90 mm stands
        (HOUSING, {OUTLINE: mm([(85, 0), (118, 0), (118, 45), (90, 45), (90, 3), (85, 3)])}, "soft jaws", 3.0, 5.0),
        # gripped inside: a floor 15 mm over the back face, where the jaws reach 22 mm up
        (HOUSING, {OUTLINE: mm([(90, 0), (118, 0), (118, 45), (20, 45), (20, 15), (90, 15)])}, "soft jaws", 7.0, 55.0),
    ],
    ids=["body", "master jaws", "inner ends", "plug's seat", "flange", "lip", "floor"],
)  # fmt: skip
def test_a_part_that_meets_something_fails_by_as_much(
    judged: Callable[..., Assessment],
    name: str,
    changes: dict[str, Any],
    body: str,
    along: float,
    across: float,
) -> None:
    found = one(judged(name, changes), CLEAR)
    assert found.status == "fail"
    assert body in found.message
    # Jaws stand up to a few tenths nearer when they grip the smallest part than when they are bored.
    assert found.value == pytest.approx(-min(along, across), abs=0.6 if across < along else 1e-6)
    assert f"by {along:.2f} mm along the spindle" in found.message


@pytest.mark.parametrize(
    ("changes", "gap"),
    [
        # 0.2 mm over the jaws' faces is no room: neither of the two lengths is that exact
        (flange(23.2), 0.2),
        (flange(23.0), 0.0),
        # a spigot that ends 0.3 mm over the chuck body's face
        ({**OPEN, **spigot(40, 28.7)}, 0.3),
    ],
)
def test_too_little_room_fails(
    judged: Callable[..., Assessment], changes: dict[str, Any], gap: float
) -> None:
    found = one(judged(HUB, changes), CLEAR)
    assert (found.status, found.limit) == ("fail", 0.5)
    assert found.value == pytest.approx(gap, abs=1e-6)


@pytest.mark.parametrize("changes", [flange(25.0), spigot(36, 20), spigot(22.2, 60)])
def test_what_has_room_passes(judged: Callable[..., Assessment], changes: dict[str, Any]) -> None:
    """A flange 2 mm over the faces; a spigot between the jaws; one through the chuck's bore and the master jaws."""
    found = one(judged(HUB, changes), CLEAR)
    assert found.status == "pass"
    assert found.value >= 0.5


def test_on_the_way_in_a_boss_meets_jaws_that_stand_further_in(judged: Callable[..., Assessment]) -> None:
    """Gripped inside the jaws load with their inner ends at 37 - 6 = 31 mm and grip at 34 mm.

    A boss of 61.6 mm hangs from the part's cover down between them: 3.2 mm free when gripped, 0.2 mm on its way in.
    """
    cover = [(90, 0), (118, 0), (118, 45), (0, 45), (0, 5), (30.8, 5), (30.8, 30), (90, 30)]
    found = one(judged(HOUSING, {OUTLINE: mm(cover)}), CLEAR)
    assert found.status == "fail"
    assert found.value == pytest.approx(0.2, abs=1e-6)
    assert "on its way in" in found.message


def test_out_of_the_back_of_the_chuck_is_no_plain_pass(judged: Callable[..., Assessment]) -> None:
    """The body ends at z = -97 mm; what stands behind it is not stated."""
    found = one(judged(HUB, spigot(22.2, 130)), CLEAR)
    assert found.status == "warn"
    assert "6.0 mm out of the back of the chuck body" in found.message


def test_a_laxer_clearance_warns(judged: Callable[..., Assessment]) -> None:
    found = one(judged(HUB, {**flange(23.2), "limits.loading_clearance": "0.1 mm"}), CLEAR)
    assert found.status == "warn"
    assert "laxer than common practice's 0.5 mm" in found.basis


# ---------------------------------------------------------------- the back face

RECESS = [(20, 0), (40, 0), (40, 2), (59, 2)]


@pytest.mark.parametrize(
    ("name", "changes", "width"),
    [
        # hollow from 40 mm out: the land begins at 42 mm
        (HUB, {OUTLINE: mm([*RECESS, (59, 26), (40, 26), (40, 58), (20, 58)])}, 0.0),
        # a hub of 76 mm that goes through between jaws at 84 mm
        (HUB, {OUTLINE: mm([(20, 0), (38, 0), (38, 2), (59, 2), (59, 26), (40, 26), (40, 58), (20, 58)])}, 0.0),
        # gripped inside: it stands on a rim beyond the outer ring's seat, 122 mm
        (HOUSING, {OUTLINE: mm([(90, 1), (122.5, 1), (122.5, 0), (130, 0), (130, 45), (90, 45)]),
                   "operations.0.cuts.0.diameter": "260 mm"}, 0.0),
        # the same with a rim from 120 mm: 2 mm of it on the land
        (HOUSING, {OUTLINE: mm([(90, 1), (120, 1), (120, 0), (130, 0), (130, 45), (90, 45)]),
                   "operations.0.cuts.0.diameter": "260 mm"}, 2.0),
        # no face at z = 0 at all
        (HUB, {OUTLINE: mm([(20, 1), (59, 1), (59, 26), (40, 26), (40, 58), (20, 58)])}, 0.0),
    ],
    ids=["recess", "through between the jaws", "off the land", "2 mm on the land", "no face"],
)  # fmt: skip
def test_a_part_that_stands_on_air_fails(
    judged: Callable[..., Assessment], name: str, changes: dict[str, Any], width: float
) -> None:
    found = one(judged(name, changes), LAND)
    assert found.status == "fail"
    assert found.value == pytest.approx(width, abs=0.02)


def test_a_stop_may_take_its_place(judged: Callable[..., Assessment]) -> None:
    """A disc of 60 mm under the face from 20 to 40 mm: 10 mm; 1 mm behind it, nothing."""
    for height, status in (("17 mm", "pass"), ("16 mm", "fail")):
        stop = {STOP: {"outer_diameter": "60 mm", "thickness": "10 mm", "height": height}}
        recess = {OUTLINE: mm([*RECESS, (59, 26), (40, 26), (40, 58), (20, 58)])}
        assert one(judged(HUB, {**recess, **stop}), LAND).status == status


def test_a_thin_part_that_stands_as_a_whole_only_warns(judged: Callable[..., Assessment]) -> None:
    """A rim of 2 mm on the land is all that there is of it; one of 2 mm half over the opening is not."""
    rim, half = (
        hub((20, 1), (low, 1), (low, 0), (low + 2, 0), (low + 2, 1), (59, 1))[OUTLINE] for low in (52, 41)
    )
    for outline in (rim, half):  # without the corner that the rim leaves at 59 mm
        outline.remove(["59 mm", "0 mm"])
    assert one(judged(HUB, {OUTLINE: rim}), LAND).status == "warn"
    assert one(judged(HUB, {OUTLINE: half}), LAND).status == "fail"


def test_on_air_the_feed_rests_on_friction_and_nothing_keeps_it_square(
    judged: Callable[..., Assessment],
) -> None:
    """With the same grip the recessed part is held by less, in closed form and with everything at once."""
    standing = judged(HUB).operations[0]
    air = judged(HUB, {OUTLINE: mm([*RECESS, (59, 26), (40, 26), (40, 58), (20, 58)])}).operations[0]
    assert not air.zone.stands
    for held, other in zip(air.holdings, standing.holdings, strict=True):
        assert held.factor < other.factor
        assert held.factor == pytest.approx(held.without_back_face)
    assert air.demands[0].needed >= standing.demands[0].needed
