"""Whether the part runs true: what scatters from jaw to jaw, and what became of jaws and chuck since the boring."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from sim.base.units import Depth, Length, default
from sim.scenario.table import Coefficient, Table

ShareFromZero = Annotated[float, Field(ge=0.0, le=1.0, allow_inf_nan=False, strict=True)]
NO_SOURCE = "common practice, no source"


class PartLobe(Table):
    """One harmonic of the gripped surface's out-of-round, as a roundness instrument tells it; any angle to the jaws."""

    order: int = Field(ge=2, le=20, strict=True, description="lobes over one turn (2 is an ellipse)")
    peak_to_peak: Length = Field(description="from their valleys to their tops, in radius")


class Running(Table):
    """What scatters from jaw to jaw and from clamping to clamping, and what was done since the jaws were bored."""

    stiffness_scatter: ShareFromZero = Field(
        0.1,
        description=f"share by which the jaws' drives and guideways yield unlike each other, either way ({NO_SOURCE})",
    )
    friction_scatter: Coefficient = Field(
        0.02, description=f"by how much the friction of the guideways differs, either way ({NO_SOURCE})"
    )
    repeat_scatter: ShareFromZero = Field(
        0.02,
        description=f"share of a jaw's force that differs from one clamping to the next, either way ({NO_SOURCE})",
    )
    travel_error: ShareFromZero = Field(
        0.001,
        description="share of the travel between boring and gripping by which a jaw errs, either way; 0.001 is 1 um "
        f"for each mm ({NO_SOURCE})",
    )
    rebolted: bool = Field(
        default=False,
        strict=True,
        description="the jaws were taken off since they were bored, bolted on again, and are not bored anew",
    )
    rebolted_along: Depth = default(
        "10 um", f"how far each jaw may then stand off along its guideway, either way ({NO_SOURCE})"
    )
    rebolted_across: Depth = default(
        "20 um", f"how far each jaw may then stand off across its guideway, either way ({NO_SOURCE})"
    )
    rebolted_up: Depth = default(
        "10 um", f"how far the back face of each jaw may then stand higher or lower ({NO_SOURCE})"
    )
    chip: Depth = default(
        "10 um",
        f"chip under the part in one jaw, of which is told what it would add; no verdict counts it ({NO_SOURCE})",
    )
    spindle: Depth = default(
        "1 um",
        f"how far the spindle's axis wanders in a turn, while boring and while turning (as tested by ISO 230-7; value: "
        f"{NO_SOURCE})",
    )
    chuck_moved: Depth = default(
        "0 um",
        "how far the chuck's axis stands off this spindle's where the jaws were bored on another machine, or the chuck "
        "was taken off since; 0 where it stays",
    )
