"""Contacts mirrored in the plane of jaw 1: half of the cells against all of them, and who is not mirrored."""

import math
from dataclasses import replace

import numpy as np
import pytest

from sim.contact import (
    ContactSetup,
    GripGeometry,
    GripLoad,
    JawBlock,
    JawGuide,
    Lobe,
    TurnedPart,
    finer,
    prepare,
    press,
)
from sim.contact.mirror import mirrored_bodies, mirrored_images, treats_mirrored
from sim.contact.solve import posed

STEEL = (210e3, 0.3)
CLOSING = 60e3  # N
NUDGE = (
    1e-6  # N across the plane: no contact is mirrored any more, and no figure moves by what is asked below
)


def made(*, inside=False, square=False, tilt=5e9):
    outline = (
        [(50.0, 10.0), (62.0, 10.0), (62.0, 40.0), (50.0, 40.0)]
        if inside
        else [(38.0, 10.0), (50.0, 10.0), (50.0, 40.0), (38.0, 40.0)]
    )
    block = JawBlock(10.0, 40.0, *STEEL) if inside else JawBlock(100.0, 40.0, *STEEL)
    lobes = (Lobe(2, 0.03), Lobe(5, 0.01, math.pi))
    grip = GripGeometry(49.96 if inside else 49.98, 50.0, 45.4, 10.0, 40.0, inside=inside, lobes=lobes)
    guide = JawGuide(2e5, tilt, -15.0)
    return ContactSetup(
        grip,
        TurnedPart(outline, *STEEL),
        block,
        GripLoad(CLOSING, jaw_outward_force_n=(0.0, 300.0, 300.0)),
        guide,
        hold_square=square,
        strips=16,
        bands=3,
        model="elastic",
    )


def figures(found):
    return np.concatenate(
        [
            found.pressure_mpa.ravel() / found.pressure_mpa.max(),
            found.gap_mm.ravel() * 10.0,
            found.grip_n / CLOSING,
            found.part_shift_mm * 10.0,
            found.part_tilt_rad * 1e3,
            found.jaw_tilt_rad * 1e3,
            found.jaw_travel_mm * 10.0,
            found.square_moment_nmm / 1e6,
            [found.approach_mm * 10.0, found.offset_mm * 10.0, found.closed_fraction],
        ]
    )


@pytest.mark.parametrize("inside", [False, True])
@pytest.mark.parametrize("square", [False, True])
@pytest.mark.parametrize(("push", "moment"), [(0.0, 0.0), (3e3, 0.0), (-3e3, 0.0), (0.0, 5e4), (2e3, -5e4)])
def test_half_of_the_cells_give_what_all_of_them_give(inside, square, push, moment):
    setup = made(inside=inside, square=square)
    bodies = prepare(setup)
    load = replace(setup.load, side_load_n=(push, 0.0), moment_nmm=(0.0, moment))
    mirrored, whole = (replace(setup, load=one) for one in (load, replace(load, side_load_n=(push, NUDGE))))
    half, full = (press(one, None, bodies) for one in (mirrored, whole))
    assert figures(half) == pytest.approx(figures(full), abs=2e-8)
    assert half.residuals.relative < 1e-8
    half, full = finer(mirrored, bodies, half), finer(whole, bodies, full)
    assert half.grid.shape[1] > 16
    assert figures(half) == pytest.approx(figures(full), abs=2e-8)
    assert half.pressure_mpa == pytest.approx(half.pressure_mpa[[0, 2, 1], :, ::-1], rel=1e-12)


def test_forces_and_gaps_of_half_of_the_cells_solve_the_equations_of_all():
    """Complementarity and balance, written out for all cells: no code is shared with who found them."""
    setup = made()
    bodies = prepare(setup)
    found = press(setup, None, bodies)
    force = (found.pressure_mpa * found.grid.areas_mm2).ravel()
    gap = found.gap_mm.ravel()
    pose = posed(setup, bodies, np.array(setup.load.jaw_outward_force_n))
    motion = np.array([*found.part_shift_mm, *found.part_tilt_rad, found.approach_mm])
    left = pose.gap_mm + bodies.total_mm_n @ force + pose.opened @ motion
    assert left == pytest.approx(gap, abs=1e-12)
    assert force.min() >= 0.0
    assert gap.min() >= 0.0
    assert not np.any(force * gap)
    assert pose.opened.T @ force == pytest.approx([0.0, 0.0, 0.0, 0.0, -CLOSING], abs=1e-6 * CLOSING)


def test_the_inverse_folds_into_the_inverse():
    bodies = prepare(made())
    compliance, stiffness = mirrored_bodies(bodies)
    assert compliance.shape == (72, 72)
    assert stiffness @ compliance == pytest.approx(np.eye(72), abs=1e-9)


def test_every_cell_stands_once_beside_its_image():
    bodies = prepare(made())
    images = mirrored_images(bodies.grid)
    assert sorted(images.ravel()) == list(range(3 * 3 * 16))
    jaw, band, strip = np.unravel_index(images, (3, 3, 16))
    assert np.array_equal(band[:, 0], band[:, 1])
    assert np.array_equal(strip[:, 0], 15 - strip[:, 1])
    # The place of a cell about the spindle, in turns from jaw 1, is that of its image the other way round.
    turn = jaw / 3.0 + bodies.grid.angles_rad[strip] / (2.0 * math.pi)
    across = turn[:, 0] + turn[:, 1]
    assert across == pytest.approx(np.round(across), abs=1e-12)


@pytest.mark.parametrize(
    ("grip", "load"),
    [
        ({"lobes": (Lobe(2, 0.03, 0.1),)}, {}),
        ({"jaw_offsets_mm": (0.0, 0.01, 0.0)}, {}),
        ({}, {"jaw_outward_force_n": (0.0, 300.0, 0.0)}),
        ({}, {"side_load_n": (0.0, 10.0)}),
        ({}, {"moment_nmm": (10.0, 0.0)}),
    ],
)
def test_what_tells_the_sides_of_the_first_jaw_apart_is_seen(grip, load):
    setup = made()
    bodies = prepare(setup)
    other = replace(setup, grip=replace(setup.grip, **grip), load=replace(setup.load, **load))
    for one, mirrored in ((setup, True), (other, False)):
        pose = posed(one, bodies, np.array(one.load.jaw_outward_force_n))
        assert treats_mirrored(bodies.grid, pose.gap_mm, pose.loads(one.load)) is mirrored
