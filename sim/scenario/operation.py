"""Tables of an operation: the part as it is then, the pocket, the gripping and the cuts."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Annotated, Literal, Self

from pydantic import Field, PrivateAttr, model_validator

from sim.base.gripping import Direction
from sim.base.limits import CUTS
from sim.base.units import (
    Angle,
    AnyLength,
    CuttingSpeed,
    Depth,
    Feed,
    Force,
    ForceFromZero,
    Length,
    Pressure,
    Speed,
    Stress,
    default,
)
from sim.scenario.cut_kinds import require_groove, require_thread
from sim.scenario.cut_limits import ChipExponent, require_chip, require_own_values
from sim.scenario.outline import Outline, PartCorners
from sim.scenario.part_model import PartModel
from sim.scenario.program import BackStop, PartProgram
from sim.scenario.running import PartLobe
from sim.scenario.supports import SteadyRest, Tailstock
from sim.scenario.table import Name, Table

if TYPE_CHECKING:
    from sim.part_files.part import PartShape


class Pocket(Table):
    """One turned pocket (or, for gripping inside, one turned step) in the three jaws."""

    name: Name = Field("pocket", description="name that an operation refers to")
    diameter: Length = Field(description="gripping diameter as turned at the boring travel")
    depth: Length = Field(description="depth of its back face below the jaw's top face")
    groove_width: Depth = default("2 mm", "width of the corner relief groove")
    groove_depth: Depth = default("0.5 mm", "depth of the corner relief groove")
    chamfer: Depth = default("1 mm", "lead-in chamfer at 45 deg")


class Tolerance(Table):
    """Limits of a size as turned, both stated: how much larger and how much smaller than stated it may come out."""

    above: Depth = Field(description="upper limit less the size as stated, as +0.02 on a drawing; 0 for none")
    below: Depth = Field(description="size as stated less the lower limit, as -0.01 on a drawing; 0 for none")


class BoredPocket(Pocket):
    """A pocket (or step) of these jaws; every verdict is asked again at the limits of its sizes."""

    diameter_tolerance: Tolerance | None = Field(
        None,
        description="within which its diameter may come out; all that is judged is judged at both limits, too",
    )
    depth_tolerance: Tolerance | None = Field(
        None,
        description="within which its depth may come out; all that is judged is judged at both limits, too",
    )


class Workpiece(Table):
    """The part as it is in this operation, as an (r, z) outline; z = 0 is the face on the back face."""

    material: str = Field(description="name in the table of materials")
    outline: PartCorners = Field(
        (),
        validate_default=False,
        description="corners (r, z) of the half section, in order, closed by itself; an arc that leads to a corner, a "
        "chamfer or a rounding stand with it; this or model",
    )
    model: PartModel | None = Field(None, description="the part in a file; this or outline")
    gripped_diameter_low: Length = Field(description="smallest gripped diameter within its tolerance")
    gripped_diameter_high: Length = Field(description="largest gripped diameter within its tolerance")
    out_of_round: Depth = default(
        "0 mm", "peak-to-peak deviation of the gripped diameter from round, in radius"
    )
    lobes: tuple[PartLobe, ...] = Field(
        (),
        max_length=8,
        description="of how many lobes the out-of-round is made; what it has beyond their sum counts as the worst of "
        "2, 4, 5 and 7",
    )
    gripped_surface: Literal["turned", "ground", "raw"] | None = Field(
        None,
        description="what the jaws grip: a turned, a ground or a raw surface (rolled, drawn, forged or cast); its "
        "friction follows; left out: turned where turned_in is stated, else as the pairing says",
    )
    turned_in: Name | None = Field(
        None, description="name of the earlier operation that turned the gripped surface, if one of these did"
    )
    datum_offset: Depth = default(
        "0 um",
        "how far the gripped surface's axis stands off that of the surfaces it must run true to; 0 where both were "
        "turned in one clamping",
    )

    _shape: PartShape | None = PrivateAttr(default=None)

    @property
    def shape(self) -> PartShape | None:
        """The part as read from its model; None without one. Its outline stands in `outline`."""
        return self._shape

    @property
    def lowest(self) -> float:
        """Height of its lowest point, part frame, mm."""
        low = min(z for _, z in self.outline)
        surface = None if self._shape is None else self._shape.surface
        return low if surface is None else min(low, float(surface.corners[:, 2].min()))

    def drawn(self, shape: PartShape) -> Workpiece:
        """Return this table with the outline of the part that its model holds."""
        outline = Outline(shape.outline, shape.sides) if shape.sides else shape.outline
        found: Workpiece = self.model_copy(update={"outline": outline})
        found._shape = shape
        return found

    @model_validator(mode="after")
    def _one(self) -> Self:
        if bool(self.outline) == (self.model is not None):
            raise ValueError("must state exactly one of outline (corners) and model (a file)")
        return self

    @model_validator(mode="after")
    def _lobes(self) -> Self:
        orders = [lobe.order for lobe in self.lobes]
        if len(set(orders)) < len(orders):
            raise ValueError(f"lobes must state each order once, found {', '.join(map(str, orders))}")
        largest = max((lobe.peak_to_peak for lobe in self.lobes), default=0.0)
        if self.out_of_round < largest:
            raise ValueError(
                f"out_of_round must be at least the largest of its lobes, {largest:g} mm, found "
                f"{self.out_of_round:g} mm"
            )
        return self

    @property
    def lobes_of_unknown_order(self) -> float:
        """What the out-of-round has beyond the sum of the stated lobes, mm from peak to peak."""
        return max(0.0, self.out_of_round - math.fsum(lobe.peak_to_peak for lobe in self.lobes))

    @model_validator(mode="after")
    def _limits(self) -> Self:
        if self.gripped_diameter_low > self.gripped_diameter_high:
            raise ValueError(
                f"gripped_diameter_low {self.gripped_diameter_low:g} mm must be at most "
                f"gripped_diameter_high {self.gripped_diameter_high:g} mm"
            )
        return self


# A part without friction is not held: 0 is a slip, and may not stand for the table's value.
Measured = Annotated[float, Field(gt=0.0, le=1.5, allow_inf_nan=False, strict=True)]


class Gripping(Table):
    """How the part is gripped."""

    direction: Direction = Field(
        "outside", description="outside: jaws close on the outer diameter; inside: jaws open in a bore"
    )
    pressure: Pressure = Field(description="actuating pressure while cutting")
    speed_low: Speed = default("50 rpm", "lowest spindle speed of the operation")
    speed_high: Speed = Field(description="highest spindle speed of the operation")
    friction: Measured | None = Field(
        None, description="friction jaw on part if measured; default: the low value of the pairing"
    )
    pairing: str | None = Field(
        None,
        description="name in the table of friction pairings (chuckscene materials); left out: that of part and jaws "
        "with the workpiece's gripped_surface, which must be stated then",
    )
    grip_loss_share: Annotated[float, Field(ge=0.0, le=1.0, strict=True, allow_inf_nan=False)] = Field(
        1.0, description="share of the centrifugal force that is lost as grip (1 is the cautious value)"
    )


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


class Operation(Table):
    """One operation in one pocket."""

    name: Name = Field("operation", description="what the shop calls it")
    pocket: Name = Field("pocket", description="name of the pocket that holds the part")
    workpiece: Workpiece = Field(description="the part as it is then")
    gripping: Gripping = Field(description="direction, pressure, speeds, friction")
    cuts: tuple[Cut, ...] = Field(
        min_length=1, max_length=CUTS.most, description="the cuts that the grip must hold"
    )
    roundness_limit: Length = default("50 um", "largest out-of-roundness after release")
    runout_limit: Length = default(
        "50 um",
        "largest total indicator run-out of what is turned to the gripped surface (common practice, no source)",
    )
    squareness_limit: Length = default(
        "50 um",
        "largest run-out of a turned face that is square to the gripped surface's axis, over the part's largest "
        "diameter (common practice, no source)",
    )
    marking_allowed: bool = Field(
        default=False, strict=True, description="the jaws may mark the gripped surface (raw stock)"
    )
    back_stop: BackStop | None = Field(None, description="a stop behind the part, if one stands there")
    tailstock: Tailstock | None = Field(
        None,
        description="the tailstock's live centre, if it bears the part while all of these cuts are taken",
    )
    steady_rest: SteadyRest | None = Field(
        None, description="a steady rest, if it bears the part while all of these cuts are taken"
    )
    program: PartProgram | None = Field(
        None, description="the program that machines the part, to be checked against all that turns"
    )
