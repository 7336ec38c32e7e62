"""A steel roller in a wide aluminium bore, plane strain: contact of two metals through the contact's own kernels.

NAFEMS, contact benchmark 1: a roller of steel, R 50 mm, on a flat block of aluminium under 35 kN for each mm of its
length: half-width 6.21 mm, largest pressure 3585 MPa, Hertz's (A. Konter, Advanced Finite Element Contact Benchmarks,
NAFEMS 2006, FENET report D3613, as quoted in JuliaFEM, example 2d_hertz_contact; E 210 and 70 GPa, nu 0.3).

The contact model has no flat block wider than its jaw. A bore eight times as wide as the roller with the same relative
curvature, 1/R - 1/R_bore = 1/50, is what it has; Hertz knows the relative curvature alone.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache

import numpy as np

from sim.base.arrays import Floats
from sim.contact.bodies import TurnedPart
from sim.contact.face import FaceGrid
from sim.contact.harmonics import part_blocks, solved_orders
from sim.contact.part import part_harmonics, part_section
from sim.contact.section import GrippedSurface
from sim.contact.unilateral import solve_unilateral

STEEL, ALUMINIUM = (210e3, 0.3), (70e3, 0.3)
RELATIVE, LINE_FORCE = 50.0, 35e3  # mm, N/mm
PRINTED_HALF_WIDTH, PRINTED_PRESSURE = 6.21, 3585.0  # mm, MPa
_HEIGHT, _REACH, _PLATE = 100.0, 8.0, 8.0  # slice and strips to both sides, mm; plate over bore


@dataclass(frozen=True, slots=True)
class Line:
    """Half-width of the contact (mm) and pressure in its middle (MPa)."""

    half_width: float
    pressure: float


def _compliance(
    box: tuple[float, float], radius: float, edges: Floats, material: tuple[float, float]
) -> Floats:
    low, high = box
    outline = np.array([(low, 0.0), (high, 0.0), (high, _HEIGHT), (low, _HEIGHT)])
    grid = FaceGrid(edges / radius, np.array([0.0, _HEIGHT]), radius, low == radius)
    surface = GrippedSurface(0.0, _HEIGHT, radius)
    section = part_section(TurnedPart(outline, *material), grid, surface, plane=True)
    return np.asarray(part_blocks(part_harmonics(section, solved_orders(grid)), grid)[0])


@cache
def roller(
    roller_material: tuple[float, float] = STEEL,
    bore_material: tuple[float, float] = ALUMINIUM,
    bore_radius: float = 8.0 * RELATIVE,
    strips: int = 60,
) -> Line:
    """Press a roller into a bore whose radius (mm) leaves the relative radius of 50 mm."""
    radius = 1.0 / (1.0 / RELATIVE + 1.0 / bore_radius)
    edges = np.linspace(-_REACH, _REACH, strips + 1)
    middles = 0.5 * (edges[1:] + edges[:-1])
    both = _compliance((0.0, radius), radius, edges, roller_material)
    both = both + _compliance((bore_radius, _PLATE * bore_radius), bore_radius, edges, bore_material)
    gap = radius * (1.0 - np.cos(middles / radius)) - bore_radius * (1.0 - np.cos(middles / bore_radius))
    found = solve_unilateral(both, gap, -np.ones((strips, 1)), np.array([LINE_FORCE * _HEIGHT]))
    pressure = found.force_n / (np.diff(edges) * _HEIGHT)
    # The square of Hertz's pressure falls straight with the square of the distance.
    closed = np.flatnonzero(pressure > 0.3 * pressure.max())
    slope, level = np.polyfit(middles[closed] ** 2, pressure[closed] ** 2, 1)
    return Line(math.sqrt(-level / slope), float(pressure[(strips - 1) // 2 : strips // 2 + 1].mean()))
