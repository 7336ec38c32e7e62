"""From a scenario to parts: dimensions and solids, each in its own frame.

Lengths in mm. Nothing here depends on the travel; `sim.setup.pose` places the parts.
"""

from __future__ import annotations

from dataclasses import dataclass

import trimesh

from meshes.boring_ring import BoringRing
from meshes.centre import Centre
from meshes.outer_ring import OuterRing
from meshes.plug import Plug
from meshes.pocket import Pocket
from meshes.steady_rest import SteadyRest
from meshes.turning_tool import TurningTool
from meshes.workpiece import Workpiece
from sim.base.arrays import Floats
from sim.base.errors import ScenarioError, in_field
from sim.base.gripping import Direction
from sim.base.tables import Material
from sim.scenario import Operation, Scenario
from sim.scenario import OuterRing as OuterRingTable
from sim.scenario import Plug as PlugTable
from sim.scenario import Pocket as PocketTable
from sim.scenario import Ring as RingTable
from sim.setup import tooling
from sim.setup.dimensions import pocket_dimensions
from sim.setup.files import read_files
from sim.setup.fixture import (
    outer_ring_dimensions,
    plug_dimensions,
    ring_dimensions,
    stop_dimensions,
)
from sim.setup.hardware import HardwareSizes, hardware_sizes
from sim.setup.jaw_place import JawPlace, jaw_place
from sim.setup.jaw_stages import jaw_stages
from sim.setup.part_model import modelled_part
from sim.setup.sections import jaw_metal
from sim.setup.solids import made
from sim.setup.supports import centre_dimensions, steady_dimensions


@dataclass(frozen=True, slots=True, eq=False)
class Parts:
    """Everything of a setup in its own frame.

    Attributes
    ----------
    scenario : Scenario
    place : JawPlace
        Where the jaws stand along their stroke.
    sizes : HardwareSizes
        Dimensions of the blank and of what carries it.
    jaw_material : Material
        With the yield strength of the blank's section.
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
    boring_text : str or None
        The program that bores the jaws, as its file has it; None without one.
    part_texts : tuple of str or None
        The program of each operation.
    back_stops : tuple of Plug or None
        For each operation, a disc.
    centres, steady_rests : tuple of Centre or None, SteadyRest or None
        For each operation.
    """

    scenario: Scenario
    place: JawPlace
    sizes: HardwareSizes
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
    boring_text: str | None
    part_texts: tuple[str | None, ...]
    back_stops: tuple[Plug | None, ...]
    centres: tuple[Centre | None, ...]
    steady_rests: tuple[SteadyRest | None, ...]

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
    files = read_files(scenario)
    place, sizes = jaw_place(scenario), hardware_sizes(scenario)
    pockets = tuple(_pocket(stated, number) for number, stated in enumerate(scenario.pockets))
    jaw = jaw_stages(scenario, place, sizes.blank, pockets, files.jaw)
    with in_field("soft_jaw.material"):
        jaw_material = jaw_metal(scenario)
    _require_mass(scenario, float(jaw.bored.volume) * jaw_material.density)
    fixture = scenario.boring.fixture
    return Parts(
        scenario=scenario,
        place=place,
        sizes=sizes,
        jaw_material=jaw_material,
        pockets=pockets,
        removed=jaw.removed,
        stock_removed=jaw.stock_removed,
        blank=jaw.blank,
        stock=jaw.stock,
        bored=jaw.bored,
        body=made(sizes.body),
        master=made(sizes.master),
        nut=made(sizes.nut),
        screw=made(sizes.screw),
        workpieces=tuple(_workpiece(operation, n) for n, operation in enumerate(scenario.operations)),
        ring=ring_dimensions(scenario, place) if isinstance(fixture, RingTable) else None,
        plug=plug_dimensions(fixture) if isinstance(fixture, PlugTable) else None,
        outer_ring=outer_ring_dimensions(fixture) if isinstance(fixture, OuterRingTable) else None,
        boring_tools=tooling.boring_tools(scenario, place.direction, files.drawn),
        part_tools=tuple(
            ()
            if o.program is None
            else tooling.program_tools(f"operations[{n}].program", o.program.tools, files.drawn)
            for n, o in enumerate(scenario.operations)
        ),
        boring_text=files.boring_text,
        part_texts=files.part_texts,
        back_stops=tuple(stop_dimensions(o.back_stop, n) for n, o in enumerate(scenario.operations)),
        centres=tuple(centre_dimensions(o, n) for n, o in enumerate(scenario.operations)),
        steady_rests=tuple(steady_dimensions(o, n) for n, o in enumerate(scenario.operations)),
    )


def _pocket(stated: PocketTable, number: int) -> Pocket:
    with in_field(f"pockets[{number}]"):
        return pocket_dimensions(stated)


def _workpiece(operation: Operation, number: int) -> Workpiece:
    with in_field(f"operations[{number}].workpiece.outline"):
        return modelled_part(operation)


def _require_mass(scenario: Scenario, bored: float) -> None:
    """Refuse a soft jaw that weighs nothing or less, its bored blank weighing `bored` kg."""
    for number, more in enumerate(scenario.soft_jaw.mass_differences):
        if not bored + more > 0.0:
            raise ScenarioError(
                f"soft_jaw.mass_differences[{number}] must leave the jaw a mass: the bored jaw weighs {bored:.3f} kg, "
                f"found {more:+.3f} kg"
            )
