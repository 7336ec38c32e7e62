"""Part and jaws of a contact by finite elements, once per geometry, each under a key of its own in the cache."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import astuple, dataclass, replace
from pathlib import Path

import numpy as np

from sim.base.arrays import Floats
from sim.base.threads import each
from sim.contact.cache import cache_key, store, stored
from sim.contact.face import FaceGrid, GripGeometry, face_grid, frozen_array
from sim.contact.foundation import foundation_columns
from sim.contact.harmonics import (
    HIGHEST_OF_SHAPE,
    HIGHEST_OF_STRESS,
    Harmonics,
    filled,
    part_blocks,
    solved_orders,
)
from sim.contact.prepared import Prepared, assembled
from sim.contact.setup import ContactSetup
from sim.contact.stress_bands import StressBands, stress_bands


def prepare(setup: ContactSetup, places_mm: Floats | None = None, cache: Path | None = None) -> Prepared:
    """Compute the compliances that a setup's contact needs, or read them from the cache.

    Parameters
    ----------
    setup : ContactSetup
        Loads, fits, lobes and jaw offsets in it do not matter and may change later.
    places_mm : (k, 2) array or None
        r and z of points of the part whose distortion will be asked for.
    cache : Path or None
        Folder, see `sim.contact.cache.default_cache`; None computes anew.

    Returns
    -------
    Prepared

    Raises
    ------
    ValueError
        When outline, face and jaw do not fit together.
    """
    grid = face_grid(setup.grip, setup.strips, setup.bands, setup.evenness)
    n = grid.areas_mm2.size
    if setup.model == "foundation":
        columns = foundation_columns(setup.grip, setup.part, setup.jaw) / grid.areas_mm2.ravel()
        blocks = np.zeros((3, n, n))
        blocks[0] = np.diag(columns[0])
        return assembled(grid, setup.guide, np.diag(columns[1]), blocks, None)
    own = _Part(setup, grid, places_mm)
    jaw_body = (_jaw_key(setup, grid), ("jaw",), _jaw_of(setup, grid))
    found = _kept_or_computed(cache, (own.body, jaw_body), {**own.shapes, "jaw": (n, n)})
    return together(setup, own.read(found), found["jaw"], grid)


def together(setup: ContactSetup, part: PartAlone, jaw: Floats, grid: FaceGrid) -> Prepared:
    """Put a part alone and the compliance (nz nt, nz nt) of one jaw of a setup together."""
    bodies = assembled(grid, setup.guide, jaw, part.blocks_mm_n, part.harmonics)
    return replace(
        bodies,
        part_softness=line_softness(setup.part.modulus_mpa, setup.part.poisson),
        jaw_softness=line_softness(setup.jaw.modulus_mpa, setup.jaw.poisson),
        outline=part.outline,
    )


@dataclass(frozen=True, slots=True, eq=False)
class PartAlone:
    """A part of finite elements without its jaws.

    Attributes
    ----------
    blocks_mm_n : (3, nz nt, nz nt) array
        Compliance between a jaw's cells and those of the jaw 0, 1, 2 places behind it.
    harmonics : Harmonics
        Its response.
    outline : StressBands
        Where its stress is known.
    """

    blocks_mm_n: Floats
    harmonics: Harmonics
    outline: StressBands


def part_alone(setup: ContactSetup, places_mm: Floats | None = None, cache: Path | None = None) -> PartAlone:
    """Return a setup's part alone, as in `prepare`.

    Raises
    ------
    ValueError
        When outline and face do not fit together.
    """
    grid = face_grid(setup.grip, setup.strips, setup.bands, setup.evenness)
    part = _Part(setup, grid, places_mm)
    return part.read(_kept_or_computed(cache, (part.body,), part.shapes))


class _Part:
    """What is asked for to know a part under the cells of a face, and how it is read."""

    def __init__(self, setup: ContactSetup, grid: FaceGrid, places_mm: Floats | None) -> None:
        self._places = np.zeros((0, 2)) if places_mm is None else frozen_array(places_mm).reshape(-1, 2)
        self._orders, self._outline = solved_orders(grid), stress_bands(setup.part)
        n, nz, m = grid.areas_mm2.size, grid.shape[0], self._orders.size
        self.shapes = {
            "blocks": (3, n, n),
            "band": (m, nz, nz),
            "place": (m, len(self._places), 3, nz),
            "stress": (m, len(self._outline.edge), 6, nz),
            "whole": (HIGHEST_OF_SHAPE + 1, len(self._places), 3, nz),
            "shares": (HIGHEST_OF_STRESS + 1, m),
        }
        self.body = (
            _part_key(setup, grid, self._places),
            tuple(self.shapes),
            _part_of(setup, grid, self._orders, self._places, self._outline),
        )

    def read(self, found: Mapping[str, Floats]) -> PartAlone:
        """Return the part of arrays by name."""
        arrays = [found[name] for name in ("place", "stress", "whole", "shares")]
        response = Harmonics(self._orders, found["band"], self._places, *arrays)
        return PartAlone(found["blocks"], response, self._outline)


def jaw_alone(setup: ContactSetup, cache: Path | None = None) -> Floats:
    """Return the compliance (nz nt, nz nt) of a setup's jaw of finite elements without its springs, as in `prepare`."""
    grid = face_grid(setup.grip, setup.strips, setup.bands, setup.evenness)
    n = grid.areas_mm2.size
    body = (_jaw_key(setup, grid), ("jaw",), _jaw_of(setup, grid))
    return _kept_or_computed(cache, (body,), {"jaw": (n, n)})["jaw"]


def line_softness(modulus_mpa: float, poisson: float) -> float:
    """Return 2 (1 - nu^2)/(pi E), mm^2/N (Johnson, Contact Mechanics, 1985, 2.3: a line load on a half plane)."""
    return 2.0 * (1.0 - poisson**2) / (math.pi * modulus_mpa)


Body = Callable[[], dict[str, Floats]]


def _kept_or_computed(
    cache: Path | None,
    bodies: Sequence[tuple[str, tuple[str, ...], Body]],
    shapes: Mapping[str, tuple[int, ...]],
) -> dict[str, Floats]:
    """Read the arrays of each body under its key, or compute them, side by side, and keep them."""
    found: dict[str, Floats] = {}
    missing: list[tuple[str, Body]] = []
    for key, names, body in bodies:
        kept = None if cache is None else stored(cache, key, {name: shapes[name] for name in names})
        if kept is None:
            missing.append((key, body))
        else:
            found |= kept
    for (key, _), made in zip(missing, each(_made, [body for _, body in missing]), strict=True):
        if cache is not None:
            store(cache, key, made)
        found |= made
    return found


def _made(body: Body) -> dict[str, Floats]:
    return body()


def _part_of(
    setup: ContactSetup, grid: FaceGrid, orders: Floats, places: Floats, outline: StressBands
) -> Body:
    """Return what computes the part."""

    def body() -> dict[str, Floats]:
        # The finite-element library takes a good part of a check to import; what is in the cache needs none of it.
        from sim.contact.part import part_harmonics, part_section
        from sim.contact.section import gripped_surface

        grip = setup.grip
        surface = gripped_surface(setup.part, grip.part_radius_mm, grip.z_low_mm, grip.z_high_mm)
        _require_full_height(grip, surface.z_low_mm, surface.z_high_mm)
        response = filled(part_harmonics(part_section(setup.part, grid, surface), orders, places, outline))
        return {
            "blocks": part_blocks(response, grid),
            "band": response.band_mm,
            "place": response.place_mm,
            "stress": response.stress_mpa,
            "whole": response.whole_mm,
            "shares": response.shares,
        }

    return body


def _jaw_of(setup: ContactSetup, grid: FaceGrid) -> Body:
    """Return what computes the jaw."""

    def body() -> dict[str, Floats]:
        from sim.contact.jaw import jaw_compliance

        return {"jaw": jaw_compliance(setup.grip, grid, setup.jaw)}

    return body


def _require_full_height(grip: GripGeometry, low: float, high: float) -> None:
    if low > grip.z_low_mm + 1e-6 or high < grip.z_high_mm - 1e-6:
        raise ValueError(
            f"the part's turned surface of radius {grip.part_radius_mm:g} mm reaches from z = {low:g} to {high:g} mm "
            f"only, not from {grip.z_low_mm:g} to {grip.z_high_mm:g} mm; grip it within that"
        )


def _face(setup: ContactSetup, grid: FaceGrid) -> tuple[object, ...]:
    return (
        grid.angle_edges_rad,
        grid.height_edges_mm,
        grid.radius_mm,
        grid.inside,
        setup.grip.part_radius_mm,
    )


def _part_key(setup: ContactSetup, grid: FaceGrid, places: Floats) -> str:
    part = setup.part
    return cache_key("part", _face(setup, grid), part.outline_mm, (part.modulus_mpa, part.poisson), places)


def _jaw_key(setup: ContactSetup, grid: FaceGrid) -> str:
    jaw, grip = setup.jaw, setup.grip
    return cache_key(
        "jaw",
        _face(setup, grid),
        (jaw.back_radius_mm, jaw.height_mm, jaw.modulus_mpa, jaw.poisson),
        (jaw.ledge_z_mm, jaw.ledge_radius_mm, jaw.front_z_mm, jaw.front_radius_mm),
        [(h.axis_mm, h.diameter_mm, h.z_low_mm, h.z_high_mm) for h in jaw.holes],
        (grip.bore_radius_mm, grip.width_mm, grip.edge_chamfer_mm, grip.edge_back_mm),
        None if jaw.sector is None else astuple(jaw.sector),
        *(() if jaw.point is None else ("point", astuple(jaw.point))),
        None if jaw.seat is None else astuple(jaw.seat),
    )
