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
    spun,
)
from sim.contact.foundation import column_compliance, wall_thickness
from sim.contact.solve import contact_pattern

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


def on_the_part(result):
    """Sums of the cells' forces on the part, (2,), and of their moments about the middle of the height, (2,)."""
    force = result.pressure_mpa * result.grid.areas_mm2
    turn = result.grid.angles_rad + np.array([0.0, 2.0, 4.0])[:, None, None] * math.pi / 3.0
    inward = -1.0 if not result.grid.inside else 1.0
    x, y = inward * force * np.cos(turn), inward * force * np.sin(turn)
    z = (result.grid.heights_mm - 25.0)[:, None]
    # r x F with r = (.., .., z): about x it is -z Fy, about y it is z Fx; Fz is 0.
    return np.array([x.sum(), y.sum()]), np.array([-(z * y).sum(), (z * x).sum()])


def inside_setup(**more):
    bush = TurnedPart([(50.0, 10.0), (60.0, 10.0), (60.0, 40.0), (50.0, 40.0)], *STEEL)
    jaw = JawBlock(back_radius_mm=10.0, height_mm=40.0, modulus_mpa=210e3, poisson=0.3)
    return replace(setup(inside=True, **more), part=bush, jaw=jaw)


@pytest.mark.parametrize("made", [setup, inside_setup])
@pytest.mark.parametrize("moment", [(4e4, 0.0), (0.0, 4e4), (-3e4, 2e4), (2e4, -3e4)])
def test_the_part_tilts_with_the_moment_and_the_jaws_balance_it(made, moment):
    """Statics of the part with vectors: what the cells press and what loads it add up to nothing, also about x.

    A load does work on what it moves (Clapeyron), so shift and tilt go with force and moment.
    """
    push = (700.0, -400.0)
    result = press(made(load=GripLoad(60e3, side_load_n=push, moment_nmm=moment)))
    force, turning = on_the_part(result)
    assert force == pytest.approx(-np.array(push), abs=1e-3)
    assert turning == pytest.approx(-np.array(moment), abs=0.1)
    assert result.part_tilt_rad @ np.array(moment) > 0.0
    assert result.part_shift_mm @ np.array(push) > 0.0


@pytest.mark.parametrize("made", [setup, inside_setup])
def test_a_back_face_that_holds_the_part_square_bears_what_the_jaws_do_not(made):
    load = GripLoad(60e3, side_load_n=(500.0, 300.0), moment_nmm=(3e4, -2e4))
    result = press(replace(made(load=load), hold_square=True))
    _, turning = on_the_part(result)
    assert result.part_tilt_rad == pytest.approx(0.0)
    assert turning + result.square_moment_nmm == pytest.approx(-np.array(load.moment_nmm), abs=0.1)
    assert np.abs(result.square_moment_nmm).min() > 1e3
    # What the back face bears is no residual, neither of the forces nor of the moments.
    assert result.residuals.force_n < 1e-3
    assert result.residuals.moment_nmm == 0.0
    assert abs(result.residuals.closing_n) < 1e-3


@pytest.mark.parametrize("made", [setup, inside_setup])
@pytest.mark.parametrize("pivot", [-20.0, 22.0, 60.0])
def test_a_jaw_tilts_by_its_moment_about_the_guideway(made, pivot):
    """Each jaw's own balance: its cells' forces along the travel times their height over the guideway's middle.

    Above the pivot the part presses the jaw's top away from itself; below it the jaw's foot goes, its top comes.
    """
    stiffness = 2e9
    result = press(made(guide=JawGuide(tilt_stiffness_nmm_per_rad=stiffness, guide_height_mm=pivot)))
    along = result.pressure_mpa * result.grid.areas_mm2 * np.cos(result.grid.angles_rad)
    lever = result.grid.heights_mm[:, None] - pivot
    moments = np.array([(face * lever).sum() for face in along])
    assert np.all(np.sign(moments) == (1.0 if pivot < 25.0 else -1.0))
    assert result.jaw_tilt_rad == pytest.approx(moments / stiffness, rel=1e-9)
    # It yields where it is pressed: the pressure moves towards the height of the pivot.
    by_height = along[0].sum(axis=1) / result.grid.areas_mm2.sum(axis=1)
    assert (by_height[0] > by_height[-1]) == (pivot < 25.0)


@pytest.mark.parametrize(("made", "away"), [(setup, 1.0), (inside_setup, -1.0)])
def test_a_jaws_drive_yields_to_the_part_and_to_its_own_pull(made, away):
    """Hooke's law of one jaw's spring: the part presses it away from itself, its mass pulls it off the spindle.

    Outside both go the same way; inside the pull is towards the part.
    """
    pull, stiffness = 900.0, 1e5
    load = GripLoad(60e3, jaw_outward_force_n=(pull, 0.0, 0.0))
    result = press(made(load=load, guide=JawGuide(radial_stiffness_n_per_mm=stiffness)))
    # Along the jaw, away from the spindle: the part's push and the mass's pull, and the spring's yield to both.
    outward = away * result.grip_n + np.array([pull, 0.0, 0.0])
    assert away * result.jaw_travel_mm == pytest.approx(outward / stiffness, rel=1e-12)
    change = away * (result.jaw_travel_mm[0] - result.jaw_travel_mm[1])
    assert 0.0 < change < pull / stiffness  # off the spindle, less what the part gives or takes
    assert (result.grip_n[0] < result.grip_n[1]) == (away > 0.0)


@pytest.mark.parametrize(("count", "middles"), [(5, {2}), (6, {2, 3})])
def test_the_middle_of_a_face_is_its_middle_strip_or_two(count, middles):
    for strip in range(1, count - 1):
        closed = np.zeros((3, 2, count), dtype=bool)
        closed[1, 0, [0, strip]] = True
        assert contact_pattern(closed) == ("full" if strip in middles else "edges")


@pytest.mark.parametrize(("strip", "pattern"), [(0, "edges"), (1, "middle"), (4, "middle"), (5, "edges")])
def test_a_part_that_lies_against_one_side_of_the_faces_carries_at_its_edge_and_nowhere_else(strip, pattern):
    closed = np.zeros((3, 2, 6), dtype=bool)
    closed[2, 1, strip] = True
    assert contact_pattern(closed) == pattern


def test_the_closed_share_of_the_faces_is_one_of_area(elastic_setup, elastic_bodies):
    """Bands in height are narrow at the ends of the face, so that cells counted would tell another share."""
    grip = replace(elastic_setup.grip, bore_radius_mm=49.95)
    tilted = replace(elastic_setup, grip=grip, load=GripLoad(60e3, moment_nmm=(1.5e5, 0.0)))
    result = press(tilted, None, elastic_bodies)
    carries = result.pressure_mpa > 0.0
    by_band = np.diff(result.grid.height_edges_mm)
    across = np.diff(result.grid.angle_edges_rad)
    cells = by_band[:, None] * across / (by_band.sum() * across.sum())
    assert result.closed_fraction == pytest.approx((carries * cells).sum() / 3.0, rel=1e-12)
    assert abs(result.closed_fraction - carries.mean()) > 1e-3


def test_jaws_pull_at_speed_by_what_they_pulled_at_rest_and_more(elastic_setup, on_springs):
    """A jaw that is heavier by 400 N of pull, and 1500 N on all of them, outside: each loses, the heavy one more.

    The pistons stay, so what counts is the whole pull of each jaw, however it is put together.
    """
    plain = replace(elastic_setup, guide=JawGuide(radial_stiffness_n_per_mm=2e5))
    bodies = on_springs(plain.guide)
    heavy = replace(plain, load=GripLoad(60e3, jaw_outward_force_n=(400.0, 0.0, 0.0)))
    rest = press(heavy, None, bodies)
    found = spun(heavy, rest, (1500.0, 1500.0, 1500.0), bodies)
    assert found.grip_n == pytest.approx(spun(plain, rest, (1900.0, 1500.0, 1500.0), bodies).grip_n, rel=1e-9)
    assert np.all(found.grip_n < rest.grip_n)
    assert found.grip_n[0] < found.grip_n[1]
