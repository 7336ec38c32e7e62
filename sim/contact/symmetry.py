"""Inverse of the compliance of three equal jaws on a body of revolution, by the blocks of its symmetry.

A third of a turn takes one jaw to the next, and each jaw is its own mirror image. So the compliance falls into a block
of the cells of half a face that push alike on both sides of all jaws, one of those that push opposite, and twice one of
a whole face's cells, whose patterns turn into each other (representations of the group of the triangle): for 3 x 288
cells 144, 144 and 288.
"""

from __future__ import annotations

import numpy as np
from scipy.linalg import cho_factor
from scipy.linalg.lapack import dpotri

from sim.base.arrays import Floats

_ROOT = np.sqrt(3.0)


def inverse(matrix: Floats) -> Floats:
    """Inverse of a symmetric positive definite matrix (n, n); LinAlgError where it is not."""
    factor, _ = cho_factor(matrix, lower=True)  # raises where a value is not finite
    found = np.tril(dpotri(factor, lower=True, overwrite_c=True)[0])
    return np.asarray(found + np.tril(found, -1).T, dtype=np.float64)


def inverse_by_blocks(matrix: Floats, shape: tuple[int, int]) -> Floats:
    """Inverse (n, n) of a symmetric positive definite matrix of three equal mirrored jaws, n = 3 nz nt.

    Parameters
    ----------
    matrix : (n, n) array
        Cells by jaw, band and strip; what breaks the symmetry is not looked at.
    shape : (nz, nt)
        Bands and strips, these even in number and mirror images of each other.

    Raises
    ------
    LinAlgError
        When the matrix is not positive definite.
    """
    n = shape[0] * shape[1]
    own, ahead = matrix[:n, :n], matrix[n : 2 * n, :n]
    both = ahead + ahead.T
    same, opposite = (inverse(block) for block in _halved(own + both, shape))
    pair = _paired(own - 0.5 * both, 0.5 * _ROOT * (ahead - ahead.T), shape)
    even, odd, across = _parted(inverse(pair))
    alike, turning = _whole(same, opposite, shape), _whole(even, odd, shape)
    twist = _twisted(across, shape)
    out = np.zeros((3, n, 3, n))
    blocks = (
        (alike + 2.0 * turning) / 3.0,
        (alike - turning + _ROOT * twist) / 3.0,
        (alike - turning - _ROOT * twist) / 3.0,
    )
    for i in range(3):
        for j in range(3):
            out[i, :, j] = blocks[(i - j) % 3]
    return out.reshape(3 * n, 3 * n)


def _quarters(block: Floats, shape: tuple[int, int]) -> tuple[Floats, Floats]:
    """Rows of the right half of a face under the right half and under the mirrored left half, (n/2, n/2)."""
    nz, nt = shape
    half = nt // 2
    cells = block.reshape(nz, nt, nz, nt)[:, half:]
    size = nz * half
    return cells[..., half:].reshape(size, size), cells[..., half - 1 :: -1].reshape(size, size)


def _halved(block: Floats, shape: tuple[int, int]) -> tuple[Floats, Floats]:
    """Mirrored block (n, n) for patterns that are equal and that are opposite on both sides."""
    right, left = _quarters(block, shape)
    right, left = 0.5 * (right + right.T), 0.5 * (left + left.T)
    return right + left, right - left


def _paired(real: Floats, imaginary: Floats, shape: tuple[int, int]) -> Floats:
    """Hermitian block of patterns that turn with the jaws, (n, n), made real by the mirror."""
    even, odd = _halved(real, shape)
    right, left = _quarters(imaginary, shape)
    across = left - right
    return np.block([[even, across], [across.T, odd]])


def _parted(pair: Floats) -> tuple[Floats, Floats, Floats]:
    half = len(pair) // 2
    return pair[:half, :half], pair[half:, half:], -pair[:half, half:]


def _whole(even: Floats, odd: Floats, shape: tuple[int, int]) -> Floats:
    """Mirrored block (n, n) from its parts for equal and for opposite patterns."""
    return _placed(0.5 * (even + odd), 0.5 * (even - odd), shape, 1.0)


def _twisted(across: Floats, shape: tuple[int, int]) -> Floats:
    """Block (n, n) that turns equal into opposite patterns."""
    one = _placed(0.5 * across, -0.5 * across, shape, -1.0)
    return np.asarray(one - one.T)


def _placed(right: Floats, left: Floats, shape: tuple[int, int], sign: float) -> Floats:
    nz, half = shape[0], shape[1] // 2
    right, left = (part.reshape(nz, half, nz, half) for part in (right, left))
    out = np.zeros((nz, 2 * half, nz, 2 * half))
    out[:, half:, :, half:] = right
    out[:, half:, :, :half] = left[..., ::-1]
    out[:, :half, :, :half] = sign * right[:, ::-1, :, ::-1]
    out[:, :half, :, half:] = sign * left[:, ::-1]
    return out.reshape(nz * 2 * half, nz * 2 * half)
