"""Response of a part to waves of pressure around the spindle, and what follows from it for strips of the face.

Numbers only: the finite elements that give the responses are in `sim.contact.part`.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from sim.base.arrays import Floats
from sim.contact.face import JAW_ANGLES_RAD, FaceGrid, frozen_array

EXACT = 24  # harmonics up to here are solved one by one
_BETWEEN = 1.25  # growth of the harmonics solved beyond
HIGHEST_OF_SHAPE = 96  # harmonic summed for the shape; 3.75 deg
HIGHEST_OF_STRESS = 119  # the mean over 3 deg has nothing of harmonic 120
_TAIL = 4.0  # harmonics are summed until n * (width of a strip) exceeds this many half waves


@dataclass(frozen=True, slots=True, eq=False)
class Harmonics:
    """Response of the part to unit loads cos(n theta) per radian, outward, on each band.

    Attributes
    ----------
    orders : (m,) array
        Harmonics n.
    band_mm : (m, nz, nz) array
        Mean outward displacement of band b under 1 N/rad on band c.
    places_mm : (k, 2) array
        r and z of the points reported.
    place_mm : (m, k, 3, nz) array
        U, V, W at these points.
    stress_mpa : (m, b, 6, nz) array
        Mean stresses rr, tt, zz, rz, rt, tz in bands along the outline; the last two go with the sine.
    whole_mm : (97, k, 3, nz) array
        `place_mm` at every whole harmonic of the shape; none where that has not been asked.
    shares : (120, m) array
        Weights of the harmonics solved in every whole one of the stress; none where that has not been asked.
    """

    orders: Floats
    band_mm: Floats
    places_mm: Floats
    place_mm: Floats
    stress_mpa: Floats = field(default_factory=lambda: np.zeros((0, 0, 6, 0)))
    whole_mm: Floats = field(default_factory=lambda: np.zeros((0, 0, 3, 0)))
    shares: Floats = field(default_factory=lambda: np.zeros((0, 0)))

    def __post_init__(self) -> None:
        for name in ("orders", "band_mm", "places_mm", "place_mm", "stress_mpa", "whole_mm", "shares"):
            object.__setattr__(self, name, frozen_array(getattr(self, name)))


def solved_orders(grid: FaceGrid) -> Floats:
    """Harmonics to be solved: each one up to 24, then in growing steps up to about twice R / (width of a strip)."""
    highest = max(2.0 / float(np.diff(grid.angle_edges_rad).min()), 2.0 * EXACT)
    steps = int(np.ceil(np.log(highest / EXACT) / np.log(_BETWEEN)))
    return np.concatenate([np.arange(EXACT), np.geomspace(EXACT, highest, steps + 1)])


def strip_waves(grid: FaceGrid, orders: Floats) -> Floats:
    """Share sin(n w/2)/(n w/2) of harmonic n in the mean over each strip of width w, (m, nt)."""
    return np.asarray(
        np.sinc(np.outer(orders, np.diff(grid.angle_edges_rad)) / (2.0 * np.pi)), dtype=np.float64
    )


def pressure_waves(grid: FaceGrid, pressure_mpa: Floats, highest: int) -> NDArray[np.complex128]:
    """Waves of the jaws' pressures around the part, (highest + 1, nz), N: what to multiply a response with, over pi.

    Of the force on a band, outward, wave n is the real part of its row times exp(i n theta); pressures are (3, nz, nt).
    """
    n = np.arange(highest + 1)
    force = -grid.sign * pressure_mpa * grid.areas_mm2
    waves = strip_waves(grid, n.astype(np.float64))
    load = np.zeros((n.size, grid.shape[0]), dtype=np.complex128)
    for jaw, turn in enumerate(JAW_ANGLES_RAD):
        load += (np.exp(-1j * np.outer(n, grid.angles_rad + turn)) * waves) @ force[jaw].T
    load[0] *= 0.5
    return load


def between_orders(orders: Floats, values: Floats, highest: int) -> Floats:
    """Values (m, ...) at the orders solved, for all whole harmonics 0 .. highest, (highest + 1, ...).

    Beyond 24 n times the value is interpolated by a cubic in log n; beyond the last one solved it is constant, as on
    a half plane.
    """
    exact = min(EXACT, orders.size - 1)
    out = np.zeros((highest + 1, *values.shape[1:]))
    whole = min(exact, highest) + 1
    out[:whole] = values[:whole]
    if highest > exact:
        from scipy.interpolate import CubicSpline  # takes a while to load, and the cache knows what follows

        shape = (-1,) + (1,) * (values.ndim - 1)
        spline = CubicSpline(np.log(orders[4:]), values[4:] * orders[4:].reshape(shape))
        n = np.arange(exact + 1, highest + 1)
        out[exact + 1 :] = spline(np.log(np.minimum(n, orders[-1]))) / n.reshape(shape)
    return out


def shares_between(orders: Floats, highest: int) -> Floats:
    """Weights (highest + 1, m) of the orders solved in each whole harmonic: cubic in log n beyond 24, then constant."""
    exact = min(EXACT, orders.size - 1)
    out = np.zeros((highest + 1, orders.size))
    out[: exact + 1, : exact + 1] = np.eye(exact + 1)
    from scipy.interpolate import CubicSpline

    spline = CubicSpline(np.log(orders[4:]), np.eye(orders.size)[4:])
    beyond = np.arange(exact + 1, highest + 1)
    out[beyond] = spline(np.log(np.minimum(beyond, orders[-1])))
    return out


def filled(response: Harmonics) -> Harmonics:
    """Return a response with what follows at the whole harmonics between and beyond those solved."""
    if response.shares.size:
        return response
    orders = response.orders
    whole = between_orders(orders, response.place_mm, HIGHEST_OF_SHAPE)
    return replace(response, whole_mm=whole, shares=shares_between(orders, HIGHEST_OF_STRESS))


def part_blocks(harmonics: Harmonics, grid: FaceGrid, highest: int | None = None) -> Floats:
    """Compliance of the part between the cells of two faces, mm/N, (3, nz nt, nz nt), cells by band and strip.

    Block k is the motion of a jaw's cells under forces on the jaw k places behind it (0: on itself). A force f
    spread over a strip of width w at theta0 is f/(2 pi) + sum f/pi s_n(w) cos n(theta - theta0) per radian with
    s_n = sin(n w/2)/(n w/2); the mean over another strip brings another s_n.

    Parameters
    ----------
    harmonics, grid : Harmonics, FaceGrid
        Response of the part and the cells.
    highest : int or None
        Last harmonic summed; None for as many as the narrowest strip tells from zero.
    """
    nz, nt = grid.shape
    widths = np.diff(grid.angle_edges_rad)
    if highest is None:
        highest = int(_TAIL * np.pi / float(widths.min()))
    # Between jaws, far apart, only waves that the widest strips do not average out matter.
    between = min(highest, int(_TAIL * np.pi / float(widths.max())))
    band = between_orders(harmonics.orders, harmonics.band_mm, highest).reshape(-1, nz * nz) / np.pi
    band[0] *= 0.5
    n = np.arange(highest + 1)
    turn = np.exp(1j * np.outer(n, grid.angles_rad)) * strip_waves(grid, n.astype(np.float64))
    blocks = np.zeros((3, nz * nt, nz * nt))
    blocks[0] = _own_block(band, turn, (nz, nt))
    ahead = turn[: between + 1] * np.exp(1j * n[: between + 1] * JAW_ANGLES_RAD[1])[:, None]
    pair = ahead.real[:, :, None] * turn.real[: between + 1, None, :]
    pair += ahead.imag[:, :, None] * turn.imag[: between + 1, None, :]
    product = band[: between + 1].T @ pair.reshape(-1, nt * nt)
    blocks[1] = product.reshape(nz, nz, nt, nt).transpose(0, 2, 1, 3).reshape(nz * nt, nz * nt)
    blocks[2] = blocks[1].T  # what jaw 1 does to jaw 0 jaw 0 does to jaw 2
    return blocks


def _own_block(band: Floats, turn: NDArray[np.complex128], shape: tuple[int, int]) -> Floats:
    """Motion of a jaw's cells under forces on itself; each pair of bands and of strips is summed once."""
    nz, nt = shape
    a, b = np.triu_indices(nz)
    i, j = np.triu_indices(nt)
    pair = turn.real[:, i] * turn.real[:, j]
    pair += turn.imag[:, i] * turn.imag[:, j]
    product = band.reshape(-1, nz, nz)[:, a, b].T @ pair
    strips = np.zeros((a.size, nt, nt))
    strips[:, i, j] = product
    strips[:, j, i] = product
    out = np.zeros((nz, nt, nz, nt))
    out[a, :, b, :] = strips
    out[b, :, a, :] = strips
    return out.reshape(nz * nt, nz * nt)
