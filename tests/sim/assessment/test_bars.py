"""Boring bars: slenderness, and bend against a closed form worked by hand; the tool's head that is only assumed.

A cantilever with a force at its end: F L^3 / (3 E I), I = pi d^4 / 64 (Timoshenko,
Strength of Materials).
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from sim.assessment.bars import MODULUS
from sim.assessment.boring import bore
from sim.assessment.figures.boring import BoringFigures
from sim.assessment.results import Assessment
from sim.assessment.stages import assess
from sim.assessment.verdict import Verdict
from sim.assessment.verdicts.bar import bar_verdicts
from sim.assessment.verdicts.path import path_verdicts
from sim.base.errors import ScenarioError
from sim.mechanics import cutting
from sim.report.assessment import as_object
from sim.scenario import Scenario
from sim.setup import parts

ON_RING = "cast_hub_on_ring"
Varied = Callable[..., Scenario]


def bored(varied: Varied, changes: dict[str, Any]) -> tuple[BoringFigures, dict[str, Verdict]]:
    built = parts.build(varied(ON_RING, changes))
    found = bore(built)
    verdicts = [*bar_verdicts(built, found, "boring"), *path_verdicts(built, found, "boring", "pocket", "")]
    return found, {verdict.name: verdict for verdict in verdicts}


def test_bend_by_hand() -> None:
    """1000 N on 100 mm of 25 mm steel: I = 19 174.76 mm4, 1e9 / (3 x 210 000 x 19 174.76) = 0.08278 mm."""
    assert math.pi * 25.0**4 / 64.0 == pytest.approx(19_174.76, abs=0.01)
    assert cutting.bar_bend(1000.0, 100.0, 210_000.0, 25.0) == pytest.approx(0.082781, abs=1e-6)
    # Twice as long bends eight times as far, twice as thick a sixteenth.
    assert cutting.bar_bend(1000.0, 200.0, 210_000.0, 25.0) == pytest.approx(8.0 * 0.082781, abs=1e-5)
    assert cutting.bar_bend(1000.0, 100.0, 210_000.0, 50.0) == pytest.approx(0.082781 / 16.0, abs=1e-6)


def test_bend_of_the_worst_move(varied: Varied) -> None:
    """By hand for the move that bends most: Kienzle at its depth and feed, both forces square to each other."""
    found, verdicts = bored(varied, {})
    (bar,) = found.bars
    assert bar.move is not None
    depth = float(found.clearance.depth_of_cut[bar.move])
    assert depth == found.clearance.depth_of_cut.max()
    h, b = 0.15 * math.sin(math.radians(93.0)), depth / math.sin(math.radians(93.0))
    kc = bar.tangential / (b * h)
    # Steel at 0.15 mm, worn, at the lowest speed, in a bore: 1.3 x 1.279 x 1.2 times 2500 to 3200 MPa.
    assert 1.3 * 1.279 * 1.2 * 2500.0 < kc < 1.3 * 1.279 * 1.2 * 3200.0
    assert bar.radial == pytest.approx(0.5 * bar.tangential)
    inertia = math.pi * 25.0**4 / 64.0
    whole = math.sqrt(1.25) * bar.tangential * 100.0**3 / (3.0 * 210_000.0 * inertia)
    assert bar.bend == pytest.approx(whole)
    assert verdicts["bar bend"].value == bar.bend
    assert bar.push == pytest.approx(whole / math.sqrt(5.0))


@pytest.mark.parametrize(
    ("reach", "shank", "slender", "bend"),
    [
        ("100 mm", "steel", "pass", "pass"),
        ("120 mm", "steel", "warn", "warn"),
        ("160 mm", "steel", "fail", "fail"),
        ("1000 mm", "steel", "fail", "fail"),
        ("140 mm", "carbide", "pass", "pass"),
        ("200 mm", "carbide", "warn", "fail"),
        ("1000 mm", "carbide", "fail", "fail"),
        ("240 mm", "damped steel", "pass", "fail"),
        ("1000 mm", "damped steel", "fail", "fail"),
    ],
)
def test_a_long_bar(reach: str, shank: str, slender: str, bend: str, varied: Varied) -> None:
    _, verdicts = bored(varied, {"boring.tool.reach": reach, "boring.tool.shank": shank})
    assert verdicts["bar slenderness"].status == slender
    assert verdicts["bar bend"].status == bend
    assert verdicts["bar slenderness"].value == pytest.approx(float(reach.split()[0]) / 25.0)


@pytest.mark.parametrize("shank", ["steel", "carbide", "damped steel"])
def test_no_bar_is_advised_to_be_what_it_is(shank: str, varied: Varied) -> None:
    advice = bored(varied, {"boring.tool.reach": "400 mm", "boring.tool.shank": shank})[1][
        "bar slenderness"
    ].advice
    assert ("of carbide or" in advice) == (shank == "steel")
    assert "damper" in advice


def test_nothing_worse_helps(varied: Varied) -> None:
    """Longer, more feed, a deeper cut, a larger wanted clearance: bend and margin get no better, nor by any speed."""
    _, own = bored(varied, {})
    for changes in (
        {"boring.tool.reach": "101 mm"},
        {"boring.passes.feed": "0.2 mm/rev"},
        {"boring.passes.finish_allowance": "0.4 mm"},
        {"boring.tool.bar_diameter": "24 mm"},
    ):
        _, other = bored(varied, changes)
        assert other["bar bend"].value > own["bar bend"].value
        assert other["bar bend"].margin < own["bar bend"].margin
    for changes in ({"limits.clearance": "3 mm"}, {"boring.speed": "100 rpm"}, {"boring.speed": "900 rpm"}):
        assert bored(varied, changes)[1]["bar bend"].margin <= own["bar bend"].margin
    assert MODULUS["carbide"] > MODULUS["steel"] >= MODULUS["damped steel"]


def test_a_bar_of_a_part_program(varied: Varied, tmp_path: Path) -> None:
    """A 16 mm bar that reaches 200 mm bores the hub: the operation's verdicts and the JSON have it."""
    file = tmp_path / "part.nc"
    file.write_text("T5\nG97 S800 M3\nG0 X42. Z5.\nG1 Z-20. F0.2\nX38.\nG0 Z5.\n", encoding="utf-8")
    bar = {"diameter": "16 mm", "reach": "200 mm", "functional_offset": "11 mm"}
    changes = {
        "operations.0.program.file": str(file),
        "operations.0.program.tools": [{"number": 5, "insert": "CCMT 09T304", "bar": bar}],
    }
    found = assess(varied("cast_hub_by_program", changes), contact_model="foundation")
    named = {v.name: v for v in found.verdicts if v.stage == "first side"}
    assert named["bar slenderness"].value == 12.5
    assert named["bar slenderness"].status == named["bar bend"].status == "fail"
    (shown,) = as_object(found)["machining"][0]["bars"]
    assert (shown["reach_mm"], shown["diameter_mm"], shown["shank"]) == (200.0, 16.0, "steel")
    assert shown["bend_mm"] == named["bar bend"].value
    assert {row["shank"] for row in as_object(found)["clearance"]["bars"]} == {"steel"}


def test_a_holder_is_no_bar(quickly_judged: Callable[[str], Assessment]) -> None:
    found = quickly_judged("cast_hub_by_program")
    assert not [v for v in found.verdicts if v.stage == "first side" and v.name.startswith("bar ")]


def test_ordinary_tools_do_not_touch(varied: Varied) -> None:
    """A negative insert of 12.7 mm in a 25 mm bar at a 118 mm pocket, as shops do it (common practice, no source)."""
    for insert in ("CNMG 120408", "DNMG 110408", "TNMG 160408", "CCMT 09T308"):
        angle = {"C": "95 deg", "D": "93 deg", "T": "91 deg"}[insert[0]]
        found, verdicts = bored(varied, {"boring.tool.insert": insert, "boring.tool.approach_angle": angle})
        assert verdicts["tool contact"].status == "pass", insert
        assert not found.clearance.touches


THICK = {
    "boring.tool.bar_diameter": "55 mm",
    "boring.tool.functional_offset": "39 mm",
    "boring.tool.reach": "200 mm",
}


@pytest.mark.parametrize("least_bore", ["90 mm", "900 mm"])
def test_a_touch_by_the_assumed_head_fails_and_says_so(least_bore: str, varied: Varied) -> None:
    """A bar hardly thinner than the hole between the jaws clears them; its head, which nobody stated, does not.

    However little it is: the head that is there may be as large. What settles it is said.
    """
    found, verdicts = bored(varied, {**THICK, "boring.tool.least_bore": least_bore})
    touches = found.clearance.touches
    assert {touch.part for touch in touches} <= {"seat", "head", "insert flank"}
    assert verdicts["tool contact"].status == verdicts["tool clearance"].status == "fail"
    assert "simplified head" in verdicts["tool contact"].message
    assert "least_bore" in verdicts["tool contact"].message


def test_a_touch_by_the_insert_or_the_bar_fails_plainly(varied: Varied) -> None:
    """A ring smaller than the pocket; a bar of 30 mm, f 72, in a hole of 85 mm: its far side at 42.4 - 72 - 15 mm."""
    thick = {**THICK, "boring.tool.bar_diameter": "30 mm", "boring.tool.functional_offset": "72 mm"}
    for changes, part in (({"boring.fixture.inner_diameter": "112 mm"}, "insert"), (thick, "bar")):
        found, verdicts = bored(varied, changes)
        assert part in {touch.part for touch in found.clearance.touches}
        assert verdicts["tool contact"].status == verdicts["tool clearance"].status == "fail"
        assert "simplified" not in verdicts["tool contact"].message


def test_a_bore_too_small_for_the_bar_is_refused(varied: Varied) -> None:
    with pytest.raises(
        (ScenarioError, ValueError), match=r"least bore must be at least .* \(29.5 mm\), found 20 mm"
    ):
        bored(varied, {"boring.tool.least_bore": "20 mm"})


def test_a_touch_by_a_square_shank_says_so(varied: Varied, tmp_path: Path) -> None:
    """A shank that lies 5 mm lower than the tip, 2 mm above the jaws' top face: it meets them, the insert does not."""
    file = tmp_path / "part.nc"
    file.write_text("T3\nG97 S800 M3\nG0 X90. Z20.\nG1 Z-33. F0.2\n", encoding="utf-8")
    shank = {
        "height": "25 mm", "width": "25 mm", "length": "150 mm", "functional_offset": "20 mm", "head_length": "32 mm",
    }  # fmt: skip
    changes = {
        "operations.0.program.file": str(file),
        "operations.0.program.tools": [{"number": 3, "insert": "CNMG 120408", "holder": shank}],
    }
    found = assess(varied("cast_hub_by_program", changes), contact_model="foundation")
    path = found.machining[0]
    assert path is not None
    touching = [touch for touch in path.clearance.touches if touch.kind not in ("gouge", "depth of cut")]
    assert {touch.part for touch in touching} == {"holder"}
    contact = next(v for v in found.verdicts if v.stage == "first side" and v.name == "tool contact")
    assert contact.status == "fail"
    assert "state its outline as a plate" in contact.message


def test_the_bar_is_named_once(varied: Varied) -> None:
    """Among several tools, too."""
    built = parts.build(varied("cast_hub_by_program"))
    for verdict in bar_verdicts(built, bore(built), "boring"):
        assert verdict.message.count("boring bar") == 1


def test_a_bar_just_too_slender_reads_so_and_its_advice_mends_it(varied: Varied) -> None:
    """104.62 mm of a 26.15 mm bar are 4.0008 diameters: not '4.00 times', and '105 mm or less' would mend nothing."""
    own = {"boring.tool.bar_diameter": "26.15 mm", "boring.tool.reach": "104.62 mm"}
    found = bored(varied, own)[1]["bar slenderness"]
    assert found.status == "warn"
    said = re.search(r"([\d.]+) times its diameter", found.message)
    named = re.search(r"reach (\d+) mm or less, or use a bar of (\d+) mm or more", found.advice)
    assert said is not None
    assert named is not None
    assert float(said[1]) > 4.0
    for change in ({"boring.tool.reach": f"{named[1]} mm"}, {"boring.tool.bar_diameter": f"{named[2]} mm"}):
        assert bored(varied, own | change)[1]["bar slenderness"].status == "pass"
