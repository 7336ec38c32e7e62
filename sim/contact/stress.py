"""Stress of the clamped part along its outline, as means over bands.

Linear elasticity: the pressure of the jaws as a Fourier series around the part, each harmonic's stress by the finite
elements (`sim.contact.probe`). Each figure is a mean over a band of 3 deg around the part and about 2 mm along its
outline, so that nothing is asked at a sharp corner or at the edge of a jaw, where an elastic stress has no bound.

Not in it: the cut, the turning part's own centrifugal force, friction in the jaws, stress that the part brings along.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sim.base.arrays import Floats
from sim.contact.face import frozen_array
from sim.contact.harmonics import EXACT, pressure_waves
from sim.contact.prepared import Prepared
from sim.contact.solve import ContactResult

ANGLES = 120  # bands around the part, 3 deg each
_HIGHEST = 119  # the mean over 3 deg has nothing of harmonic 120
_NOTHING = 1e-9  # share of the largest wave of the load


@dataclass(frozen=True, slots=True, eq=False)
class ClampedStress:
    """Stress of a clamped part in bands along its outline and around it.

    Attributes
    ----------
    places_mm : (b, 2) array
        r and z of the bands' middles.
    angles_rad : (m,) array
        Their angles from jaw 1.
    tensor_mpa : (b, 6, m) array
        rr, tt, zz, rz, rt, tz; tension positive.
    width_mm : float
        Largest width of a band along the outline.
    """

    places_mm: Floats
    angles_rad: Floats
    tensor_mpa: Floats
    width_mm: float

    def __post_init__(self) -> None:
        for name in ("places_mm", "angles_rad", "tensor_mpa"):
            object.__setattr__(self, name, frozen_array(getattr(self, name)))

    def equivalent(self) -> Floats:
        """Return the equivalent stress by von Mises, MPa, (b, m)."""
        rr, tt, zz, rz, rt, tz = np.moveaxis(self.tensor_mpa, 1, 0)
        normal = 0.5 * ((rr - tt) ** 2 + (tt - zz) ** 2 + (zz - rr) ** 2)
        return np.asarray(np.sqrt(normal + 3.0 * (rz**2 + rt**2 + tz**2)))

    def tension(self) -> Floats:
        """Return the largest principal stress, MPa, (b, m); below 0 where all are pressure."""
        rr, tt, zz, rz, rt, tz = np.moveaxis(self.tensor_mpa, 1, 0)
        full = np.stack(
            [np.stack(row, axis=-1) for row in ((rr, rt, rz), (rt, tt, tz), (rz, tz, zz))], axis=-2
        )
        return np.asarray(np.linalg.eigvalsh(full)[..., -1])


def clamped_stress(result: ContactResult, prepared: Prepared) -> ClampedStress:
    """Return the stress that the jaws' pressure makes in the part.

    Parameters
    ----------
    result : ContactResult
        A contact solution.
    prepared : Prepared
        The bodies, of the elastic model.

    Raises
    ------
    ValueError
        When the bodies are columns, which have no stress around the part.
    """
    response, outline = prepared.harmonics, prepared.outline
    if response is None or outline is None:
        raise ValueError("the stress of a part is known of finite elements only")
    grid = result.grid
    n = np.arange(_HIGHEST + 1)
    load = pressure_waves(grid, result.pressure_mpa, _HIGHEST)
    size = np.abs(load).max(axis=1)
    n = n[size > _NOTHING * size.max()]  # of three jaws alike every third alone
    load = load[n] * (np.sinc(n / ANGLES) / np.pi)[:, None]
    share = _between(response.orders)[n]  # (n, orders solved)
    count = len(outline.edge)
    solved = response.stress_mpa.transpose(0, 3, 1, 2).reshape(
        -1, count * 6
    )  # (orders, bands of the grip) by (b, 6)
    weights = (share[:, :, None] * load[:, None, :]).reshape(n.size, -1)
    amplitude = (weights @ solved).reshape(n.size, count, 6)
    angles = np.linspace(0.0, 2.0 * np.pi, ANGLES, endpoint=False)
    turning = np.exp(1j * np.outer(n, angles))
    flat = amplitude.reshape(n.size, -1).T
    cosine = (flat.real @ turning.real - flat.imag @ turning.imag).reshape(count, 6, -1)
    sine = (flat.real @ turning.imag + flat.imag @ turning.real).reshape(count, 6, -1)
    tensor = np.concatenate([cosine[:, :4], sine[:, 4:]], axis=1)
    return ClampedStress(outline.middles_mm, angles, tensor, outline.width_mm)


def _between(orders: Floats) -> Floats:
    """Weights (120, m) of the solved orders in each whole harmonic: a cubic in log n beyond 24, constant at the end."""
    exact = min(EXACT, orders.size - 1)
    out = np.zeros((_HIGHEST + 1, orders.size))
    out[: exact + 1, : exact + 1] = np.eye(exact + 1)
    # Here: a check from its answers does without it, and it takes a while to load.
    from scipy.interpolate import CubicSpline

    spline = CubicSpline(np.log(orders[4:]), np.eye(orders.size)[4:])
    beyond = np.arange(exact + 1, _HIGHEST + 1)
    out[beyond] = spline(np.log(np.minimum(beyond, orders[-1])))
    return out
