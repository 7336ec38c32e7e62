"""The least section of a part between jaws and centre: closed forms, sections by another library, a program's neck."""

from __future__ import annotations

import math
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from sim.assessment.neck import least_area_across
from sim.assessment.results import Assessment
from sim.assessment.stages import assess
from sim.assessment.verdict import Verdict
from sim.assessment.verdicts.supports import PARTING_UNDER_THE_CENTRE
from sim.scenario import Scenario

SHAFT, CENTRE = "shaft_on_a_centre", "operations.0.tailstock"


def turned(*corners: tuple[float, float]) -> shapely.Polygon:
    """A half section, (r, z) in mm."""
    return shapely.Polygon(corners)


def disc(diameter: float) -> float:
    return 0.25 * math.pi * diameter**2


def test_the_least_section_by_closed_forms() -> None:
    tube = turned((3, 0), (10, 0), (10, 50), (3, 50))
    assert least_area_across(tube, 5.0, 45.0) == pytest.approx(disc(20) - disc(6))
    grooved = tube.difference(shapely.box(5, 20, 12, 22))
    assert least_area_across(grooved, 5.0, 45.0) == pytest.approx(disc(10) - disc(6))
    assert least_area_across(grooved, 23.0, 45.0) == pytest.approx(disc(20) - disc(6))
    # From inside as from outside.
    recessed = tube.difference(shapely.box(0, 20, 8, 22))
    assert least_area_across(recessed, 5.0, 45.0) == pytest.approx(disc(20) - disc(16))
    # Inside of a groove in its face a cone that grows, outside a wall that shrinks: least at neither end.
    between = shapely.union(
        turned((0, 0), (2, 0), (5, 30), (0, 30)), turned((8, 0), (11, 0), (10, 30), (8, 30))
    )
    z = np.linspace(0.0, 30.0, 30001)
    by_hand = math.pi * ((2 + z / 10) ** 2 + (11 - z / 30) ** 2 - 64)
    assert 1000 < by_hand.argmin() < 29000
    assert least_area_across(between, 0.0, 30.0) == pytest.approx(by_hand.min())


def test_a_part_in_two_has_no_section_between_and_none_beyond_its_end() -> None:
    bar = turned((0, 0), (10, 0), (10, 50), (0, 50))
    assert least_area_across(bar.difference(shapely.box(0, 20, 12, 22)), 0.0, 50.0) == 0.0
    assert least_area_across(bar, 0.0, 60.0) == 0.0
    assert least_area_across(bar, 10.0, 50.0) == pytest.approx(disc(20))
    assert least_area_across(shapely.Polygon(), 0.0, 60.0) == 0.0
    assert least_area_across(bar, 60.0, 10.0) == math.inf


@settings(max_examples=60, deadline=None)
@given(
    radii=st.lists(st.tuples(st.floats(0.0, 20.0), st.floats(0.1, 20.0)), min_size=3, max_size=9),
    low=st.floats(0.0, 0.4),
    high=st.floats(0.6, 1.0),
)
def test_no_section_that_is_looked_at_is_less(
    radii: list[tuple[float, float]], low: float, high: float
) -> None:
    """Sections at many heights, by shapely's intersection with lines: none is less, and one comes near."""
    heights = np.linspace(0.0, 30.0, len(radii))
    inner, thick = np.array(radii).T
    wall = [*zip(inner + thick, heights, strict=True), *zip(inner[::-1], heights[::-1], strict=True)]
    body = shapely.Polygon(wall)
    bottom, top = 30.0 * low, 30.0 * high
    found = least_area_across(body, bottom, top)
    areas = []
    for z in np.linspace(bottom, top, 401)[1:-1]:
        cut = shapely.intersection(body, shapely.LineString([(-1, z), (60, z)]))
        ends = [piece.bounds for piece in shapely.get_parts(cut) if piece.length]
        areas.append(math.pi * sum(x1**2 - x0**2 for x0, _, x1, _ in ends))
    assert found <= min(areas) * (1 + 1e-9) + 1e-9
    assert min(areas) - found <= 0.02 * max(areas)


@pytest.fixture(scope="module")
def by_program(
    varied: Callable[..., Scenario], tmp_path_factory: pytest.TempPathFactory, root: Path
) -> Callable[..., Verdict]:
    """The verdict on the shipped shaft whose program, after it has turned it, does some blocks more."""
    text = (root / "scenarios" / "programs" / "shaft_on_a_centre.nc").read_text()

    def judge(blocks: str, changes: dict[str, Any] | None = None) -> Verdict:
        file = tmp_path_factory.mktemp("program") / "neck.nc"
        file.write_text(text.replace("N90 G0 X90.\n", f"N90 G0 X90.\n{blocks}"))
        found: Assessment = assess(
            varied(SHAFT, {"operations.0.program.file": str(file), **(changes or {})}),
            contact_model="foundation",
        )
        (verdict,) = (v for v in found.verdicts if v.key == PARTING_UNDER_THE_CENTRE.key)
        return verdict

    return judge


@pytest.mark.parametrize(
    ("blocks", "force", "thin"),
    [
        ("", "6 kN", False),
        # 1/3 of 305 MPa on 8 mm bear 5.1 kN, on 9 mm 6.5 kN.
        ("G1 Z-180.\nX8. F0.1\nG0 X90.\n", "6 kN", True),
        ("G1 Z-180.\nX9. F0.1\nG0 X90.\n", "6 kN", False),
        ("G1 Z-180.\nX8. F0.1\nG0 X90.\n", "4.9 kN", False),
        ("G1 Z-180.\nX-1.6 F0.1\nG0 X90.\n", "4.9 kN", True),
    ],
)
def test_a_neck_that_only_the_program_cuts_counts(
    by_program: Callable[..., Verdict], blocks: str, force: str, *, thin: bool
) -> None:
    found = by_program(blocks, {f"{CENTRE}.force_high": force})
    assert (found.status == "fail") is thin
    assert found.message.startswith("the program parts off" if thin else "no cut parts off")


def test_a_reading_that_parts_off_is_named(by_program: Callable[..., Verdict]) -> None:
    """What stands behind a slash may be run."""
    found = by_program("/G1 Z-180.\n/X0. F0.1\n/G0 X90.\n")
    assert found.status == "fail"
    assert "the program with blocks behind / run" in found.message


@pytest.mark.parametrize("kind", ["grooving", "parting"])
def test_a_disc_that_the_jaws_grip_up_to_its_face_has_no_neck(
    varied: Callable[..., Scenario], kind: str
) -> None:
    """It has no free length under the centre's hole; what is parted off is parted off there, too."""
    outline = [
        ["0 mm", "0 mm"],
        ["40 mm", "0 mm"],
        ["40 mm", "36 mm"],
        ["8 mm", "36 mm"],
        ["0 mm", "22.2 mm"],
    ]
    cut = {"name": "slot", "kind": kind, "diameter": "80 mm", "end_diameter": "70 mm", "height": "35 mm",
           "feed_towards": "axis", "depth_of_cut": "1 mm", "feed": "0.1 mm/rev",
           "cutting_speed": "100 m/min"}  # fmt: skip
    changes = {"operations.0.workpiece.outline": outline, "operations.0.program": None,
               f"{CENTRE}.height": "36 mm", "operations.0.cuts": [cut]}  # fmt: skip
    verdicts = assess(varied(SHAFT, changes), contact_model="foundation").verdicts
    (verdict,) = (v for v in verdicts if v.key == PARTING_UNDER_THE_CENTRE.key)
    assert (verdict.status == "fail") is (kind == "parting")


def test_a_part_that_is_gripped_with_a_thin_neck_counts(varied: Callable[..., Scenario]) -> None:
    outline = [["0 mm", "0 mm"], ["40 mm", "0 mm"], ["40 mm", "40 mm"], ["32 mm", "40 mm"], ["32 mm", "120 mm"],
               ["4 mm", "120 mm"], ["4 mm", "126 mm"], ["32 mm", "126 mm"], ["32 mm", "300 mm"], ["8 mm", "300 mm"],
               ["0 mm", "286.2 mm"]]  # fmt: skip
    changes = {"operations.0.workpiece.outline": outline, "operations.0.program": None}
    found = assess(varied(SHAFT, changes), contact_model="foundation")
    (verdict,) = (v for v in found.verdicts if v.key == PARTING_UNDER_THE_CENTRE.key)
    assert verdict.status == "fail"
    assert "the part as it is gripped" in verdict.message
