"""The largest stress of a clamped part: as if every band were asked."""

import numpy as np
import pytest

from sim.contact.harmonics import HIGHEST_OF_SHAPE, HIGHEST_OF_STRESS, between_orders, filled, shares_between
from sim.contact.prepared import with_moduli
from sim.contact.stress import ClampedStress


def tensors(kind, seed):
    """Stresses (b, 6, m): any; pulled one way; pulled alike two ways; pressed from all sides; none at all."""
    rng = np.random.default_rng(seed)
    tensor = rng.normal(0.0, 50.0, (9, 6, 12))
    if kind == "pressed":
        tensor[:, :3] -= 400.0
    if kind in {"one way", "two ways"}:
        tensor[:] = 0.0
        tensor[:, 0] = rng.uniform(1.0, 80.0, (9, 12))
        tensor[:, 1] = tensor[:, 0] if kind == "two ways" else 0.0
    if kind == "none":
        tensor[:] = 0.0
    return tensor


@pytest.mark.parametrize("seed", range(4))
@pytest.mark.parametrize("kind", ["any", "pressed", "one way", "two ways", "none"])
def test_the_largest_tension_is_that_of_the_eigenvalues_of_every_band(kind, seed):
    tensor = tensors(kind, seed)
    stress = ClampedStress(np.zeros((9, 2)), np.zeros(12), tensor, 2.0)
    each = np.zeros((9, 12))
    for band, angle in np.ndindex(9, 12):
        rr, tt, zz, rz, rt, tz = tensor[band, :, angle]
        each[band, angle] = np.linalg.eigvalsh([[rr, rt, rz], [rt, tt, tz], [rz, tz, zz]])[-1]
    band, largest = stress.largest_tension()
    assert largest == each.max()
    assert band == each.max(axis=1).argmax()


def test_the_largest_equivalent_stress_of_a_bar_that_is_pulled_is_its_pull():
    tensor = np.zeros((3, 6, 4))
    tensor[1, 2, 3], tensor[2, 4, 0] = -90.0, 50.0  # pressed along; twisted, sqrt(3) times as much
    stress = ClampedStress(np.zeros((3, 2)), np.zeros(4), tensor, 2.0)
    assert stress.largest_equivalent() == (1, pytest.approx(90.0))


def test_what_lies_between_the_orders_solved_is_kept_with_the_part(elastic_bodies):
    kept = elastic_bodies.harmonics
    assert np.array_equal(kept.whole_mm, between_orders(kept.orders, kept.place_mm, HIGHEST_OF_SHAPE))
    assert np.array_equal(kept.shares, shares_between(kept.orders, HIGHEST_OF_STRESS))
    assert filled(kept) is kept
    softer = with_moduli(elastic_bodies, 0.5, 1.0).harmonics
    assert softer.whole_mm == pytest.approx(2.0 * kept.whole_mm)
