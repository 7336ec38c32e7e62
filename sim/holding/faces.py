"""The jaws' faces on the part as the holding factor sees them: cells with their share of the grip; the back face."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from sim.base.arrays import Floats
from sim.contact import ContactResult, FaceGrid
from sim.contact.face import JAW_ANGLES_RAD, frozen_array

NOTHING = (
    1e-9  # share of the largest cell below which a cell carries nothing, and by which jaws count as alike
)


@dataclass(frozen=True, slots=True, eq=False)
class HeldFaces:
    """The jaws' faces on the part and how the grip is spread over them.

    Attributes
    ----------
    grid : FaceGrid
        Cells of one face.
    share : (3, nz, nt) array
        Of each cell in the sum of the normal forces; scaled to the sum 1.
    """

    grid: FaceGrid
    share: Floats

    def __post_init__(self) -> None:
        share = np.array(self.share, dtype=np.float64)
        if share.shape != (3, *self.grid.shape):
            raise ValueError(f"share must have the shape {(3, *self.grid.shape)}, found {share.shape}")
        if not (np.all(share >= 0.0) and np.isfinite(share).all() and share.sum() > 0.0):
            raise ValueError("share must be finite, 0 or more, and somewhere above 0")
        object.__setattr__(self, "share", frozen_array(share / share.sum()))

    @property
    def middle(self) -> float:
        """Middle of the held height, mm, chuck frame."""
        return 0.5 * float(self.grid.height_edges_mm[0] + self.grid.height_edges_mm[-1])

    @property
    def length(self) -> float:
        """Held length, mm."""
        return float(self.grid.height_edges_mm[-1] - self.grid.height_edges_mm[0])

    @property
    def alike(self) -> bool:
        """The three jaws carry alike, so that a third of a turn changes nothing."""
        return bool(np.ptp(self.share, axis=0).max() <= NOTHING * self.share.max())


@dataclass(frozen=True, slots=True)
class BackFace:
    """The pockets' back faces, on which the part stands; they only push.

    Attributes
    ----------
    radius : float
        At which they push, mm: the middle of the overlap of part and jaw, since its outer edge would yield.
    height : float
        mm, chuck frame.
    half_angle : float
        Half the arc of one jaw's back face at that radius, rad.
    friction : float
        Of the part on them, no unit.
    """

    radius: float
    height: float
    half_angle: float
    friction: float = 0.0

    def __post_init__(self) -> None:
        if not (self.radius > 0.0 and self.friction >= 0.0):
            raise ValueError(
                "radius of the back face must be greater than 0 mm and its friction 0 or more, "
                f"found {self.radius:g} mm and {self.friction:g}"
            )


@dataclass(frozen=True, slots=True)
class Prop:
    """What bears the part beside the jaws and stands still in space: a centre, a steady rest.

    Attributes
    ----------
    height : float
        Where it bears, mm, chuck frame.
    push : float
        Along the spindle towards the chuck, whatever else loads the part, N.
    across : float
        The most that it bears across the spindle, in any direction, N. It may bear less, and takes no moment.
    """

    height: float
    push: float
    across: float

    def __post_init__(self) -> None:
        if not (self.push >= 0.0 and self.across >= 0.0):
            raise ValueError(
                f"push and across of a prop must be 0 N or more, found {self.push:g} N and {self.across:g} N"
            )


def evenly_pressed(grid: FaceGrid) -> HeldFaces:
    """Return faces under even pressure, as the closed forms take them."""
    return HeldFaces(grid, np.tile(grid.areas_mm2, (3, 1, 1)))


def pressed(contact: ContactResult) -> HeldFaces:
    """Return faces under the pressure of a contact solution, whatever its grip."""
    return HeldFaces(contact.grid, contact.pressure_mpa * contact.grid.areas_mm2)


def lattice(faces: HeldFaces) -> tuple[Floats, Floats, Floats]:
    """Return angle off the jaw's middle, height above the held middle and share, (3, 2 nz, 2 nt) each.

    Four points a cell (Gauss), so that moments of even pressure come out exact.
    """
    grid, out = faces.grid, 0.5 / math.sqrt(3.0)
    phi = (grid.angles_rad[:, None] + np.diff(grid.angle_edges_rad)[:, None] * np.array([-out, out])).ravel()
    z = (grid.heights_mm[:, None] + np.diff(grid.height_edges_mm)[:, None] * np.array([-out, out])).ravel()
    share = 0.25 * np.repeat(np.repeat(faces.share, 2, axis=1), 2, axis=2)
    height, angle = np.broadcast_arrays((z - faces.middle)[None, :, None], phi[None, None, :])
    return np.broadcast_to(angle, share.shape), np.broadcast_to(height, share.shape), share


def corners(faces: HeldFaces) -> tuple[Floats, Floats]:
    """Return angle about the spindle and height above the held middle of the ends of what each jaw presses on, (n,).

    Both ends in height, and around both edges and the middle: 6 a jaw.
    """
    grid, angles, heights = faces.grid, [], []
    for jaw, turn in enumerate(JAW_ANGLES_RAD):
        loaded = faces.share[jaw] > NOTHING * faces.share.max()
        if not loaded.any():
            continue
        strips, bands = np.flatnonzero(loaded.any(axis=0)), np.flatnonzero(loaded.any(axis=1))
        first, last = grid.angle_edges_rad[[strips[0], strips[-1] + 1]]
        ends = grid.height_edges_mm[[bands[0], bands[-1] + 1]] - faces.middle
        for phi in (first, 0.5 * (first + last), last):
            angles += [turn + phi] * 2
            heights += [float(end) for end in ends]
    return np.array(angles), np.array(heights)
