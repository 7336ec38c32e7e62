"""A search file: a scenario and the ranges within which a better layout may be looked for."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Self

from pydantic import Field, model_validator

from sim.base.errors import ScenarioError
from sim.base.units import Depth, Length, Pressure, Speed, default
from sim.scenario.boring import Fixture
from sim.scenario.table import FileTable, Table
from sim.scenario.toml_file import read_as

Index = Annotated[int, Field(ge=-40, le=40, strict=True)]
A_SEARCH = "a search"


class DepthRange(Table):
    """Depths that a pocket may have."""

    pocket: str = Field(description="name of the pocket")
    low: Length = Field(description="least depth of its back face below the jaw's top face")
    high: Length = Field(description="largest depth")


class PressureRange(Table):
    """Pressures that an operation may grip with."""

    operation: str = Field(description="name of the operation")
    low: Pressure = Field(description="least actuating pressure")
    high: Pressure = Field(description="largest actuating pressure")


class FixtureChoice(Table):
    """A fixture that may be used while boring, with its own pressure and speed."""

    fixture: Fixture = Field(description="as boring.fixture of a scenario")
    pressure: Pressure | None = Field(None, description="boring pressure with it; default: the scenario's")
    speed: Speed | None = Field(None, description="boring speed with it; default: the scenario's")


class Groove(Table):
    """A relief groove that all pockets may have."""

    width: Depth = default("2 mm", "width of the corner relief groove, 0 for none")
    depth: Depth = default("0.5 mm", "depth of the corner relief groove, 0 for none")


class Search(FileTable):
    """What may be changed in a scenario, and within which ranges; what is not named stays as it is."""

    scenario: str = Field(min_length=1, description="the scenario's file, from this file's folder")
    serration_index: tuple[Index, Index] | None = Field(None, description="least and largest index")
    boring_travel: tuple[Length, Length] | None = Field(None, description="least and largest boring travel")
    jaw_heights: tuple[Length, ...] = Field(
        (), max_length=10, description="heights of the blanks at hand; the face under the screw heads stays"
    )
    pocket_depths: tuple[DepthRange, ...] = Field((), max_length=3, description="ranges of pockets' depths")
    pressures: tuple[PressureRange, ...] = Field((), max_length=4, description="ranges of pressures")
    fixtures: tuple[FixtureChoice, ...] = Field((), max_length=10, description="fixtures at hand")
    grooves: tuple[Groove, ...] = Field((), max_length=5, description="relief grooves to choose from")

    @property
    def scenario_file(self) -> Path:
        """The scenario's file."""
        return self.file.parent / self.scenario

    @model_validator(mode="after")
    def _ranges(self) -> Self:
        for name, pair in (("serration_index", self.serration_index), ("boring_travel", self.boring_travel)):
            if pair is not None and pair[0] > pair[1]:
                raise ValueError(f"{name} must rise, found {pair[0]:g} to {pair[1]:g}")
        ends = [(f"pocket_depths[{n}]", r.low, r.high) for n, r in enumerate(self.pocket_depths)]
        ends += [(f"pressures[{n}]", r.low, r.high) for n, r in enumerate(self.pressures)]
        for name, low, high in ends:
            if low > high:
                raise ValueError(f"{name} must rise, found {low:g} to {high:g}")
        for name, texts in (
            ("pocket_depths", [r.pocket for r in self.pocket_depths]),
            ("pressures", [r.operation for r in self.pressures]),
        ):
            if len(set(texts)) != len(texts):
                raise ValueError(f"{name} must name each once, found {', '.join(texts)}")
        given = self.model_dump(exclude={"scenario"})
        if not any(given.values()):
            raise ValueError("must give at least one range, found none")
        return self


def _is_file(path: Path) -> bool:
    try:
        return path.is_file()
    except OSError:  # as of a name that is too long
        return False


def read_search(path: Path) -> Search:
    """Read and check a search file.

    Raises
    ------
    ScenarioError
        One sentence: which field of which file is wrong, what was found, what is allowed.
    """
    found = read_as(Search, path, A_SEARCH)
    if not _is_file(found.scenario_file):
        raise ScenarioError(
            f"{path}: scenario must be a scenario's file, found nothing at {found.scenario_file}"
        )
    return found
