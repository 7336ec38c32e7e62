"""A long cylinder in a slightly larger hole of a very large plate, plane strain: the case with known answers.

Jaw and part go through the same harmonics, strips and unilateral solver as a clamped part, with the plate as the
one jaw. Its references are Hertz (small contact) and Persson (any contact, equal materials).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from sim.base.arrays import Floats
from sim.contact.bodies import TurnedPart
from sim.contact.face import FaceGrid, frozen_array
from sim.contact.harmonics import part_blocks, solved_orders
from sim.contact.part import part_harmonics, part_section
from sim.contact.section import GrippedSurface
from sim.contact.unilateral import solve_unilateral

_HEIGHT_MM = 100.0  # of the slice; nothing varies along it
_PLATE = 60.0  # outer radius of the plate over the hole's: stands for infinity


@dataclass(frozen=True, slots=True, eq=False)
class PinInHole:
    """Pressure of the cylinder on the hole.

    Attributes
    ----------
    angles_rad, pressure_mpa : (nt,) middles of the strips and their mean pressure.
    half_angle_rad : of the contact, found inside a strip by the square-root law.
    centre_mpa : pressure at angle 0.
    line_force_n_mm : resultant of the pressure per mm of length.
    """

    angles_rad: Floats
    pressure_mpa: Floats
    half_angle_rad: float
    centre_mpa: float
    line_force_n_mm: float

    def __post_init__(self) -> None:
        object.__setattr__(self, "angles_rad", frozen_array(self.angles_rad))
        object.__setattr__(self, "pressure_mpa", frozen_array(self.pressure_mpa))


def pin_compliance(
    radius_mm: float, half_grid_rad: float, strips: int, modulus_mpa: float, poisson: float
) -> Floats:
    """Compliance of cylinder and plate together between strips over +-half_grid, mm/N for a slice, (nt, nt)."""
    edges = np.linspace(-half_grid_rad, half_grid_rad, strips + 1)
    total = np.zeros((strips, strips))
    for inside, inner, outer in ((False, 0.0, radius_mm), (True, radius_mm, _PLATE * radius_mm)):
        box = np.array([(inner, 0.0), (outer, 0.0), (outer, _HEIGHT_MM), (inner, _HEIGHT_MM)])
        grid = FaceGrid(edges, np.array([0.0, _HEIGHT_MM]), radius_mm, inside)
        surface = GrippedSurface(0.0, _HEIGHT_MM, radius_mm)
        section = part_section(TurnedPart(box, modulus_mpa, poisson), grid, surface, plane=True)
        total += part_blocks(part_harmonics(section, solved_orders(grid)), grid)[0]
    return total


def pin_in_hole(
    line_force_n_mm: float,
    difference_mm: float,
    half_grid_rad: float,
    radius_mm: float = 50.0,
    strips: int = 80,
    material: tuple[float, float] = (210e3, 0.3),
) -> PinInHole:
    """Press the cylinder into the hole.

    Parameters
    ----------
    line_force_n_mm : force per mm of length.
    difference_mm : radius of the hole less the cylinder's, positive.
    half_grid_rad : half-angle covered by strips, larger than the contact, at most 90 deg.
    radius_mm : of the cylinder.
    strips : around the covered arc.
    material : modulus in MPa and Poisson's ratio of both.
    """
    edges = np.linspace(-half_grid_rad, half_grid_rad, strips + 1)
    angles = 0.5 * (edges[1:] + edges[:-1])
    K = pin_compliance(radius_mm, half_grid_rad, strips, *material)
    gap = difference_mm * (1.0 - np.cos(angles))
    load = np.array([line_force_n_mm * _HEIGHT_MM])
    found = solve_unilateral(K, gap, -np.cos(angles)[:, None], load)
    pressure = found.force_n / (radius_mm * np.diff(edges) * _HEIGHT_MM)
    last = int(np.flatnonzero(pressure > 0.0)[-1])
    # Near its end the square of the pressure falls straight with the square of the angle; the strip in which it ends
    # holds a part of its pressure only and is left out.
    near, far = pressure[last - 2] ** 2, pressure[last - 1] ** 2
    a, b = angles[last - 2] ** 2, angles[last - 1] ** 2
    end = math.sqrt(b + far * (b - a) / (near - far))
    middle = slice((strips - 1) // 2, strips // 2 + 1)
    resultant = float(np.sum(found.force_n * np.cos(angles))) / _HEIGHT_MM
    return PinInHole(angles, pressure, end, float(pressure[middle].mean()), resultant)
