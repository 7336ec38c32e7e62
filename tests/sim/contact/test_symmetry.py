from dataclasses import replace

import numpy as np
import pytest
from scipy.linalg import LinAlgError

from sim.contact import JawGuide, prepare
from sim.contact.prepared import with_moduli
from sim.contact.symmetry import inverse, inverse_by_blocks


def three_mirrored_jaws(nz, nt, seed):
    """A random compliance that a third of a turn and the mirror on the middle of jaw 1 leave as it is."""
    rng = np.random.default_rng(seed)
    cells = np.arange(3 * nz * nt).reshape(3, nz, nt)
    turn = np.roll(cells, 1, axis=0).ravel()
    mirror = cells[[0, 2, 1]][:, :, ::-1].ravel()
    root = rng.normal(size=(cells.size, cells.size))
    plain = root @ root.T + cells.size * np.eye(cells.size)
    total = np.zeros(plain.shape)
    for one in (np.arange(cells.size), turn, turn[turn]):
        for other in (one, mirror[one]):
            total += plain[np.ix_(other, other)]
    return total


@pytest.mark.parametrize(("nz", "nt"), [(1, 2), (2, 6), (3, 4)])
def test_the_blocks_give_the_inverse(nz, nt):
    total = three_mirrored_jaws(nz, nt, nz)
    assert np.ptp(total - total.T) == pytest.approx(0.0, abs=1e-9)
    found = inverse_by_blocks(total, (nz, nt))
    assert found @ total == pytest.approx(np.eye(len(total)), abs=1e-11)
    assert found == pytest.approx(inverse(total), abs=1e-12 * np.abs(found).max())


def test_what_is_not_positive_definite_is_an_error():
    with pytest.raises(LinAlgError):
        inverse_by_blocks(-three_mirrored_jaws(2, 4, 1), (2, 4))


def test_bodies_with_other_springs_and_moduli_have_their_inverse(on_springs, elastic_bodies):
    springs = on_springs(JawGuide(2e5, 3e9, -15.0))
    softer = with_moduli(springs, 0.7, 0.4)
    for bodies in (elastic_bodies, springs, softer):
        unit = bodies.stiffness_n_mm @ bodies.total_mm_n
        assert unit == pytest.approx(np.eye(len(unit)), abs=1e-9)
        unit = bodies.alike_n_mm @ bodies.alike_mm_n
        assert unit == pytest.approx(np.eye(len(unit)), abs=1e-9)


def test_a_face_that_has_no_mirrored_strips_is_inverted_whole(elastic_setup):
    odd = prepare(replace(elastic_setup, model="foundation", strips=5))
    assert odd.stiffness_n_mm @ odd.total_mm_n == pytest.approx(np.eye(len(odd.total_mm_n)), abs=1e-9)
