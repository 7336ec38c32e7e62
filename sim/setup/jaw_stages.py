"""One soft jaw in its own frame, as it is mounted, as the boring path finds it, and finished. Lengths in mm."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import trimesh

from meshes import soft_jaw
from meshes.pocket import Pocket, removed_inside, removed_outside
from sim.base.answers import written
from sim.base.arrays import Floats
from sim.base.errors import in_field
from sim.scenario import Scenario
from sim.setup.earlier_bores import as_found, earlier_bores
from sim.setup.fixture import fixture_seat
from sim.setup.jaw_place import JawPlace
from sim.setup.jaw_solid import GrippedFace, require_solid
from sim.setup.solids import Corners, corners, solid


@dataclass(frozen=True, slots=True, eq=False)
class JawStages:
    """A soft jaw through its boring.

    Attributes
    ----------
    removed : (n, 2) array
        (r, z) outline of all that is turned out of the jaws at the boring travel, fixture's seat included; mm.
    stock_removed : (n, 2) array or None
        What has been turned before the boring path starts (pre-bore, fixture's seat), mm; None for the blank.
    blank, stock, bored : Trimesh
        As it is mounted (earlier borings taken away), as the boring path finds it, and finished.
    """

    removed: Floats
    stock_removed: Floats | None
    blank: trimesh.Trimesh
    stock: trimesh.Trimesh
    bored: trimesh.Trimesh


def jaw_stages(
    scenario: Scenario,
    place: JawPlace,
    dimensions: soft_jaw.SoftJawBlank,
    pockets: tuple[Pocket, ...],
    modelled: trimesh.Trimesh | None,
) -> JawStages:
    """Return a soft jaw before, in and after its boring to some pockets; `modelled` is that of its file, if it has one.

    Raises
    ------
    ValueError, ScenarioError
        If pockets or a fixture's seat cannot be turned, or the modelled jaw is no such jaw; names the field.
    """
    jaw, inner = scenario.soft_jaw, place.bored
    seat = fixture_seat(scenario)
    beyond = place.corner(inner) + 5.0
    all_pockets = pockets if seat is None else (*pockets, seat)
    with in_field("pockets"):
        removed = (
            removed_outside(all_pockets, jaw.height, scenario.boring.through_diameter)
            if place.outside
            else removed_inside(all_pockets, jaw.height, beyond)
        )
    stock_removed = _pre_bored(scenario, place, seat, beyond)
    if modelled is not None and jaw.model is not None:
        faces = tuple(
            GrippedFace(0.5 * p.diameter - inner, jaw.height - p.depth, jaw.height, place.outside)
            for p in pockets
        )
        require_solid(modelled, soft_jaw.mesh(dimensions), faces, jaw.model.file)
    # What a pre-bore takes away is missing in the end, too; a fixture's seat is among what is removed.
    turned = earlier_bores(scenario), stock_removed, removed, inner, seat is None
    if modelled is not None:
        return JawStages(removed, stock_removed, *_turned(modelled, *turned))
    blank, stock, bored = map(solid, _turned_block(dimensions, *turned))
    return JawStages(removed, stock_removed, blank, blank if stock_removed is None else stock, bored)


def _turned(
    jaw: trimesh.Trimesh,
    earlier: tuple[tuple[float, Floats], ...],
    stock_removed: Floats | None,
    removed: Floats,
    inner: float,
    from_stock: bool,  # noqa: FBT001  one of the values that name the answer
) -> tuple[trimesh.Trimesh, trimesh.Trimesh, trimesh.Trimesh]:
    """Return a jaw less what was bored before, less that which is turned before the path starts, and finished."""
    blank = as_found(jaw, earlier)
    stock = blank if stock_removed is None else soft_jaw.bored(blank, stock_removed, inner)
    return blank, stock, soft_jaw.bored(stock if from_stock else blank, removed, inner)


@written
def _turned_block(
    dimensions: soft_jaw.SoftJawBlank,
    earlier: tuple[tuple[float, Floats], ...],
    stock_removed: Floats | None,
    removed: Floats,
    inner: float,
    from_stock: bool,  # noqa: FBT001  one of the values that name the answer
) -> tuple[Corners, Corners, Corners]:
    turned = _turned(soft_jaw.mesh(dimensions), earlier, stock_removed, removed, inner, from_stock)
    blank, stock, bored = map(corners, turned)
    return blank, stock, bored


def _pre_bored(scenario: Scenario, place: JawPlace, seat: Pocket | None, beyond: float) -> Floats | None:
    """Return what is turned away before the boring path starts."""
    jaw_height, wide = scenario.soft_jaw.height, scenario.boring.passes.pre_bore_diameter
    if seat is not None:
        return (
            removed_outside((seat,), jaw_height)
            if place.outside
            else removed_inside((seat,), jaw_height, beyond)
        )
    if wide is None or not place.outside:
        return None
    over = 2.0
    return np.array(
        [(0.0, -over), (0.5 * wide, -over), (0.5 * wide, jaw_height + over), (0.0, jaw_height + over)]
    )
