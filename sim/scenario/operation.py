"""Tables of an operation: the part as it is then, the pocket, the gripping."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Annotated, Literal, Self

from pydantic import Field, PrivateAttr, model_validator

from sim.base.gripping import Direction
from sim.base.limits import CUTS
from sim.base.units import (
    Depth,
    Length,
    Pressure,
    Speed,
    default,
)
from sim.scenario.cut import Cut
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
