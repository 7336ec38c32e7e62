"""Compliance of a soft jaw: a 3D finite-element block, held on the serrated plane, condensed to its bored face.

20-node hexahedra (scikit-fem's serendipity shape functions) on half the jaw, once symmetric and once antisymmetric
about its middle plane. All nodes are eliminated by nested dissection (`sim.contact.substructure`), which leaves the
compliance between the cells of the face alone.
"""

from __future__ import annotations

import numpy as np
from skfem import ElementHexS2
from threadpoolctl import threadpool_limits

from sim.base.arrays import Flags, Floats, Ints
from sim.contact.bodies import Hole, JawBlock, SeatArea
from sim.contact.face import FaceGrid, GripGeometry
from sim.contact.jaw_mesh import JawMesh, jaw_angles, jaw_mesh
from sim.contact.part import elastic_matrix
from sim.contact.substructure import compliances, dissection

_SAMPLES = 4  # pieces along each edge by which the metal of a cut element is counted
_VOID = 1e-4  # stiffness left to an element in a hole, so that its nodes stay determined
_ON = 1e-6  # mm within which a node stands on the edge of the seat
_GAUSS, _WEIGHT = np.polynomial.legendre.leggauss(3)
_PLACES: Ints = np.round(2.0 * ElementHexS2().doflocs).astype(
    np.int64
)  # (20, 3) places of the nodes in half steps


def _shapes(points: Floats) -> tuple[Floats, Floats]:
    """Values (20, k) and gradients (20, 3, k) of the shape functions at points (3, k) of the unit cube."""
    found = [ElementHexS2().lbasis(points, i) for i in range(20)]
    return np.stack([value for value, _ in found]), np.stack([gradient for _, gradient in found])


def _cube_points() -> tuple[Floats, Floats]:
    g = 0.5 * (1.0 + _GAUSS)
    points = np.stack([axis.ravel() for axis in np.meshgrid(g, g, g, indexing="ij")])
    w = 0.5 * _WEIGHT
    return points, np.einsum("i,j,k->ijk", w, w, w).ravel()


def _corner_gradients(points: Floats) -> Floats:
    """Gradients (2, 2, 2, 3, k) of the eight trilinear corner functions at points (3, k)."""
    value = np.stack([1.0 - points, points])  # (2, 3, k)
    slope = np.stack([-np.ones_like(points), np.ones_like(points)])
    x, y, z = (value[:, k] for k in range(3))
    dx, dy, dz = (slope[:, k] for k in range(3))
    parts = [
        np.einsum("ak,bk,ck->abck", dx, y, z),
        np.einsum("ak,bk,ck->abck", x, dy, z),
        np.einsum("ak,bk,ck->abck", x, y, dz),
    ]
    return np.stack(parts, axis=3)


def element_stiffness(plan: Floats, heights: Floats, law: Floats) -> Floats:
    """Stiffness of upright hexahedra with straight edges, (m, h, 60, 60) N/mm, dofs by node and direction.

    Slopes along z go with 1 / height and the volume with the height, so one over each plan tells those of all heights.

    Parameters
    ----------
    plan : (m, 2, 2, 2) array
        Corners along the element's two directions across z, x and y of each, mm.
    heights : (h,) array
        mm.
    law : (6, 6) array
        Hooke's law of a metal that is alike in all directions, MPa.
    """
    points, weights = _cube_points()
    gradient = _shapes(points)[1]  # (20, 3, k)
    corners = np.zeros((len(plan), 2, 2, 2, 3))
    corners[..., :2] = plan[:, :, :, None]
    corners[:, :, :, 1, 2] = 1.0
    jacobian = np.einsum("mabci,abcjk->mkij", corners, _corner_gradients(points))
    volume = np.linalg.det(jacobian)
    if not (np.all(volume > 0.0) or np.all(volume < 0.0)):
        raise ValueError(
            "the jaw's outline cannot be divided into elements: bore, width and length do not fit"
        )
    slope = np.einsum("njk,mkji->mkni", gradient, np.linalg.inv(jacobian))  # (m, k, 20, 3)
    # Sums over the points of slope times slope, (m, node, direction, node, direction), hold both parts of Hooke's law.
    m, k = slope.shape[:2]
    weighted = slope * (np.abs(volume) * weights)[..., None, None]
    product = weighted.reshape(m, k, 60).transpose(0, 2, 1) @ slope.reshape(m, k, 60)
    product = product.reshape(m, 20, 3, 20, 3)
    along = np.array([0, 0, 1])
    times_z = np.add.outer(along, along)[:, None, :]  # how often a sum's slopes are along z
    out = np.zeros((m, heights.size, 60, 60))
    for count in range(3):
        part = _by_hooke(np.where(times_z == count, product, 0.0), law)
        out += heights[:, None, None] ** (1 - count) * part[:, None]
    return out


def _by_hooke(product: Floats, law: Floats) -> Floats:
    """Stiffness (m, 60, 60) of sums of slope times slope (m, 20, 3, 20, 3)."""
    lame, shear = law[0, 1], law[3, 3]
    out = lame * product + shear * product.transpose(0, 1, 4, 3, 2)
    alike = shear * np.einsum("mnipi->mnp", product)
    for i in range(3):
        out[:, :, i, :, i] += alike
    return np.asarray(out.reshape(-1, 60, 60))


def _numbering(mesh: JawMesh) -> Ints:
    """First dof of each node by place in half steps (2 rows + 1, 2 columns + 1, 2 layers + 1); -1 where none."""
    rows, columns = mesh.plan_mm.shape[0] - 1, mesh.plan_mm.shape[1] - 1
    layers = mesh.levels_mm.size - 1
    used = np.zeros((2 * rows + 1, 2 * columns + 1, 2 * layers + 1), dtype=bool)
    for row in range(rows):
        used[_node_places(mesh, row)] = True
    number = np.full(used.shape, -1, dtype=np.int64)
    number[used] = 3 * np.arange(np.count_nonzero(used))
    return number


def _elements(mesh: JawMesh, row: int) -> tuple[Ints, Ints, Ints]:
    """First column, columns spanned and layer (m,) of each element of a row."""
    edges, layers = mesh.column_edges(row), np.flatnonzero(mesh.present[row])
    column, layer = (axis.ravel() for axis in np.meshgrid(np.arange(edges.size - 1), layers, indexing="ij"))
    return edges[column], np.diff(edges)[column], layer


def _steps(mesh: JawMesh, row: int) -> Ints:
    """Row, column and layer (m, 3) of each element of a row."""
    first, _, layer = _elements(mesh, row)
    return np.column_stack([np.full_like(first, row), first, layer])


def _wide_behind(mesh: JawMesh, row: int) -> tuple[Ints, Ints]:
    """First column and columns spanned (m,) of the element behind each element of a row."""
    first, _, _ = _elements(mesh, row)
    edges = mesh.column_edges(row + 1)
    behind = np.searchsorted(edges, first, side="right") - 1
    return edges[behind], np.diff(edges)[behind]


def _node_places(mesh: JawMesh, row: int) -> tuple[Ints, Ints, Ints]:
    """Places (m, 20) of the nodes of a row's elements in half steps of rows, columns and layers.

    In front of wide elements the nodes of the far plane are those of the wide one behind.
    """
    first, span, layer = _elements(mesh, row)
    a, b, c = _PLACES.T
    beside = 2 * first[:, None] + span[:, None] * b
    if row == mesh.coarse_row - 1:
        wide, width = _wide_behind(mesh, row)
        beside = np.where(a == 2, 2 * wide[:, None] + width[:, None] * b, beside)
    return np.broadcast_to(2 * row + a, beside.shape), beside, 2 * layer[:, None] + c


def _hung(mesh: JawMesh, row: int, stiffness: Floats) -> Floats:
    """Stiffness of elements whose far nodes move as the face of a wider element behind them says, (m, 60, 60)."""
    first, span, _ = _elements(mesh, row)
    wide, width = _wide_behind(mesh, row)
    far = np.flatnonzero(_PLACES[:, 0] == 2)
    out = stiffness.copy()
    for begin, end in {(0.0, 0.5), (0.5, 1.0)}:
        own = ((first - wide) / width == begin) & ((first + span - wide) / width == end)
        across = begin + (end - begin) * 0.5 * _PLACES[far, 1]
        share = np.eye(20)
        share[np.ix_(far, far)] = _shapes(np.stack([np.ones(far.size), across, 0.5 * _PLACES[far, 2]]))[0][
            far
        ].T
        change = np.kron(share, np.eye(3))
        out[own] = change.T @ stiffness[own] @ change
    return out


def _held(number: Ints, size: int, on_seat: Flags, *, mirrored: bool) -> Flags:
    """Flag the dofs (size,) that the seat (z = 0) and the middle plane hold."""
    held = np.zeros(size, dtype=bool)
    seat = number[:, :, 0]
    seat = seat[(seat >= 0) & on_seat]
    held[(seat[:, None] + np.arange(3)).ravel()] = True
    middle = number[:, 0, :]
    middle = middle[middle >= 0]
    for direction in (1,) if mirrored else (0, 2):
        held[middle + direction] = True
    return held


def _on_seat(mesh: JawMesh, seat: SeatArea | None) -> Flags:
    """Flag the places of the lower face, in half steps (2 rows + 1, 2 columns + 1), that stand on the seat."""
    places = mesh.plan_mm
    for axis in (0, 1):
        places = np.moveaxis(places, axis, 0)
        finer = np.zeros((2 * len(places) - 1, *places.shape[1:]))
        finer[::2], finer[1::2] = places, 0.5 * (places[1:] + places[:-1])
        places = np.moveaxis(finer, 0, axis)
    if seat is None:
        return np.ones(places.shape[:2], dtype=bool)
    x, y = places[..., 0], places[..., 1]
    # An edge between two nodes counts to the nearer one: of a seat that steps across the columns as much is held.
    half_a_step = 0.5 * np.diff(y, axis=1, append=2.0 * y[:, -1:] - y[:, -2:-1])
    found = (y <= seat.half_width_mm + half_a_step) & (x >= seat.low_mm - _ON) & (x <= seat.high_mm + _ON)
    if not found.any():
        raise ValueError("the jaw's outline stands nowhere on its seat: width, length and seat do not fit")
    return np.asarray(found)


def solid_share(corners: Floats, holes: tuple[Hole, ...]) -> Floats:
    """Return the share (m,) of each element's volume that lies outside the holes.

    Each small piece of an element's plan counts by how far the hole's edge goes through it. So the share changes
    smoothly when an element is moved over the edge: counted by points in and out, neighbouring pockets had pressures
    that differed by 3 % of the mean.

    Parameters
    ----------
    corners : (m, 2, 2, 2, 3) array
        Corner coordinates; the last of the three axes runs along z.
    holes : tuple of Hole
        Along z, their axes on y = 0, apart from each other.
    """
    gone = np.zeros(len(corners))
    if holes:
        plan, low, high = corners[:, :, :, 0, :2], corners[:, 0, 0, 0, 2], corners[:, 0, 0, 1, 2]
        middles = (np.arange(_SAMPLES) + 0.5) / _SAMPLES
        value = np.stack([1.0 - middles, middles])
        points = np.einsum("mabi,ak,bl->mkli", plan, value, value)
        one = np.einsum("mbi,bl->mli", plan[:, 1] - plan[:, 0], value)[:, None] / _SAMPLES
        other = np.einsum("mai,ak->mki", plan[:, :, 1] - plan[:, :, 0], value)[:, :, None] / _SAMPLES
        for hole in holes:
            off = points - np.array([hole.axis_mm, 0.0])
            away = np.maximum(np.hypot(off[..., 0], off[..., 1]), 1e-9)
            outward = off / away[..., None]
            reach = np.abs(np.sum(one * outward, axis=-1)) + np.abs(np.sum(other * outward, axis=-1))
            inside = np.clip(0.5 + (0.5 * hole.diameter_mm - away) / np.maximum(reach, 1e-9), 0.0, 1.0)
            along = np.minimum(high, hole.z_high_mm) - np.maximum(low, hole.z_low_mm)
            gone += inside.mean(axis=(1, 2)) * np.maximum(along, 0.0) / (high - low)
    return np.asarray(1.0 - np.minimum(gone, 1.0))


def _row_stiffness(
    mesh: JawMesh, number: Ints, law: Floats, row: int, holes: tuple[Hole, ...]
) -> tuple[Floats, Ints]:
    """Element matrices (m, 60, 60) of a row and their dofs (m, 60).

    An element that a hole cuts is as soft as the share of its metal (fictitious domain; first order in its size).
    """
    first, span, layer = _elements(mesh, row)
    corners = np.zeros((first.size, 2, 2, 2, 3))
    for a in range(2):
        for b in range(2):
            for c in range(2):
                corners[:, a, b, c, :2] = mesh.plan_mm[row + a, first + b * span]
                corners[:, a, b, c, 2] = mesh.levels_mm[layer + c]
    dofs = (number[_node_places(mesh, row)][:, :, None] + np.arange(3)).reshape(first.size, 60)
    metal = np.maximum(solid_share(corners, holes), _VOID)
    layers = np.count_nonzero(mesh.present[row])
    heights = np.diff(mesh.levels_mm)[mesh.present[row]]
    stiffness = element_stiffness(corners[::layers, :, :, 0, :2], heights, law).reshape(-1, 60, 60)
    stiffness *= metal[:, None, None]
    return (_hung(mesh, row, stiffness) if row == mesh.coarse_row - 1 else stiffness), dofs


def _cell_loads(mesh: JawMesh, number: Ints, grip: GripGeometry, grid: FaceGrid, size: int) -> Floats:
    """Nodal forces (size, nz nt/2) of a unit force spread over each cell of the half face, outward along the radius."""
    nz, half = grid.shape[0], grid.shape[1] // 2
    angles, heights = jaw_angles(grip, grid)[half:], grid.height_edges_mm
    corner_angles = angles[mesh.columns_at]
    points = 0.5 * (1.0 + _GAUSS)
    phi = angles[:-1, None] + points * np.diff(angles)[:, None]  # (half, 3)
    z = heights[:-1, None] + points * np.diff(heights)[:, None]  # (nz, 3)
    column = np.searchsorted(corner_angles, phi[:, 1]) - 1
    layer = np.searchsorted(mesh.levels_mm, z[:, 1]) - 1
    v = (phi - corner_angles[column, None]) / np.diff(corner_angles)[column, None]
    w = (z - mesh.levels_mm[layer, None]) / np.diff(mesh.levels_mm)[layer, None]
    vv, ww = np.broadcast_arrays(v[None, :, :, None], w[:, None, None, :])  # (nz, half, 3, 3)
    first = _PLACES[:, 0] == 0
    shape = _shapes(np.stack([np.zeros(vv.size), vv.ravel(), ww.ravel()]))[0][first]
    share = shape.reshape(-1, *vv.shape) * (0.25 * np.outer(_WEIGHT, _WEIGHT))
    # The pressure acts along the part's radius.
    direction = np.arcsin(grip.bore_radius_mm / grid.radius_mm * np.sin(phi))
    places = _PLACES[first]
    dof = number[
        2 * mesh.face_row,
        2 * column[None, :] + places[:, 1, None, None],
        2 * layer[:, None] + places[:, 2, None, None],
    ]
    out = np.zeros((size, nz * half))
    cell = np.arange(nz * half).reshape(nz, half)
    for offset, part in enumerate((np.cos(direction), np.sin(direction))):
        np.add.at(out, (dof + offset, cell[None]), np.einsum("kbtij,ti->kbt", share, part))
    return out


def jaw_compliance(
    grip: GripGeometry,
    grid: FaceGrid,
    jaw: JawBlock,
    per_element: tuple[int, int] = (2, 1),
    first_row_mm: float | None = None,
    growth: float = 1.5,
) -> Floats:
    """Compliance of one jaw between the cells of its face, mm/N, (nz nt, nz nt), cells by band and strip.

    Parameters
    ----------
    grip, grid : GripGeometry, FaceGrid
        The face and its cells, an even number of strips.
    jaw : JawBlock
        The block, held on its seat in z = 0: on all of it, or on the nodes over its `SeatArea`.
    per_element : tuple
        Strips and bands per element of the face (see `jaw_mesh`).

    Raises
    ------
    ValueError
        When the jaw's dimensions cannot be divided into elements.
    """
    mesh = jaw_mesh(grip, grid, jaw, per_element, first_row_mm, growth)
    number = _numbering(mesh)
    law = elastic_matrix(jaw.modulus_mpa, jaw.poisson)
    rows = range(mesh.present.shape[0])
    of_rows = [_row_stiffness(mesh, number, law, row, jaw.holes) for row in rows]
    stiffness, dofs = (np.concatenate(arrays) for arrays in zip(*of_rows, strict=True))
    loads = _cell_loads(mesh, number, grip, grid, 3 * int(np.count_nonzero(number >= 0)))
    front = dissection(dofs[:, ::3] // 3, np.concatenate([_steps(mesh, row) for row in rows]))
    on_seat, size = _on_seat(mesh, jaw.seat), loads.shape[0]
    held = [_held(number, size, on_seat, mirrored=mirrored) for mirrored in (True, False)]
    with threadpool_limits(1):  # BLAS threads beside our own only wait for each other
        same, opposite = compliances(front, stiffness, dofs, held, loads)
    nz, nt = grid.shape
    half = nt // 2
    own = (0.5 * (same + opposite)).reshape(nz, half, nz, half)
    other = (0.5 * (same - opposite)).reshape(nz, half, nz, half)
    whole = np.zeros((nz, nt, nz, nt))
    whole[:, half:, :, half:] = own
    whole[:, half:, :, :half] = other[..., ::-1]
    whole[:, :half, :, half:] = other[:, ::-1]
    whole[:, :half, :, :half] = own[:, ::-1, :, ::-1]
    out = whole.reshape(nz * nt, nz * nt)
    return np.asarray(0.5 * (out + out.T), dtype=np.float64)
