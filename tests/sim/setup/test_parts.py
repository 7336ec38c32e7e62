"""Parts of every scenario: solids, volumes and centroids against closed forms."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
import pytest
from scipy import integrate

from meshes.mass import mass_properties
from sim.assessment.results import Assessment
from sim.assessment.turning_masses import turning_masses
from sim.scenario import Scenario
from sim.setup import parts as made
from sim.setup.jaw_place import jaw_place
from sim.setup.pose import boring_scene, gripping_scene, tool

PLAIN = {"pockets.0.groove_width": "0 mm", "pockets.0.groove_depth": "0 mm", "pockets.0.chamfer": "0 mm"}


def test_every_solid_is_closed(scenario_name: str, assessment: Callable[[str], Assessment]) -> None:
    found = assessment(scenario_name)
    built = found.parts
    solids = [*boring_scene(built), *boring_scene(built, "stock"), *boring_scene(built, "blank")]
    solids += [s for f in found.operations for s in gripping_scene(built, f.index, f.grip_travel)]
    solids.append(tool(built, 50.0, 60.0))
    for solid in solids:
        assert solid.mesh.is_watertight, solid.name
        assert solid.mesh.is_winding_consistent, solid.name
        assert solid.mesh.volume > 0.0, solid.name


def opened_area(scenario: Scenario, radius: float) -> tuple[float, float]:
    """Area (mm2) that a circle about the spindle takes from the blank's plan, and its moment about x = 0 (mm3)."""
    inner = jaw_place(scenario).bored
    half = 0.5 * scenario.soft_jaw.width

    def depth(y: float) -> float:
        return max(0.0, math.sqrt(radius**2 - y**2) - inner)

    area, _ = integrate.quad(depth, -half, half, limit=200)
    moment, _ = integrate.quad(lambda y: 0.5 * depth(y) ** 2, -half, half, limit=200)
    return area, moment


@pytest.mark.parametrize(
    ("name", "layers"),
    # (radius of the bore, height over which it is cut), screws lie outside of all of them
    [("cast_hub_on_ring", [(59.0, 23.0)]), ("cast_hub_on_plug", [(59.0, 23.0), (46.0, 17.0)])],
)
def test_bored_jaw_against_its_plan(
    varied: Callable[..., Scenario], name: str, layers: list[tuple[float, float]]
) -> None:
    """Volume and centroid of what was turned away: circle segments of the jaw's plan times their heights."""
    scenario = varied(name, PLAIN)
    built = made.build(scenario)
    areas = [(*opened_area(scenario, radius), height) for radius, height in layers]
    volume = sum(area * height for area, _, height in areas)
    assert built.blank.volume - built.bored.volume == pytest.approx(volume, rel=1e-3)
    moment = sum(m * height for _, m, height in areas)
    before, after = built.blank, built.bored
    taken = before.volume * before.center_mass[0] - after.volume * after.center_mass[0]
    assert taken == pytest.approx(moment, rel=2e-3)


def test_centroid_of_a_blank_by_hand(varied: Callable[..., Scenario]) -> None:
    """A block less its screws' stepped holes: moments of a cuboid and of cylinders."""
    scenario = varied("cast_hub_on_ring")
    jaw, screws = scenario.soft_jaw, scenario.soft_jaw.screws
    hole = math.pi / 4.0 * screws.hole_diameter**2 * (jaw.height - screws.counterbore_depth)
    bore = math.pi / 4.0 * screws.counterbore_diameter**2 * screws.counterbore_depth
    block = jaw.length * jaw.width * jaw.height
    volume = block - 2.0 * (hole + bore)
    x = (block * 0.5 * jaw.length - (hole + bore) * sum(screws.positions)) / volume
    under = jaw.height - screws.counterbore_depth
    z = (block * 25.0 - 2.0 * (hole * 0.5 * under + bore * (under + 0.5 * screws.counterbore_depth))) / volume
    found = mass_properties(made.build(scenario).blank, 7.85e-6)
    assert found.mass == pytest.approx(7.85e-6 * volume, rel=1e-3)
    assert tuple(found.centroid) == pytest.approx((x, 0.0, z), rel=1e-3, abs=1e-6)


def test_turning_masses_are_those_of_the_scene(
    scenario_name: str, assessment: Callable[[str], Assessment]
) -> None:
    """Sum of m r over one jaw, taken from the solids as placed in the chuck, not in their own frames."""
    found = assessment(scenario_name)
    figures = found.operations[0]
    jaw = [s for s in gripping_scene(found.parts, 0, figures.grip_travel) if s.jaw == 0]
    moment = 0.0
    for solid in jaw:
        density = found.parts.jaw_material.density if solid.kind == "soft jaw" else 7.85e-6
        moment += density * solid.mesh.volume * solid.mesh.center_mass[0]
    masses = turning_masses(found.parts, figures.grip_travel)
    assert sum(m.mass * m.radius for m in masses) == pytest.approx(moment, rel=1e-6)
    assert figures.grip.centrifugal_moment == pytest.approx(moment, rel=1e-6)


def test_an_aluminium_jaw_pulls_less(varied: Callable[..., Scenario]) -> None:
    """Same shape, 2.7 instead of 7.85 g/cm3."""
    steel = turning_masses(made.build(varied("cast_hub_on_ring")), 3.0)[0]
    light = turning_masses(
        made.build(varied("cast_hub_on_ring", {"soft_jaw.material": "aluminium EN AW-6082-T6"})), 3.0
    )[0]
    assert light.radius == pytest.approx(steel.radius)
    assert light.mass / steel.mass == pytest.approx(2.7 / 7.85, rel=0.01)


def test_arrays_cannot_be_written(varied: Callable[..., Scenario]) -> None:
    built = made.build(varied("cast_hub_on_plug"))
    assert np.isfinite(built.removed).all()
    with pytest.raises(AttributeError):
        built.bored = built.blank  # type: ignore[misc]
