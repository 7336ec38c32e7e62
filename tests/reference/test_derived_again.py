"""Formulas that other tests quote without the book at hand, derived again from what they solve.

Each says which test quotes it. What is summed or differentiated here shares no line with what it judges.
"""

from __future__ import annotations

import itertools
import math

import mpmath as mp
import numpy as np
import pytest


@pytest.mark.parametrize(
    ("ratio", "stiffness", "strength"),
    [(1, 0.141, 0.208), (2, 0.229, 0.246), (4, 0.281, 0.282), (10, 0.312, 0.312)],
)
def test_torsion_of_a_rectangle_by_prandtls_membrane(ratio: float, stiffness: float, strength: float) -> None:
    """`test_fixture_forms.py`: div grad f = -2, f = 0 around; J = 2 int f, shear df/dn T / J, worst at the long side.

    As printed, to half a unit of the last place. 1 = (16 / pi^2) sum of sin(m x) sin(n y) / (m n), m and n odd.
    """
    b, t = float(ratio), 1.0
    odd = np.arange(1.0, 4000.0, 2.0)
    m, n = odd[:, None], odd[None, :]
    of = 32.0 / (math.pi**4 * m * n * ((m / b) ** 2 + (n / t) ** 2))
    j = 2.0 * float((of * 4.0 * b * t / (math.pi**2 * m * n)).sum())
    assert j / (b * t**3) == pytest.approx(stiffness, abs=6e-4)
    # The slope at the side is an alternating sum over m, along the side: its last terms are halved.
    along = np.sin(0.5 * math.pi * m)
    slope = (of * (math.pi * n / t) * along).sum(axis=1)
    steepest = float(slope.sum() - 0.5 * slope[-1])
    assert j / (b * t**2) / steepest == pytest.approx(strength, abs=6e-4)


def test_golovins_bar_is_in_equilibrium_and_fits_together() -> None:
    """`test_fixture_forms.py`, sigma around of a bar from a to b under a moment of 1: with the sigma along the radius
    that goes with it nothing pulls at both rims, each piece is balanced, their sum is harmonic, the moment is 1."""
    a, b = mp.mpf(50), mp.mpf(100)
    n = (b * b - a * a) ** 2 - 4 * a * a * b * b * mp.log(b / a) ** 2

    def around(r):
        return (
            4
            / n
            * (
                b * b
                - a * a
                - (a * b / r) ** 2 * mp.log(b / a)
                + b * b * mp.log(r / b)
                + a * a * mp.log(a / r)
            )
        )

    def radial(r):
        return 4 / n * ((a * b / r) ** 2 * mp.log(b / a) + b * b * mp.log(r / b) + a * a * mp.log(a / r))

    assert abs(radial(a)) < 1e-12 > abs(radial(b))
    for r in (mp.mpf(55), mp.mpf(70), mp.mpf(95)):
        assert abs(mp.diff(radial, r) + (radial(r) - around(r)) / r) < 1e-12
        flow = mp.diff(lambda q: q * mp.diff(lambda s: radial(s) + around(s), q), r)
        assert abs(flow) < 1e-9
    assert abs(mp.quad(around, [a, b])) < 1e-12
    assert abs(abs(mp.quad(lambda r: around(r) * r, [a, b])) - 1) < 1e-12


def test_lames_ring_from_its_two_constants() -> None:
    """`test_ring_in_sectors.py` and `test_part_stress.py`: u = c r + d / r, sigma_r = 0 inside and -p outside."""
    inner, outer, modulus, nu, p = 54.0, 63.0, 70e3, 0.33, 2.5
    # Plane stress: sigma_r (1 - nu^2) / E = u' + nu u / r = c (1 + nu) - d (1 - nu) / r^2.
    rows = [[1.0 + nu, -(1.0 - nu) / r**2] for r in (inner, outer)]
    c, d = np.linalg.solve(rows, [0.0, -p * (1.0 - nu**2) / modulus])
    between = outer**2 - inner**2
    outside = p * outer / modulus * ((outer**2 + inner**2) / between - nu)
    assert -(c * outer + d / outer) == pytest.approx(outside, rel=1e-12)
    assert -(c * inner + d / inner) == pytest.approx(
        2.0 * p * outer**2 * inner / (modulus * between), rel=1e-12
    )
    for r in (inner, 58.0, outer):
        around = modulus / (1.0 - nu**2) * ((c + d / r**2) + nu * (c - d / r**2))
        along = modulus / (1.0 - nu**2) * ((c - d / r**2) + nu * (c + d / r**2))
        assert around + along == pytest.approx(-2.0 * p * outer**2 / between, rel=1e-12)


@pytest.mark.parametrize("share", [0.25, 0.5, 0.7])
def test_a_propped_cantilever_by_unit_loads(share: float) -> None:
    """`test_part_bend.py`: the prop's force takes back what the load alone moves the end; EI = 1."""
    length = 300.0
    a, b = share * length, (1.0 - share) * length
    s = np.linspace(0.0, length, 200_001)
    load, end = np.maximum(a - s, 0.0), length - s

    def times(one: np.ndarray, other: np.ndarray) -> float:
        return float(np.trapezoid(one * other, s))

    prop = times(load, end) / times(end, end)
    moved = times(load, load) - prop * times(end, load)
    assert moved == pytest.approx(a**3 * b**2 * (4.0 * length - a) / (12.0 * length**3), rel=1e-8)


def test_a_tapered_beam_is_worst_where_its_slope_says() -> None:
    """`test_across.py`: 6 F s / (h (w0 + k s)^2) is largest at s = w0 / k, and 1.5 F / (h k w0) there."""
    w0, k, h = mp.mpf(8), mp.mpf("0.7279"), mp.mpf(15)

    def stress(s):
        return 6 * s / (h * (w0 + k * s) ** 2)

    worst = mp.findroot(lambda s: mp.diff(stress, s), 10)
    assert abs(worst - w0 / k) < 1e-12
    assert abs(stress(worst) - mp.mpf("1.5") / (h * k * w0)) < 1e-15


def test_ishigamis_indices_by_integrals() -> None:
    """`test_sobol_indices.py`: variances of the conditional means of f, each integrated, not by the printed forms."""
    a, b = 7.0, 0.1
    x, weight = np.polynomial.legendre.leggauss(60)
    x, weight = math.pi * x, 0.5 * weight
    one, two, three = (x.reshape(shape) for shape in ((-1, 1, 1), (1, -1, 1), (1, 1, -1)))
    f = np.sin(one) + a * np.sin(two) ** 2 + b * three**4 * np.sin(one)

    def mean(of: np.ndarray, axes: tuple[int, ...]) -> np.ndarray:
        for axis in sorted(axes, reverse=True):
            of = np.tensordot(of, weight, (axis, 0))
        return of

    whole = float(mean((f - mean(f, (0, 1, 2))) ** 2, (0, 1, 2)))

    def share(kept: tuple[int, ...]) -> float:
        away = tuple(k for k in range(3) if k not in kept)
        known = mean(f, away) - mean(f, (0, 1, 2))
        return float(mean(known**2, tuple(range(len(kept))))) / whole

    first = [share((k,)) for k in range(3)]
    total = [1.0 - share(pair) for pair in itertools.combinations(range(3), 2)][::-1]
    assert first == pytest.approx([0.3139, 0.4424, 0.0], abs=5e-5)
    assert total == pytest.approx([0.5576, 0.4424, 0.2437], abs=5e-5)


@pytest.mark.parametrize(
    ("top", "outline", "volume", "middle", "around", "across"),
    [
        (7, lambda _: mp.mpf(3), 63, mp.mpf(7) / 2, mp.mpf(9) / 2, mp.mpf(9) / 4 + mp.mpf(49) / 12),
        (8, lambda z: 3 * (1 - z / 8), 24, 2, mp.mpf(27) / 10, mp.mpf(27) / 20 + mp.mpf(192) / 80),
        (5, lambda z: mp.sqrt(25 - z * z), mp.mpf(250) / 3, mp.mpf(15) / 8, 10, 10 - mp.mpf(225) / 64),
    ],
    ids=["cylinder", "cone", "hemisphere"],
)
def test_solids_of_revolution_by_their_discs(top, outline, volume, middle, around, across) -> None:
    """`test_mesh_mass.py`: discs of pi r^2 dz sum up to volume / pi, centroid, and inertia over mass."""
    whole = mp.quad(lambda z: outline(z) ** 2, [0, top])
    height = mp.quad(lambda z: outline(z) ** 2 * z, [0, top]) / whole
    turning = mp.quad(lambda z: outline(z) ** 4 / 2, [0, top]) / whole
    tilting = mp.quad(lambda z: outline(z) ** 4 / 4 + outline(z) ** 2 * (z - height) ** 2, [0, top]) / whole
    for found, wanted in ((whole, volume), (height, middle), (turning, around), (tilting, across)):
        assert abs(found - wanted) < 1e-9


@pytest.mark.parametrize(
    ("held", "count", "low", "high"),
    [(81, 263, 0.2553, 0.3662), (15, 148, 0.0624, 0.1605), (0, 20, 0.0, 0.1611), (1, 29, 0.0061, 0.1718)],
)
def test_wilsons_bounds_are_where_a_share_is_just_believed(
    held: int, count: int, low: float, high: float
) -> None:
    """`test_probability.py`: the shares p from which held / count lies 1.96 of p's own deviations away."""
    z = math.sqrt(2.0) * float(mp.erfinv(0.95))
    found = held / count
    for bound in (low, high):
        # To half a unit of the last printed place the difference changes its sign there.
        off = [
            abs(found - p) - z * math.sqrt(max(p * (1.0 - p), 0.0) / count)
            for p in (bound - 6e-5, bound + 6e-5)
        ]
        assert off[0] * off[1] < 0.0 or (bound == 0.0 and found == 0.0)
