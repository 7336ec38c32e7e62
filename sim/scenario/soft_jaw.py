"""Tables of the soft jaw: the blank or its model, where it is bolted, what was bored out of it, and its screws."""

from __future__ import annotations

import math
from typing import Annotated, Any, Literal, Self, get_args

from pydantic import BeforeValidator, Field, model_validator
from pydantic_core import PydanticCustomError

from meshes import sector, soft_jaw
from sim.base import tables
from sim.base.limits import BORED_BEFORE, FILE_NAME
from sim.base.units import (
    Angle,
    AnyMass,
    Depth,
    Length,
    Torque,
    default,
)
from sim.scenario.chuck import JawThread
from sim.scenario.earlier import BoredBefore
from sim.scenario.table import Coefficient, Table


def _by_thread(dimension: str, words: str) -> Any:
    """Return a pydantic field whose default is a dimension of the stated thread, as text; of M12 if it is not known."""
    known = [f"{name} {getattr(tables.thread(name), dimension):g} mm" for name in get_args(JawThread)]

    def of_thread(stated: dict[str, Any]) -> str:
        return f"{getattr(tables.thread(stated.get('thread', 'M12')), dimension):g} mm"

    return Field(default_factory=of_thread, description=f"{words} ({', '.join(known)})")


class JawScrews(Table):
    """The screws that hold a soft jaw on its master jaw."""

    thread: JawThread = Field(
        "M12", description="metric coarse thread of the socket head cap screws (ISO 4762)"
    )
    property_class: Literal["8.8", "10.9", "12.9"] = Field("10.9", description="ISO 898-1 property class")
    positions: tuple[Length, ...] = Field(
        min_length=1,
        max_length=3,
        description="distances of the screws from the blank's inner end; two at least, unless "
        "single_screw_reason is stated",
    )
    single_screw_reason: str | None = Field(
        None,
        min_length=10,
        max_length=300,
        description="why one screw is enough for a jaw; shown with the verdicts",
    )
    counterbore_diameter: Length = _by_thread(
        "counterbore", "diameter of the counterbores; default: by DIN 974-1"
    )
    counterbore_depth: Length = Field(description="depth of the counterbores from the jaw's top face")
    hole_diameter: Length = _by_thread(
        "hole_medium", "diameter of the through holes; default: medium by ISO 273"
    )
    torque: Torque = Field(description="tightening torque")
    thread_friction: Coefficient = Field(0.12, description="friction in the thread")
    head_friction: Coefficient = Field(0.12, description="friction under the head")
    tightening: Literal["torque wrench", "by feel", "impact driver"] = Field(
        "torque wrench", description="how they are tightened; sets the scatter of the preload (VDI 2230)"
    )
    washer_diameter: Length | None = Field(
        None, description="outer diameter of a hard washer, if one is used"
    )


LEAST_SECTOR = math.radians(15.0)  # narrower is no sector but a wedge that no master jaw carries


def _across(stated: dict[str, Any]) -> Any:
    """Return the width of a sector jaw over its outer corners, as text; None for a block, which must state its own."""
    length, tip, angle = (stated.get(name) for name in ("length", "tip_width", "sector_angle"))
    if length is None or angle is None:
        return None
    if tip is None or not LEAST_SECTOR <= angle <= sector.LARGEST:
        # Of what is no sector any width will do: it is refused for its tip or its angle.
        return f"{length!r} mm"
    return f"{sector.sector_width(length, tip, angle)!r} mm"


def _must_be_known(width: Any) -> Any:
    if width is None:
        raise PydanticCustomError("missing", "is missing")
    return width


Off = Annotated[int, Field(ge=-3, le=3, strict=True)]


class JawModel(Table):
    """A soft jaw drawn elsewhere, as triangles; its dimensions are stated beside it and must agree."""

    file: str = Field(
        min_length=1,
        max_length=FILE_NAME.most,
        description="path of an STL or GLB file, from the scenario's folder",
    )
    unit: Literal["mm", "cm", "m", "in"] = Field(description="unit of its coordinates (GLB files are in m)")
    up: Literal["z", "y"] = Field(
        "z",
        description="axis that points away from the chuck, from the serrated plane (y in GLB files); x runs outward "
        "from the jaw's inner end, its middle plane lies at 0",
    )


class SoftJaw(Table):
    """A soft jaw blank and where it is bolted."""

    material: str = Field("steel, soft", description="name in the table of materials (chuckscene materials)")
    length: Length = Field(description="length along the jaw")
    tip_width: Length | None = Field(
        None,
        description="width of the inner end, from which a pointed jaw widens by its tip_angle and a sector jaw by its "
        "sector_angle; default: as wide as the jaw; either of these two must state it",
    )
    tip_angle: Angle = default(
        "120 deg",
        "angle between the flanks of a pointed jaw (a block narrowed towards the part), 20 deg to 120 deg; jaws of 120 "
        "deg could meet in a point",
    )
    sector_angle: Angle | None = Field(
        None,
        description="angle between the flanks of a sector jaw (pie jaw: three of them are full-circle soft jaws), 15 "
        "deg to 119 deg: its flanks go on to an outer end that is round about where they would meet; left out: a block",
    )
    width: Annotated[Length, BeforeValidator(_must_be_known)] = Field(
        default_factory=_across,
        description="width across; of a sector jaw over its outer corners, which follows from length, tip_width and "
        "sector_angle and may be left out",
    )
    height: Length = Field(
        description="height above the serrated plane, to the roots of its serrations: its teeth left out"
    )
    mounting_radius: Length = Field(
        description="radius of the blank's inner end with the jaw fully open and serration index 0"
    )
    serration_index: int = Field(0, ge=-40, le=40, strict=True, description="serrations outward from there")
    serrations_off: tuple[Off, Off, Off] = Field(
        (0, 0, 0), description="serrations outward by which each jaw stands off from where it was bored"
    )
    mass_differences: tuple[AnyMass, AnyMass, AnyMass] = Field(
        ("0 g", "0 g", "0 g"),
        validate_default=True,
        description="mass of each jaw beyond that of the bored blank, as in '-40 g'",
    )
    bored_before: tuple[BoredBefore, ...] = Field(
        (),
        max_length=BORED_BEFORE.most,
        description="earlier borings of these jaws; what they took away is missing",
    )
    edge_chamfer: Depth = default("1 mm", "chamfer on the bored face's long edges")
    screws: JawScrews = Field(description="jaw screws")
    model: JawModel | None = Field(
        None, description="solid of the blank from a file; without it a block with its screw holes"
    )

    @model_validator(mode="after")
    def _shape(self) -> Self:
        if self.sector_angle is not None:
            self._sector(self.sector_angle)
        else:
            self._point()
        if self.tip_width is not None and self.tip_width > self.width:
            raise ValueError(f"tip_width {self.tip_width:g} mm must be at most width {self.width:g} mm")
        if self.edge_chamfer >= 0.5 * self.width:
            raise ValueError(
                f"edge_chamfer must be less than half the width, {0.5 * self.width:g} mm, found "
                f"{self.edge_chamfer:g} mm"
            )
        if self.screws.counterbore_depth >= self.height - 3.0:
            raise ValueError(
                f"screws.counterbore_depth {self.screws.counterbore_depth:g} mm must leave 3 mm under the "
                f"head in a jaw {self.height:g} mm high"
            )
        if any(not 0.0 < p < self.length for p in self.screws.positions):
            raise ValueError(f"screws.positions must lie within the length, {self.length:g} mm")
        return self

    def _point(self) -> None:
        """Refuse a pointed jaw that is none."""
        if not soft_jaw.SLIMMEST <= self.tip_angle <= soft_jaw.TIP_ANGLE:
            raise ValueError(
                f"tip_angle must lie between {math.degrees(soft_jaw.SLIMMEST):g} deg and "
                f"{math.degrees(soft_jaw.TIP_ANGLE):g} deg, so that jaws narrow towards the part and clear each other, "
                f"found {math.degrees(self.tip_angle):g} deg"
            )
        if "tip_angle" not in self.model_fields_set:
            return
        if self.tip_width is None:
            raise ValueError("tip_width must be stated for a pointed jaw: how wide its inner end is left")
        if self.model is not None:
            raise ValueError(
                "model must be left out for a jaw with a tip_angle: what a file draws is not held to it"
            )

    def _sector(self, angle: float) -> None:
        """Refuse a sector jaw that is none."""
        if not LEAST_SECTOR <= angle <= sector.LARGEST:
            raise ValueError(
                f"sector_angle must lie between {math.degrees(LEAST_SECTOR):g} deg and "
                f"{math.degrees(sector.LARGEST):g} deg, so that three sectors leave a gap between them, found "
                f"{math.degrees(angle):g} deg"
            )
        if "tip_angle" in self.model_fields_set:
            raise ValueError(
                "tip_angle must be left out for a sector jaw: its flanks stand by its sector_angle"
            )
        if self.tip_width is None:
            raise ValueError("tip_width must be stated for a sector jaw: how wide its inner end is left")
        wide = sector.sector_width(self.length, self.tip_width, angle)
        if abs(self.width - wide) > sector.AGREES:
            raise ValueError(
                f"width must be left out or be {wide:.2f} mm, what length, tip_width and sector_angle of a sector jaw "
                f"give over its outer corners, found {self.width:g} mm"
            )
        if self.model is not None:
            raise ValueError("model must be left out for a sector jaw: only blocks are read from a file")
