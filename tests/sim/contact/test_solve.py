import math
from dataclasses import replace

import numpy as np
import pytest

from sim.contact import (
    ContactNotConverged,
    ContactSetup,
    GripGeometry,
    GripLoad,
    JawBlock,
    JawGuide,
    TurnedPart,
    press,
    side_load_change,
)
from sim.contact.foundation import column_compliance, wall_thickness

STEEL = (210e3, 0.3)


def setup(bore=50.0, load=None, guide=None, width=50.0, **more):
    ring = TurnedPart([(40.0, 10.0), (50.0, 10.0), (50.0, 40.0), (40.0, 40.0)], *STEEL)
    return ContactSetup(
        GripGeometry(bore, 50.0, width, 10.0, 40.0, **more),
        ring,
        JawBlock(100.0, 40.0, *STEEL),
        load or GripLoad(60e3),
        guide or JawGuide(),
    )


@pytest.mark.parametrize(("bore", "pattern"), [(49.0, "edges"), (50.0, "full"), (51.0, "middle")])
def test_pattern(bore, pattern):
    result = press(setup(bore))
    assert result.pattern == pattern
    assert result.grip_n == pytest.approx(20e3)
    assert 0.0 < result.closed_fraction <= 1.0


def test_inside_gripping_carries_in_the_middle_with_a_smaller_jaw():
    bush = TurnedPart([(50.0, 10.0), (60.0, 10.0), (60.0, 40.0), (50.0, 40.0)], *STEEL)
    case = replace(
        setup(49.0, inside=True),
        part=bush,
        jaw=JawBlock(back_radius_mm=10.0, height_mm=40.0, modulus_mpa=210e3, poisson=0.3),
    )
    result = press(case)
    assert result.pattern == "middle"
    assert result.offset_mm > 1.0
    pushed = press(replace(case, load=GripLoad(60e3, side_load_n=(1000.0, 0.0))))
    # The part is pushed towards +x, away from jaw 1, which carries less.
    assert pushed.grip_n[0] < pushed.grip_n[1]
    assert pushed.part_shift_mm[0] > 0.0


def test_foundation_approach_of_an_exact_bore_in_closed_form():
    """With g0 = 0 each column shortens by d cos(phi): F = d/c * integral of cos^2 over the face."""
    case = setup()
    columns = column_compliance(10.0, *STEEL) + column_compliance(50.0, *STEEL)
    half = case.grip.half_angle_rad
    integral = 50.0 * 30.0 * (half + 0.5 * math.sin(2.0 * half))
    assert press(case).approach_mm == pytest.approx(20e3 * columns / integral, rel=1e-3)


def test_narrow_jaws_share_a_side_load_by_the_two_thirds_rule():
    angle = 0.4
    load = (3000.0 * math.cos(angle), 3000.0 * math.sin(angle))
    change = press(setup(width=4.0, load=GripLoad(60e3, load))).grip_n - 20e3
    assert change == pytest.approx(side_load_change(3000.0, angle), rel=2e-3)


def test_drive_springs_add_to_the_approach():
    stiff, soft = press(setup()), press(setup(guide=JawGuide(radial_stiffness_n_per_mm=1e5)))
    assert soft.approach_mm - stiff.approach_mm == pytest.approx(0.2, rel=1e-9)
    assert soft.jaw_travel_mm == pytest.approx(0.2)
    assert soft.pressure_mpa == pytest.approx(stiff.pressure_mpa, rel=1e-6)


def test_a_tilting_jaw_presses_hardest_at_its_root():
    guide = JawGuide(tilt_stiffness_nmm_per_rad=2e9, guide_height_mm=-20.0)
    result = press(setup(guide=guide))
    assert np.all(result.jaw_tilt_rad > 0.0)
    assert np.all(result.jaw_tilt_rad < 20e3 * 45.0 / 2e9)  # the force has moved towards the root
    middle = result.pressure_mpa[0].mean(axis=1)
    assert np.all(np.diff(middle) <= 0.0)
    assert middle[-1] == 0.0 < middle[0]
    assert result.part_tilt_rad == pytest.approx(0.0, abs=1e-12)


def test_a_heavier_jaw_grips_less_through_soft_drives():
    load = GripLoad(60e3, jaw_outward_force_n=(600.0, 0.0, 0.0))
    result = press(setup(load=load, guide=JawGuide(radial_stiffness_n_per_mm=1e5)))
    assert result.grip_n.sum() == pytest.approx(60e3)
    assert result.grip_n[0] < result.grip_n[1] == pytest.approx(result.grip_n[2])


def test_overhang_moment_tilts_the_part_and_the_back_face_can_hold_it():
    moment = (0.0, 5e4)
    free = press(setup(load=GripLoad(60e3, moment_nmm=moment)))
    held = press(replace(setup(load=GripLoad(60e3, moment_nmm=moment)), hold_square=True))
    assert free.part_tilt_rad[1] > 0.0
    assert held.part_tilt_rad == pytest.approx(0.0)
    assert free.square_moment_nmm == pytest.approx(0.0)
    assert held.square_moment_nmm == pytest.approx([0.0, -5e4], abs=1e-6)


@pytest.mark.parametrize(
    "load",
    [
        GripLoad(60e3, side_load_n=(80e3, 0.0)),
        GripLoad(60e3, moment_nmm=(0.0, 2e6)),
        GripLoad(60e3, (0.0, -90e3)),
    ],
)
def test_a_part_that_cannot_be_held_is_an_error(load):
    with pytest.raises(ContactNotConverged, match="cannot be held"):
        press(setup(51.0, load=load))


def test_wall_thickness_reads_the_outline():
    case = setup()
    assert wall_thickness(case.part, case.grip) == pytest.approx(10.0)
    away = replace(case.grip, z_low_mm=50.0, z_high_mm=60.0)
    with pytest.raises(ValueError, match="no material"):
        wall_thickness(case.part, away)


def test_result_owns_its_arrays():
    result = press(setup())
    with pytest.raises(ValueError, match="read-only"):
        result.pressure_mpa[0, 0, 0] = 0.0


@pytest.mark.parametrize("force", [0.0, -1.0, math.nan, math.inf])
def test_closing_force_must_close(force):
    with pytest.raises(ValueError, match="closing_force_n"):
        GripLoad(force)
