"""The scenario: one TOML file per setup, every physical value as text with its unit."""

from sim.scenario.boring import Boring, BoringTool, NoFixture, OuterRing, Passes, Plug, Ring
from sim.scenario.chuck import Chuck, GripPoint, JawScrews, Limits, Machine, MasterJaw, SoftJaw, TNut
from sim.scenario.operation import Cut, Gripping, MeasuredForces, Operation, Pocket, Workpiece
from sim.scenario.program import BackStop, CuttingProgram, PartProgram, ProgramTool
from sim.scenario.scenario import Scenario, read

__all__ = [
    "BackStop",
    "Boring",
    "BoringTool",
    "Chuck",
    "Cut",
    "CuttingProgram",
    "GripPoint",
    "Gripping",
    "JawScrews",
    "Limits",
    "Machine",
    "MasterJaw",
    "MeasuredForces",
    "NoFixture",
    "Operation",
    "OuterRing",
    "PartProgram",
    "Passes",
    "Plug",
    "Pocket",
    "ProgramTool",
    "Ring",
    "Scenario",
    "SoftJaw",
    "TNut",
    "Workpiece",
    "read",
]
