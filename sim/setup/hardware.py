"""Dimensions of the soft jaw's blank and of all that carries it, worked out once for a setup. Lengths in mm."""

from __future__ import annotations

from dataclasses import dataclass

from meshes.chuck_body import ChuckBody
from meshes.jaw_screw import JawScrew
from meshes.master_jaw import MasterJaw
from meshes.soft_jaw import SoftJawBlank
from meshes.t_nut import TNut
from sim.scenario import Scenario
from sim.setup.dimensions import blank_dimensions, body_dimensions, master_dimensions, nut_dimensions
from sim.setup.jaw_screws import screw_dimensions


@dataclass(frozen=True, slots=True)
class HardwareSizes:
    """Dimensions of blank, chuck body, master jaw, T-nut and jaw screw."""

    blank: SoftJawBlank
    body: ChuckBody
    master: MasterJaw
    nut: TNut
    screw: JawScrew


def hardware_sizes(scenario: Scenario) -> HardwareSizes:
    """Return the dimensions of a setup's blank and of what carries it.

    Raises
    ------
    ValueError
        If one is impossible; names the table.
    """
    return HardwareSizes(
        blank=blank_dimensions(scenario),
        body=body_dimensions(scenario),
        master=master_dimensions(scenario),
        nut=nut_dimensions(scenario),
        screw=screw_dimensions(scenario),
    )
