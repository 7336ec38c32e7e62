"""Stress of the clamped part along its outline, as means over bands.

Linear elasticity: the pressure of the jaws as a Fourier series around the part, each harmonic's stress by the finite
elements (`sim.contact.probe`). Each figure is a mean over a band of 3 deg around the part and about 2 mm along its
outline, so that nothing is asked at a sharp corner or at the edge of a jaw, where an elastic stress has no bound.

Not in it: the cut, the turning part's own centrifugal force, friction in the jaws, stress that the part brings along.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from sim.base.arrays import Floats
from sim.contact.face import frozen_array
from sim.contact.harmonics import HIGHEST_OF_STRESS, filled, pressure_waves
from sim.contact.prepared import Prepared
from sim.contact.solve import ContactResult

ANGLES = 120  # bands around the part, 3 deg each
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

    def largest_equivalent(self) -> tuple[int, float]:
        """Return the band of the largest equivalent stress and that stress, MPa."""
        return _largest(self.equivalent())

    def tension(self) -> Floats:
        """Return the largest principal stress, MPa, (b, m); below 0 where all are pressure."""
        return _largest_principal(np.moveaxis(self.tensor_mpa, 1, 0))

    def largest_tension(self) -> tuple[int, float]:
        """Return the band of the largest principal stress of all and that stress, MPa, as `tension` has them.

        A largest principal stress lies p to 2 p above the mean of all three, p^2 being a sixth of the squares of what
        is left: most bands are below another's least.
        """
        rr, tt, zz, rz, rt, tz = np.moveaxis(self.tensor_mpa, 1, 0)
        mean = (rr + tt + zz) / 3.0
        left = (rr - mean) ** 2 + (tt - mean) ** 2 + (zz - mean) ** 2
        p = np.sqrt((left + 2.0 * (rz**2 + rt**2 + tz**2)) / 6.0)
        at = mean + 2.0 * p >= (mean + p).max() - 1e-6 * (np.abs(mean) + p).max()
        found = np.full(mean.shape, -np.inf)
        found[at] = _largest_principal([one[at] for one in (rr, tt, zz, rz, rt, tz)])
        return _largest(found)


def _largest(found: Floats) -> tuple[int, float]:
    band = int(found.max(axis=1).argmax())
    return band, float(found[band].max())


def _largest_principal(tensor: Sequence[Floats] | Floats) -> Floats:
    rr, tt, zz, rz, rt, tz = tensor
    full = np.stack([np.stack(row, axis=-1) for row in ((rr, rt, rz), (rt, tt, tz), (rz, tz, zz))], axis=-2)
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
    n = np.arange(HIGHEST_OF_STRESS + 1)
    load = pressure_waves(grid, result.pressure_mpa, HIGHEST_OF_STRESS)
    size = np.abs(load).max(axis=1)
    n = n[size > _NOTHING * size.max()]  # of three jaws alike every third alone
    load = load[n] * (np.sinc(n / ANGLES) / np.pi)[:, None]
    share = filled(response).shares[n]  # (n, orders solved)
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
