"""Tables of what bears the part beside the jaws: the tailstock's centre, a steady rest."""

from __future__ import annotations

import math
from typing import Self

from pydantic import Field, model_validator

from sim.base.units import Angle, AnyLength, Force, Length, Stiffness, default
from sim.scenario.table import Table

CONES = (math.radians(40.0), math.radians(120.0))


class Tailstock(Table):
    """A live centre that presses into a centre hole, or a bore's chamfer, of the part."""

    force_low: Force = Field(
        description="least force of the centre along the spindle while it cuts (heat, leaking oil, chips)"
    )
    force_high: Force = Field(description="largest such force (a part that grows warm drives it up)")
    height: AnyLength = Field(description="z of the face around the centre hole, in the part's own frame")
    hole_diameter: Length = Field(description="diameter of the hole's cone in that face")
    cone_angle: Angle = default("60 deg", "included angle of the cone (common practice, no source)")
    cone_diameter: Length = Field(description="largest diameter of the centre's own cone")
    body_diameter: Length = Field(description="diameter of the live centre's body behind its cone")
    body_length: Length = Field(description="length of that body along the spindle, up to the quill")
    quill_diameter: Length = Field(description="diameter of the quill or sleeve behind it")
    radial_stiffness: Stiffness = default(
        "20 kN/mm", "stiffness of centre, quill and tailstock across the spindle (common practice, no source)"
    )
    largest_force: Force | None = Field(
        None, description="largest force along the spindle that centre and tailstock may bear"
    )
    largest_side_force: Force | None = Field(
        None,
        description="largest force across the spindle that the centre may bear; less is reckoned with where its force "
        "does not keep it seated",
    )

    @model_validator(mode="after")
    def _limits(self) -> Self:
        if self.force_low > self.force_high:
            raise ValueError(
                f"force_low {self.force_low:g} N must be at most force_high {self.force_high:g} N"
            )
        if not CONES[0] <= self.cone_angle <= CONES[1]:
            raise ValueError(
                f"cone_angle must lie between 40 deg and 120 deg, found {math.degrees(self.cone_angle):g} deg"
            )
        if not self.hole_diameter <= self.cone_diameter <= self.body_diameter:
            raise ValueError(
                "must have hole_diameter, cone_diameter and body_diameter in rising order, found "
                f"{self.hole_diameter:g}, {self.cone_diameter:g} and {self.body_diameter:g} mm"
            )
        return self


class SteadyRest(Table):
    """Three rollers around the part, which bear it across the spindle, in both directions, and hold nothing else."""

    height: AnyLength = Field(description="z of the middle of its rollers, in the part's own frame")
    largest_force: Force = Field(description="largest force that one roller may bear")
    radial_stiffness: Stiffness = default(
        "20 kN/mm", "stiffness of rollers and frame across the spindle (common practice, no source)"
    )
    roller_diameter: Length = Field(description="diameter of a roller")
    roller_width: Length = Field(description="width of a roller along the spindle")
    frame_diameter: Length = Field(description="outer diameter of the frame")
    frame_width: Length = Field(
        description="width of the frame and of the arms that hold the rollers, along the spindle"
    )
