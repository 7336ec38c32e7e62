"""The scenario: one TOML file per setup, every physical value as text with its unit."""

from importlib import import_module
from typing import TYPE_CHECKING

from sim.scenario.boring import Boring, BoringTool, NoFixture, OuterRing, Passes, Plug, Ring
from sim.scenario.chuck import Chuck, GripPoint, Limits, Machine, MasterJaw, TNut
from sim.scenario.cut import Cut, MeasuredForces
from sim.scenario.earlier import BoredBefore
from sim.scenario.operation import (
    BoredPocket,
    Gripping,
    Operation,
    Pocket,
    Tolerance,
    Workpiece,
)
from sim.scenario.program import BackStop, CuttingProgram, PartProgram, ProgramTool
from sim.scenario.running import PartLobe, Running
from sim.scenario.scenario import Scenario, read
from sim.scenario.shape import Drawing, Shape
from sim.scenario.soft_jaw import JawModel, JawScrews, SoftJaw
from sim.scenario.view import View

if TYPE_CHECKING:
    from sim.scenario.jaw_set import JawSet, read_jaw_set, read_shelf
    from sim.scenario.search import Search, read_search
    from sim.scenario.uncertainty import OperationUncertainty, Spread, Uncertainty

__all__ = [
    "BackStop",
    "BoredBefore",
    "BoredPocket",
    "Boring",
    "BoringTool",
    "Chuck",
    "Cut",
    "CuttingProgram",
    "Drawing",
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
    "PartLobe",
    "PartProgram",
    "Passes",
    "Plug",
    "Pocket",
    "ProgramTool",
    "Ring",
    "Running",
    "Scenario",
    "Search",
    "Shape",
    "SoftJaw",
    "Spread",
    "TNut",
    "Tolerance",
    "Uncertainty",
    "View",
    "Workpiece",
    "read",
    "read_jaw_set",
    "read_search",
    "read_shelf",
]

# Tables that few files state are made when first asked for (PEP 562): they take as long as all others.
_PLACES = {
    "jaw_set": ("JawSet", "read_jaw_set", "read_shelf"),
    "search": ("Search", "read_search"),
    "uncertainty": ("OperationUncertainty", "Spread", "Uncertainty"),
}


def __getattr__(name: str) -> object:
    place = next((place for place, names in _PLACES.items() if name in names), None)
    if place is None:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    found: object = getattr(import_module(f"{__name__}.{place}"), name)
    return found
