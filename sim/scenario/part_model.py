"""The part of an operation as a file has it: which file, and how it lies in the chuck."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Literal, Self

from pydantic import Field, model_validator

from sim.base.errors import NotAvailableError, ScenarioError
from sim.base.limits import FILE_NAME
from sim.base.units import AnyLength, Depth, Length, default
from sim.scenario.table import Table

if TYPE_CHECKING:
    from sim.part_files.part import PartShape

SELF_SAYING = (".step", ".stp", ".3mf")


class PartModel(Table):
    """The part drawn elsewhere: a solid (STEP, STL, 3MF, OBJ, GLB) or a half section (DXF)."""

    file: str = Field(
        min_length=1,
        max_length=FILE_NAME.most,
        description="path of a STEP, DXF, STL, 3MF, OBJ or GLB file, from the scenario's folder",
    )
    unit: Literal["mm", "cm", "m", "in"] | None = Field(
        None,
        description="unit of its coordinates; of STEP and 3MF left out, which say it themselves, of all others stated "
        "(DXF: mm or in)",
    )
    axis: Literal["x", "y", "z"] | None = Field(
        None,
        description="direction of the file along which the spindle lies, through its origin; left out: the axis about "
        "which most of the solid is turned; of a DXF stated, x or y",
    )
    chuck_end: Literal["low", "high"] = Field(
        description="which end faces the chuck: that with the low or the high coordinate along the axis"
    )
    back_face: Depth = default(
        "0 mm", "how far the face that rests on the jaws stands from the part's end at the chuck"
    )
    tolerance: Length = default(
        "0.1 mm",
        "how far the solid may be off a body of revolution, chords of its triangles included, to count as one "
        "(common practice, no source)",
    )
    layer: str = Field("", max_length=200, description="layer of a DXF's outline; default: all that is drawn")
    axis_at: AnyLength = default(
        "0 mm", "of a DXF, where the spindle axis stands: y of the drawing if axis is x, x if it is y"
    )

    @model_validator(mode="after")
    def _kind(self) -> Self:
        suffix = Path(self.file).suffix.lower()
        if suffix in SELF_SAYING and self.unit is not None:
            raise ValueError(
                f"unit must be left out of a {suffix} file, which says it itself, found {self.unit}"
            )
        if suffix not in SELF_SAYING and self.unit is None:
            raise ValueError(
                f"unit must be stated, one of mm, cm, m, in: a {suffix} file does not say it reliably"
            )
        if suffix == ".dxf" and self.axis not in ("x", "y"):
            raise ValueError(
                "axis must be x or y in a DXF file: how the spindle axis lies in the drawing, found "
                f"{self.axis or 'none'}"
            )
        return self


def part_shape(stated: PartModel, folder: Path) -> PartShape:
    """Return the part in a file that is named from a folder.

    Raises
    ------
    ScenarioError
        One sentence on the file, without the field.
    """
    from sim.part_files.part import Reading, read_part  # a scenario without a file needs no reader

    reading = Reading(
        chuck_end=stated.chuck_end,
        unit=stated.unit,
        axis=stated.axis,
        axis_at=stated.axis_at,
        back_face=stated.back_face,
        tolerance=stated.tolerance,
        layer=stated.layer,
    )
    try:
        return read_part(folder / stated.file, reading)
    except (ValueError, NotAvailableError) as error:
        raise ScenarioError(f"file {stated.file} {error}") from None
