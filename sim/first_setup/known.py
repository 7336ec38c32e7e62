"""What a setter knows before anything is computed."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from sim.base.errors import ScenarioError

if TYPE_CHECKING:
    from sim.first_setup.drawn import Drawn

CLASSES = (165, 210, 254, 315)  # of chucks, mm
Cut = Literal["turning", "facing", "drilling", "boring"]
Surface = Literal["turned", "raw"]


@dataclass(frozen=True, slots=True)
class Plate:
    """What the plate of a chuck says; None where it was not read.

    Attributes
    ----------
    largest_pull, largest_grip : float or None
        N.
    stroke : float or None
        Of one jaw, mm.
    speed : float or None
        rev/min.
    pressure : float or None
        Highest actuating pressure, MPa.
    """

    largest_pull: float | None = None
    largest_grip: float | None = None
    stroke: float | None = None
    speed: float | None = None
    pressure: float | None = None


@dataclass(frozen=True, slots=True)
class Part:
    """The part as it is clamped; lengths in mm.

    Attributes
    ----------
    low, high : float
        Smallest and largest gripped diameter within its tolerance.
    length, bore : float
        Along the spindle; diameter of its bore, 0 for none.
    gripped : float
        How much of its length the jaws may cover.
    beyond : float
        Diameter of what stands out of the jaws.
    drawn : Drawn or None
        The file that has its shape.
    """

    low: float
    high: float
    length: float
    material: str
    surface: Surface
    gripped: float
    beyond: float
    bore: float = 0.0
    drawn: Drawn | None = None

    def __post_init__(self) -> None:
        if not 0.0 < self.low <= self.high:
            raise ScenarioError(
                f"the gripped diameter must rise from low to high, found {self.low:g} to {self.high:g} mm"
            )
        if self.bore >= min(self.low, self.beyond):
            raise ScenarioError(
                f"the part's bore must be less than its diameters, {min(self.low, self.beyond):g} mm, found "
                f"{self.bore:g} mm"
            )
        if not 0.0 < self.gripped < self.length:
            raise ScenarioError(
                f"the gripped length must be less than the part's length, {self.length:g} mm, found {self.gripped:g} mm"
            )


@dataclass(frozen=True, slots=True)
class HeaviestCut:
    """The cut that loads the part most.

    Attributes
    ----------
    diameter, depth : float
        Where it cuts and how deep, mm.
    feed : float
        mm a revolution.
    cutting_speed : float
        m/min.
    """

    kind: Cut
    diameter: float
    depth: float
    feed: float
    cutting_speed: float


@dataclass(frozen=True, slots=True)
class Known:
    """All of it."""

    size_class: int
    plate: Plate
    part: Part
    cut: HeaviestCut
