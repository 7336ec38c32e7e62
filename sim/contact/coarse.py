"""Which cells of a contact are closed, about: from a few strips together, to start the solver from.

From all cells closed the solver takes six to nine steps among 864 cells; from what a sixth or so of them say, few. The
solution is the same: it does not hang on where the steps begin.
"""

from __future__ import annotations

import numpy as np

from sim.base.arrays import Flags, Floats
from sim.contact.errors import ContactNotConverged
from sim.contact.unilateral import solve_unilateral

PIECES = 6  # of a face, each some strips


def strips_together(compliance: Floats, shape: tuple[int, int]) -> Floats:
    """Return the compliance (m, m) of strips taken together; (0, 0) where they do not go together.

    Parameters
    ----------
    compliance : (n, n) array
        Of all cells by jaw, band and strip; the jaws are equal.
    shape : (nz, nt)
        Bands and strips.
    """
    if shape[1] % PIECES:
        return np.zeros((0, 0))
    own, strips = shape[0] * shape[1], shape[1] // PIECES
    few = own // strips
    # Cells under equal forces of those beside them, on average: jaw 1 under all, then all under jaw 1.
    first = compliance[:own].reshape(few, strips, -1).sum(axis=1)
    first = np.ascontiguousarray(first.T).reshape(3 * few, strips, few).sum(axis=1) / strips**2
    return np.concatenate([np.roll(first, jaw * few, axis=0) for jaw in range(3)], axis=1)


def closed_about(together: Floats, gap: Floats, opened: Floats, loads: Floats) -> Flags | None:
    """Return which cells (n,) are closed, about; None where strips do not go together or are not balanced.

    Parameters
    ----------
    together : (m, m) array
        From `strips_together`.
    gap : (n,) array
        Before loading, mm.
    opened : (n, k) array
        Gap that unit motions open.
    loads : (k,) array
        Working through the motions.
    """
    if not together.size:
        return None
    few = len(together)
    strips = gap.size // few
    gaps, moved = gap.reshape(few, strips).mean(axis=1), opened.reshape(few, strips, -1).mean(axis=1)
    try:
        found = solve_unilateral(together, gaps, moved, loads)
    except ContactNotConverged:
        return None
    return np.repeat(found.force_n > 0.0, strips)
