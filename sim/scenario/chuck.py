"""Tables of what the shop has: machine, chuck, master jaw, T-nut, soft jaw and its screws."""

from __future__ import annotations

import math
from itertools import pairwise
from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from sim.base.limits import GRIP_POINTS
from sim.base.scope import named
from sim.base.units import (
    Angle,
    Area,
    Depth,
    Force,
    Length,
    Power,
    Pressure,
    Speed,
    Stiffness,
    TiltStiffness,
    Torque,
    default,
)
from sim.scenario.table import Coefficient, Factor, Share, Table

SpindleAxis = Literal["level", "upright", "hanging"]


class SpindlePoint(Table):
    """One point of the machine's chart of power over speed."""

    speed: Speed = Field(description="spindle speed")
    power: Power = Field(description="power there for as long as the cuts take (not for minutes only)")


class Machine(Table):
    """The lathe around the chuck."""

    swing_diameter: Length = Field(description="largest diameter that may turn over the bed or its covers")
    speed_limit: Speed = Field(description="highest spindle speed of the machine")
    pressure_limit: Pressure = Field(description="highest pressure that the actuating cylinder may get")
    lowest_pressure: Pressure = default("3 bar", "lowest pressure that the hydraulics hold steadily")
    spindle_axis: SpindleAxis = Field(
        "level",
        description="how the spindle lies: level; upright with the chuck facing up, the part resting in it; hanging "
        "with the chuck facing down, so that the part's weight pulls it out of the jaws",
    )
    spindle_power: tuple[SpindlePoint, ...] = Field(
        (),
        max_length=GRIP_POINTS.most,
        description="points of the machine's chart of spindle power, speeds rising up to speed_limit; straight between "
        "them, below the first the torque stays what it is there",
    )
    drive_efficiency: Share = Field(
        0.8,
        description="share of the chart's power that reaches the cut (common practice, no source: 0.7 to 0.85 of the "
        "motor's power by belts and bearings)",
    )

    @model_validator(mode="after")
    def _chart(self) -> Self:
        speeds = [point.speed for point in self.spindle_power]
        if any(later <= earlier for earlier, later in pairwise(speeds)):
            raise ValueError(
                "spindle_power must have its points with rising speeds, found "
                + ", ".join(f"{n:g} rpm" for n in speeds)
            )
        if speeds and speeds[-1] < self.speed_limit:
            raise ValueError(
                f"spindle_power must reach to speed_limit {self.speed_limit:g} rev/min: its last point stands at "
                f"{speeds[-1]:g} rev/min, and what the spindle gives beyond is not known"
            )
        return self


class GripPoint(Table):
    """One line of the chuck's own data: actuating pressure and total grip force at it."""

    pressure: Pressure = Field(description="actuating pressure")
    grip: Force = Field(description="total grip force of the three jaws at the stated height")


class TNut(Table):
    """One T-nut in the master jaw's slot; each jaw screw has its own."""

    length: Length = default("32 mm", "length along the jaw, centred on the screw")
    width: Length = default("30 mm", "width of the foot in the T-slot")
    height: Length = default("10 mm", "height of the foot")
    neck_height: Length = default("9 mm", "height of the neck above the foot")


_COUNTS = {1: "one jaw", 2: "two jaws", 4: "four jaws", 6: "six jaws"}
OWN_COUNT = 3  # of the jaws that every figure is reckoned with


def _why_not(jaws: int) -> str:
    """Return why a chuck with so many jaws is not judged."""
    if jaws not in _COUNTS:
        return "jaws on one piston are judged in threes, and of other counts than 2, 4 and 6 nothing is known"
    row = named(_COUNTS[jaws])
    return row.why if row.nearest == "nothing" else f"{row.why}; what comes nearest: {row.nearest}"


class Chuck(Table):
    """A three-jaw power chuck of the wedge kind."""

    name: str = Field("three-jaw power chuck", max_length=80, description="what the shop calls it")
    jaws: int = Field(
        3,
        ge=1,
        le=12,
        strict=True,
        description="number of its jaws, all moved by one piston; 3, since other counts are refused with the reason",
    )
    body_diameter: Length = Field(description="outer diameter of the chuck body")
    body_height: Length = Field(description="height of the chuck body along the spindle")
    bore_diameter: Length = Field(description="through-bore of the chuck")
    face_drop: Depth = default("2 mm", "how far the body's face lies behind the serrated plane")
    marked_speed: Speed = Field(description="highest speed marked on the chuck")
    stroke: Length = Field(description="travel of one jaw along its guideway, fully open to fully closed")
    pressure_limit: Pressure = Field(description="highest actuating pressure that the chuck may get")
    piston_area: Area | None = Field(None, description="area of the actuating piston; this or largest_pull")
    largest_pull: Force | None = Field(
        None, description="drawbar pull at the pressure limit; this or piston_area"
    )
    efficiency: Share = Field(0.95, description="share of pressure times area that reaches the drawbar")
    wedge_angle: Angle = default("19 deg", "angle of the wedge to the spindle axis")
    wedge_depth: Length = default("15 mm", "depth of the wedge's force below the guideway's middle")
    guideway_length: Length = Field(description="length of the master jaw's guideway in the body")
    guideway_depth: Length = default("25 mm", "depth of the guideway's middle below the serrated plane")
    guideway_friction: Coefficient = Field(
        0.08, description="friction of wedge and guideway, greased (0.25 and more without grease)"
    )
    grip_points: tuple[GripPoint, ...] = Field(
        (),
        max_length=GRIP_POINTS.most,
        description="the chuck's own data or gauge readings; used before the free body where present",
    )
    grip_points_height: Length = default(
        "40 mm", "height above the serrated plane at which the grip points hold"
    )
    largest_grip: Force | None = Field(None, description="largest total grip force that the chuck may give")
    moment_limit: Torque = Field(
        description="largest grip force per jaw times its height above the guideway's middle"
    )
    tilt_stiffness: TiltStiffness = default(
        "6000 kN*m/rad", "stiffness of a jaw in its guideway against tilting; measure with a gauge"
    )
    radial_stiffness: Stiffness = default(
        "400 kN/mm",
        "stiffness of one jaw's drive and guideway along the jaw; the default is an assumption without a source: whole "
        "chucks were measured at 216 N/µm with steel top jaws and 66 N/µm with fibre-plastic ones (Ito, Modular Design "
        "for Machine Tools, p. 452; size and height not given)",
    )
    tangential_stiffness: Stiffness | None = Field(
        None,
        description="stiffness of one jaw across its guideway; left out: the jaw does not yield there while run-out "
        "is also judged for jaws with play",
    )
    slot_width: Length = default("46 mm", "width of the body's slot in which a master jaw runs")
    slot_depth: Length = default("52 mm", "depth of that slot below the serrated plane")
    serration_pitch: Length = default("1.5 mm", "pitch of the serrations")

    @model_validator(mode="after")
    def _three_jaws(self) -> Self:
        if self.jaws != OWN_COUNT:
            raise ValueError(f"jaws must be 3, found {self.jaws}: {_why_not(self.jaws)}")
        return self

    @model_validator(mode="after")
    def _one_source_of_pull(self) -> Self:
        if (self.piston_area is None) == (self.largest_pull is None):
            raise ValueError("must state exactly one of piston_area (as in '125 cm2') and largest_pull")
        if self.bore_diameter >= self.body_diameter:
            raise ValueError(
                f"bore_diameter {self.bore_diameter:g} mm must be less than body_diameter "
                f"{self.body_diameter:g} mm"
            )
        if not math.radians(3.0) <= self.wedge_angle < math.radians(45.0):
            raise ValueError(
                f"wedge_angle must lie between 3 deg and 45 deg, found {math.degrees(self.wedge_angle):g} deg"
            )
        pressures = [p.pressure for p in self.grip_points]
        if pressures != sorted(set(pressures)):
            raise ValueError("grip_points must rise in pressure, each pressure once")
        grips = [p.grip for p in self.grip_points]
        if grips != sorted(set(grips)):
            raise ValueError("grip_points must rise in grip with the pressure")
        return self


class MasterJaw(Table):
    """The jaw in the chuck's guideway; steel."""

    length: Length = Field(description="length along the guideway")
    width: Length = Field(description="width across")
    height: Length = Field(description="height from the serrated plane down")
    inner_radius: Length = Field(description="radius of its inner end, jaw fully open")
    slot_neck_width: Length = default("18 mm", "width of the T-slot's neck")
    slot_neck_depth: Length = default("10 mm", "depth of the neck")
    slot_width: Length = default("32 mm", "width of the T-slot")
    slot_height: Length = default("12 mm", "height of the T-slot")
    t_nut: TNut = Field(default_factory=TNut, description="the T-nuts in the slot")


JawThread = Literal["M8", "M10", "M12", "M14", "M16", "M20", "M24"]


Reserve = Annotated[float, Field(ge=0.0, lt=0.5, allow_inf_nan=False, strict=True)]


class Limits(Table):
    """What counts as good enough; common practice unless a standard is named."""

    stroke_reserve: Reserve = Field(
        1.0 / 6.0, description="share of the stroke kept free at both ends (common practice)"
    )
    held_share: Share = Field(
        1.0 / 3.0, description="least share of the part's length that is held (common practice)"
    )
    clearance: Length = default("1.5 mm", "least clearance wanted along a cutting path (common practice)")
    loading_clearance: Length = default(
        "0.5 mm", "least radial clearance wanted to load the part (common practice)"
    )
    holding_factor: Factor = Field(
        1.5, description="S_z, safety of the force needed while cutting (VDI 3106)"
    )
    grip_factor: Factor = Field(1.5, description="S_sp, safety of the grip force at rest (VDI 3106)")
    ring_pressure: Pressure = default(
        "7 bar", "highest pressure on a boring ring (common practice, unless its maker says otherwise)"
    )
    ring_speed: Speed = default(
        "900 rpm", "highest speed with a boring ring (common practice, unless its maker says otherwise)"
    )
    jaw_taper: Length = default(
        "20 um", "largest difference of diameter over the gripped height by opening jaws (common practice)"
    )
    boring_load_share: Share = Field(
        0.5,
        description="least share of the load at rest that speed leaves on the boring fixture (common practice)",
    )
    wall: Length = default("3 mm", "least wall between a pocket and a counterbore (common practice)")
    floor: Length = default(
        "5 mm",
        "least metal between what is turned into a jaw, or its counterbores, and its serrations (common practice, "
        "no source)",
    )
    rebore: Length = default(
        "0.5 mm", "radial metal that a later re-bore of a pocket takes (common practice: one cut over it)"
    )
    body_overhang: Depth = default("10 mm", "how far jaws may stand out of the chuck body (common practice)")
    part_bend: Length = default(
        "50 um",
        "how far a part may bend under a cut (common practice, no source)",
    )
    master_overhang: Depth = default(
        "10 mm", "how far a soft jaw may stand past its master jaw at either end (common practice, no source)"
    )
