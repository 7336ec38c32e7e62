"""Read what CalculiX printed for one case and reduce it to the oracle's outputs.

Outputs: mean pressure of each 3 deg band (MPa), where the contact begins and ends at mid-height (deg), third harmonic
of the bore's radial displacement (mm), approach (mm), force balance (N) and largest overclosure (mm).
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from gripped_sector import ARC, BANDS, PART_RADIUS, SECTOR, Case, Model, node_sets
from hexahedral_mesh import Floats, Integers

_HEADING = re.compile(r"^ (?=[a-z][^\n]*time)", re.MULTILINE)
_END_OF_RUN = "0.2000000E+01"
# Smaller gaps, mm, count as closed: the penalty's ripple is below 1e-6 mm where the pressure is small.
CLOSED_GAP = 2.0e-6


@dataclass(frozen=True, slots=True)
class Outcome:
    """Outputs of one run, for a full jaw (both halves).

    Attributes
    ----------
    band_pressure
        Mean pressure of the bands 0..3, ..., 24..27 deg over the whole height, MPa.
    contact_limits
        Angles at mid-height where contact starts or stops, deg, in rising order; empty if everything is closed.
    middle_closed
        True if the jaw's middle (angle 0) is closed at mid-height.
    harmonic_3
        Coefficient of cos 3 theta in the bore's radial displacement at mid-height, mm; nan for a solid part.
    approach
        Inward motion of the jaw's clamped end from first touch, mm.
    resultant
        Force along x that the pressures carry, N.
    pressure_sum
        Integral of the pressure over the face, N.
    overclosure
        Largest overclosure of any contact point, mm.
    """

    band_pressure: tuple[float, ...]
    contact_limits: tuple[float, ...]
    middle_closed: bool
    harmonic_3: float
    approach: float
    resultant: float
    pressure_sum: float
    overclosure: float


def _sections(path: Path) -> dict[str, list[str]]:
    """Return the printed blocks of the second step's end: heading -> lines of numbers."""
    blocks = {}
    for block in _HEADING.split(path.read_text())[1:]:
        heading, *lines = block.split("\n")
        name, _, time = heading.partition(" and time ")
        if time.strip() == _END_OF_RUN:
            blocks[name.strip()] = [line for line in lines if line.strip()]
    return blocks


def _displacements(blocks: dict[str, list[str]], name: str, numbers: Integers) -> Floats:
    """Return the (n, 3) displacements of a printed node set, in the order of numbers."""
    lines = blocks[f"displacements (vx,vy,vz) for set {name}"]
    table = {int(line.split()[0]): [float(value) for value in line.split()[1:4]] for line in lines}
    return np.array([table[int(number)] for number in numbers])


def _band_forces(blocks: dict[str, list[str]]) -> Floats:
    """Return the (BANDS, 3) forces on the jaw's half bands, N."""
    rows = [blocks[f"statistics for slave set BAND{band}, master set OUTSIDE"][1] for band in range(BANDS)]
    return np.array([[float(value) for value in row.split()[:3]] for row in rows])


def third_harmonic(angles: Floats, radial: Floats) -> float:
    """Return the cos 3 theta coefficient of nodal values over 0..60 deg (quadratic in each element)."""
    points, weights = np.polynomial.legendre.leggauss(6)
    total = 0.0
    for first in range(0, len(angles) - 2, 2):
        a, u = angles[first : first + 3], radial[first : first + 3]
        values = u[0] * points * (points - 1) / 2 + u[1] * (1 - points**2) + u[2] * points * (points + 1) / 2
        theta = (a[0] + a[2]) / 2 + points * (a[2] - a[0]) / 2
        total += float(np.sum(weights * values * np.cos(3 * theta))) * (a[2] - a[0]) / 2
    return float(2.0 * total / SECTOR)


def _vanishing(angles: Floats, gap: Floats, nodes: slice) -> float:
    """Return where a straight line through gap^(2/3) at the given nodes vanishes, rad."""
    slope, offset = np.polyfit(angles[nodes], gap[nodes] ** (2.0 / 3.0), 1)
    return float(-offset / slope)


def _contact_limits(angles: Floats, gap: Floats) -> list[float]:
    """Return the angles (rad) where contact starts or stops.

    A gap opens as distance^(3/2) from the end of contact, so its 2/3 power is extrapolated linearly to zero from open
    nodes near it; the first one lies in the element that holds the end of contact and is left out if it can be. The
    result is kept within an element (two nodes) of the first open node.
    Fewer than three open nodes in a row (one element) are the penalty's ripple.
    """
    opened = gap > CLOSED_GAP
    limits = []
    edges = np.flatnonzero(np.diff(np.concatenate([[0], opened, [0]])))
    for first, last in edges.reshape(-1, 2):
        if last - first < 3:
            continue
        skipped = min(1, last - first - 3)
        count = skipped + 3
        if first > 0:
            found = _vanishing(angles, gap, slice(first + skipped, first + count))
            limits.append(float(np.clip(found, angles[max(first - 2, 0)], angles[first])))
        if last < len(gap):
            found = _vanishing(angles, gap, slice(last - count, last - skipped))
            limits.append(float(np.clip(found, angles[last - 1], angles[min(last + 1, len(gap) - 1)])))
    return limits


def _line_gap(
    part_angles: Floats, part_radii: Floats, part: Floats, jaw_angles: Floats, jaw_radii: Floats, jaw: Floats
) -> Floats:
    """Return the radial gap at the displaced jaw nodes over the displaced part.

    The bodies slide along each other by some 0.01 mm on a surface that bends by some 1e-3 rad, so comparing the nodes
    that faced each other before loading would be 1e-5 mm wrong.
    """

    def moved(angles: Floats, radii: Floats, displacement: Floats) -> tuple[Floats, Floats]:
        x = radii * np.cos(angles) + displacement[:, 0]
        y = radii * np.sin(angles) + displacement[:, 1]
        return np.arctan2(y, x), np.hypot(x, y)

    angles, radii = moved(part_angles, part_radii, part)
    seen, wall = moved(jaw_angles, jaw_radii, jaw)
    return np.asarray(wall - np.interp(seen, angles, radii))


def read_outcome(path: Path, model: Model, case: Case) -> Outcome:
    """Reduce the printed results (.dat) of one run."""
    blocks = _sections(path)
    sets = node_sets(model, case)
    height = float(model.heights[-1] - model.heights[0])
    forces = _band_forces(blocks)
    middles = (np.arange(BANDS) + 0.5) * ARC / BANDS
    radial_force = forces[:, 0] * np.cos(middles) + forces[:, 1] * np.sin(middles)
    half_band = ARC / BANDS / 2
    # Pressures of one band point up to 1.5 deg off its middle: divide by the mean cosine.
    band_sum = radial_force * half_band / np.sin(half_band)
    area = PART_RADIUS * (ARC / BANDS) * height

    angles = model.angles
    jaw = _displacements(blocks, "JAW_LINE", sets["JAW_LINE"])
    part = _displacements(blocks, "PART_LINE", sets["PART_LINE"])
    part_radii = np.full(len(part), PART_RADIUS)
    gap = _line_gap(model.part_angles[: len(part)], part_radii, part, angles, case.wall(angles), jaw)
    base = _displacements(blocks, "BASE", sets["BASE"][:1])
    harmonic = float("nan")
    if case.part == "ring":
        inner = _displacements(blocks, "BORE_LINE", sets["BORE_LINE"])
        radial = inner[:, 0] * np.cos(model.part_angles) + inner[:, 1] * np.sin(model.part_angles)
        harmonic = third_harmonic(model.part_angles, radial)
    contact = next(
        lines for name, lines in blocks.items() if name.startswith("relative contact displacement")
    )
    # The sign of the printed normal component is that of the gap: overlap is negative.
    overlap = -min(float(line.split()[2]) for line in contact)
    factor = 2.0
    return Outcome(
        band_pressure=tuple(float(value) for value in band_sum / area),
        contact_limits=tuple(float(np.degrees(limit)) for limit in _contact_limits(angles, gap)),
        middle_closed=bool(gap[0] < CLOSED_GAP),
        harmonic_3=float(harmonic),
        approach=float(-base[0, 0]),
        resultant=factor * float(forces[:, 0].sum()),
        pressure_sum=factor * float(band_sum.sum()),
        overclosure=overlap,
    )
