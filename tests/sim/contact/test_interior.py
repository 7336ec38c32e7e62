import numpy as np
import pytest

from sim.contact import ContactSetup, GripGeometry, GripLoad, JawBlock, JawGuide, Lobe, TurnedPart, press
from sim.contact.interior import interior
from sim.contact.unilateral import solve_unilateral

RING = TurnedPart([(40.0, 10.0), (50.0, 10.0), (50.0, 40.0), (40.0, 40.0)], 210e3, 0.3)


@pytest.mark.parametrize("seed", range(6))
def test_same_forces_and_gaps_as_pivoting(seed):
    """Two routes to one strictly convex program: the pivots and the path through the inside must meet."""
    rng = np.random.default_rng(seed)
    a = rng.normal(size=(30, 30))
    K, g0 = a @ a.T / 30 + 0.05 * np.eye(30), rng.uniform(0.0, 2.0, 30)
    G, c = np.column_stack([-np.ones(30), rng.normal(size=30)]), np.array([40.0, 0.5])
    pivoted, found = solve_unilateral(K, g0, G, c), interior(K, g0, G, c)
    assert found is not None
    force, gap, motion = found
    assert force == pytest.approx(pivoted.force_n, abs=1e-7 * pivoted.force_n.max())
    assert gap == pytest.approx(pivoted.gap_mm, abs=1e-7)
    assert motion == pytest.approx(pivoted.motion, abs=1e-7)
    assert G.T @ force == pytest.approx(-c, rel=1e-10)


def test_loads_that_nothing_balances_give_no_figure():
    assert interior(np.eye(4), np.ones(4), -np.ones((4, 1)), np.array([-10.0])) is None


def test_four_lobes_gripped_inside_settle():
    """A case that made the pivots cycle: 61 of 168 cells changed for ever."""
    lobes = (Lobe(4, 0.03125, 2.25), Lobe(4, 0.03125, 2.25))
    grip = GripGeometry(40.0, 40.0, 40.0, 10.0, 40.0, inside=True, lobes=lobes)
    jaw = JawBlock(back_radius_mm=10.0, height_mm=40.0, modulus_mpa=210e3, poisson=0.3)
    result = press(ContactSetup(grip, RING, jaw, GripLoad(closing_force_n=3000.0)))
    assert result.grip_n.sum() == pytest.approx(3000.0)
    assert result.pressure_mpa.min() >= 0.0
    assert result.residuals.relative < 1e-8


def test_a_jaw_that_tilts_onto_its_root_settles():
    """Nearly all contact lies in one band, so that little keeps the part from rocking."""
    grip = GripGeometry(50.0, 50.0, 44.0, 10.0, 40.0)
    jaw = JawBlock(back_radius_mm=100.0, height_mm=40.0, modulus_mpa=210e3, poisson=0.3)
    guide = JawGuide(tilt_stiffness_nmm_per_rad=1e7, guide_height_mm=-20.0)
    load = GripLoad(6000.0, side_load_n=(0.0, 90.0))
    result = press(ContactSetup(grip, RING, jaw, load, guide, strips=14, bands=4))
    assert result.grip_n.sum() == pytest.approx(6000.0)
    assert result.residuals.relative < 1e-8
    force = result.pressure_mpa * result.grid.areas_mm2
    assert force[:, 0].sum() > 0.8 * force.sum()
