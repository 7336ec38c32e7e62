"""The bored face of a jaw that is about as wide as the part is thick: as wide as the jaw, or as its inner end allows.

The oracle is the blank's outline seen from the top, cut by the bore's circle (shapely); no formula is shared.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
import shapely
from hypothesis import example, given
from hypothesis import strategies as st

from meshes.soft_jaw import plan
from sim.assessment.stages import assess
from sim.base.errors import ScenarioError
from sim.scenario import Scenario
from sim.scenario.changes import changed
from sim.scenario.scenario import checked, full_tables
from sim.setup.dimensions import blank_dimensions
from sim.setup.jaw_place import jaw_place

PLUG = "cast_hub_on_plug"
BAR: dict[str, Any] = {  # a 32 mm bar in jaws 30 mm wide
    "soft_jaw.width": "30 mm",
    "soft_jaw.mounting_radius": "15 mm",
    "soft_jaw.screws.thread": "M10",
    "soft_jaw.screws.hole_diameter": "11 mm",
    "soft_jaw.screws.counterbore_diameter": "18 mm",
    "soft_jaw.screws.torque": "60 N*m",
    "pockets.0.diameter": "32 mm",
    "boring.fixture.diameter": "27 mm",
    "boring.tool.insert": "CCMT 060204",
    "boring.tool.bar_diameter": "10 mm",
    "boring.tool.reach": "60 mm",
    "boring.tool.functional_offset": "7 mm",
    "boring.tool.approach_angle": "95 deg",
    "operations.0.workpiece.outline": [
        ["0 mm", "0 mm"],
        ["16 mm", "0 mm"],
        ["16 mm", "50 mm"],
        ["0 mm", "50 mm"],
    ],
    "operations.0.workpiece.gripped_diameter_low": "31.95 mm",
    "operations.0.workpiece.gripped_diameter_high": "32.05 mm",
    "operations.0.cuts.0.diameter": "30 mm",
    "operations.0.cuts.1.diameter": "32 mm",
    "operations.0.cuts.1.height": "50 mm",
}
Varied = Callable[..., Scenario]


def by_outline(scenario: Scenario, radius: float) -> float:
    """Half the chord of the bore's circle within the blank, less the chamfer but where it ends on the inner end.

    On a flank the chamfer is taken along the arc, as far as the corner of the inner end; on a side across the jaw.
    """
    jaw, inner = scenario.soft_jaw, jaw_place(scenario).bored
    blank = shapely.transform(plan(blank_dimensions(scenario)), lambda xy: xy + np.array([inner, 0.0]))
    circle = np.linspace(0.0, 0.5 * math.pi, 40_001)
    at = radius * np.column_stack([np.cos(circle), np.sin(circle)])
    end = float(circle[shapely.intersects_xy(blank, at[:, 0], at[:, 1])].max())
    tip = 0.5 * (jaw.tip_width or jaw.width)
    if radius * math.sin(end) > tip + 1e-4 * radius:  # a step of the circle is 4e-5 of it
        end = max(end - jaw.edge_chamfer / radius, math.asin(tip / radius))
    return min(radius * math.sin(end), 0.5 * jaw.width - jaw.edge_chamfer)


@example(inner=37.0, beyond=0.5, width=24.0, tip=0.5, degrees=60.0)  # 9 um of the flank, less its chamfer
@given(
    inner=st.floats(14.0, 60.0),
    beyond=st.floats(0.5, 60.0),
    width=st.floats(24.0, 60.0),
    tip=st.floats(0.1, 1.0) | st.none(),
    degrees=st.floats(60.0, 120.0),
)
def test_face_is_what_the_bore_leaves_of_the_blank(
    root: Any, inner: float, beyond: float, width: float, tip: float | None, degrees: float
) -> None:
    stated: dict[str, Any] = {
        "soft_jaw.width": f"{width} mm",
        "soft_jaw.mounting_radius": f"{inner + 3.0} mm",
    }
    if tip is not None:
        stated["soft_jaw.tip_width"] = f"{max(tip * width, 4.0)} mm"
        stated["soft_jaw.tip_angle"] = f"{degrees} deg"
        stated["soft_jaw.screws.positions"] = ["60 mm", "69 mm"]
    path = root / "scenarios" / f"{PLUG}.toml"
    scenario = checked(changed(full_tables(path), stated), path)
    radius = inner + beyond
    assert jaw_place(scenario).face_half_chord(radius) == pytest.approx(
        by_outline(scenario, radius), abs=2e-4 * radius
    )


@pytest.mark.parametrize("model", ["foundation", "elastic"])
def test_a_bar_about_as_thick_as_the_jaws_are_wide_is_judged(varied: Varied, model: Any) -> None:
    """The grip stands on three faces as narrow as the blank's inner end leaves them, not as the jaw is wide."""
    scenario = varied(PLUG, BAR)
    found = assess(scenario, contact_model=model, advised=False)
    figures = found.operations[0]
    grid = figures.clamping.contact.grid
    reach = 16.0 * math.sin(float(grid.angle_edges_rad[-1]))
    assert reach == pytest.approx(math.sqrt(16.0**2 - 12.0**2), rel=1e-3)  # inner ends at 12 mm while boring
    total = float(figures.clamping.contact.grip_n.sum())
    assert total == pytest.approx(3.0 * figures.grip.rest_per_jaw, rel=0.01)  # less the lowest speed's loss
    assert {v.name for v in found.verdicts} >= {"marking", "holding factor", "loading clearance"}


def test_a_face_that_goes_too_far_around_is_refused_with_its_numbers(varied: Varied) -> None:
    """A part much smaller than the bore: the faces' edges stand more than 60 deg off to each side."""
    small = BAR | {
        "soft_jaw.mounting_radius": "14.7 mm",
        "boring.travel": "6 mm",
        "operations.0.workpiece.gripped_diameter_low": "31.0 mm",
    }
    with pytest.raises(
        ScenarioError, match=r"gripped_diameter_low must be over 31\.\d+ mm, .* less than 60 deg"
    ):
        varied(PLUG, small)


def test_a_step_that_ends_in_a_thin_edge_is_refused_with_its_numbers(varied: Varied) -> None:
    with pytest.raises(ScenarioError, match=r"pockets\[0\].diameter must be at least 182\.1 mm for a step"):
        varied("housing_gripped_inside", {"soft_jaw.width": "140 mm", "soft_jaw.tip_width": "50 mm"})
