"""Roundness of a ring under the jaws, by closed forms: the thin-ring formula and the plane annulus.

Both are plane: a ring of uniform section, loaded over its whole width by N equal radial forces spread evenly
in angle. They stand beside the contact model as quick figures and as its references; nothing here uses it.
Lengths in mm, forces in N, moduli in MPa, angles in rad from a load. Displacements are positive outward.
Forces are positive when they press on the ring: inward on its outer surface, outward in its bore.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

Surface = Literal["outer", "bore"]
Plane = Literal["stress", "strain"]
Floats = NDArray[np.float64]

# Against the annulus (tests/reference/test_ring_formula.py) the thin ring's roundness of the bore is 0.5 %
# low at a mean radius over thickness of 20, 2.9 % low at 8 and 16 % low at 3; its displacement under a load,
# where shear and the uniform squeeze come in, is 1.3 %, 7 % and 33 % low.
THIN_RATIO = 20.0
USABLE_RATIO = 8.0
HARMONICS = 240  # of the annulus series; arcs of 1 deg and more have then converged to 0.1 %


@dataclass(frozen=True, slots=True)
class ThinRing:
    """Shape of a thin ring under N equal radial loads.

    Attributes
    ----------
    at_load, between : float
        Radial displacement under a load and midway between two, mm, positive outward.
    roundness : float
        Peak to peak of the radial displacement, mm; also what a bore turned round while clamped shows after
        release.
    ratio : float
        Mean radius over thickness.
    validity : {'good', 'low', 'invalid'}
        For the roundness: 'good' from a ratio of 20 (within 1 %), 'low' from 8 (up to 4 % too small), else
        'invalid'.
    """

    at_load: float
    between: float
    roundness: float
    ratio: float
    validity: Literal["good", "low", "invalid"]


@dataclass(frozen=True, slots=True, eq=False)
class AnnulusShape:
    """Radial displacement of an annulus; the arrays are read-only copies.

    Attributes
    ----------
    angles : (n,) array
        From a load, rad.
    bore, outer : (n,) array
        Radial displacement of either surface, mm, positive outward; the bore of a solid disc is its centre,
        0.
    roundness_bore, roundness_outer : float
        Peak to peak without harmonics 0 and 1, mm. Infinite in theory for a point load's own surface.
    point_loaded : bool
        Loads are points: the loaded surface's own figure then only grows with the number of harmonics.
    """

    angles: Floats
    bore: Floats
    outer: Floats
    roundness_bore: float
    roundness_outer: float
    point_loaded: bool

    def __post_init__(self) -> None:
        for name in ("angles", "bore", "outer"):
            array = np.array(getattr(self, name), dtype=np.float64)
            array.setflags(write=False)
            object.__setattr__(self, name, array)


def thin_ring(
    outer_radius: float,
    bore_radius: float,
    width: float,
    modulus: float,
    load: float,
    loads: int = 3,
    surface: Surface = "outer",
) -> ThinRing:
    """Return the shape of a thin ring under N equal radial loads (N each) on one of its surfaces.

    u(load) = -(P R^3 / 2 E I) ((t + s c)/(2 s^2) - 1/t), u(between) = (P R^3 / 4 E I) (2/t - 1/s - t c/s^2),
    t half the angle between loads, s and c its sine and cosine, R the mean radius, I = width thickness^3 /
    12. Bending only. Timoshenko, Strength of Materials II; Roark, table 9.2 case 7.

    Raises
    ------
    ValueError
        If the ring has no wall, or there are fewer than 2 loads.
    """
    _require_ring(outer_radius, bore_radius, loads)
    if bore_radius == 0.0:
        raise ValueError("a thin ring must have a bore, found bore radius 0 mm")
    thickness = outer_radius - bore_radius
    mean = 0.5 * (outer_radius + bore_radius)
    scale = load * mean**3 / (modulus * width * thickness**3 / 12.0)
    if surface == "bore":
        scale = -scale
    t = math.pi / loads
    s, c = math.sin(t), math.cos(t)
    at_load = -0.5 * scale * ((t + s * c) / (2.0 * s**2) - 1.0 / t)
    between = 0.25 * scale * (2.0 / t - 1.0 / s - t * c / s**2)
    ratio = mean / thickness
    if ratio >= THIN_RATIO:
        validity: Literal["good", "low", "invalid"] = "good"
    else:
        validity = "low" if ratio >= USABLE_RATIO else "invalid"
    return ThinRing(at_load, between, abs(between - at_load), ratio, validity)


def annulus(
    outer_radius: float,
    bore_radius: float,
    width: float,
    modulus: float,
    poisson: float,
    load: float,
    loads: int = 3,
    half_arc: float = 0.0,
    surface: Surface = "outer",
    plane: Plane = "stress",
    angles: ArrayLike | None = None,
    harmonics: int = HARMONICS,
) -> AnnulusShape:
    """Return the shape of an annulus, thick or solid, under N equal radial loads (N each), by Michell's series.

    Each load is a uniform pressure over +-half_arc, or a point for half_arc = 0. Displacements of the terms
    r^n, r^-n, r^(n+2), r^(2-n) as in Barber, Elasticity, tables 8.1 and 9.1.

    Parameters
    ----------
    outer_radius, bore_radius, width : float
        mm; bore radius 0 for a solid disc.
    plane : {'stress', 'strain'}
        Plane stress for a part short along the axis, plane strain for a long one.
    angles : (n,) array_like, optional
        From a load, rad; default one load to midway between two, where the extremes lie.
    harmonics : int
        Largest harmonic in the angle.

    Raises
    ------
    ValueError
        If the ring has no wall, there are fewer than 2 loads, the arcs overlap, or a solid disc is loaded in
        its bore.
    """
    _require_ring(outer_radius, bore_radius, loads)
    if not 0.0 <= half_arc <= math.pi / loads:
        raise ValueError(
            f"half arc must lie between 0 and {180.0 / loads:g} deg, found {math.degrees(half_arc):g} deg"
        )
    if bore_radius == 0.0 and surface == "bore":
        raise ValueError("a solid disc has no bore to be loaded")
    theta = np.linspace(0.0, math.pi / loads, 721) if angles is None else np.asarray(angles, dtype=np.float64)
    shear = 0.5 * modulus / (1.0 + poisson)
    kappa = (3.0 - poisson) / (1.0 + poisson) if plane == "stress" else 3.0 - 4.0 * poisson
    radius = outer_radius if surface == "outer" else bore_radius
    pressure = load / (width * radius) * loads / math.pi  # amplitude of a harmonic of point loads
    amplitudes = np.zeros((2, harmonics // loads + 1))
    amplitudes[:, 0] = _uniform(outer_radius, bore_radius, 0.5 * pressure, surface, kappa)
    for m in range(1, harmonics // loads + 1):
        n = m * loads
        spread = math.sin(n * half_arc) / (n * half_arc) if half_arc > 0.0 else 1.0
        amplitudes[:, m] = _harmonic(n, outer_radius, bore_radius, pressure * spread, surface, kappa)
    waves = np.cos(np.outer(np.arange(amplitudes.shape[1]) * loads, theta))
    bore, outer = amplitudes / (2.0 * shear) @ waves
    return AnnulusShape(theta, bore, outer, float(np.ptp(bore)), float(np.ptp(outer)), half_arc == 0.0)


def _uniform(
    outer: float, bore: float, pressure: float, surface: Surface, kappa: float
) -> tuple[float, float]:
    """2 G u on bore and outer surface under a uniform pressure on one of them: Lame's solution."""
    inside, outside = (0.0, pressure) if surface == "outer" else (pressure, 0.0)
    wall = outer**2 - bore**2
    constant = (inside * bore**2 - outside * outer**2) / wall
    inverse = (inside - outside) * (bore * outer) ** 2 / wall
    swell = 0.5 * (kappa - 1.0) * constant
    return (swell * bore + inverse / bore if bore > 0.0 else 0.0), swell * outer + inverse / outer


def _harmonic(
    n: int, outer: float, bore: float, pressure: float, surface: Surface, kappa: float
) -> tuple[float, float]:
    """2 G u on bore and outer surface, factor of cos n theta, under the pressure p cos n theta on one of them.

    Airy's function as four terms, each scaled to 1 at the surface where it is largest, so that no power
    over- or underflows: columns r^n, r^(n+2) at the outer surface, r^-n, r^(2-n) at the bore.
    """
    powers = (n, n + 2, -n, 2 - n) if bore > 0.0 else (n, n + 2)
    radii = (outer, bore) if bore > 0.0 else (outer,)
    rows, moves = [], []
    for r in radii:
        normal, tangential, move = [], [], []
        for k in powers:
            at = outer if k >= 2 and k >= n else bore
            term = math.exp(k * math.log(r / at)) / r
            normal.append((k - n * n) * term / r)
            tangential.append(n * (k - 1) * term / r)
            move.append(_radial_factor(k, n, kappa) * term)
        rows += [normal, tangential]
        moves.append(move)
    loaded = radii.index(outer if surface == "outer" else bore)
    right = np.zeros(len(rows))
    right[2 * loaded] = -pressure
    matrix = np.array(rows)
    scale = np.abs(matrix).max(axis=0)
    found = np.linalg.solve(matrix / scale, right) / scale
    at_outer = float(np.dot(moves[0], found))
    return (float(np.dot(moves[1], found)) if bore > 0.0 else 0.0), at_outer


def _radial_factor(k: int, n: int, kappa: float) -> float:
    """Factor of r^(k-1) cos n theta in 2 G u_r of the Airy term r^k cos n theta (Barber, table 9.1)."""
    if k == n + 2:
        return kappa - n - 1.0
    if k == 2 - n:
        return kappa + n - 1.0
    return -float(k)


def _require_ring(outer_radius: float, bore_radius: float, loads: int) -> None:
    if not outer_radius > bore_radius >= 0.0:
        raise ValueError(
            f"outer radius must be greater than the bore radius, {bore_radius:g} mm, found {outer_radius:g} mm"
        )
    if loads < 2:
        raise ValueError(f"there must be 2 loads or more, found {loads}")
