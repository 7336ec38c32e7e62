"""Structured meshes of 20-node bricks (and 15-node wedges on the spindle axis) for the contact oracle.

Lengths in mm, angles in rad. Node numbers are 1-based, as input decks count. The order of an element's nodes
is that of the CalculiX manual (G. Dhondt, CalculiX CrunchiX user's manual, sections "Twenty-node brick element"
and "Fifteen-node wedge element").
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Integers = NDArray[np.int64]

# Offsets on the doubled lattice of one brick's twenty nodes.
_BRICK = [(0, 0, 0), (2, 0, 0), (2, 2, 0), (0, 2, 0), (0, 0, 2), (2, 0, 2), (2, 2, 2), (0, 2, 2)]
_BRICK += [(1, 0, 0), (2, 1, 0), (1, 2, 0), (0, 1, 0), (1, 0, 2), (2, 1, 2), (1, 2, 2), (0, 1, 2)]
_BRICK += [(0, 0, 1), (2, 0, 1), (2, 2, 1), (0, 2, 1)]
# The same for a wedge whose edge 1-4 lies on the spindle axis.
_WEDGE = [(0, 0, 0), (2, 0, 0), (2, 2, 0), (0, 0, 2), (2, 0, 2), (2, 2, 2)]
_WEDGE += [(1, 0, 0), (2, 1, 0), (1, 2, 0), (1, 0, 2), (2, 1, 2), (1, 2, 2)]
_WEDGE += [(0, 0, 1), (2, 0, 1), (2, 2, 1)]


@dataclass(frozen=True, slots=True, eq=False)
class Block:
    """A body meshed as one structured block.

    Attributes
    ----------
    lattice
        (2 a + 1, 2 b + 1, 2 c + 1) node numbers, 0 where no node stands (faces' and bricks' middles).
    nodes
        (n, 3) coordinates; row i belongs to node number first_node + i.
    bricks
        (a, b, c) element numbers, 0 where a wedge stands.
    brick_nodes, wedge_nodes
        (m, 20) and (w, 15) node numbers.
    brick_numbers, wedge_numbers
        (m,) and (w,) element numbers.
    """

    lattice: Integers
    first_node: int
    nodes: Floats
    bricks: Integers
    brick_nodes: Integers
    brick_numbers: Integers
    wedge_nodes: Integers
    wedge_numbers: Integers

    def plane(self, axis: int, index: int) -> Integers:
        """Return the distinct node numbers of one lattice plane."""
        numbers = np.unique(np.take(self.lattice, index, axis=axis))
        return numbers[numbers > 0]

    def coordinates(self, numbers: Integers) -> Floats:
        """Return the (n, 3) coordinates of the given node numbers."""
        return np.asarray(self.nodes[numbers - self.first_node])


def doubled(corners: Floats) -> Floats:
    """Insert the midpoint between each pair of neighbours: (n,) -> (2 n - 1,)."""
    line = np.zeros(2 * len(corners) - 1)
    line[::2] = corners
    line[1::2] = (corners[:-1] + corners[1:]) / 2.0
    return line


def graded(start: float, end: float, elements: int, exponent: float) -> Floats:
    """Return elements + 1 points from start to end, finest at start for an exponent above 1."""
    return start + (end - start) * np.linspace(0.0, 1.0, elements + 1) ** exponent


def structured_block(
    coordinates: Floats, *, first_node: int = 1, first_element: int = 1, collapsed: bool = False
) -> Block:
    """Mesh a lattice of points by quadratic bricks.

    Parameters
    ----------
    coordinates
        (2 a + 1, 2 b + 1, 2 c + 1, 3) points of the doubled lattice.
    first_node, first_element
        Numbers given to the first node and element.
    collapsed
        True if the plane i = 0 is a line (the spindle axis): the first layer becomes wedges.

    Returns
    -------
    Block
        The mesh.
    """
    shape = coordinates.shape[:3]
    odd = sum(
        (np.arange(count) % 2).reshape([-1 if a == axis else 1 for a in range(3)])
        for axis, count in enumerate(shape)
    )
    exists = np.asarray(odd) <= 1
    if collapsed:
        exists[0, 1:, :] = False
    lattice = np.zeros(shape, dtype=np.int64)
    lattice[exists] = first_node + np.arange(int(exists.sum()))
    if collapsed:
        lattice[0] = lattice[0, :1]
    counts = tuple((count - 1) // 2 for count in shape)
    numbers = (first_element + np.arange(int(np.prod(counts)))).reshape(counts)
    bricks = numbers.copy()
    if collapsed:
        bricks[0] = 0
    brick_cells = np.argwhere(bricks > 0)
    wedge_cells = np.argwhere(bricks == 0)
    return Block(
        lattice=lattice,
        first_node=first_node,
        nodes=coordinates[exists],
        bricks=bricks,
        brick_nodes=_gathered(lattice, brick_cells, _BRICK),
        brick_numbers=numbers[bricks > 0],
        wedge_nodes=_gathered(lattice, wedge_cells, _WEDGE),
        wedge_numbers=numbers[bricks == 0],
    )


def _gathered(lattice: Integers, cells: Integers, offsets: list[tuple[int, int, int]]) -> Integers:
    """Return the (m, len(offsets)) node numbers of the given (m, 3) cells."""
    columns = [lattice[tuple((2 * cells + np.array(offset)).T)] for offset in offsets]
    return np.stack(columns, axis=1) if len(cells) else np.zeros((0, len(offsets)), dtype=np.int64)


def polar_lattice(radii: Floats, angles: Floats, heights: Floats) -> Floats:
    """Return the lattice of a sector about the z axis from its doubled lines of points."""
    r, angle, z = np.meshgrid(radii, angles, heights, indexing="ij")
    return np.stack([r * np.cos(angle), r * np.sin(angle), z], axis=-1)


def transfinite_plan(
    inner: Floats, outer: Floats, middle: Floats, side: Floats, u: Floats, v: Floats
) -> Floats:
    """Fill a plan area between four sides (Gordon and Hall 1973, transfinite interpolation).

    Parameters
    ----------
    inner, outer
        (b, 2) points of the sides u = 0 and u = 1.
    middle, side
        (a, 2) points of the sides v = 0 and v = 1.
    u, v
        (a,) and (b,) parameters in 0..1.

    Returns
    -------
    (a, b, 2) points.
    """
    s, t = u[:, None, None], v[None, :, None]
    corners = (
        (1 - s) * (1 - t) * inner[0] + (1 - s) * t * inner[-1] + s * (1 - t) * outer[0] + s * t * outer[-1]
    )
    sides = (1 - s) * inner[None] + s * outer[None] + (1 - t) * middle[:, None] + t * side[:, None]
    return np.asarray(sides - corners)


def extruded(plan: Floats, heights: Floats) -> Floats:
    """Return the (a, b, c, 3) lattice of an (a, b, 2) plan repeated at (c,) heights."""
    a, b = plan.shape[:2]
    lattice = np.zeros((a, b, len(heights), 3))
    lattice[..., :2] = plan[:, :, None, :]
    lattice[..., 2] = heights
    return lattice
