"""A shape of a tool as it is stated: typed corners, or a drawing of one closed outline."""

from __future__ import annotations

from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from sim.base.limits import FILE_NAME, TOOL_CORNERS
from sim.base.units import AnyLength
from sim.scenario.table import Table

Corner = tuple[AnyLength, AnyLength]
Corners = Annotated[tuple[Corner, ...], Field(min_length=3, max_length=TOOL_CORNERS.most)]
Axis = Literal["x", "-x", "z", "-z"]


class Drawing(Table):
    """A DXF file with one closed outline, and how it lies in the machine."""

    file: str = Field(
        min_length=1,
        max_length=FILE_NAME.most,
        description="path of a DXF file, from the folder of the file that states it",
    )
    unit: Literal["mm", "in"] = Field(description="unit of its coordinates")
    right: Axis = Field(
        description="direction of the machine that points to the right in the drawing: x away from the spindle axis, z "
        "away from the chuck, as in 'z', or '-z' where it points to the left"
    )
    up: Axis = Field(description="direction of the machine that points up in the drawing")
    tip: Corner = Field(
        ("0 mm", "0 mm"),
        validate_default=True,
        description="programmed tip: its place to the right and up in the drawing",
    )
    layer: str = Field("", max_length=200, description="layer of the outline; default: all that is drawn")

    @model_validator(mode="after")
    def _across(self) -> Self:
        if self.right[-1] == self.up[-1]:
            raise ValueError(
                f"must state x for one of right and up and z for the other, found {self.right!r} and {self.up!r}"
            )
        return self


class Shape(Table):
    """An outline seen from above, by its corners or by a drawing."""

    outline: Corners | None = Field(
        None,
        description="corners (x, z) from the programmed tip: x away from the spindle axis, z away from the chuck; this "
        "or drawing",
    )
    drawing: Drawing | None = Field(None, description="the outline in a DXF file; this or outline")

    @model_validator(mode="after")
    def _one(self) -> Self:
        if (self.outline is None) == (self.drawing is None):
            raise ValueError("must state exactly one of outline (corners) and drawing (a DXF file)")
        return self
