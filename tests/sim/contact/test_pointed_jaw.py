"""Pointed jaws as finite-element blocks: their plan, and how much softer a slim point is, sideways above all."""

import math

import numpy as np
import pytest
import shapely

from sim.contact import (
    ContactSetup,
    GripGeometry,
    GripLoad,
    JawBlock,
    PointPlan,
    SectorPlan,
    TurnedPart,
    face_grid,
    press,
)
from sim.contact.jaw import jaw_compliance
from sim.contact.jaw_mesh import jaw_mesh

STEEL = (210e3, 0.3)
HEIGHT, SIDE, BACK, CHAMFER = 40.0, 20.0, 90.0, 0.5


def point_of(degrees, inner=6.0, tip=5.0):
    return PointPlan(inner, tip, SIDE, math.radians(0.5 * degrees))


def grip_of(point, bore, *, inside=False, z_high=HEIGHT):
    """Return the face that a bore gives: a chamfer off the flank or side, or as far as the flat inner end goes."""
    at, chamfer = point.edge_angle(bore), CHAMFER
    if bore * math.cos(at) <= point.inner_mm + 1e-9:
        chamfer = 0.0
    half = min(bore * math.sin(at - chamfer / bore), SIDE - chamfer)
    return GripGeometry(
        bore, bore, 2.0 * (half + chamfer), 15.0, z_high, edge_chamfer_mm=chamfer, inside=inside
    )


def corner_turns(mesh):
    """Return the cross products at the four corners of each element seen from the front, mm2: of one sign if sound."""
    p = mesh.plan_mm
    a, b, c, d = p[:-1, :-1], p[1:, :-1], p[1:, 1:], p[:-1, 1:]
    sides = [(b - a, d - a), (c - b, a - b), (d - c, b - c), (a - d, c - d)]
    return np.stack([u[..., 0] * v[..., 1] - u[..., 1] * v[..., 0] for u, v in sides])


def volume(mesh):
    p = mesh.plan_mm
    across, along = p[1:, 1:] - p[:-1, :-1], p[1:, :-1] - p[:-1, 1:]
    area = 0.5 * np.abs(across[..., 0] * along[..., 1] - across[..., 1] * along[..., 0]).sum(axis=1)
    return float(area @ mesh.present @ np.diff(mesh.levels_mm))


def half_plan(point):
    """Half the blank seen from the front: flat inner end, flank, side, by hand."""
    wide = point.inner_mm + (SIDE - point.tip_half_mm) / math.tan(point.half_angle_rad)
    corners = [
        (point.inner_mm, 0.0),
        (point.inner_mm, point.tip_half_mm),
        (wide, SIDE),
        (BACK, SIDE),
        (BACK, 0.0),
    ]
    return shapely.Polygon(corners)


def disc(radius):
    return shapely.Point(0.0, 0.0).buffer(radius, quad_segs=2000)


@pytest.mark.parametrize(
    ("degrees", "inner", "tip", "bore"),
    [
        (40.0, 6.0, 5.0, 9.0),
        (120.0, 6.0, 5.0, 9.0),
        (30.0, 6.0, 5.0, 12.0),
        (60.0, 6.0, 5.0, 45.0),  # wider than the point: on the sides
        (60.0, 10.0, 8.0, 11.0),  # so small that it ends on the flat inner end
    ],
)
def test_volume_is_that_of_the_plan_behind_the_bore(degrees, inner, tip, bore):
    point = point_of(degrees, inner, tip)
    grip = grip_of(point, bore)
    jaw = JawBlock(BACK, HEIGHT, *STEEL, point=point)
    mesh = jaw_mesh(grip, face_grid(grip, 48, 4, 0.2), jaw)
    turns = corner_turns(mesh)
    assert (turns > 0.0).all() or (turns < 0.0).all()
    assert volume(mesh) == pytest.approx(HEIGHT * half_plan(point).difference(disc(bore)).area, rel=2e-3)


def test_volume_of_a_wider_pocket_in_front():
    """What goes lies between the two circles, as far as the flanks."""
    point = point_of(50.0)
    grip = grip_of(point, 9.0, z_high=30.0)
    grid = face_grid(grip, 48, 4, 0.2)
    plain = volume(jaw_mesh(grip, grid, JawBlock(BACK, HEIGHT, *STEEL, point=point)))
    front = JawBlock(BACK, HEIGHT, *STEEL, point=point, front_z_mm=30.0, front_radius_mm=14.0)
    gone = half_plan(point).intersection(disc(14.0).difference(disc(9.0))).area
    assert plain - volume(jaw_mesh(grip, grid, front)) == pytest.approx(10.0 * gone, rel=2e-2)


def test_volume_inside():
    """Gripping inside: from the turned face in along the flanks to the flat inner end."""
    point = point_of(60.0)
    grip = grip_of(point, 45.0, inside=True)
    mesh = jaw_mesh(grip, face_grid(grip, 48, 4, 0.2), JawBlock(6.0, HEIGHT, *STEEL, point=point))
    turns = corner_turns(mesh)
    assert (turns > 0.0).all() or (turns < 0.0).all()
    assert volume(mesh) == pytest.approx(HEIGHT * half_plan(point).intersection(disc(45.0)).area, rel=2e-3)


def test_a_slimmer_point_is_softer_and_sideways_most():
    """One face, less and less metal beside it. Loads of both halves alike press it, loads that differ bend it aside."""
    across, along = [], []
    for degrees in (110.0, 60.0, 30.0):
        # The tip's width is such that the same arc is left: flanks that lead away from one point of the bore.
        half = math.radians(0.5 * degrees)
        end = 9.0 * np.array([math.cos(math.radians(40.0)), math.sin(math.radians(40.0))])
        point = PointPlan(6.0, float(end[1] - (end[0] - 6.0) * math.tan(half)), SIDE, half)
        grip = GripGeometry(9.0, 9.0, 2.0 * float(end[1]), 15.0, HEIGHT)
        grid = face_grid(grip, 16, 2, 0.2)
        jaw = JawBlock(BACK, HEIGHT, *STEEL, ledge_z_mm=15.0, ledge_radius_mm=6.0, point=point)
        compliance = jaw_compliance(grip, grid, jaw)
        force = grid.areas_mm2.ravel() / grid.areas_mm2.sum()
        side = force * np.tile(np.sign(grid.angles_rad), 2)
        along.append(force @ compliance @ force)
        across.append(side @ compliance @ side)
    assert np.all(np.diff(along) > 0.0)
    assert np.all(np.diff(across) > 0.0)
    assert across[2] / across[0] > 1.2 * along[2] / along[0]


@pytest.mark.parametrize("difference", [-0.02, 0.0, 0.02])
def test_a_pin_between_points(difference):
    """Balance, the mirror image, three jaws alike; a bore larger than the pin carries in its middle."""
    point = point_of(60.0)
    grip = grip_of(point, 9.0 + difference)
    grip = GripGeometry(9.0 + difference, 9.0, grip.width_mm, 20.0, HEIGHT, edge_chamfer_mm=CHAMFER)
    pin = TurnedPart([(0.0, 20.0), (9.0, 20.0), (9.0, HEIGHT), (0.0, HEIGHT)], *STEEL)
    jaw = JawBlock(BACK, HEIGHT, *STEEL, ledge_z_mm=20.0, ledge_radius_mm=6.0, point=point)
    found = press(
        ContactSetup(grip, pin, jaw, GripLoad(3e3), hold_square=True, strips=16, bands=2, model="elastic")
    )
    pressure = found.pressure_mpa
    assert found.residuals.relative < 1e-8
    assert pressure == pytest.approx(pressure[:, :, ::-1], abs=1e-6 * pressure.max())
    assert pressure[1] == pytest.approx(pressure[0], abs=1e-6 * pressure.max())
    along = (pressure * found.grid.areas_mm2 * np.cos(found.grid.angles_rad)).sum()
    assert along == pytest.approx(3e3, rel=1e-9)
    strips = pressure[0].mean(axis=0)
    middle, edge = strips[6:10].mean(), 0.5 * (strips[:3].mean() + strips[-3:].mean())
    if difference > 0.0:
        assert middle > edge
    if difference < 0.0:
        assert edge > middle


@pytest.mark.parametrize(
    ("wrong", "words"),
    [
        ((6.0, 5.0, 20.0, 0.0), "half_angle_rad"),
        ((6.0, 20.0, 20.0, 0.5), "narrower at its inner end"),
        ((0.0, 5.0, 20.0, 0.5), "before the axis"),
    ],
)
def test_impossible_plans(wrong, words):
    with pytest.raises(ValueError, match=words):
        PointPlan(*wrong)


def test_a_jaw_is_not_both_a_sector_and_pointed():
    with pytest.raises(ValueError, match="not both"):
        JawBlock(BACK, HEIGHT, *STEEL, point=point_of(60.0), sector=SectorPlan(0.0, 1.0, 90.0, 6.0))
