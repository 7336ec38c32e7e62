"""Feeds on the noses of a path, which of its moves is judged; shares of the usual by hand; no path is cut."""

from __future__ import annotations

import dataclasses
import math
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from meshes.insert import parse
from sim.assessment.verdict import Verdict
from sim.assessment.verdicts.cutting import (
    beyond,
    depth_of_the_cuts_and_limit,
    feed_of_the_cuts_and_limit,
    least_forces,
    measured_share,
    nose_verdicts,
    stated_share,
    states_specific_force,
)
from sim.base.tables import material
from sim.programs.path import Move
from sim.scenario import Cut

NOSE = parse("CNMG 120408")  # 0.8 mm, takes two thirds of it: 0.533 mm/rev


def judged(*feeds: float | None, **changes: Any) -> list[Verdict]:
    made = {"kind": "feed", "thread": None, "depths": [1.0] * len(feeds), "cutter": NOSE} | changes
    moves = tuple(
        Move(made["kind"], (50.0, 9.0 - k), (50.0, 8.0 - k), feed=feed, thread=made["thread"])
        for k, feed in enumerate(feeds)
    )
    path: Any = SimpleNamespace(
        moves=moves, drawn=(SimpleNamespace(cutter=made["cutter"]),), run_of=lambda _: 0, file="",
        runs=(SimpleNamespace(moves=moves),), clearance=SimpleNamespace(depth_of_cut=np.array(made["depths"])),
    )  # fmt: skip
    return list(nose_verdicts(path, "first side", 0.5))


@pytest.mark.parametrize(
    ("feed", "status"), [(0.53, "pass"), (0.54, "warn"), (0.79, "warn"), (0.81, "fail"), (None, "pass")]
)
def test_a_nose_takes_two_thirds_of_itself_and_never_more_than_all(feed: float | None, status: str) -> None:
    (found,) = judged(0.2, feed, 0.1)
    assert (found.status, found.value) == (status, 0.5 if feed is None else feed)
    assert found.limit == pytest.approx(0.8 * 2.0 / 3.0)
    assert "in move 2 on a nose of 0.8 mm" in found.message


def test_only_what_cuts_with_a_nose_along_is_asked() -> None:
    blade = SimpleNamespace()
    for changes in ({"kind": "rapid"}, {"thread": 0.0}, {"depths": [0.0]}, {"cutter": blade}):
        assert judged(0.3, **changes) == []
    (found,) = judged(0.3, 0.9, depths=[0.1, 0.0])
    assert found.value == 0.3


def stated(**changes: Any) -> Cut:
    base = {
        "name": "rough", "kind": "turning", "diameter": "100 mm", "height": "20 mm", "depth_of_cut": "3 mm",
        "feed": "0.4 mm/rev", "feed_towards": "chuck", "cutting_speed": "150 m/min", "insert": "CNMG 120408",
    }  # fmt: skip
    return Cut.model_validate({k: v for k, v in (base | changes).items() if v is not None})


def test_the_worst_of_several_cuts_counts_by_its_own_edge() -> None:
    """0.4 of 0.533 mm/rev is 0.75; a blade of 3 mm takes 0.21 mm/rev: 0.2 of it is 0.952."""
    cuts = [
        stated(),
        stated(kind="grooving", feed_towards="axis", end_diameter="80 mm", insert=None, feed="0.2 mm/rev"),
    ]
    for order in (cuts, cuts[::-1]):
        found = feed_of_the_cuts_and_limit([c.feed for c in order], order)
        assert found == (pytest.approx(0.2 / 0.21), 1.0)
    deep = [stated(), stated(depth_of_cut="6 mm")]
    share, most = depth_of_the_cuts_and_limit([3.0, 6.0], deep)
    assert (share, most) == (pytest.approx(2.0 * depth_of_the_cuts_and_limit([3.0], deep[:1])[0]), 1.0)
    assert [beyond(share) for share in (1.2, 1.49, 1.5, 1.51)] == ["warn", "warn", "warn", "fail"]


def specific(thickness: float) -> float:
    """Lower printing of C45, by the table's file: 1500 MPa and 0.22 by 0.22, beside 2220 and 0.14 of the other."""
    return min(1500.0 * thickness**-0.22, 2220.0 * thickness**-0.14)


def at_speed(speed: float) -> float:
    """Carbide at m/min, 100 and more: 1.38 / v^0.07; 1 below is the least that is counted."""
    return 1.38 / speed**0.07


C45 = "steel C45"
SHARP = {"rake_angle": "6 deg"}  # that the table's values of steel are for
DRILL = {"kind": "drilling", "diameter": "20 mm", "depth_of_cut": "10 mm", "feed": "0.2 mm/rev", "insert": None,
         "cutting_speed": "80 m/min"}  # fmt: skip
TAP = {"kind": "tapping", "diameter": "10 mm", "depth_of_cut": "0.8 mm", "feed": "1.5 mm/rev", "insert": None,
       "cutting_speed": "10 m/min"}  # fmt: skip
THREAD = {"kind": "threading", "diameter": "60 mm", "end_diameter": "56 mm", "depth_of_cut": "0.3 mm",
          "feed": "2 mm/rev", "insert": None}  # fmt: skip
BLADE = {
    "kind": "grooving",
    "end_diameter": "80 mm",
    "feed_towards": "axis",
    "insert": None,
    "feed": "0.2 mm/rev",
}
MILL = {"kind": "facing", "rotating_tool": True, "insert": None, "depth_of_cut": "2 mm",
        "forces": {"tangential": "1 N", "feed": "1 N", "passive": "1 N"}}  # fmt: skip
SIN_59, TAN_27 = 0.8571673, 0.5205671  # of half a drill's point of 118 deg, of half a thread's 55 deg


@pytest.mark.parametrize(
    ("changes", "main", "thrust"),
    [
        # b h kc: 3 mm of depth and 0.4 mm/rev square to the edge
        ({"approach_angle": "90 deg"}, 3.0 * 0.4 * specific(0.4) * at_speed(150.0), 0.2),
        # a blade's edge stands square to its feed; the spindle runs as its smaller end, 80 mm, asks for
        (BLADE, 3.0 * 0.2 * specific(0.2) * at_speed(150.0 * 100.0 / 80.0), 0.2),
        # each of two lips takes half of feed and diameter; they push as hard as both cut, by their slope
        (DRILL, 10.0 * 0.1 * specific(0.1 * SIN_59), 2.0 * SIN_59),
        # a tap's thread has a quarter of its pitch's square, at the least in chips as thick as the pitch
        (TAP, 0.25 * 1.5**2 * specific(1.5), 0.0),
        # a pass of a thread takes a V of 55 deg as deep as it goes, at the least in one chip
        (THREAD, TAN_27 * 0.3**2 * specific(0.3) * at_speed(150.0 * 60.0 / 56.0), 0.0),
        # of a cutter a fiftieth is in the cut, and it presses towards no side for sure
        (MILL | {"approach_angle": "90 deg"}, 0.02 * 2.0 * 0.4 * specific(0.4) * at_speed(150.0), 0.0),
    ],
)
def test_no_sharp_edge_cuts_with_less_force(changes: dict[str, Any], main: float, thrust: float) -> None:
    found = least_forces(stated(**SHARP, **changes), material(C45))
    assert found == pytest.approx((main, thrust * main), rel=2e-3)


def test_the_lesser_of_both_shares_of_measured_forces_counts() -> None:
    def share(changes: dict[str, Any], main: float, feed: float, passive: float) -> float:
        told = {"tangential": f"{main} N", "feed": f"{feed} N", "passive": f"{passive} N"}
        return measured_share(stated(**SHARP, **changes, forces=told), material(C45))

    main, thrust = least_forces(stated(**SHARP), material(C45))
    assert share({}, 0.7 * main, 3.0 * thrust, 0.0) == pytest.approx(0.7)
    assert share({}, 2.0 * main, 0.3 * thrust, 0.4 * thrust) == pytest.approx(0.5)  # 3, 4, 5
    # Of a tap nothing is asked along: its feed force is the machine's.
    assert share(
        TAP, 0.9 * least_forces(stated(**SHARP, **TAP), material(C45))[0], 1.0, 0.0
    ) == pytest.approx(0.9)
    assert share({}, 1e6, 1e6, 0.0) > 1.0
    assert math.isinf(measured_share(stated(), material(C45)))


OWN = {"specific_force": "1200 MPa", "chip_exponent": 0.3}


@pytest.mark.parametrize(
    ("changes", "thickness"),
    [
        ({"approach_angle": "90 deg"}, 0.4),
        (BLADE, 0.2),
        (DRILL, 0.1 * SIN_59),
        (TAP, 0.03 * 1.5),
        (THREAD, 0.4617486 * 0.3),  # sin 27.5 deg: both flanks cut
    ],
)
def test_a_shops_own_specific_force_beside_the_tables(changes: dict[str, Any], thickness: float) -> None:
    """Each at the chip of that cut: kc = kc1.1 h^-mc, 1200 MPa and 0.3 as stated."""
    cut = stated(**SHARP, **changes, **OWN)
    share = 1200.0 * thickness**-0.3 / specific(thickness)
    assert stated_share(cut.feed, cut, material(C45)) == pytest.approx(share, rel=2e-3)
    assert stated_share(cut.feed, stated(**SHARP, **changes), material(C45)) == 1.0


def test_of_another_rake_a_shops_own_values_count_as_they_would_be_at_the_tables() -> None:
    """One per cent a degree: at -6 deg the table's steel of 6 deg takes 1.12 times as much."""
    cut = stated(rake_angle="-6 deg", approach_angle="90 deg", **OWN)
    share = 1200.0 * 0.4**-0.3 / (1.12 * specific(0.4))
    assert stated_share(cut.feed, cut, material(C45)) == pytest.approx(share, rel=2e-3)


def test_measured_forces_ask_for_no_specific_force_of_the_metal() -> None:
    own = dataclasses.replace(material(C45), cutting=SimpleNamespace())
    measured = {"tangential": "900 N", "feed": "300 N", "passive": "0 N"}
    assert states_specific_force(stated(), own)
    assert not states_specific_force(stated(forces=measured), own)
    assert not states_specific_force(stated(), material(C45))
    assert states_specific_force(stated(**OWN), material(C45))
