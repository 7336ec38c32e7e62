"""Tables of a cut: what it is, where, with which tool, or its forces where they are measured."""

from __future__ import annotations

import math
from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from sim.base.units import (
    Angle,
    AnyLength,
    CuttingSpeed,
    Depth,
    Feed,
    Force,
    ForceFromZero,
    Length,
    Speed,
    Stress,
    default,
)
from sim.scenario.cut_kinds import require_groove, require_thread
from sim.scenario.cut_limits import ChipExponent, require_chip, require_own_values
from sim.scenario.table import Name, Table


class MeasuredForces(Table):
    """Cutting forces where they are known better than by Kienzle."""

    tangential: Force = Field(description="main cutting force")
    feed: Force = Field(description="force along the feed")
    passive: ForceFromZero = Field(description="force square to both; 0 N for a drill")


# A worn edge never cuts with less force than a sharp one.
Wear = Annotated[float, Field(ge=1.0, le=10.0, allow_inf_nan=False, strict=True)]
# No blow lets a cut ask for less than its steady force.
Impact = Annotated[float, Field(ge=1.0, le=5.0, allow_inf_nan=False, strict=True)]
LARGEST_RAKE = math.radians(30.0)  # either way; the correction by rake is linear and good for no more


class Cut(Table):
    """One cut, where and how the tool cuts; forces by Kienzle unless given."""

    name: Name = Field("cut", description="what is done")
    kind: Literal[
        "turning", "facing", "boring", "drilling", "tapping", "grooving", "parting", "threading"
    ] = Field("turning", description="kind of cut")
    diameter: Length = Field(
        description="diameter at which it cuts (the tool's own for drilling, tapping; where a blade begins for "
        "grooving, parting; the crests for threading)"
    )
    end_diameter: Depth | None = Field(
        None,
        description="diameter at which grooving or parting ends; 0 mm on the axis, of a bore its own; the root for "
        "threading",
    )
    height: AnyLength = Field(
        description="z in the part's own frame, from the back face; of a groove the middle of its width"
    )
    feed_towards: Literal["chuck", "tailstock", "axis", "outward"] = Field(
        "chuck", description="direction of the feed"
    )
    depth_of_cut: Length = Field(
        description="depth of cut, radial for turning; the blade's width for grooving and parting; the deepest pass "
        "for threading"
    )
    feed: Feed = Field(description="feed per revolution; the pitch for tapping, the lead for threading")
    speed: Speed | None = Field(None, description="spindle speed of this cut; default from cutting_speed")
    cutting_speed: CuttingSpeed | None = Field(
        None, description="cutting speed, of a rotating tool its own; default 180 m/min if no speed"
    )
    insert: str | None = Field(
        None,
        min_length=1,
        max_length=40,
        description="ISO 1832 designation of what cuts, as in 'CNMG 120408': how much feed and depth the edge takes",
    )
    nose_radius: Length | None = Field(
        None,
        description="nose radius of a tool that no designation names; neither stated: judged as the smallest usual "
        "one, 0.4 mm",
    )
    approach_angle: Angle = default("95 deg", "tool cutting edge angle kappa (KAPR, ISO 13399)")
    rake_angle: Angle = default("6 deg", "effective rake angle")
    specific_force: Stress | None = Field(
        None,
        description="kc1.1 of the shop's own trials with this metal, 50 to 10000 MPa, with chip_exponent; left out: "
        "the table of materials, the less favourable of two printings",
    )
    chip_exponent: ChipExponent | None = Field(
        None, description="mc of the same trials, 0 to 0.6, no unit; with specific_force"
    )
    reference_rake: Angle | None = Field(
        None,
        description="rake angle at which specific_force was found; left out: at rake_angle, so nothing is corrected",
    )
    wear_factor: Wear = Field(
        1.3, description="rise of the force by a worn edge (common practice 1.3 to 1.5)"
    )
    forces: MeasuredForces | None = Field(None, description="measured forces instead of Kienzle")
    through: bool | None = Field(
        None,
        strict=True,
        description="whether a drill breaks through, where its lips pull the part out of the jaws with the thrust of "
        "the full cut; left out: as if it did",
    )
    interrupted: bool | None = Field(
        None,
        strict=True,
        description="whether the edge leaves the metal and enters it again each turn (keyway, casting's gap, hexagon)",
    )
    impact_factor: Impact | None = Field(
        None,
        description="by how many times the entry of an interrupted cut's edge raises its forces, also measured ones, 1 "
        "to 5, no unit; left out: 2, as a load that comes at once upon a spring without damping",
    )
    rotating_tool: bool = Field(default=False, strict=True, description="tool turns, spindle stands")
    off_axis: Depth | None = Field(
        None, description="distance of a rotating drill's hole from the spindle axis; 0 mm on it"
    )

    @model_validator(mode="after")
    def _chip(self) -> Self:
        require_chip(self.feed, self.depth_of_cut)
        if self.insert is not None and self.nose_radius is not None:
            raise ValueError(
                f"nose_radius must be left out beside insert, whose designation has it, found {self.nose_radius:g} mm"
            )
        return self

    @model_validator(mode="after")
    def _angles(self) -> Self:
        if not 0.1 < self.approach_angle < 3.05:
            raise ValueError("approach_angle must lie between 6 deg and 174 deg")
        if not abs(self.rake_angle) <= LARGEST_RAKE:
            raise ValueError(
                f"rake_angle must lie between -30 deg and 30 deg, found {math.degrees(self.rake_angle):g} deg"
            )
        return self

    @model_validator(mode="after")
    def _own_values(self) -> Self:
        require_own_values(
            self.specific_force, self.chip_exponent, self.reference_rake, measured=self.forces is not None
        )
        if self.reference_rake is not None and not abs(self.reference_rake) <= LARGEST_RAKE:
            raise ValueError(
                "reference_rake must lie between -30 deg and 30 deg, found "
                f"{math.degrees(self.reference_rake):g} deg"
            )
        return self

    @model_validator(mode="after")
    def _groove(self) -> Self:
        require_thread(
            self.kind,
            self.feed_towards,
            (self.diameter, self.end_diameter),
            self.depth_of_cut,
            self.model_fields_set,
            rotating_tool=self.rotating_tool,
        )
        require_groove(
            self.kind,
            self.feed_towards,
            self.diameter,
            self.end_diameter,
            self.model_fields_set,
            rotating_tool=self.rotating_tool,
        )
        return self

    @model_validator(mode="after")
    def _interruption(self) -> Self:
        if self.impact_factor is not None and not self.interrupted:
            raise ValueError(
                "impact_factor must be left out unless interrupted is true, found "
                f"{self.impact_factor:g} for a cut that is not said to be interrupted"
            )
        return self

    @model_validator(mode="after")
    def _drill(self) -> Self:
        axial = self.kind in ("drilling", "tapping")
        if axial and self.feed_towards not in ("chuck", "tailstock"):
            raise ValueError(
                'feed_towards must be "chuck" or "tailstock" for drilling and tapping: they are judged along the '
                f"spindle, not across it, found '{self.feed_towards}'"
            )
        if self.through is not None and self.kind != "drilling":
            raise ValueError(f"through is for drilling, found it stated for a cut of kind {self.kind}")
        live_drill = self.rotating_tool and axial
        if self.off_axis is not None and not live_drill:
            raise ValueError(
                "off_axis is for a drill that turns (rotating_tool) while the spindle stands: a drill that stands "
                f"still cuts on the spindle axis, found {self.off_axis:g} mm"
            )
        if live_drill and self.off_axis is None:
            raise ValueError(
                "off_axis must state how far from the spindle axis a rotating tool drills (0 mm on it): its thrust "
                "tips the part there"
            )
        return self

    @model_validator(mode="after")
    def _live_tool(self) -> Self:
        if not self.rotating_tool:
            return self
        if self.speed is not None:
            raise ValueError(
                "speed is the spindle's, which stands while the tool turns (rotating_tool): leave it out and state "
                f"the tool's own cutting_speed, found {self.speed:g} rpm"
            )
        if self.forces is None and self.kind not in ("drilling", "tapping"):
            raise ValueError(
                f"forces must be stated for a rotating tool that does other than drill ({self.kind}): those of a "
                "turning tool are not a milling cutter's"
            )
        if self.forces is None and self.cutting_speed is None:
            raise ValueError(
                "cutting_speed must be stated for a rotating tool: the spindle's tells nothing of it"
            )
        return self
