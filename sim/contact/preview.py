"""A changed pocket while it is being changed: its jaw between jaws that are computed, for pictures that say so.

A jaw takes a second, and a slider passes many. Between neighbouring pockets a jaw's compliance is smooth, since the
layers of its elements stay (`sim.contact.jaw_mesh.layered`); so it is read between two or three that are computed,
by the one polynomial through them. All else is exact: part, cells, springs, fit, loads and the solution itself. Never
outside of what is computed, and never for a verdict. A pocket's depth changes how much of the part is gripped: the part
is computed for each depth that may be asked, since read between two its triangles would tell by 1 % of the mean. Half a
millimetre of depth, one of the jaw's end or a tenth of the bore to either side keep the pressures within 0.5 % of their
mean; elements that pass the edge of a screw hole may take as much again.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from sim.base.arrays import Floats
from sim.contact.elastic import PartAlone, jaw_alone, together
from sim.contact.face import FaceGrid, face_grid, frozen_array
from sim.contact.harmonics import part_blocks
from sim.contact.prepared import Prepared, assembled
from sim.contact.setup import ContactSetup

_SAME = 1e-9  # mm by which bands of one gripped length may differ


@dataclass(frozen=True, slots=True, eq=False)
class JawsNearby:
    """Jaws at two or three places of the one dimension of the pocket that is changed.

    Attributes
    ----------
    places : (k,) array
        The dimension at each, rising, mm.
    jaw_mm_n : (k, n, n) array
        Compliance of a jaw there, cells by band and strip.
    """

    places: Floats
    jaw_mm_n: Floats

    def __post_init__(self) -> None:
        for name in ("places", "jaw_mm_n"):
            object.__setattr__(self, name, frozen_array(getattr(self, name)))
        if self.places.size not in (2, 3) or not np.all(np.diff(self.places) > 0.0):
            raise ValueError(f"places must be two or three that rise, not {self.places}")

    def at(self, place: float) -> Floats:
        """Return the compliance (n, n) of a jaw between them.

        Raises
        ------
        ValueError
            When the place lies outside of those computed.
        """
        first, last = float(self.places[0]), float(self.places[-1])
        if not first <= place <= last:
            raise ValueError(f"place must lie between {first:g} and {last:g} mm, not {place:g}")
        shares = np.ones(self.places.size)
        for k, own in enumerate(self.places):
            others = np.delete(self.places, k)
            shares[k] = np.prod((place - others) / (own - others))
        found = np.tensordot(shares, self.jaw_mm_n, axes=1)
        return np.asarray(0.5 * (found + found.T))


def jaws_nearby(setups: Sequence[tuple[float, ContactSetup]], cache: Path | None = None) -> JawsNearby:
    """Compute the jaws of two or three pockets, or read them from the cache.

    Parameters
    ----------
    setups : sequence of (float, ContactSetup)
        Each with the dimension that tells it from the others, mm, rising.
    cache : Path or None
        See `prepare`.
    """
    return JawsNearby(
        np.array([place for place, _ in setups]), np.array([jaw_alone(setup, cache) for _, setup in setups])
    )


def previewed(
    setup: ContactSetup, place: float, jaws: JawsNearby, before: ContactSetup, prepared: Prepared
) -> Prepared:
    """Return the bodies of a changed pocket, its jaw read between others.

    Parameters
    ----------
    setup : ContactSetup
        With the changed pocket.
    place : float
        Its changed dimension, mm.
    jaws : JawsNearby
    before : ContactSetup
        With the same part, gripped over the same length of it.
    prepared : Prepared
        Its bodies.

    Raises
    ------
    ValueError
        When the part, or how much of it is gripped, is another, or the place lies outside of those computed.
    LinAlgError
        When what is read between the jaws is no body's compliance.
    """
    grid = face_grid(setup.grip, setup.strips, setup.bands, setup.evenness)
    _require_same_part(setup, before, grid.height_edges_mm, prepared.grid.height_edges_mm)
    found = assembled(grid, setup.guide, jaws.at(place), _part_under(prepared, grid), prepared.harmonics)
    return replace(
        found,
        part_softness=prepared.part_softness,
        jaw_softness=prepared.jaw_softness,
        outline=prepared.outline,
    )


def deepened(setup: ContactSetup, place: float, jaws: JawsNearby, part: PartAlone) -> Prepared:
    """Return the bodies of a pocket of another depth, its jaw read between others.

    Parameters
    ----------
    setup : ContactSetup
        With the changed pocket.
    place : float
        Its depth, mm.
    jaws : JawsNearby
        Of depths between which the gripped heights move evenly.
    part : PartAlone
        The setup's.

    Raises
    ------
    ValueError
        When the depth lies outside of those computed, or the part is under other cells.
    LinAlgError
        When what is read between the jaws is no body's compliance.
    """
    grid, jaw = face_grid(setup.grip, setup.strips, setup.bands, setup.evenness), jaws.at(place)
    if part.blocks_mm_n.shape != (3, *jaw.shape) or grid.areas_mm2.size != len(jaw):
        raise ValueError("part, jaws and face must have the same cells")
    return together(setup, part, jaw, grid)


def _part_under(prepared: Prepared, grid: FaceGrid) -> Floats:
    """Return the part's compliance between the cells of two faces, as `part_blocks`: what is known if the cells are."""
    if prepared.harmonics is None:
        raise ValueError("a jaw by columns takes no time: prepare it")
    if not np.array_equal(prepared.grid.angle_edges_rad, grid.angle_edges_rad):
        return part_blocks(prepared.harmonics, grid)
    n = len(prepared.jaw_mm_n)
    blocks = prepared.total_mm_n[:, :n].reshape(3, n, n).copy()
    blocks[0] -= prepared.jaw_mm_n + prepared.guide_mm_n
    return np.asarray(blocks)


def _require_same_part(setup: ContactSetup, before: ContactSetup, edges: Floats, earlier: Floats) -> None:
    """Refuse another part, or one gripped otherwise; that it stands higher or lower with its pocket is no matter."""
    lifted = edges[0] - earlier[0]
    part, own = setup.part, before.part
    same = (
        part.outline_mm.shape == own.outline_mm.shape
        and np.allclose(part.outline_mm, own.outline_mm + np.array([0.0, lifted]), rtol=0.0, atol=_SAME)
        and (part.modulus_mpa, part.poisson) == (own.modulus_mpa, own.poisson)
        and setup.grip.part_radius_mm == before.grip.part_radius_mm
        and edges.size == earlier.size
        and np.allclose(edges, earlier + lifted, rtol=0.0, atol=_SAME)
        and setup.strips == before.strips
    )
    if not same:
        raise ValueError("part and gripped length must be those of the pocket before, moved with its depth")
