"""Bored faces as coloured patches: meshes a little before the jaws' faces, with the pressure at their corners."""

from __future__ import annotations

import math

import numpy as np
import trimesh

from sim.assessment.figures.operation import OperationFigures
from sim.base.arrays import Flags, Floats, Ints
from sim.contact import ContactResult, band_means
from sim.contact.face import JAW_ANGLES_RAD
from sim.mechanics.stroke import wall_distance
from sim.setup.jaw_screws import head_seat
from sim.setup.parts import Parts

PATCH = (96, 48)  # cells of the coloured face, around and along
ABOVE_FACE = 0.15  # mm by which the coloured face stands before the jaw's, so that it is not hidden in it


def face_patches(
    figures: OperationFigures, parts: Parts, cells: tuple[int, int] = PATCH
) -> list[tuple[trimesh.Trimesh, Floats]]:
    """Return for each jaw the bored face as a mesh of cells (around, along) and the pressure (MPa) at its vertices.

    Vertices run around first, then along the spindle.
    """
    contact = figures.clamping.pressure
    travel = figures.grip_travel - parts.scenario.boring.travel
    pocket = parts.scenario.pocket_of(figures.operation)
    inside = parts.direction == "inside"
    angles = np.linspace(contact.grid.angle_edges_rad[0], contact.grid.angle_edges_rad[-1], cells[0] + 1)
    heights = np.linspace(contact.grid.height_edges_mm[0], contact.grid.height_edges_mm[-1], cells[1] + 1)
    off = travel if inside else -travel
    before = ABOVE_FACE if inside else -ABOVE_FACE
    radii = np.array([wall_distance(float(a), off, 0.5 * pocket.diameter) for a in angles]) + before
    pressures = smooth_pressure(contact, angles, heights)
    faces = _grid_faces(len(heights), len(angles))
    patches = []
    for jaw, turn in enumerate(JAW_ANGLES_RAD):
        x, y = radii * np.cos(angles + turn), radii * np.sin(angles + turn)
        vertices = np.column_stack(
            [np.tile(x, len(heights)), np.tile(y, len(heights)), np.repeat(heights, len(angles))]
        )
        kept = faces[~_in_screw_hole(vertices[faces].mean(axis=1), turn, parts, figures.grip_travel)]
        patches.append((trimesh.Trimesh(vertices, kept, process=False), pressures[jaw].ravel()))
    return patches


def _in_screw_hole(points: Floats, turn: float, parts: Parts, travel: float) -> Flags:
    """Tell which points (n, 3) lie where a screw's hole or counterbore leaves no metal to colour."""
    screws = parts.scenario.soft_jaw.screws
    along = math.cos(turn) * points[:, 0] + math.sin(turn) * points[:, 1]
    across = math.cos(turn) * points[:, 1] - math.sin(turn) * points[:, 0]
    counterbored = points[:, 2] > head_seat(parts.scenario)
    radius = 0.5 * np.where(counterbored, screws.counterbore_diameter, screws.hole_diameter)
    inner = parts.place.inner(travel)
    distances = [np.hypot(along - inner - position, across) for position in screws.positions]
    return np.asarray((np.array(distances) < radius).any(axis=0), dtype=bool)


def smooth_pressure(contact: ContactResult, angles: Floats, heights: Floats) -> Floats:
    """Return band-mean pressures (MPa) at angles (n,) and heights (m,), (3, m, n), linear between the bands.

    Band means do not depend on the grid; single cells at a sharp edge do and are never shown.
    """
    means = band_means(contact)
    _, along, around = means.shape
    a = _middles(float(contact.grid.angle_edges_rad[0]), float(contact.grid.angle_edges_rad[-1]), around)
    z = _middles(float(contact.grid.height_edges_mm[0]), float(contact.grid.height_edges_mm[-1]), along)
    over_angles = np.array([[np.interp(angles, a, row) for row in jaw] for jaw in means])
    columns = [[np.interp(heights, z, column) for column in jaw.T] for jaw in over_angles]
    return np.asarray(np.swapaxes(np.array(columns), 1, 2), dtype=np.float64)


def _middles(low: float, high: float, count: int) -> Floats:
    edges = np.linspace(low, high, count + 1)
    return np.asarray(0.5 * (edges[1:] + edges[:-1]), dtype=np.float64)


def _grid_faces(rows: int, columns: int) -> Ints:
    first = (np.arange(rows - 1)[:, None] * columns + np.arange(columns - 1)[None, :]).ravel()
    lower = np.column_stack([first, first + 1, first + columns])
    return np.vstack([lower, np.column_stack([first + 1, first + columns + 1, first + columns])])
