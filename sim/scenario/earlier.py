"""What a set of jaws was bored to before."""

from __future__ import annotations

from pydantic import Field

from sim.base.gripping import Direction
from sim.base.units import Length
from sim.scenario.operation import Pocket
from sim.scenario.table import Table


class BoredBefore(Table):
    """One earlier boring of the jaws; what it took away is missing."""

    direction: Direction = Field("outside", description="what the jaws were bored to grip")
    travel: Length = Field(description="travel of the jaws while they were bored")
    serration_index: int = Field(
        0, ge=-40, le=40, strict=True, description="serrations outward at which they stood then"
    )
    pockets: tuple[Pocket, ...] = Field(
        min_length=1, max_length=3, description="what was turned, widest first"
    )
    through_diameter: Length | None = Field(
        None, description="clearance bore through the jaws below the deepest pocket, if one was turned"
    )
