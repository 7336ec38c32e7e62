"""Tables of the boring of the jaws: travel, fixture, tool, passes."""

from __future__ import annotations

from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from sim.base.units import Angle, Depth, Feed, Length, Pressure, Speed, default
from sim.scenario.cut_limits import require_chip
from sim.scenario.program import BAR_HEAD, LEAST_BORE, SHANK, CuttingProgram, Shanks
from sim.scenario.shape import Shape
from sim.scenario.table import Table

FIXTURE_MATERIAL = "steel C45"
OF = "name in the table of materials"


class Ring(Table):
    """A boring ring on the jaws' faces, with three pins in the jaw screws' counterbores."""

    kind: Literal["ring"] = "ring"
    outer_diameter: Length = Field(description="outer diameter")
    inner_diameter: Length = Field(description="inner diameter; the tool passes through it")
    thickness: Length = Field(description="thickness along the spindle")
    pin_diameter: Length = default("16 mm", "diameter of the pins")
    pin_length: Length = default("8 mm", "how deep the pins reach into the counterbores")
    screw: int = Field(0, ge=0, le=2, strict=True, description="which screw's counterbore, from the inside")
    material: str = Field(FIXTURE_MATERIAL, description=f"of ring and pins, {OF}")


class Plug(Table):
    """A disc between the jaws, in a seat bored first with a ring."""

    kind: Literal["plug"] = "plug"
    diameter: Length = Field(description="diameter of the plug and of its seat")
    thickness: Length = Field(description="thickness along the spindle")
    height: Length = Field(description="height of its lower face above the serrated plane")
    bore_diameter: Depth = default("0 mm", "bore through the plug, 0 for none")
    material: str = Field(FIXTURE_MATERIAL, description=f"of the plug, {OF}")


class OuterRing(Table):
    """A ring around the jaws, which press outward against it, for jaws that will grip inside."""

    kind: Literal["outer ring"] = "outer ring"
    outer_diameter: Length = Field(description="outer diameter")
    inner_diameter: Length = Field(description="inner diameter; the jaws press against it")
    thickness: Length = Field(description="thickness along the spindle")
    height: Length = Field(description="height of its lower face above the serrated plane")
    material: str = Field(FIXTURE_MATERIAL, description=f"of the ring, {OF}")


class NoFixture(Table):
    """Boring without a fixture: the jaws must then stand at the end of their stroke, on the piston's stop."""

    kind: Literal["none"] = "none"


Fixture = Annotated[Ring | Plug | OuterRing | NoFixture, Field(discriminator="kind")]


class BoringTool(Table):
    """A boring bar with its insert."""

    insert: str = Field("CCMT 09T304", description="ISO 1832 designation")
    bar_diameter: Length = Field(description="diameter of the bar")
    reach: Length = Field(description="usable length of the bar from the tip")
    functional_offset: Length = Field(description="f, tip from the bar's axis (ISO 5609)")
    approach_angle: Angle = default("95 deg", "tool cutting edge angle (KAPR, ISO 13399)")
    least_bore: Length | None = Field(None, description=LEAST_BORE)
    shank: Shanks = Field("steel", description=SHANK)
    head: Shape | None = Field(None, description=BAR_HEAD)


class Passes(Table):
    """How the pocket is turned."""

    pre_bore_diameter: Length | None = Field(
        None, description="diameter already open between the jaws; default: the blanks' inner ends"
    )
    depth_of_cut: Length = default("2 mm", "radial depth of a rough pass")
    finish_allowance: Depth = default("0.3 mm", "left for the finish pass")
    feed: Feed = default("0.15 mm/rev", "feed of the finish pass")
    rapid_clearance: Length = default("3 mm", "height of the rapid plane above the highest body in the way")

    @model_validator(mode="after")
    def _chip(self) -> Self:
        require_chip(self.feed, self.depth_of_cut)
        return self


class Boring(Table):
    """The boring set-up; all pockets are turned in it."""

    travel: Length = Field(description="travel of the jaws while boring, 0 at the loading position")
    fixture: Fixture = Field(description="what the jaws are loaded against while boring")
    pressure: Pressure = Field(description="actuating pressure while boring")
    speed: Speed = default("300 rpm", "spindle speed while boring")
    tool: BoringTool | None = Field(
        None, description="boring bar and insert; not needed where the program states its tools"
    )
    passes: Passes = Field(
        default_factory=lambda: Passes.model_validate({}), description="rough and finish passes"
    )
    through_diameter: Length | None = Field(
        None, description="clearance bore through the jaws below the deepest pocket, if one is turned"
    )
    program: CuttingProgram | None = Field(
        None, description="the shop's own program; without it a path is made from the pockets and passes"
    )

    @model_validator(mode="after")
    def _some_tool(self) -> Self:
        if self.tool is None and not (self.program is not None and self.program.tools):
            raise ValueError("must state tool, or program with its tools")
        return self
