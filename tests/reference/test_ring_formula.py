"""Thin ring under N equal radial loads.

Roark's Formulas for Stress and Strain, table of circular rings, equally spaced radial loads; S. Timoshenko,
Strength of Materials II. The coefficients for two loads, 0.149 and 0.137 (change of the two diameters over
W R^3 / E I), are Roark's and Timoshenko's well-known pair, exact (pi/4 - 2/pi), so a public page of verification
(solver-docs.pages.dev, pinched ring), and (2/pi - 1/2), both summed again in test_many_digits.py. For three loads
the books' decimals were not at hand: the check is a frame of straight,
inextensible beams computed here.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from sim.mechanics.distortion import thin_ring


def test_two_loads() -> None:
    ring = thin_ring(1.0, 1.0, 1e-2, 12e6, 1.0, 2)  # R = 1 and E I = 1
    assert -2.0 * ring.at_load == pytest.approx(0.149, abs=0.0005)
    assert 2.0 * ring.at_middle == pytest.approx(0.137, abs=0.0005)
    assert -2.0 * ring.at_load == pytest.approx(math.pi / 4.0 - 2.0 / math.pi, rel=1e-12)
    assert 2.0 * ring.at_middle == pytest.approx(2.0 / math.pi - 0.5, rel=1e-12)


def _frame(loads: int, per_load: int) -> tuple[float, float]:
    """Return u(load), u(mid) of a polygon of beams with E I = 1, R = 1 and a very large E A, one unit load each."""
    count = loads * per_load
    angles = 2.0 * math.pi * np.arange(count) / count
    points = np.stack([np.cos(angles), np.sin(angles)], axis=-1)
    stiffness = np.zeros((3 * count, 3 * count))
    for i in range(count):
        j = (i + 1) % count
        along = points[j] - points[i]
        length = float(np.hypot(*along))
        c, s = along / length
        stretch = 1e6 / length
        k = np.zeros((6, 6))
        k[np.ix_([0, 3], [0, 3])] = stretch * np.array([[1.0, -1.0], [-1.0, 1.0]])
        k[np.ix_([1, 2, 4, 5], [1, 2, 4, 5])] = (
            np.array(
                [
                    [12.0, 6.0 * length, -12.0, 6.0 * length],
                    [6.0 * length, 4.0 * length**2, -6.0 * length, 2.0 * length**2],
                    [-12.0, -6.0 * length, 12.0, -6.0 * length],
                    [6.0 * length, 2.0 * length**2, -6.0 * length, 4.0 * length**2],
                ]
            )
            / length**3
        )
        turn = np.kron(np.eye(2), np.array([[c, s, 0.0], [-s, c, 0.0], [0.0, 0.0, 1.0]]))
        at = np.r_[3 * i : 3 * i + 3, 3 * j : 3 * j + 3]
        stiffness[np.ix_(at, at)] += turn.T @ k @ turn
    force = np.zeros(3 * count)
    for i in range(0, count, per_load):
        force[3 * i : 3 * i + 2] = -points[i]
    moved = np.linalg.lstsq(stiffness, force, rcond=1e-12)[0].reshape(count, 3)  # least motion: no rigid part
    radial = np.einsum("ij,ij->i", moved[:, :2], points)
    return float(radial[0]), float(radial[per_load // 2])


@pytest.mark.parametrize("loads", [2, 3, 4, 6])
def test_any_number_of_loads_against_a_frame(loads: int) -> None:
    ring = thin_ring(1.0, 1.0, 1e-2, 12e6, 1.0, loads)
    at_load, at_middle = _frame(loads, 60)
    assert ring.at_load == pytest.approx(at_load, rel=5e-3)
    assert ring.at_middle == pytest.approx(at_middle, rel=5e-3)


def test_three_loads_by_hand() -> None:
    """t = 60 deg: (1.0472 + 0.4330) / 1.5 - 0.95493 = 0.03187, half of it; (1.90986 - 1.15470 - 0.69813) / 4."""
    ring = thin_ring(1.0, 1.0, 1e-2, 12e6, 1.0, 3)
    assert -ring.at_load == pytest.approx(0.01594, abs=0.00001)
    assert ring.at_middle == pytest.approx(0.01426, abs=0.00001)


@pytest.mark.parametrize("loads", [2, 3, 4, 6])
def test_any_number_of_loads_against_the_fourier_series(loads: int) -> None:
    """u = -sum of N cos(n theta) / (pi (n^2 - 1)^2), n = N, 2 N, ..., from the inextensible ring's equation."""
    n = loads * np.arange(1.0, 20_000.0)
    terms = loads / (math.pi * (n**2 - 1.0) ** 2)
    ring = thin_ring(1.0, 1.0, 1e-2, 12e6, 1.0, loads)
    assert ring.at_load == pytest.approx(-terms.sum(), rel=1e-6)
    assert ring.at_middle == pytest.approx(-(terms * np.cos(n * math.pi / loads)).sum(), rel=1e-6)
