"""Bodies that are ready for contact: the compliance of part and jaws on the cells of the faces, put together."""

from __future__ import annotations

import pickle
from collections.abc import Callable
from dataclasses import dataclass, field, replace
from typing import Any, TypeVar

import numpy as np

from sim.base.arrays import Floats, Ints
from sim.contact.bodies import JawGuide
from sim.contact.face import FaceGrid
from sim.contact.harmonics import Harmonics
from sim.contact.stress_bands import StressBands
from sim.contact.symmetry import inverse, inverse_by_blocks

_Answer = TypeVar("_Answer")


@dataclass(frozen=True, slots=True, eq=False)
class Prepared:
    """Everything of a contact that does not depend on loads, fits or offsets of the jaws.

    Attributes
    ----------
    grid : FaceGrid
        Cells of one face.
    jaw_mm_n : (nz nt, nz nt) array
        Compliance of one jaw on its seat, cells by band and strip.
    guide_mm_n : (nz nt, nz nt) array
        Compliance of the springs behind one jaw.
    total_mm_n : (n, n) array
        Of all, n = 3 nz nt, cells by jaw, band and strip.
    stiffness_n_mm : (n, n) array
        Its inverse.
    images : (m, k) array of int
        Cells that a symmetric load treats alike: cells of half a face and their images.
    alike_mm_n, alike_n_mm : (m, m) arrays
        Compliance of the images loaded alike, and its inverse.
    harmonics : Harmonics or None
        Response of the part, None for the foundation model.
    part_softness, jaw_softness : float
        2 (1 - nu^2)/(pi E), mm^2/N: of a half plane under a line load, which every body is next to it; 0 in the
        foundation model.
    outline : StressBands or None
        Where the part's stress is known, None for the foundation model.
    """

    grid: FaceGrid
    jaw_mm_n: Floats
    guide_mm_n: Floats
    total_mm_n: Floats
    stiffness_n_mm: Floats
    images: Ints
    alike_mm_n: Floats
    alike_n_mm: Floats
    harmonics: Harmonics | None
    part_softness: float = 0.0
    jaw_softness: float = 0.0
    outline: StressBands | None = None
    _once: dict[tuple[str, float], Floats] = field(default_factory=dict, init=False, repr=False)
    _last: dict[str, tuple[bytes, Any]] = field(default_factory=dict, init=False, repr=False)

    def once(self, name: str, at: float, make: Callable[[], Floats]) -> Floats:
        """Return what follows from the bodies and one number alone, worked out when it is first asked, by its name."""
        if (name, at) not in self._once:
            made = make()
            made.setflags(write=False)
            self._once[name, at] = made
        return self._once[name, at]

    def last(self, name: str, asked: object, make: Callable[[], _Answer]) -> _Answer:
        """Return what follows from the bodies and frozen values `asked`, kept by its name until others are asked.

        They are told apart bit by bit, as by `sim.base.kept`.
        """
        bits = pickle.dumps(asked, protocol=pickle.HIGHEST_PROTOCOL)
        known = self._last.get(name)
        if known is None or known[0] != bits:
            known = self._last[name] = (bits, make())
        answer: _Answer = known[1]
        return answer

    def __post_init__(self) -> None:
        for name in ("jaw_mm_n", "guide_mm_n", "total_mm_n", "stiffness_n_mm", "alike_mm_n", "alike_n_mm"):
            getattr(self, name).setflags(write=False)


def guide_compliance(grid: FaceGrid, guide: JawGuide) -> Floats:
    """Compliance of the springs behind a jaw, mm/N, (nz nt, nz nt), cells by band and strip."""
    along = np.tile(np.cos(grid.angles_rad), grid.shape[0])
    lever = np.repeat(grid.heights_mm - guide.guide_height_mm, grid.shape[1]) * along
    across = np.tile(np.sin(grid.angles_rad), grid.shape[0])
    yielding = np.outer(along, along) / guide.radial_stiffness_n_per_mm
    yielding += np.outer(across, across) / guide.tangential_stiffness_n_per_mm
    return np.asarray(yielding + np.outer(lever, lever) / guide.tilt_stiffness_nmm_per_rad, dtype=np.float64)


def images_of(grid: FaceGrid) -> Ints:
    """Cells of half a face (all of it for an odd number of strips) and their images on the three faces."""
    nz, nt = grid.shape
    cell = np.arange(nz * nt).reshape(nz, nt)
    mirrored = nt % 2 == 0 and np.allclose(grid.angle_edges_rad, -grid.angle_edges_rad[::-1], atol=1e-12)
    own = cell[:, nt // 2 :].ravel() if mirrored else cell.ravel()
    groups = [own + jaw * nz * nt for jaw in range(3)]
    if mirrored:
        other = cell[:, : nt // 2][:, ::-1].ravel()
        groups += [other + jaw * nz * nt for jaw in range(3)]
    return np.column_stack(groups)


def _alike(total: Floats, images: Ints) -> Floats:
    """Compliance (m, m) of cells whose images all carry the same force."""
    summed = np.zeros((len(images), len(images)))
    for column in images.T:
        summed += total[np.ix_(images[:, 0], column)]
    return np.asarray(0.5 * (summed + summed.T))


def _inverses(total: Floats, alike: Floats, images: Ints, grid: FaceGrid) -> tuple[Floats, Floats]:
    """Inverses of the compliance of all cells and of images loaded alike; the jaws are equal, mostly mirrored too."""
    mirrored = images.shape[1] == 6
    return (inverse_by_blocks(total, grid.shape) if mirrored else inverse(total)), inverse(alike)


def assembled(
    grid: FaceGrid,
    guide: JawGuide,
    jaw: Floats,
    blocks: Floats,
    harmonics: Harmonics | None,
) -> Prepared:
    """Put the bodies' compliances together.

    Parameters
    ----------
    grid, guide : FaceGrid, JawGuide
        Cells and springs.
    jaw : (nz nt, nz nt) array
        Compliance of one jaw.
    blocks : (3, nz nt, nz nt) array
        Of the part between a jaw's cells and those of the jaw 0, 1, 2 places behind it.
    harmonics : Harmonics or None
        Kept for the shape of the part.
    """
    n = jaw.shape[0]
    springs = guide_compliance(grid, guide)
    cells = np.zeros((3, n, 3, n))
    for i in range(3):
        for j in range(3):
            cells[i, :, j] = blocks[(i - j) % 3]
        cells[i, :, i] += jaw + springs
    total = cells.reshape(3 * n, 3 * n)
    total = np.asarray(0.5 * (total + total.T))
    images = images_of(grid)
    alike = _alike(total, images)
    stiffness, alike_stiffness = _inverses(total, alike, images, grid)
    return Prepared(grid, jaw.copy(), springs, total, stiffness, images, alike, alike_stiffness, harmonics)


def with_moduli(prepared: Prepared, part_share: float, jaw_share: float) -> Prepared:
    """Return the same bodies with part and jaws whose Young's moduli are shares of what they were.

    Exact: the compliance of a linear body goes with 1 / E. The springs behind the jaws stay as they are.
    """
    for name, share in (("part's share", part_share), ("jaws' share", jaw_share)):
        if not share > 0.0:
            raise ValueError(f"the {name} must be above 0, not {share}")
    own = _of_each_jaw(prepared.jaw_mm_n + prepared.guide_mm_n)
    jaw = prepared.jaw_mm_n / jaw_share
    behind = _of_each_jaw(jaw + prepared.guide_mm_n)
    found = replace(
        _with_total(prepared, behind + (prepared.total_mm_n - own) / part_share),
        jaw_mm_n=jaw,
        part_softness=prepared.part_softness / part_share,
        jaw_softness=prepared.jaw_softness / jaw_share,
    )
    part = prepared.harmonics
    if part is None:
        return found
    softer = {name: getattr(part, name) / part_share for name in ("band_mm", "place_mm", "whole_mm")}
    return replace(found, harmonics=replace(part, **softer))


def _of_each_jaw(one: Floats) -> Floats:
    """Return the compliance (3 n, 3 n) of three equal bodies that do not feel each other."""
    return np.asarray(np.kron(np.eye(3), one))


def _with_total(prepared: Prepared, total: Floats) -> Prepared:
    alike = _alike(total, prepared.images)
    stiffness, alike_stiffness = _inverses(total, alike, prepared.images, prepared.grid)
    return replace(
        prepared,
        total_mm_n=total,
        stiffness_n_mm=stiffness,
        alike_mm_n=alike,
        alike_n_mm=alike_stiffness,
    )
