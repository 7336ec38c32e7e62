"""The scenario: one TOML file per setup, every physical value as text with its unit."""

from sim.scenario.boring import Boring, BoringTool, NoFixture, OuterRing, Passes, Plug, Ring
from sim.scenario.chuck import Chuck, GripPoint, JawScrews, Limits, Machine, MasterJaw, SoftJaw, TNut
from sim.scenario.operation import Cut, Gripping, MeasuredForces, Operation, Pocket, Workpiece
from sim.scenario.scenario import Scenario, read

__all__ = [
    "Boring",
    "BoringTool",
    "Chuck",
    "Cut",
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
    "Passes",
    "Plug",
    "Pocket",
    "Ring",
    "Scenario",
    "SoftJaw",
    "TNut",
    "Workpiece",
    "read",
]
