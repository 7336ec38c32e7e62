"""Out-of-roundness of a ring or tube under N equal radial loads: thin ring and annulus, closed forms.

A ring of width `width` along the axis, all of it loaded alike (plane stress); no flange, web or overhang.
Lengths in mm, forces in N, stresses in MPa, angles in rad; displacements outward, mm; roundness peak to
peak, micrometres, without harmonics 0 and 1 (N >= 2 equal loads have no harmonic 1).

Thin ring (S. Timoshenko, Strength of Materials II; Roark's Formulas for Stress and Strain, rings), inextensible,
with t half the angle between loads, s = sin t, c = cos t, and loads P inward:

    u(load) = -(P R^3 / 2 E I) ((t + s c) / (2 s^2) - 1 / t),  u(mid) = (P R^3 / 4 E I) (2 / t - 1 / s - t c / s^2)

Annulus: J. H. Michell's series of stress functions (J. R. Barber, Elasticity, circular domain): per harmonic n

    phi = (A r^n + B r^(n + 2) + C r^-n + D r^(2 - n)) cos n theta,

four conditions on both circles; harmonic 0 is Lame's ring under pressure.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

import numpy as np

from sim.base.arrays import Floats, Ints
from sim.base.gripping import Direction

# Against the annulus at the bore, three loads, the thin ring's roundness is 0.5 % low at R/t = 20, 3 % at 8 and
# 16 % at 3; its displacement under a load, which has no mean squeeze, 1.2 %, 7 % and 33 %.
LEAST_THINNESS = 8.0
_ANGLES = 721  # of half a period of the shape


@dataclass(frozen=True, slots=True)
class ThinRing:
    """Thin ring under N loads.

    Attributes
    ----------
    at_load, at_middle : float
        Displacement under a load and midway between two, mm, outward.
    roundness : float
        Peak to peak, micrometres.
    thinness : float
        Mean radius over wall.
    valid : bool
        Thinness is at least 8: for three loads the roundness is then at most 3 % too low.
    """

    at_load: float
    at_middle: float
    roundness: float
    thinness: float
    valid: bool


@dataclass(frozen=True, slots=True, eq=False)
class Annulus:
    """Annulus under N loads: displacement as a cosine series about a load.

    Attributes
    ----------
    harmonics : (k,) array
        n = N, 2 N, ...
    bore, outside : (k,) arrays
        Amplitude of each harmonic of the radial displacement of bore and outer diameter, mm.
    bore_mean, outside_mean : float
        Harmonic 0, mm.
    bore_roundness, outside_roundness : float
        Peak to peak, micrometres; infinite for the circle on which a point load acts.
    free_stress : float
        Largest stress around the circle that is not loaded, MPa, mean included.
    """

    harmonics: Ints
    bore: Floats
    outside: Floats
    bore_mean: float
    outside_mean: float
    bore_roundness: float
    outside_roundness: float
    free_stress: float

    @property
    def largest(self) -> float:
        """Largest radial displacement of both circles, mm, mean included; finite for spread loads only."""
        cosines = _cosines(int(self.harmonics[0]), self.harmonics.size)
        circles = ((self.bore_mean, self.bore), (self.outside_mean, self.outside))
        return max(float(np.abs(mean + cosines @ amplitudes).max()) for mean, amplitudes in circles)

    def __post_init__(self) -> None:
        for name in ("harmonics", "bore", "outside"):
            own = np.array(getattr(self, name))
            own.setflags(write=False)
            object.__setattr__(self, name, own)


def thin_ring(
    load: float,
    mean_radius: float,
    wall: float,
    width: float,
    modulus: float,
    loads: int = 3,
    direction: Direction = "outside",
) -> ThinRing:
    """Return the deflection of a thin ring under N equal point loads.

    Parameters
    ----------
    load : float
        One load (grip per jaw), N.
    direction : {'outside', 'inside'}
        Loads push inward on the outer diameter or outward in the bore.

    Raises
    ------
    ValueError
        If there are less than 2 loads or a dimension is not greater than 0.
    """
    _require_ring(mean_radius - 0.5 * wall, mean_radius + 0.5 * wall, width, modulus, loads)
    t = math.pi / loads
    s, c = math.sin(t), math.cos(t)
    inertia = width * wall**3 / 12.0
    scale = load * mean_radius**3 / (modulus * inertia)
    at_load = -0.5 * scale * ((t + s * c) / (2.0 * s**2) - 1.0 / t)
    at_middle = 0.25 * scale * (2.0 / t - 1.0 / s - t * c / s**2)
    if direction == "inside":
        at_load, at_middle = -at_load, -at_middle
    thinness = mean_radius / wall
    roundness = 1e3 * abs(at_middle - at_load)
    return ThinRing(at_load, at_middle, roundness, thinness, thinness >= LEAST_THINNESS)


def annulus(
    load: float,
    bore_radius: float,
    outer_radius: float,
    width: float,
    modulus: float,
    poisson: float,
    loads: int = 3,
    direction: Direction = "outside",
    half_angle: float = 0.0,
    terms: int = 400,
) -> Annulus:
    """Return the deflection of an annulus under N equal radial loads.

    Parameters
    ----------
    load : float
        One load (grip per jaw), N.
    direction : {'outside', 'inside'}
        Loads push inward on the outer diameter or outward in the bore.
    half_angle : float
        Half the arc over which each load is spread evenly, rad; 0 for point loads.
    terms : int
        Harmonics of the series. Displacements of the loaded circle under arcs converge with its square; under
        a point load they have no limit.

    Raises
    ------
    ValueError
        If there are less than 2 loads, a dimension is not greater than 0, the bore is not smaller than the
        outer diameter, or arcs overlap.
    """
    _require_ring(bore_radius, outer_radius, width, modulus, loads)
    if not 0.0 <= half_angle <= math.pi / loads:
        raise ValueError(
            f"half the arc of a load must lie between 0 deg and {180.0 / loads:g} deg, "
            f"found {math.degrees(half_angle):g} deg"
        )
    n = loads * np.arange(1, terms + 1)
    loaded = outer_radius if direction == "outside" else bore_radius
    mean = loads * load / (2.0 * math.pi * loaded * width)
    # An even pressure over +-half_angle; numpy's sinc is sin(pi x) / (pi x).
    pressures = 2.0 * mean * np.sinc(n * half_angle / math.pi)
    bore, outside, around = _harmonics(n, pressures, bore_radius, outer_radius, poisson, direction)
    shear = modulus / (2.0 * (1.0 + poisson))
    bore, outside = bore / (2.0 * shear), outside / (2.0 * shear)
    bore_mean, outside_mean = _lame(mean, bore_radius, outer_radius, modulus, poisson, direction)
    bore_roundness, outside_roundness = _peak_to_peak(n, bore), _peak_to_peak(n, outside)
    if half_angle == 0.0:
        bore_roundness, outside_roundness = (
            (bore_roundness, math.inf) if direction == "outside" else (math.inf, outside_roundness)
        )
    stress = _free_stress(n, around, mean, bore_radius, outer_radius, direction)
    return Annulus(n, bore, outside, bore_mean, outside_mean, bore_roundness, outside_roundness, stress)


def displacement(shape: Annulus, angles: Floats, circle: Literal["bore", "outside"]) -> Floats:
    """Return the radial displacement (mm, outward, mean included) at angles from a load (rad), any shape."""
    amplitudes, mean = (
        (shape.bore, shape.bore_mean) if circle == "bore" else (shape.outside, shape.outside_mean)
    )
    return mean + np.cos(np.multiply.outer(angles, shape.harmonics)) @ amplitudes


def _require_ring(bore: float, outer: float, width: float, modulus: float, loads: int) -> None:
    if loads < 2:
        raise ValueError(f"a ring must have 2 loads or more, found {loads}")
    if not (0.0 < bore < outer and width > 0.0 and modulus > 0.0):
        raise ValueError(
            "a ring must have 0 < bore radius < outer radius, a width and a modulus, "
            f"found {bore:g} mm, {outer:g} mm, {width:g} mm and {modulus:g} MPa"
        )


def _lame(
    pressure: float, a: float, b: float, modulus: float, poisson: float, direction: Direction
) -> tuple[float, float]:
    """Return the displacement of bore a and outer radius b under an even pressure."""
    loaded, other, sign = (b, a, -1.0) if direction == "outside" else (a, b, 1.0)
    scale = sign * pressure * loaded**2 / (modulus * (b**2 - a**2))
    at = {r: scale * ((1.0 - poisson) * r + (1.0 + poisson) * other**2 / r) for r in (a, b)}
    return at[a], at[b]


def _harmonics(
    n: Ints, pressures: Floats, a: float, b: float, poisson: float, direction: Direction
) -> tuple[Floats, Floats, Floats]:
    """Return 2 G u_r of bore and outside, (k,) each, for pressures (k,) cos n theta on the loaded circle.

    The third is the stress around the other circle, phi'' there.

    Powers of r are taken over b where they grow and over a where they fall, so that none overflows.
    """
    kappa = (3.0 - poisson) / (1.0 + poisson)  # plane stress
    m = n.astype(np.float64)
    exponents = np.stack([m, m + 2.0, -m, 2.0 - m], axis=-1)  # (k, 4), of phi
    references = np.array([b, b, a, a])
    order = m[:, None]

    def rows(r: float) -> tuple[Floats, Floats, Floats]:
        """sigma_rr, sigma_rtheta and 2 G u_r of the four functions at r, each times r^2 or r."""
        power = (r / references) ** exponents
        radial = (exponents - order**2) * power
        shear = order * (exponents - 1.0) * power
        factors = np.stack([-m, kappa - m - 1.0, m, kappa + m - 1.0], axis=-1)
        return radial, shear, factors * power / r

    radial_a, shear_a, moved_a = rows(a)
    radial_b, shear_b, moved_b = rows(b)
    matrix = np.stack([radial_a, shear_a, radial_b, shear_b], axis=1)
    right = np.zeros((m.size, 4, 1))
    right[:, 2 if direction == "outside" else 0, 0] = -pressures * (b if direction == "outside" else a) ** 2
    found = np.linalg.solve(matrix, right)[..., 0]
    free = a if direction == "outside" else b
    around = exponents * (exponents - 1.0) * (free / references) ** exponents / free**2
    return np.sum(moved_a * found, axis=-1), np.sum(moved_b * found, axis=-1), np.sum(around * found, axis=-1)


def _free_stress(n: Ints, around: Floats, pressure: float, a: float, b: float, direction: Direction) -> float:
    """Return the largest stress around the circle that is not loaded, Lame's under the mean pressure included."""
    loaded, sign = (b, -1.0) if direction == "outside" else (a, 1.0)
    mean = sign * 2.0 * pressure * loaded**2 / (b**2 - a**2)
    return float(np.abs(mean + _cosines(int(n[0]), n.size) @ around).max())


def _peak_to_peak(n: Ints, amplitudes: Floats) -> float:
    """Return peak to peak in micrometres over half a period, which the shape repeats mirrored."""
    return 1e3 * float(np.ptp(_cosines(int(n[0]), n.size) @ amplitudes))


@lru_cache(maxsize=8)  # a third of a quick window's time went into the same cosines again
def _cosines(loads: int, terms: int) -> Floats:
    """Return cos n theta, (angles, terms), of n = N, 2 N, ... over half a period, whatever the loads and the ring."""
    angles = np.linspace(0.0, math.pi / float(loads), _ANGLES)
    found = np.cos(np.multiply.outer(angles, loads * np.arange(1, terms + 1)))
    found.setflags(write=False)
    return found
