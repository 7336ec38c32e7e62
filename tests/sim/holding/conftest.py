"""Faces and cuts to hold, and two independent models of holding: true cones, and a part on springs step by step."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import pytest
from numpy.typing import NDArray

from sim.contact.face import FaceGrid
from sim.holding import HeldFaces, evenly_pressed

Floats = NDArray[np.float64]
RADIUS, LENGTH, MU, GRIP = 60.0, 24.0, 0.1, 40e3


def make_faces(half: float = 0.4, inside: bool = False, length: float = LENGTH) -> HeldFaces:
    """Faces under even pressure, 30 mm above the serrations, on a radius of 60 mm."""
    return evenly_pressed(
        FaceGrid(np.linspace(-half, half, 19), np.linspace(30.0, 30.0 + length, 9), RADIUS, inside)
    )


def make_cut(
    tangential: float = 1000.0,
    passive: float = 500.0,
    axial: float = -500.0,
    diameter: float = 100.0,
    height: float = 40.0,
) -> Floats:
    """A cut at (d/2, 0, height) above the held middle: r x F by numpy."""
    force = np.array([-passive, -tangential, axial])
    return np.concatenate([force, np.cross([0.5 * diameter, 0.0, height], force)])


def points(faces: HeldFaces, strips: int, bands: int) -> tuple[Floats, Floats, Floats, Floats]:
    """Places (3, n), outward normals, tangents and axes of evenly spread points on three faces."""
    grid = faces.grid
    half = float(grid.angle_edges_rad[-1])
    phi = (np.arange(strips) + 0.5) / strips * 2.0 * half - half
    z = (np.arange(bands) + 0.5) / bands * faces.length - 0.5 * faces.length
    jaw, level, off = np.meshgrid(np.arange(3) * 2.0 * math.pi / 3.0, z, phi, indexing="ij")
    angle, level = (jaw + off).ravel(), level.ravel()
    out = np.array([np.cos(angle), np.sin(angle), np.zeros(angle.size)])
    around = np.array([-np.sin(angle), np.cos(angle), np.zeros(angle.size)])
    place = grid.radius_mm * out + np.array([[0.0], [0.0], [1.0]]) * level
    return place, out, around, np.array([[0.0], [0.0], [1.0]]) * np.ones(angle.size)


def wrench(place: Floats, force: Floats) -> Floats:
    return np.vstack([force, np.cross(place.T, force.T).T])


@dataclass
class PartOnSprings:
    """A rigid part on springs that only push, with friction springs that slip; loads are followed step by step.

    The jaws close together under the constant grip. Friction opposes the slip of each step (not associated), points
    may let go and touch again. Unknowns: three shifts, three turns, closing.
    """

    faces: HeldFaces
    mu: float = MU
    grip: float = GRIP
    stiffness: float = 2e6
    friction_share: float = 0.6
    back_radius: float | None = None
    strips: int = 3
    bands: int = 5

    def __post_init__(self) -> None:
        place, out, around, along = points(self.faces, self.strips, self.bands)
        count = place.shape[1]
        self.normal = wrench(place, out * (1.0 if self.faces.grid.inside else -1.0))
        self.rub = [wrench(place, around), wrench(place, along)]
        self.spring = 3.0 * self.stiffness / count
        self.friction = np.zeros((2, count))
        self.state = np.zeros(7)
        self.state[6] = self.grip / (self.spring * count)
        self.start = self.state.copy()
        back = self.back_radius or 0.0
        turn = np.arange(9) * 2.0 * math.pi / 9.0
        below = np.array([back * np.cos(turn), back * np.sin(turn), np.full(9, -0.5 * self.faces.length)])
        self.push = wrench(below, np.array([[0.0], [0.0], [1.0]]) * np.ones(9))
        self.unit = np.array([1.0, 1.0, 1.0, *([1.0 / RADIUS] * 3), 1.0]) / self.grip

    def _residual(self, state: Floats, load: Floats) -> tuple[Floats, Floats, Floats]:
        """Imbalance, its derivative, and the friction."""
        opens = np.vstack([self.normal, -np.ones((1, self.normal.shape[1]))])
        squeeze = -opens.T @ state
        normal = self.spring * np.maximum(squeeze, 0.0)
        slip = state[:6] - self.start[:6]
        tried = self.friction - self.friction_share * self.spring * np.array([r.T @ slip for r in self.rub])
        size = np.maximum(np.hypot(*tried), 1e-30)
        slips = size > self.mu * normal
        share = np.where(slips, self.mu * normal / size, 1.0)
        friction, unit = tried * share, tried / size
        miss = np.zeros(7)
        miss[:6] = self.normal @ normal + sum(r @ f for r, f in zip(self.rub, friction, strict=True)) + load
        miss[6] = normal.sum() - self.grip
        stiff = self.spring * (squeeze > 0.0)
        slope = np.vstack([-(self.normal * stiff) @ opens.T, -(stiff @ opens.T)[None]])
        for i in range(2):
            for j in range(2):
                fixed = np.where(slips, share * ((i == j) - unit[i] * unit[j]), float(i == j))
                slope[:6, :6] -= (self.rub[i] * fixed * self.friction_share * self.spring) @ self.rub[j].T
            slope[:6] -= (self.rub[i] * np.where(slips, self.mu * unit[i] * stiff, 0.0)) @ opens.T
        if self.back_radius is not None:
            sinks = self.push.T @ state[:6]
            miss[:6] -= self.stiffness / 9.0 * self.push @ np.minimum(sinks, 0.0)
            slope[:6, :6] -= (self.push * (self.stiffness / 9.0 * (sinks < 0.0))) @ self.push.T
        return miss, slope, friction

    def bear(self, load: Floats) -> bool:
        """Go to a new load; False, and nothing changed, if the part finds no rest within 2 mm."""
        state = self.state.copy()
        for _ in range(60):
            miss, slope, friction = self._residual(state, load)
            if np.abs(self.unit * miss).max() < 1e-7:
                self.state, self.start, self.friction = state, state.copy(), friction
                return True
            try:
                step = np.linalg.solve(slope, -miss)
            except np.linalg.LinAlgError:
                return False
            length = np.abs(step[:3]).max() + RADIUS * np.abs(step[3:6]).max()
            state = state + min(1.0, 0.02 / max(length, 1e-30)) * step
            if np.abs(state[:6] * [1.0, 1.0, 1.0, *([RADIUS] * 3)]).max() > 2.0:
                return False
        return False

    def limit(self, load: Floats, step: float, fine: float = 0.003) -> float:
        """The largest multiple of a load that is borne, raised in steps."""
        factor = 0.0
        while step > fine:
            if self.bear((factor + step) * load):
                factor += step
            else:
                step *= 0.5
        return factor


@pytest.fixture(scope="session")
def held_faces() -> Callable[..., HeldFaces]:
    return make_faces


@pytest.fixture(scope="session")
def a_cut() -> Callable[..., Floats]:
    return make_cut


@pytest.fixture(scope="session")
def on_springs() -> type[PartOnSprings]:
    return PartOnSprings


@pytest.fixture(scope="session")
def face_points() -> Callable[..., tuple[Floats, Floats, Floats, Floats]]:
    return points


@pytest.fixture(scope="session")
def wrench_of() -> Callable[[Floats, Floats], Floats]:
    return wrench
