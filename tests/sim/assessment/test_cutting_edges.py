"""Cuts that are none, feeds and depths that no edge takes, forces that no gauge has measured.

Figures of common practice and handbooks stand here as numbers: two thirds of the nose radius, 0.03 of a drill's
diameter, two thirds of a strong insert's edge; Kienzle's values of GJL-250 (kc1.1 1160 MPa, mc 0.26) by hand.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from meshes.insert import parse
from sim.assessment.edges import usable_depth
from sim.assessment.operation import gripped
from sim.assessment.results import Assessment
from sim.assessment.stages import assess
from sim.assessment.verdict import Verdict
from sim.assessment.verdicts.cutting import least_forces
from sim.base.errors import ScenarioError
from sim.scenario import Scenario
from sim.setup.parts import build
from sim.variants import REFUSED, judged, variants
from sim.variants.result import WORDS

HUB, BY_PROGRAM = "cast_hub_on_ring", "cast_hub_by_program"
CUT = "operations.0.cuts.0"
FEED, DEPTH, MEASURED, NOSE = "feed of the cuts", "depth of the cuts", "measured forces", "feed on the nose"
Varied = Callable[..., Scenario]
Of = Callable[..., Assessment]


@pytest.fixture(scope="module")
def of(varied: Varied) -> Of:
    return lambda changes, name=HUB: assess(varied(name, changes), contact_model="foundation", advised=False)


def verdict(found: Assessment, name: str, stage: str = "first side") -> Verdict:
    return next(v for v in found.verdicts if (v.name, v.stage) == (name, stage))


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({f"{CUT}.depth_of_cut": "1 um"}, "depth_of_cut must be at least 0.05 mm, .* found 0.001 mm"),
        ({f"{CUT}.feed": "1 um/rev"}, "feed must be at least 0.02 mm/rev, .* found 0.001 mm/rev"),
        ({f"{CUT}.feed": "0.001 mm/rev"}, "feed must be at least 0.02 mm/rev"),
        ({"boring.passes.feed": "0.001 mm/rev"}, "boring.passes feed must be at least 0.02 mm/rev"),
        ({"boring.passes.depth_of_cut": "0.001 mm"}, "boring.passes depth_of_cut must be at least 0.05 mm"),
        ({f"{CUT}.rake_angle": "60 deg"}, "rake_angle must lie between -30 deg and 30 deg, found 60 deg"),
        ({f"{CUT}.wear_factor": 0.01}, "wear_factor must be .* found '?0.01"),
        ({f"{CUT}.insert": "CNMX"}, r"operations\[0\].cuts\[0\].insert: insert 'CNMX' is not an ISO 1832"),
        (
            {f"{CUT}.insert": "CNMG 120408", f"{CUT}.nose_radius": "0.8 mm"},
            "nose_radius must be left out beside",
        ),
    ],
)
def test_a_cut_that_is_none_is_refused(varied: Varied, changes: dict[str, Any], words: str) -> None:
    if "um/rev" in str(changes):
        words = "feed must be"
    with pytest.raises(ScenarioError, match=words):
        varied(HUB, changes)


@pytest.mark.usefixtures("few_solutions")
def test_drawn_cuts_that_are_none_are_refused(quickly_judged: Callable[[str], Assessment]) -> None:
    own = variants(quickly_judged(HUB))
    for key, values in (
        (f"{CUT}.feed", [0.001, 0.0199, 0.02]),
        (f"{CUT}.depth_of_cut", [0.001, 0.049, 0.05]),
    ):
        found = judged(own, {key: np.array(values)})
        assert (found.worst == REFUSED).tolist() == [True, True, False]


@pytest.mark.parametrize(
    ("changes", "status"),
    [
        ({f"{CUT}.feed": "0.26 mm/rev"}, "pass"),
        # not stated: the smallest usual nose, 0.4 mm, takes 0.267 mm/rev and never more than 0.4
        ({f"{CUT}.feed": "0.3 mm/rev"}, "warn"),
        ({f"{CUT}.feed": "0.41 mm/rev"}, "fail"),
        ({f"{CUT}.feed": "4 mm/rev"}, "fail"),
        ({f"{CUT}.feed": "4 mm/rev", f"{CUT}.nose_radius": "0.4 mm"}, "fail"),
        ({f"{CUT}.feed": "4 mm/rev", f"{CUT}.insert": "CNMG 120404"}, "fail"),
        ({f"{CUT}.feed": "0.5 mm/rev", f"{CUT}.insert": "CNMG 120408"}, "pass"),
        ({f"{CUT}.feed": "0.6 mm/rev", f"{CUT}.insert": "CNMG 120408"}, "warn"),
        ({f"{CUT}.feed": "0.81 mm/rev", f"{CUT}.insert": "CNMG 120408"}, "fail"),
        ({f"{CUT}.feed": "0.81 mm/rev", f"{CUT}.nose_radius": "1.6 mm"}, "pass"),
    ],
)
def test_feed_on_the_nose_of_a_cut(of: Of, changes: dict[str, Any], status: str) -> None:
    assert verdict(of(changes), FEED).status == status


@pytest.mark.parametrize(("feed", "status"), [(0.2, "pass"), (0.35, "warn"), (0.5, "fail")])
def test_feed_of_a_drill(of: Of, feed: float, status: str) -> None:
    """A drill of 10 mm takes 0.3 mm a revolution, and never half as much again."""
    drill = {"name": "drill", "kind": "drilling", "diameter": "10 mm", "height": "58 mm", "depth_of_cut": "5 mm",
             "feed": f"{feed} mm/rev", "cutting_speed": "60 m/min"}  # fmt: skip
    assert verdict(of({"operations.0.cuts": [drill]}), FEED).status == status


@pytest.mark.parametrize(("depth", "status"), [(8.0, "pass"), (9.0, "warn"), (13.0, "fail")])
def test_depth_on_the_edge_of_a_cut(of: Of, depth: float, status: str) -> None:
    """An edge of CNMG 12 is 12.7 / sin 80 deg = 12.9 mm long: two thirds of it at 95 deg are 8.57 mm, all 12.85 mm."""
    found = of({f"{CUT}.insert": "CNMG 120408", f"{CUT}.depth_of_cut": f"{depth} mm"})
    assert verdict(found, DEPTH).status == status
    usable = 2.0 / 3.0 * 12.7 / math.sin(math.radians(80.0)) * math.sin(math.radians(95.0))
    assert usable_depth(parse("CNMG 120408"), math.radians(95.0)) == pytest.approx(usable)
    assert verdict(found, DEPTH).value == pytest.approx(depth / usable)


def test_slim_and_round_inserts_take_less() -> None:
    """Of 12.7 mm inscribed circle: a rhombus of 35 deg has an edge of 22.1 mm, a quarter of it; a disc 0.4 of 12 mm."""
    square = math.radians(90.0)
    slim = 0.25 * 12.7 / math.sin(math.radians(35.0))
    assert usable_depth(parse("VNMG 220408"), square) == pytest.approx(slim)
    assert usable_depth(parse("RCMT 1204M0"), math.radians(45.0)) == pytest.approx(0.4 * 12.0)


def test_feed_and_depth_of_drawn_cuts_are_judged_alike(of: Of) -> None:
    stated = {f"{CUT}.insert": "CNMG 120408", "operations.0.cuts.1.insert": "CNMG 120408"}
    own = variants(of(stated))
    for name, key, unit, values in (
        (FEED, f"{CUT}.feed", "mm/rev", [0.1, 0.5, 0.6, 0.79, 0.82]),
        (DEPTH, f"{CUT}.depth_of_cut", "mm", [2.0, 8.0, 9.0, 13.0]),
    ):
        found = judged(own, {key: np.array(values)})
        column = found.column(name.replace(" ", "_"), "first side")
        whole = [verdict(of({**stated, key: f"{value} {unit}"}), name) for value in values]
        assert [WORDS[code] for code in found.status[:, column]] == [v.status for v in whole]
        assert found.value[:, column] == pytest.approx([v.value for v in whole])
        assert {v.status for v in whole} == {"pass", "warn", "fail"}


# ---------------------------------------------------------------- forces


def by_hand(feed: float, depth: float, speed: float) -> float:
    """Kienzle of GJL-250's lower printing, sharp: kc1.1 1160 MPa, mc 0.26; rake 6 deg of 2 deg; 1.38 / v^0.07."""
    h, b = feed * math.sin(math.radians(95.0)), depth / math.sin(math.radians(95.0))
    return b * h * 1160.0 * h**-0.26 * 0.96 * 1.38 / speed**0.07


def measured(main: float, feed: float, passive: float) -> dict[str, Any]:
    return {f"{CUT}.forces": {"tangential": f"{main} N", "feed": f"{feed} N", "passive": f"{passive} N"}}


def test_least_forces_by_hand(varied: Varied) -> None:
    cut = varied(HUB).operations[0].cuts[0]
    main, thrust = least_forces(cut, "cast iron GJL-250")
    assert main == pytest.approx(by_hand(0.25, 2.0, 160.0), rel=1e-6)
    assert thrust == pytest.approx(0.2 * main)


@pytest.mark.parametrize(
    ("share", "across", "status"),
    [(1.01, 0.3, "pass"), (0.9, 0.3, "warn"), (0.51, 0.3, "warn"), (0.49, 0.3, "fail"), (1.01, 0.05, "fail")],
)
def test_measured_forces_stand_beside_kienzle(of: Of, share: float, across: float, status: str) -> None:
    main = by_hand(0.25, 2.0, 160.0)
    found = of(measured(share * main, across * main, 0.0))
    assert verdict(found, MEASURED).status == status


def test_forces_of_1_n_fail_the_setup(of: Of) -> None:
    found = of(measured(1.0, 1.0, 1.0))
    assert verdict(found, MEASURED).status == "fail"
    assert found.status == "fail"
    assert all(v.name != MEASURED for v in of({}).verdicts)


def test_measured_forces_of_drills_and_milling_cutters(of: Of) -> None:
    """1 N is no force of a drill or a cutter; what a published table of drills gives for grey iron is one.

    1.39 d^2 (0.630 + 16.84 f) / 100 N m and 570 1.39 d f^0.85 N at 10 mm and 0.2 mm/rev, as in `test_drilling.py`.
    """
    torque, thrust = 1.39 * 100.0 * (0.630 + 16.84 * 0.2) / 100.0, 570.0 * 1.39 * 10.0 * 0.2**0.85
    small = {"tangential": "1 N", "feed": "1 N", "passive": "0 N"}
    drill = {"kind": "drilling", "diameter": "10 mm", "height": "58 mm", "depth_of_cut": "5 mm",
             "feed": "0.2 mm/rev", "cutting_speed": "60 m/min", "forces": small}  # fmt: skip
    mill = {"kind": "facing", "diameter": "80 mm", "height": "58 mm", "depth_of_cut": "2 mm", "feed": "0.25 mm/rev",
            "rotating_tool": True, "cutting_speed": "120 m/min", "forces": small}  # fmt: skip
    for cut in (drill, mill):
        assert verdict(of({"operations.0.cuts": [cut]}), MEASURED).status == "fail"
    strong = {"tangential": f"{1000.0 * torque / 5.0} N", "feed": f"{thrust} N", "passive": "0 N"}
    assert verdict(of({"operations.0.cuts": [drill | {"forces": strong}]}), MEASURED).status == "pass"
    assert verdict(of({"operations.0.cuts": [mill | {"forces": strong}]}), MEASURED).status == "pass"


# ---------------------------------------------------------------- paths


def test_a_boring_pass_feeds_no_more_than_its_nose_takes(of: Of) -> None:
    """The insert's nose is 0.4 mm: 0.267 mm/rev."""
    for feed, status in (("0.15 mm/rev", "pass"), ("0.3 mm/rev", "warn"), ("4 mm/rev", "fail")):
        assert verdict(of({"boring.passes.feed": feed}), NOSE, "boring").status == status


@pytest.fixture
def with_feed(root: Path, tmp_path: Path) -> Callable[[str], dict[str, Any]]:
    """The hub's program with its roughing feed replaced."""

    def change(feed: str) -> dict[str, Any]:
        text = (root / "scenarios/programs/cast_hub_first_side.nc").read_text(encoding="utf-8")
        file = tmp_path / f"feed{feed}.nc"
        file.write_text(text.replace("F0.25", f"F{feed}"), encoding="utf-8")
        return {"operations.0.program.file": str(file)}

    return change


def test_each_move_of_a_program_is_judged_on_its_nose(
    of: Of, with_feed: Callable[[str], dict[str, Any]]
) -> None:
    """CNMG 120408: 0.533 mm/rev, and never more than 0.8."""
    for feed, status in (("0.25", "pass"), ("0.6", "warn"), ("0.9", "fail"), ("4.0", "fail")):
        found = verdict(of(with_feed(feed), BY_PROGRAM), NOSE)
        assert found.status == status
        assert found.value == pytest.approx(float(feed))


def test_a_rubbing_feed_asks_for_no_less_force(of: Of, with_feed: Callable[[str], dict[str, Any]]) -> None:
    """2 um a revolution rub: the force is that of the least feed that cuts, not a tenth of it."""
    slow, least = (of(with_feed(feed), BY_PROGRAM).machining[0] for feed in ("0.002", "0.02"))
    assert slow is not None
    assert least is not None
    assert slow.grip.needed == pytest.approx(least.grip.needed)


def test_a_small_insert_takes_no_deep_pass(of: Of) -> None:
    """Edges of 6.35 / sin 55 deg = 7.75 mm and of 11.6 mm: half is usual, three quarters the most; the wall takes 7 mm.

    Deeper than the small edge is long nothing can be cut: its bar would run into the metal.
    """
    edge = 6.35 / math.sin(math.radians(55.0)) * math.sin(math.radians(93.0))
    small = {"boring.tool.insert": "DCMT 070204", "boring.passes.depth_of_cut": "7 mm"}
    found = verdict(of(small), "depth of cut", "boring")
    assert found.status == "warn"
    assert found.limit == pytest.approx(0.75 * edge, abs=0.02)
    assert found.value > found.limit
    assert verdict(of({}), "depth of cut", "boring").status == "pass"
    deeper = of(small | {"boring.passes.depth_of_cut": "12 mm"})
    assert verdict(deeper, "tool contact", "boring").status == "fail"


def test_what_the_cuts_need_is_unchanged_by_naming_the_insert(varied: Varied) -> None:
    """The designation judges feed and depth; forces are Kienzle's as before."""
    plain, named = (gripped(build(varied(HUB, c)), 0) for c in ({}, {f"{CUT}.insert": "CNMG 120408"}))
    assert plain.demands[0].needed == named.demands[0].needed
