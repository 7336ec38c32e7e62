"""Bodies between pieces that are never put together, against the whole matrix and numpy's solver."""

import numpy as np
import pytest

from sim.contact.in_pieces import DividedBodies
from sim.contact.mirror import mirrored_bodies
from sim.contact.split import divided, of_pieces, pieces
from sim.contact.unilateral import solve_bodies, solve_unilateral


@pytest.fixture(scope="module")
def bodies(elastic_bodies):
    """Half of the strips divided; each band as soft as its height makes it."""
    grid = elastic_bodies.grid
    flags = np.zeros(12, dtype=bool)
    flags[[1, 2, 5, 6, 9, 10]] = True
    fine = divided(grid, flags)
    own = pieces(50.0 * fine.angle_edges_rad, 50.0 * grid.angle_edges_rad, mirrored=False)
    soft = elastic_bodies.part_softness + elastic_bodies.jaw_softness
    softness = np.tile(soft / np.diff(grid.height_edges_mm), 3)
    return DividedBodies(elastic_bodies.total_mm_n, elastic_bodies.stiffness_n_mm, ((own, softness),))


@pytest.fixture(scope="module")
def whole(bodies):
    return of_pieces(bodies.compliance, bodies.inverse, *bodies.faces)[0]


def patterns(bodies):
    """All closed, one piece alone, whole strips, whole bands open, by chance."""
    ((own, softness),) = bodies.faces
    count, faces = own.strip.size, softness.size
    drawn = np.random.default_rng(3)
    for share in (1.0, 0.9, 0.6, 0.3):
        yield drawn.random(faces * count) <= share
    one = np.zeros(faces * count, dtype=bool)
    one[count + 2] = True
    yield one
    yield np.repeat(drawn.random((faces, 12)) < 0.5, np.bincount(own.strip), axis=1).ravel()
    band = np.ones((faces, count), dtype=bool)
    band[1:4] = False
    yield band.ravel()
    # All of a face's undivided strips and none of the divided ones.
    yield np.tile(np.bincount(own.strip)[own.strip] == 1, faces)


def test_displacements_are_those_of_the_whole_matrix(bodies, whole):
    force = np.random.default_rng(1).random(len(whole))
    assert bodies.times(force) == pytest.approx(whole @ force, rel=1e-12)
    assert np.array_equal(bodies.whole(), whole)


def test_forces_of_closed_pieces_are_those_of_the_whole_matrix(bodies, whole):
    around = np.linspace(0.0, 1.0, len(whole))
    displacement = np.column_stack([np.random.default_rng(2).random(len(whole)), around, np.ones(len(whole))])
    for closed in patterns(bodies):
        expected = np.linalg.solve(whole[np.ix_(closed, closed)], displacement[closed])
        for _ in range(2):  # worked out, and as it is kept
            found = bodies.held(displacement, closed)
            assert found == pytest.approx(expected, abs=1e-10 * np.abs(expected).max())


def test_half_of_a_jaw_and_another_are_those_of_the_whole_matrix(elastic_bodies, bodies):
    """Faces of unlike pieces: images in the plane of jaw 1 are loaded alike."""
    ((own, softness),) = bodies.faces
    grid, bands = elastic_bodies.grid, elastic_bodies.grid.shape[0]
    fine = divided(grid, np.bincount(own.strip) > 1)
    middle = fine.shape[1] // 2
    half = pieces(50.0 * fine.angle_edges_rad[middle:], 50.0 * grid.angle_edges_rad[6:], mirrored=True)
    faces = ((half, softness[:bands]), (own, softness[:bands]))
    found = DividedBodies(*mirrored_bodies(elastic_bodies), faces)
    whole = of_pieces(found.compliance, found.inverse, *faces)[0]
    assert np.array_equal(found.whole(), whole)
    force = np.random.default_rng(5).random(len(whole))
    assert found.times(force) == pytest.approx(whole @ force, rel=1e-12)
    for closed in (force > 0.3, force > 0.8, force < 2.0):
        expected = np.linalg.solve(whole[np.ix_(closed, closed)], force[closed, None])
        assert found.held(force[:, None], closed) == pytest.approx(expected, abs=1e-10 * expected.max())


def test_a_contact_of_pieces_is_that_of_the_whole_matrix(bodies, whole):
    count = len(whole)
    gap = 1e-3 * np.random.default_rng(4).random(count)
    opened = np.column_stack([-np.ones(count), np.linspace(-1.0, 1.0, count)])
    loads = np.array([5e3, 300.0])
    expected, found = (
        solve_unilateral(whole, gap, opened, loads),
        solve_bodies(bodies, gap, opened, loads),
    )
    assert 0 < np.count_nonzero(expected.force_n) < count
    assert found.force_n == pytest.approx(expected.force_n, abs=1e-9 * expected.force_n.max())
    assert found.gap_mm == pytest.approx(expected.gap_mm, abs=1e-9 * expected.gap_mm.max())
    assert found.motion == pytest.approx(expected.motion, rel=1e-9)


def test_bodies_that_push_back_the_wrong_way_are_refused(bodies, whole):
    wrong = DividedBodies(bodies.compliance, -bodies.inverse, bodies.faces)
    closed = np.ones(len(whole), dtype=bool)
    closed[0] = False
    with pytest.raises(np.linalg.LinAlgError):
        wrong.held(np.ones((closed.size, 1)), closed)
