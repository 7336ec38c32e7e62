"""Questions asked of a pressure field: band means, marking, grip over one revolution."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from sim.base.arrays import Floats
from sim.contact.face import JAW_ANGLES_RAD, frozen_array
from sim.contact.further import Rest, at_rest, first_least, turned_grips
from sim.contact.mirror import treats_mirrored
from sim.contact.monotone import interpolated
from sim.contact.prepared import Prepared
from sim.contact.setup import ContactSetup, GripLoad
from sim.contact.solve import ContactResult

_ROUNDING = 1e-12  # of a load, what across a plane counts as nothing


def _rebinned(content: Floats, cells: Floats, bands: Floats, axis: int) -> Floats:
    """Share what cells hold out to bands along one axis; the sum from the edge is interpolated without overshoot."""
    held = np.moveaxis(content, axis, 0)
    summed = np.concatenate([np.zeros((1, *held.shape[1:])), np.cumsum(held, axis=0)])
    return np.moveaxis(np.diff(interpolated(cells, summed, bands), axis=0), 0, axis)


def _band_edges(edges: Floats, width: float) -> Floats:
    count = max(1, round(float(edges[-1] - edges[0]) / width))
    return np.linspace(edges[0], edges[-1], count + 1)


def band_means(result: ContactResult, angle_rad: float = math.radians(3.0), height_mm: float = 2.0) -> Floats:
    """Mean pressures over bands of the face, MPa, (3, bands in z, bands around).

    A mean over 1.5 to 3 deg and 1 to 2 mm does not depend on the grid, a cell's pressure at a sharp edge does: it
    grows without bound as the cells get smaller. The bands divide the face evenly, each as near to the asked size as
    that allows.

    Parameters
    ----------
    result : ContactResult
        A contact solution.
    angle_rad, height_mm : float
        Size of a band.
    """
    around = _band_edges(result.grid.angle_edges_rad, angle_rad)
    along = _band_edges(result.grid.height_edges_mm, height_mm)
    force = result.pressure_mpa * result.grid.areas_mm2
    force = _rebinned(force, result.grid.angle_edges_rad, around, 2)
    force = _rebinned(force, result.grid.height_edges_mm, along, 1)
    return np.asarray(force / (result.grid.radius_mm * np.outer(np.diff(along), np.diff(around))))


def edge_force(result: ContactResult, width_mm: float = 1.0) -> Floats:
    """Force on the last millimetre along both vertical edges of each face, N, (3, 2), lower angle first.

    The pressure is singular at a sharp bore edge, about as distance^-0.5 for steel on steel: a peak there would be a
    figure of the mesh. The load of the last millimetre is finite.

    Parameters
    ----------
    result : ContactResult
        A contact solution.
    width_mm : float
        Width of the two margins, less than half the face.
    """
    edges = result.grid.angle_edges_rad
    margin = width_mm / result.grid.radius_mm
    if not 0.0 < margin < 0.5 * (edges[-1] - edges[0]):
        raise ValueError(f"width_mm must be above 0 and below half the face, not {width_mm}")
    bands = np.array([edges[0], edges[0] + margin, edges[-1] - margin, edges[-1]])
    force = np.sum(result.pressure_mpa * result.grid.areas_mm2, axis=1)
    return _rebinned(force, edges, bands, 1)[:, [0, 2]]


def marking_ratio(result: ContactResult, yield_mpa: float) -> float:
    """Largest band-mean pressure over the yield strength of the softer body; above 1 it may be marked.

    Common practice, no source: a pressure below yield leaves no mark; full plastic indentation needs about
    3 times as much (Prandtl's slip lines under a flat punch: (2 + pi) / sqrt 3 = 2.97 by von Mises).
    """
    if not yield_mpa > 0.0:
        raise ValueError(f"yield_mpa must be positive, not {yield_mpa}")
    return float(band_means(result).max()) / yield_mpa


def side_load_change(side_load_n: float, load_angle_rad: float) -> Floats:
    """Change of grip of three equal jaws under a load across the spindle, N, (3,): the (2/3) Q cos rule.

    The load pushes the part towards load_angle; the jaw that stands there carries more. For three radial
    springs: each force changes by k u cos(theta_i - angle) and sum cos^2 is 3/2. Friction carries none of it.
    """
    return np.asarray(
        2.0 / 3.0 * side_load_n * np.cos(load_angle_rad - np.array(JAW_ANGLES_RAD)), dtype=np.float64
    )


@dataclass(frozen=True, slots=True, eq=False)
class Revolution:
    """Grip of the jaws while a load fixed in space acts on the turning part.

    Attributes
    ----------
    angles_rad : (k,) array
        Spindle angles.
    grip_n : (k, 3) array
        Grip per jaw.
    least_n : float
        Least grip of any jaw at any angle.
    worst_rad : float
        The first angle that leaves it.
    worst : ContactResult
        The state there.
    """

    angles_rad: Floats
    grip_n: Floats
    least_n: float
    worst_rad: float
    worst: ContactResult

    def __post_init__(self) -> None:
        object.__setattr__(self, "angles_rad", frozen_array(self.angles_rad))
        object.__setattr__(self, "grip_n", frozen_array(self.grip_n))


def revolve(
    setup: ContactSetup, count: int = 12, prepared: Prepared | None = None, rest: Rest | None = None
) -> Revolution:
    """Turn chuck and part under the setup's side load and moment, which stay fixed in space.

    Parameters
    ----------
    setup : ContactSetup
        Its load is taken at spindle angle 0.
    count : int
        Spindle angles over one revolution.
    prepared : Prepared or None
        See `press`.
    rest : Rest or None
        The setup from `at_rest`, if at hand.

    Returns
    -------
    Revolution

    Raises
    ------
    ContactNotConverged
        When the part cannot be held at some angle.
    """
    angles = np.linspace(0.0, 2.0 * math.pi, count, endpoint=False)
    rest = at_rest(setup, prepared) if rest is None else rest
    alike = count % 3 == 0 and _jaws_alike(setup)
    mirrored = not alike and _mirrored(rest, setup.load)
    asked = count // 3 if alike else count // 2 + 1 if mirrored else count
    grips, state = turned_grips(rest, [turned(setup.load, float(angle)) for angle in angles[:asked]])
    worst = first_least(grips)
    if alike:
        # A third of a turn on, each jaw stands to the load as the next one did.
        grips = np.concatenate([np.roll(grips, -step, axis=1) for step in range(3)])
    elif mirrored:
        # Turned back, jaw 2 stands to the load as jaw 3 did.
        grips = np.concatenate([grips, grips[count - asked : 0 : -1, [0, 2, 1]]])
    return Revolution(angles, grips, float(grips.min()), float(angles[worst]), state)


def _jaws_alike(setup: ContactSetup) -> bool:
    """Tell whether nothing but the load distinguishes the jaws: round part, equal jaws."""
    even = len(set(setup.grip.jaw_offsets_mm)) == 1 == len(set(setup.load.jaw_outward_force_n))
    return even and not setup.grip.lobes


def _mirrored(rest: Rest, load: GripLoad) -> bool:
    """Tell whether a part at rest, and what works through its motions at angle 0, are mirrored in the plane of jaw 1.

    A moment that the back face bears does not matter.
    """
    across, along = [load.side_load_n[1]], [load.side_load_n[0]]
    if not rest.setup.hold_square:
        across, along = [*across, load.moment_nmm[0]], [*along, load.moment_nmm[1]]
    in_plane = all(abs(a) <= _ROUNDING * abs(b) for a, b in zip(across, along, strict=True))
    gap = rest.posed.gap_mm
    return in_plane and treats_mirrored(rest.prepared.grid, gap, rest.posed.loads(rest.setup.load))


def turned(load: GripLoad, angle_rad: float) -> GripLoad:
    """Return the load as chuck and part see it after turning by angle_rad under it (counter-clockwise)."""
    c, s = math.cos(angle_rad), math.sin(angle_rad)

    def seen(vector: tuple[float, float]) -> tuple[float, float]:
        return c * vector[0] + s * vector[1], -s * vector[0] + c * vector[1]

    return replace(load, side_load_n=seen(load.side_load_n), moment_nmm=seen(load.moment_nmm))
