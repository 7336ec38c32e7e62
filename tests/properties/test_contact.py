"""Laws that every contact solution obeys, whatever the setup."""

import math
from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sim.contact import (
    ContactSetup,
    GripGeometry,
    GripLoad,
    JawBlock,
    JawGuide,
    Lobe,
    TurnedPart,
    prepare,
    press,
)
from sim.contact.solve import motions

FEW = settings(max_examples=25, deadline=None)


def make(
    difference,
    closing,
    side=(0.0, 0.0),
    inside=False,
    lobes=(),
    scale=1.0,
    tilt=math.inf,
    model="foundation",
    bore=38.0,
):
    """Return a setup; `scale` multiplies every length."""
    inner, outer = (50.0, 62.0) if inside else (bore, 50.0)
    box = scale * np.array([(inner, 10.0), (outer, 10.0), (outer, 40.0), (inner, 40.0)])
    grip = GripGeometry(
        scale * (50.0 + difference),
        scale * 50.0,
        scale * 44.0,
        scale * 10.0,
        scale * 40.0,
        inside=inside,
        lobes=tuple(replace(lobe, amplitude_mm=scale * lobe.amplitude_mm) for lobe in lobes),
    )
    jaw = JawBlock(scale * (12.0 if inside else 100.0), scale * 40.0, 210e3, 0.3)
    guide = JawGuide(tilt_stiffness_nmm_per_rad=tilt, guide_height_mm=-20.0 * scale)
    return ContactSetup(
        grip,
        TurnedPart(box, 70e3, 0.33),
        jaw,
        GripLoad(closing, side),
        guide,
        strips=14,
        bands=4,
        model=model,
    )


differences = st.floats(-0.3, 0.3)
closings = st.floats(3e3, 2e5)
shares = st.tuples(st.floats(-0.1, 0.1), st.floats(-0.1, 0.1))
lobes = st.lists(
    st.builds(Lobe, st.integers(2, 7), st.floats(0.0, 0.05), st.floats(0.0, 3.0)), max_size=2
).map(tuple)


@FEW
@given(differences, closings, shares, st.booleans(), lobes)
def test_balance_and_complementarity(difference, closing, share, inside, lobes):
    side = (share[0] * closing, share[1] * closing)
    setup = make(difference, closing, side, inside, lobes)
    result = press(setup)
    force = (result.pressure_mpa * result.grid.areas_mm2).ravel()
    miss = motions(result.grid, setup.grip.z_middle_mm).T @ force + np.array([*side, 0.0, 0.0, closing])
    assert np.abs(miss[[0, 1, 4]]).max() <= 1e-8 * closing
    assert np.abs(miss[2:4]).max() <= 1e-8 * closing * 50.0
    assert result.grip_n.sum() == pytest.approx(closing, rel=1e-10)
    assert result.pressure_mpa.min() >= 0.0
    assert result.gap_mm.min() >= 0.0
    assert np.all(result.pressure_mpa * result.gap_mm == 0.0)
    assert result.residuals.penetration_mm < 1e-9


@FEW
@given(differences, closings, st.booleans())
def test_three_jaws_alike_without_a_side_load(difference, closing, inside):
    result = press(make(difference, closing, inside=inside))
    assert np.ptp(result.pressure_mpa, axis=0).max() <= 1e-8 * result.pressure_mpa.max()
    assert result.pressure_mpa == pytest.approx(
        result.pressure_mpa[:, :, ::-1], abs=1e-8 * result.pressure_mpa.max()
    )
    assert np.abs(result.part_shift_mm).max() < 1e-10


@FEW
@given(differences, closings, shares)
def test_turning_everything_by_120_degrees_moves_the_figures_to_the_next_jaw(difference, closing, share):
    c, s = math.cos(2.0 * math.pi / 3.0), math.sin(2.0 * math.pi / 3.0)
    side = (share[0] * closing, share[1] * closing)
    turned = (c * side[0] - s * side[1], s * side[0] + c * side[1])
    one, two = press(make(difference, closing, side)), press(make(difference, closing, turned))
    assert two.pressure_mpa == pytest.approx(
        np.roll(one.pressure_mpa, 1, axis=0), abs=1e-7 * one.pressure_mpa.max()
    )


@FEW
@given(differences, closings, shares, st.floats(0.5, 3.0))
def test_twice_the_size_and_four_times_the_force_give_the_same_stress(difference, closing, share, scale):
    side = (share[0] * closing, share[1] * closing)
    small = press(make(difference, closing, side))
    large = press(make(difference, scale**2 * closing, (scale**2 * side[0], scale**2 * side[1]), scale=scale))
    assert large.pressure_mpa == pytest.approx(small.pressure_mpa, abs=1e-7 * small.pressure_mpa.max())
    assert large.approach_mm == pytest.approx(scale * small.approach_mm, rel=1e-7)


@FEW
@given(differences, closings, shares, st.floats(1.01, 3.0), st.floats(1e7, 1e10))
def test_more_closing_force_grips_harder_and_travels_further(difference, closing, share, more, tilt):
    side = (share[0] * closing, share[1] * closing)
    less, harder = (press(make(difference, f, side, tilt=tilt)) for f in (closing, more * closing))
    assert np.all(harder.grip_n > less.grip_n)
    assert harder.approach_mm > less.approach_mm


@FEW
@given(differences, closings, st.floats(1.01, 3.0), st.booleans())
def test_more_closing_force_presses_harder_everywhere(difference, closing, more, inside):
    """Columns bear what they are shortened by, and a further closing shortens all of them."""
    less, harder = (press(make(difference, f, inside=inside)) for f in (closing, more * closing))
    assert np.all(harder.pressure_mpa >= less.pressure_mpa)


@FEW
@given(st.floats(0.005, 0.3), closings, st.floats(0.3, 3.0))
def test_pattern_depends_on_difference_over_force_only(difference, closing, more):
    """Linear bodies without friction; the offset adds a share of difference / radius."""
    one, two = press(make(difference, closing)), press(make(more * difference, more * closing))
    assert two.pressure_mpa == pytest.approx(
        more * one.pressure_mpa, abs=0.02 * more * one.pressure_mpa.max()
    )


@pytest.fixture(scope="module")
def elastic():
    """Return finite-element bodies as a function of direction of gripping, scale and bore, made once."""

    @cache
    def bodies(inside=False, scale=1.0, bore=38.0):
        return prepare(make(0.0, 1.0, inside=inside, scale=scale, model="elastic", bore=bore))

    return bodies


@FEW
@given(difference=differences, closing=closings, share=shares, inside=st.booleans(), lobes=lobes)
def test_elastic_bodies_balance(elastic, difference, closing, share, inside, lobes):
    side = (share[0] * closing, share[1] * closing)
    setup = make(difference, closing, side, inside, lobes, model="elastic")
    result = press(setup, None, elastic(inside))
    force = (result.pressure_mpa * result.grid.areas_mm2).ravel()
    miss = motions(result.grid, setup.grip.z_middle_mm).T @ force + np.array([*side, 0.0, 0.0, closing])
    assert np.abs(miss[[0, 1, 4]]).max() <= 1e-8 * closing
    assert np.abs(miss[2:4]).max() <= 1e-8 * closing * 50.0
    assert result.pressure_mpa.min() >= 0.0
    assert result.gap_mm.min() >= 0.0
    assert np.all(result.pressure_mpa * result.gap_mm == 0.0)
    assert result.residuals.penetration_mm < 1e-9


@FEW
@given(difference=differences, closing=closings, inside=st.booleans())
def test_elastic_jaws_are_alike_without_a_side_load(elastic, difference, closing, inside):
    """All three, and both halves of each; a side load too small to matter makes the solver take all cells."""
    setup = make(difference, closing, (1e-9 * closing, 0.0), inside, model="elastic")
    result = press(setup, None, elastic(inside))
    slack = 1e-6 * result.pressure_mpa.max()
    assert np.ptp(result.pressure_mpa, axis=0).max() <= slack
    assert result.pressure_mpa == pytest.approx(result.pressure_mpa[:, :, ::-1], abs=slack)
    assert np.abs(result.part_shift_mm).max() < 1e-8


@FEW
@given(difference=differences, closing=closings, share=shares)
def test_elastic_bodies_turn_with_the_load(elastic, difference, closing, share):
    c, s = math.cos(2.0 * math.pi / 3.0), math.sin(2.0 * math.pi / 3.0)
    side = (share[0] * closing, share[1] * closing)
    turned = (c * side[0] - s * side[1], s * side[0] + c * side[1])
    one, two = (press(make(difference, closing, q, model="elastic"), None, elastic()) for q in (side, turned))
    assert two.pressure_mpa == pytest.approx(
        np.roll(one.pressure_mpa, 1, axis=0), abs=1e-7 * one.pressure_mpa.max()
    )


@FEW
@given(difference=differences, closing=closings, share=shares)
def test_elastic_bodies_of_twice_the_size_bear_the_same_stress(elastic, difference, closing, share):
    """Meshes follow the size, so the figures agree to rounding, not only to the mesh's error."""
    side = (share[0] * closing, share[1] * closing)
    small = press(make(difference, closing, side, model="elastic"), None, elastic())
    large = make(difference, 4.0 * closing, (4.0 * side[0], 4.0 * side[1]), scale=2.0, model="elastic")
    large = press(large, None, elastic(scale=2.0))
    assert large.pressure_mpa == pytest.approx(small.pressure_mpa, abs=1e-5 * small.pressure_mpa.max())
    assert large.approach_mm == pytest.approx(2.0 * small.approach_mm, rel=1e-5)


@FEW
@given(
    difference=differences, closing=closings, share=shares, more=st.floats(1.01, 3.0), inside=st.booleans()
)
def test_elastic_grip_grows_with_the_closing_force(elastic, difference, closing, share, more, inside):
    side = (share[0] * closing, share[1] * closing)
    less, harder = (
        press(make(difference, f, side, inside, model="elastic"), None, elastic(inside))
        for f in (closing, more * closing)
    )
    assert np.all(harder.grip_n > less.grip_n)
    assert harder.approach_mm > less.approach_mm


@FEW
@given(difference=differences, closing=closings, more=st.floats(1.01, 3.0))
def test_a_solid_part_is_pressed_harder_everywhere(elastic, difference, closing, more):
    """A further closing of a contact that does not shrink adds the pressure of a stamp, which only pushes.

    Not so on a hollow part, which flattens under the jaw and takes its middle away.
    """
    less, harder = (
        press(make(difference, f, model="elastic", bore=0.0), None, elastic(bore=0.0))
        for f in (closing, more * closing)
    )
    assert np.all(harder.pressure_mpa >= less.pressure_mpa - 1e-9 * less.pressure_mpa.max())
    assert np.all(harder.grip_n > less.grip_n)
