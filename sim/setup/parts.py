"""From a scenario to parts: dimensions and solids, each in its own frame.

Lengths in mm. Nothing here depends on the travel; `sim.setup.pose` places the parts.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import trimesh

from meshes import chuck_body, jaw_screw, master_jaw, soft_jaw, t_nut
from meshes.boring_ring import BoringRing
from meshes.outer_ring import OuterRing
from meshes.plug import Plug
from meshes.pocket import Pocket, removed_inside, removed_outside
from meshes.turning_tool import TurningTool
from meshes.workpiece import Workpiece
from sim.base.arrays import Floats
from sim.base.errors import ScenarioError, in_field
from sim.base.tables import Material, material
from sim.scenario import OuterRing as OuterRingTable
from sim.scenario import Plug as PlugTable
from sim.scenario import Pocket as PocketTable
from sim.scenario import Ring as RingTable
from sim.scenario import Scenario
from sim.setup import tooling
from sim.setup.dimensions import (
    blank_dimensions,
    body_dimensions,
    master_dimensions,
    nut_dimensions,
    pocket_dimensions,
)
from sim.setup.earlier_bores import as_found
from sim.setup.fixture import (
    fixture_seat,
    outer_ring_dimensions,
    plug_dimensions,
    ring_dimensions,
    stop_dimensions,
)
from sim.setup.jaw_model import jaw_model
from sim.setup.jaw_place import Direction, JawPlace, jaw_place
from sim.setup.jaw_screws import screw_dimensions
from sim.setup.jaw_solid import GrippedFace, require_solid


@dataclass(frozen=True, slots=True, eq=False)
class Parts:
    """Everything of a setup in its own frame.

    Attributes
    ----------
    scenario : Scenario
    place : JawPlace
        Where the jaws stand along their stroke.
    jaw_material : Material
    pockets : tuple of Pocket
        As turned, without the fixture's seat.
    removed : (n, 2) array
        (r, z) outline of all that is turned out of the jaws at the boring travel, fixture's seat included; mm.
    stock_removed : (n, 2) array or None
        What has been turned before the boring path starts (pre-bore, fixture's seat), mm; None for the blank.
    blank, stock, bored : Trimesh
        One soft jaw in the jaw frame: as it is mounted (earlier borings taken away), as the boring path finds it,
        and finished.
    body, master, nut, screw : Trimesh
        Chuck body; master jaw; T-nut; jaw screw.
    workpieces : tuple of Workpiece
        One for each operation, part frame.
    ring, plug, outer_ring : BoringRing or None, Plug or None, OuterRing or None
        Fixture's dimensions, None where not used.
    boring_tools : tuple of TurningTool
        In the order of the program's tools, or the one of `boring.tool`.
    part_tools : tuple of tuple of TurningTool
        For each operation; empty without a program.
    back_stops : tuple of Plug or None
        For each operation, a disc.
    """

    scenario: Scenario
    place: JawPlace
    jaw_material: Material
    pockets: tuple[Pocket, ...]
    removed: Floats
    stock_removed: Floats | None
    blank: trimesh.Trimesh
    stock: trimesh.Trimesh
    bored: trimesh.Trimesh
    body: trimesh.Trimesh
    master: trimesh.Trimesh
    nut: trimesh.Trimesh
    screw: trimesh.Trimesh
    workpieces: tuple[Workpiece, ...]
    ring: BoringRing | None
    plug: Plug | None
    outer_ring: OuterRing | None
    boring_tools: tuple[TurningTool, ...]
    part_tools: tuple[tuple[TurningTool, ...], ...]
    back_stops: tuple[Plug | None, ...]

    @property
    def direction(self) -> Direction:
        """In which the jaws grip, 'outside' or 'inside'."""
        return self.place.direction


def build(scenario: Scenario) -> Parts:
    """Build every part of a scenario.

    Raises
    ------
    ScenarioError
        If a part cannot be made as stated; the message names the table.
    """
    try:
        return _built(scenario)
    except ValueError as error:
        raise ScenarioError(str(error)) from None


def _built(scenario: Scenario) -> Parts:
    place, jaw = jaw_place(scenario), scenario.soft_jaw
    inner = place.bored
    dimensions = blank_dimensions(scenario)
    pockets = tuple(_pocket(stated, number) for number, stated in enumerate(scenario.pockets))
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
    block, modelled = soft_jaw.mesh(dimensions), jaw_model(scenario)
    if modelled is not None and jaw.model is not None:
        faces = tuple(
            GrippedFace(0.5 * p.diameter - inner, jaw.height - p.depth, jaw.height, place.outside)
            for p in pockets
        )
        require_solid(modelled, block, faces, jaw.model.file)
    blank = as_found(scenario, block if modelled is None else modelled)
    stock = blank if stock_removed is None else soft_jaw.bored(blank, stock_removed, inner)
    # What a pre-bore takes away is missing in the end, too; a fixture's seat is among what is removed.
    finished = soft_jaw.bored(blank if seat is not None else stock, removed, inner)
    with in_field("soft_jaw.material"):
        jaw_material = material(jaw.material)
    _require_mass(scenario, float(finished.volume) * jaw_material.density)
    fixture = scenario.boring.fixture
    return Parts(
        scenario=scenario,
        place=place,
        jaw_material=jaw_material,
        pockets=pockets,
        removed=removed,
        stock_removed=stock_removed,
        blank=blank,
        stock=stock,
        bored=finished,
        body=chuck_body.mesh(body_dimensions(scenario)),
        master=master_jaw.mesh(master_dimensions(scenario)),
        nut=t_nut.mesh(nut_dimensions(scenario)),
        screw=jaw_screw.mesh(screw_dimensions(scenario)),
        workpieces=tuple(
            _workpiece(operation.workpiece.outline, n) for n, operation in enumerate(scenario.operations)
        ),
        ring=ring_dimensions(scenario, place) if isinstance(fixture, RingTable) else None,
        plug=plug_dimensions(fixture) if isinstance(fixture, PlugTable) else None,
        outer_ring=outer_ring_dimensions(fixture) if isinstance(fixture, OuterRingTable) else None,
        boring_tools=tooling.boring_tools(scenario, place.direction),
        part_tools=tuple(
            () if o.program is None else tooling.program_tools(f"operations[{n}].program", o.program.tools)
            for n, o in enumerate(scenario.operations)
        ),
        back_stops=tuple(stop_dimensions(o.back_stop, n) for n, o in enumerate(scenario.operations)),
    )


def _pocket(stated: PocketTable, number: int) -> Pocket:
    with in_field(f"pockets[{number}]"):
        return pocket_dimensions(stated)


def _workpiece(outline: tuple[tuple[float, float], ...], number: int) -> Workpiece:
    with in_field(f"operations[{number}].workpiece.outline"):
        return Workpiece(outline)


def _require_mass(scenario: Scenario, bored: float) -> None:
    """Refuse a soft jaw that weighs nothing or less, its bored blank weighing `bored` kg."""
    for number, more in enumerate(scenario.soft_jaw.mass_differences):
        if not bored + more > 0.0:
            raise ScenarioError(
                f"soft_jaw.mass_differences[{number}] must leave the jaw a mass: the bored jaw weighs {bored:.3f} kg, "
                f"found {more:+.3f} kg"
            )


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
