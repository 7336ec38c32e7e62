"""The scenario: one TOML file per setup, every physical value as text with its unit."""

from sim.scenario.boring import Boring, BoringTool, NoFixture, OuterRing, Passes, Plug, Ring
from sim.scenario.chuck import (
    Chuck,
    GripPoint,
    JawModel,
    JawScrews,
    Limits,
    Machine,
    MasterJaw,
    SoftJaw,
    TNut,
)
from sim.scenario.earlier import BoredBefore
from sim.scenario.jaw_set import JawSet, read_jaw_set, read_shelf
from sim.scenario.operation import Cut, Gripping, MeasuredForces, Operation, Pocket, Workpiece
from sim.scenario.program import BackStop, CuttingProgram, PartProgram, ProgramTool
from sim.scenario.scenario import Scenario, read
from sim.scenario.search import Search, read_search
from sim.scenario.uncertainty import OperationUncertainty, Spread, Uncertainty
from sim.scenario.view import View

__all__ = [
    "BackStop",
    "BoredBefore",
    "Boring",
    "BoringTool",
    "Chuck",
    "Cut",
    "CuttingProgram",
    "GripPoint",
    "Gripping",
    "JawModel",
    "JawScrews",
    "JawSet",
    "Limits",
    "Machine",
    "MasterJaw",
    "MeasuredForces",
    "NoFixture",
    "Operation",
    "OperationUncertainty",
    "OuterRing",
    "PartProgram",
    "Passes",
    "Plug",
    "Pocket",
    "ProgramTool",
    "Ring",
    "Scenario",
    "Search",
    "SoftJaw",
    "Spread",
    "TNut",
    "Uncertainty",
    "View",
    "Workpiece",
    "read",
    "read_jaw_set",
    "read_search",
    "read_shelf",
]
