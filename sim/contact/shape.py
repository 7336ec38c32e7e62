"""Shape of the part while it is clamped and after it is released, and of the jaws under their load.

A surface cut true while the part is clamped springs back by the displacement that the clamping gave it, so the
released shape is the clamped displacement turned over. Out-of-roundness is peak to peak without harmonics 0 (size)
and 1 (position).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from sim.base.arrays import Floats
from sim.base.floats import Number
from sim.contact.face import frozen_array
from sim.contact.harmonics import HIGHEST_OF_SHAPE, filled, pressure_waves
from sim.contact.prepared import Prepared
from sim.contact.solve import ContactResult


@dataclass(frozen=True, slots=True, eq=False)
class ClampedShape:
    """Elastic displacement of the reported points around the part.

    Attributes
    ----------
    places_mm : (k, 2) array
        r and z of the points.
    angles_rad : (m,) array
        Angles from jaw 1.
    moved_mm : (k, 3, m) array
        Displacement outward, around and along z, without the part's rigid motion.
    hoop_strain : (k, m) array
        Strain around, u/r + dv/(r dtheta); 0 on the axis. No unit.
    roundness_um : (k,) array
        Peak to peak of the outward displacement without harmonics 0 and 1; the same clamped and after
        release.
    centre_mm : (k, 2) array
        x and y of the circle's centre at each point's height, rigid motion included.
    """

    places_mm: Floats
    angles_rad: Floats
    moved_mm: Floats
    hoop_strain: Floats
    roundness_um: Floats
    centre_mm: Floats

    def __post_init__(self) -> None:
        for name in ("places_mm", "angles_rad", "moved_mm", "hoop_strain", "roundness_um", "centre_mm"):
            object.__setattr__(self, name, frozen_array(getattr(self, name)))


def without_position(profile_mm: Floats) -> Floats:
    """Remove harmonics 0 and 1 from profiles evenly sampled over a turn, last axis."""
    waves = np.fft.rfft(profile_mm, axis=-1)
    waves[..., :2] = 0.0
    return np.asarray(np.fft.irfft(waves, n=profile_mm.shape[-1], axis=-1), dtype=np.float64)


def lobe_amplitude(profile_mm: Floats, order: int) -> Floats:
    """Amplitude of one harmonic of profiles evenly sampled over a turn, last axis, mm."""
    waves = np.fft.rfft(profile_mm, axis=-1)
    return np.asarray(2.0 * np.abs(waves[..., order]) / profile_mm.shape[-1], dtype=np.float64)


def lobes(profile_mm: Floats) -> tuple[tuple[int, float], ...]:
    """Return the largest lobes of a profile evenly sampled over a turn: order, and share of its squared deviation."""
    waves = np.abs(np.fft.rfft(profile_mm - profile_mm.mean())) ** 2
    waves[:2] = 0.0
    whole = float(waves.sum())
    if not whole > 0.0:
        return ()
    return tuple((int(order), float(waves[order] / whole)) for order in np.argsort(-waves, kind="stable")[:3])


def clamped_shape(result: ContactResult, prepared: Prepared, samples: int = 360) -> ClampedShape:
    """Displace the points that were prepared for reporting.

    Parameters
    ----------
    result : ContactResult
        A contact solution.
    prepared : Prepared
        The bodies, prepared with places and the elastic model.
    samples : int
        Angles over one turn, more than twice 96.

    Raises
    ------
    ValueError
        When no places were prepared.
    """
    response = prepared.harmonics
    if response is None or not len(response.places_mm):
        raise ValueError("the bodies were prepared without places whose shape is reported")
    if samples <= 2 * HIGHEST_OF_SHAPE:
        raise ValueError(f"samples must be more than {2 * HIGHEST_OF_SHAPE}, not {samples}")
    grid = result.grid
    n = np.arange(HIGHEST_OF_SHAPE + 1)
    load = pressure_waves(grid, result.pressure_mpa, HIGHEST_OF_SHAPE)
    amplitude = np.einsum("nkcb,nb->nkc", filled(response).whole_mm, load / np.pi)
    angles = np.linspace(0.0, 2.0 * np.pi, samples, endpoint=False)
    turning = np.einsum("nkc,nm->kcm", amplitude, np.exp(1j * np.outer(n, angles)))
    moved = np.stack([turning[:, 0].real, turning[:, 1].imag, turning[:, 2].real], axis=1)
    # v = Im sum B exp(i n theta), so dv/dtheta = Re sum n B exp(i n theta).
    around = amplitude[:, :, 0] + n[:, None] * amplitude[:, :, 1]
    radius = response.places_mm[:, 0]
    hoop = np.einsum("nk,nm->km", around, np.exp(1j * np.outer(n, angles))).real
    hoop = np.divide(hoop, radius[:, None], out=np.zeros_like(hoop), where=radius[:, None] > 0.0)
    z = response.places_mm[:, 1] - 0.5 * (grid.height_edges_mm[0] + grid.height_edges_mm[-1])
    first = np.column_stack([amplitude[1, :, 0].real, -amplitude[1, :, 0].imag])
    tilted = np.column_stack([z * result.part_tilt_rad[1], -z * result.part_tilt_rad[0]])
    return ClampedShape(
        response.places_mm,
        angles,
        moved,
        hoop,
        1e3 * np.ptp(without_position(moved[:, 0]), axis=-1),
        first + tilted + result.part_shift_mm,
    )


def released_mm(shape: ClampedShape) -> Floats:
    """Outward deviation (k, m) of surfaces cut true while clamped, after release, without harmonics 0 and 1, mm."""
    return -without_position(shape.moved_mm[:, 0])


def face_flatness_um(shape: ClampedShape, points: list[int] | None = None) -> float:
    """Flatness after release of a face cut true while clamped, micrometres.

    Peak to peak of the displacement along z over the circles through the given points (all when None), less the
    plane that fits best.

    Parameters
    ----------
    shape : ClampedShape
        From `clamped_shape`.
    points : list of int or None
        Numbers of the places that lie on the face.
    """
    chosen = np.arange(len(shape.places_mm)) if points is None else np.array(points)
    w = shape.moved_mm[chosen, 2]
    r = np.repeat(shape.places_mm[chosen, 0][:, None], shape.angles_rad.size, axis=1)
    plane = np.column_stack(
        [np.ones(w.size), (r * np.cos(shape.angles_rad)).ravel(), (r * np.sin(shape.angles_rad)).ravel()]
    )
    fit = plane @ np.linalg.lstsq(plane, w.ravel(), rcond=None)[0]
    return float(1e3 * np.ptp(w.ravel() - fit))


@dataclass(frozen=True, slots=True)
class JawOpening:
    """How the bored face of a jaw turns under its load.

    Attributes
    ----------
    slope_rad : float
        Mean over the jaws of how much more the face yields per mm of z (top minus root), bell-mouth positive.
    over_height_um : float
        The same over the gripped height, on the radius.
    """

    slope_rad: float
    over_height_um: float


def jaw_opening(result: ContactResult, prepared: Prepared) -> JawOpening:
    """Bell-mouth of the jaws: slope along z of their yield, averaged around the face and over the jaws."""
    grid = result.grid
    force = (result.pressure_mpa * grid.areas_mm2).reshape(3, -1)
    behind = prepared.once("jaw and springs", 0.0, lambda: prepared.jaw_mm_n + prepared.guide_mm_n)
    yielded = force @ behind
    along = np.average(yielded.reshape(3, *grid.shape), axis=2, weights=np.diff(grid.angle_edges_rad))
    # The line of least squares through the bands, by their heights.
    weight = np.diff(grid.height_edges_mm)
    lever = weight * (grid.heights_mm - np.average(grid.heights_mm, weights=weight))
    slope = float(lever @ along.mean(axis=0) / (lever @ grid.heights_mm)) if grid.shape[0] > 1 else 0.0
    return JawOpening(slope, 1e3 * slope * float(np.ptp(grid.height_edges_mm)))


def opened_since(slope: Number, grip_n: Number, boring_n: Number) -> Number:
    """Return by which slope (rad) the jaws open under the grip more than when they were turned."""
    return slope * (grip_n - boring_n) / grip_n


def over_height_um(slope: Number, height_mm: float) -> Number:
    """Return the difference of diameter (um) that a slope (rad) of the bored face makes over a height."""
    return 2e3 * slope * height_mm


def taper_um(slope: Number, grip_n: Number, boring_n: Number, height_mm: float) -> Number:
    """Return the difference of diameter (um) to turn into jaws over a height, for a slope (rad) under the grip."""
    return over_height_um(-opened_since(slope, grip_n, boring_n), height_mm)


@dataclass(frozen=True, slots=True)
class TaperAdvice:
    """Taper to turn into the jaws so that they stand parallel under the grip.

    Attributes
    ----------
    jaw_taper : float
        Change of the bored radius per mm of z to be turned; negative: narrower at the top.
    diameter_um : float
        The same as a difference of diameter over the gripped height.
    matters : bool
        Whether it exceeds the least difference worth turning.
    """

    jaw_taper: float
    diameter_um: float
    matters: bool


def taper_to_bore(
    opening: JawOpening, grip_n: float, boring_n: float, height_mm: float, least_um: float = 2.0
) -> TaperAdvice:
    """Taper that makes up for a boring force unlike the gripping force.

    The jaws' yield is linear in their force: bored under `boring_n` and loaded with `grip_n` they open by the share
    (grip - boring)/grip of their opening more than when they were turned. The boring force is taken to act where
    the part does; a ring or plug elsewhere changes that.

    Parameters
    ----------
    opening : JawOpening
        Under the gripping force.
    grip_n, boring_n : float
        Force per jaw, or of the three, when gripping and when boring.
    height_mm : float
        Gripped height.
    least_um : float
        Difference of diameter that is not worth turning (common practice, no source: 2 micrometres).
    """
    if not (grip_n > 0.0 and boring_n >= 0.0 and math.isfinite(grip_n + boring_n)):
        raise ValueError(f"forces must be positive and finite, not {grip_n} and {boring_n}")
    slope = -opened_since(opening.slope_rad, grip_n, boring_n)
    diameter = taper_um(opening.slope_rad, grip_n, boring_n, height_mm)
    return TaperAdvice(slope, diameter, abs(diameter) > least_um)
