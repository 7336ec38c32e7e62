"""A look at the scene: the stage, the state and the place that the page turns to. Plain data."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from meshes.points import Point3

THREE_QUARTER, TAILSTOCK, SIDE, IN_FRONT = "three-quarter", "tailstock", "side", "in front"
QUARTER = "quarter"  # the section that takes a quarter away: part and jaws stay solid and are cut through
PART_AWAY = (
    "part"  # the section across the part alone, low in the pocket: the pressed faces stay whole and are seen
)
THROUGH_JAW = "along"  # the section plane through the spindle axis and jaw 1


@dataclass(frozen=True, slots=True)
class Look:
    """Where the page turns.

    Attributes
    ----------
    stage : str
        'boring' or the operation's number.
    values : dict of str to float
        Slider values that differ from the scenario's. The key ends in the unit.
    view : str
        Named direction.
    target : (x, y, z) or None
        Point that is looked at, spindle at angle 0, mm; None for all of it.
    span : float
        Height of what is then seen, mm.
    section : str
        '' or the plane that opens the scene.
    bodies : tuple of str
        Groups whose outlines are drawn heavier.
    into : (focus, distance, span) or None
        Look along the spindle into the bore: z (mm) that is looked at, the eye's distance from it, and how much (mm)
        is seen from the top to the bottom of the picture at that height.
    pair : bool
        The verdict says the distance of the closest pair, which then needs no words of its own.
    released_by : float
        How many times, at the most, the part's spring back after the release is drawn larger, no unit; 0: true size.
    """

    stage: str
    values: dict[str, float] = field(default_factory=dict)
    view: str = THREE_QUARTER
    target: Point3 | None = None
    span: float = 0.0
    section: str = ""
    bodies: tuple[str, ...] = ()
    into: tuple[float, float, float] | None = None
    pair: bool = False
    released_by: float = 0.0

    def as_object(self) -> dict[str, Any]:
        """Return the look as the page reads it."""
        return {
            "stage": self.stage,
            "values": self.values,
            "view": self.view,
            "target": None if self.target is None else list(self.target),
            "span": self.span,
            "section": self.section,
            "bodies": list(self.bodies),
            "pair": self.pair,
            "released_by": self.released_by,
            "into": None
            if self.into is None
            else dict(zip(("focus", "distance", "span"), self.into, strict=True)),
        }
