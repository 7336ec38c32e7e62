"""A part turned to a thin neck between jaws and cut: by hand, along a program, told by the order of the cuts."""

from __future__ import annotations

import math
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import shapely

from sim.assessment.results import Assessment
from sim.assessment.stages import assess
from sim.assessment.thin_section import thin_sections
from sim.assessment.verdict import Verdict
from sim.assessment.verdicts.thin_section import SECTION_UNDER_THE_CUT
from sim.mechanics.cutting import part_load
from sim.scenario import Scenario

SHAFT = "shaft_on_a_centre"
NECK = 12.0  # mm of diameter
ALONE = {"operations.0.tailstock": None, "machine.spindle_axis": "upright"}
# A head of 40 mm length on a neck, 30 mm before the jaws.
STUB = [["0 mm", "0 mm"], ["40 mm", "0 mm"], ["40 mm", "40 mm"], ["32 mm", "40 mm"], ["32 mm", "64 mm"],
        [f"{NECK / 2} mm", "64 mm"], [f"{NECK / 2} mm", "72 mm"], ["32 mm", "72 mm"], ["32 mm", "112 mm"],
        ["0 mm", "112 mm"]]  # fmt: skip
TURN = {"name": "turn", "kind": "turning", "diameter": "64 mm", "height": "100 mm", "depth_of_cut": "1 mm",
        "feed": "0.2 mm/rev", "cutting_speed": "120 m/min"}  # fmt: skip


def verdict_of(found: Assessment) -> Verdict:
    (verdict,) = (v for v in found.verdicts if v.key == SECTION_UNDER_THE_CUT.key)
    return verdict


@pytest.fixture
def stub(varied: Callable[..., Scenario]) -> Callable[..., Assessment]:
    def judged(outline: Any = STUB, cuts: Any = (TURN,), **changes: Any) -> Assessment:
        fields = {"operations.0.workpiece.outline": outline, "operations.0.program": None,
                  "operations.0.cuts": list(cuts)}  # fmt: skip
        return assess(varied(SHAFT, {**ALONE, **fields, **changes}), contact_model="foundation")

    return judged


def test_a_stub_on_a_neck_by_hand(stub: Callable[..., Assessment]) -> None:
    """Cantilever, worst where the neck leaves the shoulder next to the jaws, 36 mm under the cut."""
    found = stub()
    forces = found.operations[0].demands[0].forces
    load = part_load(forces)
    modulus, area = math.pi * NECK**3 / 32, 0.25 * math.pi * NECK**2
    bent = (36.0 * load.radial + 32.0 * forces.feed) / modulus + forces.feed / area
    twisted = 32.0 * forces.tangential / (2 * modulus)
    by_hand = math.sqrt(bent**2 + 3 * twisted**2)
    verdict = verdict_of(found)
    metal = float(verdict.message.split("yields at ")[1].split(" MPa")[0])
    assert verdict.value * metal == pytest.approx(by_hand, rel=2e-3)
    assert "at 64.0 mm" in verdict.message
    assert verdict.status == "fail"


def test_a_thicker_neck_passes(stub: Callable[..., Assessment]) -> None:
    thick = [[r.replace(f"{NECK / 2} mm", "16 mm"), z] for r, z in STUB]
    assert verdict_of(stub(thick)).status == "pass"


def test_the_weight_of_a_head_bends_its_neck_in_a_level_spindle(stub: Callable[..., Assessment]) -> None:
    """Head of 64 mm, 40 mm long, and the neck from 64 to 72 mm: their weights at their middles."""
    level, upright = stub(**{"machine.spindle_axis": "level"}), stub()
    density = level.parts.scenario.metal("steel C45").density
    moments = []
    for found in (level, upright):
        (one,) = thin_sections(found.parts, found.operations[0], None)
        at = np.abs(one.sections.height - 64.0001).argmin()
        moments.append(one.sections.weight[at])
    head, neck = math.pi * 32.0**2 * 40.0 * 28.0, math.pi * (NECK / 2) ** 2 * 8.0 * 4.0
    assert moments[0] == pytest.approx(9.80665 * density * (head + neck), rel=0.02)
    assert moments[1] == 0.0


def test_a_centre_takes_the_bending_off(stub: Callable[..., Assessment]) -> None:
    """Against a beam on its jaws alone: what the centre bears is taken off the moment."""
    outline = [*STUB[:-2], ["32 mm", "300 mm"], ["8 mm", "300 mm"], ["0 mm", "286.2 mm"]]
    far = {**TURN, "height": "250 mm"}
    tailstock = {"force_low": "4 kN", "force_high": "6 kN", "height": "300 mm", "hole_diameter": "16 mm",
                 "cone_diameter": "28 mm", "body_diameter": "50 mm", "body_length": "70 mm",
                 "quill_diameter": "90 mm", "largest_force": "12 kN", "largest_side_force": "5 kN"}  # fmt: skip
    alone = verdict_of(stub(outline, [far]))
    borne = verdict_of(stub(outline, [far], **{"operations.0.tailstock": tailstock}))
    assert alone.status == "fail"
    assert borne.value < 0.6 * alone.value


@pytest.mark.parametrize(
    ("first", "status"), [("neck", "fail"), ("turn", "warn"), ("beyond", "pass"), ("shallow", "pass")]
)
def test_a_stated_groove_counts_by_its_place_and_its_order(
    stub: Callable[..., Assessment], first: str, status: str
) -> None:
    whole = [[r, z] for r, z in STUB if r != f"{NECK / 2} mm"]
    groove = {"name": "neck", "kind": "grooving", "diameter": "64 mm", "end_diameter": "12 mm", "height": "68 mm",
              "feed_towards": "axis", "depth_of_cut": "4 mm", "feed": "0.1 mm/rev",
              "cutting_speed": "100 m/min"}  # fmt: skip
    if first == "beyond":
        groove["height"] = "106 mm"
    if first == "shallow":
        groove["end_diameter"] = "50 mm"
    cuts = [TURN, groove] if first == "turn" else [groove, TURN]
    found = verdict_of(stub(whole, cuts))
    assert found.status == status
    assert ("stands after this cut" in found.message) is (first == "turn")
    if first in ("neck", "turn"):
        assert "at 66.0 mm" in found.message  # the edge of the groove next to the jaws


@pytest.fixture(scope="module")
def by_program(
    varied: Callable[..., Scenario], tmp_path_factory: pytest.TempPathFactory, root: Path
) -> Callable[..., Verdict]:
    """The verdict on the shipped shaft without its centre, whose program does some blocks more."""
    text = (root / "scenarios" / "programs" / "shaft_on_a_centre.nc").read_text()

    def judge(before: str, after: str) -> Verdict:
        file = tmp_path_factory.mktemp("program") / "neck.nc"
        told = text.replace("N60 X61. M8\n", f"{before}N60 G0 X61. Z2. M8\n")
        file.write_text(told.replace("N90 G0 X90.\n", f"N90 G0 X90.\n{after}"))
        changes = {**ALONE, "operations.0.program.file": str(file)}
        return verdict_of(assess(varied(SHAFT, changes), contact_model="foundation"))

    return judge


NECKED = "G0 X90. Z-180.\nG1 X{:.1f} F0.1\nG0 X90.\n"
# Harder cuts than the one that the program takes afterwards.
ROUGH = "".join(f"G0 X{x}\nZ2.\nG1 Z-245. F0.5\nG0 X90.\n" for x in ("63.", "62.6", "62.2", "61.8", "61.4"))


@pytest.mark.parametrize(
    ("before", "after", "status"),
    [
        ("", "", "pass"),
        # Necked first, then turned beyond: the neck breaks. Turned first: nothing is cut on the neck any more.
        (NECKED.format(14), "", "fail"),
        ("", NECKED.format(14), "pass"),
        # The cut that finds the neck is lighter than those before it.
        (ROUGH + NECKED.format(9), "", "fail"),
        # As thick as it is turned to it holds.
        (NECKED.format(50), "", "pass"),
        # What is parted off is not turned.
        (NECKED.format(-1.6), "", "fail"),
        ("", NECKED.format(-1.6), "pass"),
    ],
)
def test_a_program_is_judged_by_what_it_has_left_by_then(
    by_program: Callable[..., Verdict], before: str, after: str, status: str
) -> None:
    assert by_program(before, after).status == status


def test_the_ring_that_bears_the_cut_counts_alone(stub: Callable[..., Assessment]) -> None:
    """A pin inside of a cup: what is cut on the pin, the cup's wall does not bear."""
    cup = [["0 mm", "0 mm"], ["40 mm", "0 mm"], ["40 mm", "100 mm"], ["34 mm", "100 mm"], ["34 mm", "50 mm"],
           ["5 mm", "50 mm"], ["5 mm", "104 mm"], ["0 mm", "104 mm"]]  # fmt: skip
    on_pin = {**TURN, "diameter": "10 mm", "height": "98 mm"}
    found = stub(cup, [on_pin])
    (one,) = thin_sections(found.parts, found.operations[0], None)
    assert one.sections.modulus.min() == pytest.approx(math.pi * 10.0**3 / 32, rel=1e-6)
    on_cup = {**TURN, "diameter": "80 mm", "height": "98 mm"}
    (one,) = thin_sections((found := stub(cup, [on_cup])).parts, found.operations[0], None)
    ring = math.pi * (40.0**4 - 34.0**4) / (4 * 40.0)
    assert one.sections.modulus.min() == pytest.approx(ring, rel=1e-6)


def test_sections_by_another_library(stub: Callable[..., Assessment]) -> None:
    """Shapely's intersection with a line at each height that was looked at."""
    found = stub()
    (one,) = thin_sections(found.parts, found.operations[0], None)
    body = shapely.Polygon([[float(v.split()[0]) for v in corner] for corner in STUB])
    corners = np.unique(shapely.get_coordinates(body)[:, 1])
    for z, area in zip(one.sections.height, one.sections.area, strict=True):
        if np.abs(corners - z).min() < 1e-6:
            continue  # at a corner the section is both
        line = shapely.intersection(body, shapely.LineString([(-1, z), (60, z)]))
        inner, _, outer, _ = line.bounds
        assert area == pytest.approx(math.pi * (outer**2 - inner**2), rel=1e-9)
