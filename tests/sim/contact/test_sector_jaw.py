"""Sector jaws as finite-element blocks: their plan, and what a seat narrower than the jaw leaves free."""

import math
from dataclasses import replace

import numpy as np
import pytest

from sim.contact import (
    ContactSetup,
    GripGeometry,
    GripLoad,
    JawBlock,
    SeatArea,
    SectorPlan,
    TurnedPart,
    face_grid,
    press,
)
from sim.contact.jaw import jaw_compliance
from sim.contact.jaw_mesh import jaw_mesh

ALUMINIUM = (70e3, 0.33)
HALF = math.radians(59.5)
BORE, ROUND, TIP, HEIGHT = 60.0, 125.0, 25.0, 40.0


def grip_of(half_angle, chamfer=0.0, *, inside=False):
    """Return a face that ends a chamfer off the angle at which the flanks stand, seen from the axis."""
    width = 2.0 * (BORE * math.sin(half_angle - chamfer / BORE) + chamfer)
    return GripGeometry(BORE, BORE, width, 15.0, HEIGHT, edge_chamfer_mm=chamfer, inside=inside)


def block(half_angle=HALF, apex=0.0, *, inside=False, **changes):
    sector = SectorPlan(apex, half_angle, ROUND - apex, TIP)
    return JawBlock(TIP if inside else ROUND, HEIGHT, *ALUMINIUM, sector=sector, **changes)


def volume(mesh):
    """Return the volume of half the jaw from its elements' plan areas."""
    a, b = mesh.plan_mm[:-1, :-1], mesh.plan_mm[1:, 1:]
    c, d = mesh.plan_mm[1:, :-1], mesh.plan_mm[:-1, 1:]
    p, q = b - a, d - c
    area = 0.5 * np.abs(p[..., 0] * q[..., 1] - p[..., 1] * q[..., 0]).sum(axis=1)
    return float(area @ mesh.present @ np.diff(mesh.levels_mm))


@pytest.mark.parametrize("degrees", [45.0, 119.0])
def test_volume_outside(degrees):
    """Bored where the flanks lead to the axis: half a ring's sector, and its ledge; elements span chords."""
    half = 0.5 * math.radians(degrees)
    grip = grip_of(half)
    grid = face_grid(grip, 48, 4, 0.2)
    plain = volume(jaw_mesh(grip, grid, block(half)))
    assert plain == pytest.approx(HEIGHT * 0.5 * half * (ROUND**2 - BORE**2), rel=1e-2)
    ledge = volume(jaw_mesh(grip, grid, block(half, ledge_z_mm=15.0, ledge_radius_mm=40.0)))
    assert ledge - plain == pytest.approx(15.0 * 0.5 * half * (BORE**2 - 40.0**2), rel=2e-3)
    lower = replace(grip, z_high_mm=30.0)
    front = volume(
        jaw_mesh(lower, face_grid(lower, 48, 4, 0.2), block(half, front_z_mm=30.0, front_radius_mm=70.0))
    )
    assert plain - front == pytest.approx(10.0 * 0.5 * half * (70.0**2 - BORE**2), rel=5e-3)


@pytest.mark.parametrize("apex", [-3.0, 6.0])
def test_volume_where_the_flanks_do_not_lead_to_the_axis(apex):
    """Jaws bored farther in or out than their flanks meet: by Green's theorem along an outline of fine chords."""
    half = HALF - (0.0 if apex > 0.0 else math.asin(-apex * math.sin(HALF) / BORE) + math.radians(3.0))
    sector = SectorPlan(apex, half, ROUND - apex, TIP)
    at = sector.flank_angle(BORE)
    grip = grip_of(at)
    mesh = jaw_mesh(grip, face_grid(grip, 48, 4, 0.2), replace(block(), sector=sector))
    bore, turns = np.linspace(0.0, at, 2001), np.linspace(half, 0.0, 2001)
    outline = np.concatenate(
        [
            BORE * np.column_stack([np.cos(bore), np.sin(bore)]),
            (ROUND - apex) * np.column_stack([np.cos(turns), np.sin(turns)]) + np.array([apex, 0.0]),
        ]
    )
    following = np.roll(outline, -1, axis=0)
    area = 0.5 * abs((outline[:, 0] * following[:, 1] - outline[:, 1] * following[:, 0]).sum())
    assert volume(mesh) == pytest.approx(HEIGHT * area, rel=1e-2)
    # A point of the flank's line: its distance from the apex's own ray is nought.
    end = BORE * np.array([math.cos(at), math.sin(at)]) - np.array([apex, 0.0])
    assert math.atan2(end[1], end[0]) == pytest.approx(half)


def test_volume_inside():
    """Gripping inside: from the turned face in to the flat inner end."""
    grip = grip_of(HALF, inside=True)
    mesh = jaw_mesh(grip, face_grid(grip, 48, 4, 0.2), block(inside=True))
    area = 0.5 * HALF * BORE**2 - 0.5 * TIP**2 * math.tan(HALF)
    assert volume(mesh) == pytest.approx(HEIGHT * area, rel=1e-2)


def test_a_chamfer_takes_little_of_the_block():
    """At most the strip of a chamfer's width along the flank that a chord from its edge cuts off."""
    grips = [grip_of(HALF, chamfer) for chamfer in (0.0, 1.0)]
    assert BORE * (grips[0].half_angle_rad - grips[1].half_angle_rad) == pytest.approx(1.0)
    whole, chamfered = (volume(jaw_mesh(g, face_grid(g, 48, 4, 0.2), block())) for g in grips)
    assert 0.0 < whole - chamfered <= 0.51 * HEIGHT * 1.0 * (ROUND - BORE)


def compliance(**changes):
    grip = grip_of(HALF)
    return jaw_compliance(
        grip, face_grid(grip, 16, 2, 0.2), block(ledge_z_mm=15.0, ledge_radius_mm=TIP, **changes)
    )


def test_a_seat_as_large_as_the_jaw_is_no_seat_stated():
    assert compliance(seat=SeatArea(500.0, -500.0, 500.0)) == pytest.approx(compliance(), rel=1e-12)


def test_what_a_seat_leaves_free_makes_the_jaw_softer_and_its_wings_most():
    """A body held on less of its foot is softer under every load (least energy), and here where it stands free."""
    whole, narrow, narrower = (
        compliance(seat=None if half is None else SeatArea(half, -500.0, 500.0))
        for half in (None, 40.0, 22.0)
    )
    for stiff, soft in ((whole, narrow), (narrow, narrower)):
        found = np.linalg.eigvalsh(soft - stiff)
        assert found.min() > -1e-9 * found.max()
        assert found.max() > 0.0
    moved = [K.reshape(2, 16, 2, 16).sum(axis=(0, 2)).diagonal() for K in (whole, narrower)]
    share = moved[1] / moved[0]
    assert share[0] > 1.5 * share[7]
    assert share[:8] == pytest.approx(share[8:][::-1], rel=1e-9)


def test_a_seat_that_the_jaw_does_not_reach_is_refused():
    with pytest.raises(ValueError, match="stands nowhere on its seat"):
        compliance(seat=SeatArea(20.0, 300.0, 400.0))


@pytest.mark.parametrize("wrong", [(0.0, 0.0, 100.0, 20.0), (30.0, 1.0, 100.0, 20.0), (0.0, 1.0, 10.0, 20.0)])
def test_impossible_plans(wrong):
    with pytest.raises(ValueError, match=r"half_angle_rad|apex"):
        SectorPlan(*wrong)


@pytest.mark.parametrize("difference", [-0.1, -0.05, 0.0, 0.05, 0.1])
def test_fits_of_a_ring_in_sectors(difference):
    """A bore larger than the part carries in its middle, a smaller one at its edges; the jaw is its mirror image."""
    grip = replace(grip_of(HALF, 1.0), bore_radius_mm=BORE + difference, z_low_mm=20.0)
    ring = TurnedPart([(52.0, 20.0), (BORE, 20.0), (BORE, HEIGHT), (52.0, HEIGHT)], *ALUMINIUM)
    jaw = block(ledge_z_mm=20.0, ledge_radius_mm=TIP, seat=SeatArea(22.5, 23.0, 123.0))
    setup = ContactSetup(
        grip, ring, jaw, GripLoad(12e3), hold_square=True, strips=24, bands=2, model="elastic"
    )
    found = press(setup)
    pressure = found.pressure_mpa
    assert found.residuals.relative < 1e-8
    assert pressure == pytest.approx(pressure[:, :, ::-1], abs=1e-6 * pressure.max())
    assert pressure[1] == pytest.approx(pressure[0], abs=1e-6 * pressure.max())
    along = (pressure * found.grid.areas_mm2 * np.cos(found.grid.angles_rad)).sum()
    assert along == pytest.approx(12e3, rel=1e-9)
    strips = pressure[0].mean(axis=0)
    middle, edge = strips[8:16].mean(), 0.5 * (strips[:4].mean() + strips[-4:].mean())
    if difference > 0.0:
        assert middle > edge
    if difference < 0.0:
        assert edge > middle
