"""Tables of named views: what a picture shows and from where, for reviews and papers that show it again and again."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from sim.base.units import Angle, AnyLength, default
from sim.scenario.table import Factor, Name, Table

Group = Literal[
    "chuck body",
    "master jaws",
    "T-nuts",
    "jaw screws",
    "soft jaws",
    "workpiece",
    "back stop",
    "centre",
    "steady rest",
    "boring ring",
    "plug",
    "outer ring",
    "tool",
]


class View(Table):
    """A camera with what it shows; `picture` writes one picture for each, the pages list them by name."""

    name: Name = Field(description="what the view is called; also its file's name")
    stage: str = Field("", description="'boring' or an operation's name; default: the first operation")
    turn: Angle = default(
        "35.8 deg", "of the camera about the vertical, 0 from the tailstock, 90 deg from -y"
    )
    rise: Angle = default("21.7 deg", "of the camera over the level, towards jaw 1")
    zoom: Factor = Field(1.0, description="1 shows everything, 2 half of its size")
    section: Literal["none", "along", "across", "level"] = Field(
        "none",
        description="opened by a plane: along the spindle through jaw 1, towards the eye, across it, or level",
    )
    section_at: AnyLength = default("0 mm", "where that plane lies: y (along), z (across) or x (level)")
    hide: tuple[Group, ...] = Field((), max_length=40, description="groups of bodies that are left out")
    see_through: tuple[Group, ...] = Field(
        (), max_length=40, description="groups of bodies that are seen through"
    )
    apart: float = Field(
        0.0, ge=0.0, le=1.0, strict=True, allow_inf_nan=False, description="0 as it stands to 1 pulled apart"
    )
