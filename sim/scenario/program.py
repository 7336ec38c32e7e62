"""Tables of a cutting program that the shop has written, and of the tools that it calls."""

from __future__ import annotations

from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from sim.base.limits import FILE_NAME, TOOLS
from sim.base.units import Angle, AnyLength, CuttingSpeed, Depth, Length, default
from sim.scenario.cycle_amounts import CycleAmounts
from sim.scenario.outline import PartCorners
from sim.scenario.shape import Corners, Shape
from sim.scenario.table import Table

MWord = Annotated[str, Field(pattern=r"^M[0-9]{1,3}$")]
# What a word for the chuck cannot be: these have a meaning of their own on every lathe (common practice, no source).
NOT_THE_CHUCK = (0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 13, 14, 19, 30, 96, 97, 98, 99, 198)

Shanks = Literal["steel", "carbide", "damped steel"]
SHANK = "what the bar is made of, with or without a damper: its stiffness, and how slender it may be"
LEAST_BORE = (
    "diameter of the smallest bore that the bar enters; default: 1.1 times f and half the bar's diameter"
)
BAR_HEAD = (
    "true outline of the bar's head seen from above, up to where the round shank begins; it takes the place of the "
    "simplified head, within the least bore"
)


class Bar(Table):
    """A round boring bar (ISO 5609)."""

    diameter: Length = Field(description="diameter of the bar")
    reach: Length = Field(description="usable length of the bar from the tip")
    functional_offset: Length = Field(description="f, tip from the bar's axis")
    least_bore: Length | None = Field(None, description=LEAST_BORE)
    shank: Shanks = Field("steel", description=SHANK)
    head: Shape | None = Field(None, description=BAR_HEAD)


class Shank(Table):
    """A holder with a square shank (ISO 5608)."""

    height: Length = Field(description="h, from the base to the level of the cutting edge")
    width: Length = Field(description="b, width of the shank")
    length: Length = Field(description="l1, from the tip to the end of the shank")
    functional_offset: Length = Field(description="f, from the tip to the far side of the shank")
    head_length: Length = Field(description="l2, from the tip to where the full shank begins")
    axis: Literal["radial", "axial"] = Field(
        "radial", description="radial: the shank points away from the spindle axis; axial: it lies along it"
    )
    head: Shape | None = Field(
        None,
        description="true outline of the head seen from above, up to the shank; it takes the place of the simplified "
        "head",
    )


class Plate(Shape):
    """A holder, or the side view of a turret, of any outline."""

    thickness: Length = Field(description="thickness below the cutting edge")


class CutterOutline(Table):
    """A cutting part that no insert designation describes: a grooving blade, a drill."""

    outline: Corners = Field(description="corners (x, z) from the programmed tip, as of a plate")
    nose_radius: Depth = default("0 mm", "for nose radius compensation")


class ProgramTool(Table):
    """A tool that the program calls: an insert or a cutter, in a bar, a holder or a plate."""

    number: int = Field(
        ge=1,
        le=99_999_999,
        strict=True,
        description="station of the T word (1 for T1, T0101), or the whole T word (117 for T0117) where it differs",
    )
    name: str = Field("", max_length=60, description="what the shop calls it")
    cuts: Literal["outward", "inward"] | None = Field(
        None,
        description="outward as in a bore, inward as on an outer diameter; default: outward for a bar, else inward",
    )
    insert: str | None = Field(None, description="ISO 1832 designation; this or cutter")
    cutter: CutterOutline | None = Field(None, description="cutting part by its outline; this or insert")
    approach_angle: Angle = default("95 deg", "tool cutting edge angle (KAPR, ISO 13399)")
    bar: Bar | None = Field(None, description="round bar; one of bar, holder, plate")
    holder: Shank | None = Field(None, description="holder with a square shank; one of bar, holder, plate")
    plate: Plate | None = Field(None, description="holder of any outline; one of bar, holder, plate")
    turret: Plate | None = Field(None, description="side view of what carries bar or holder")
    spindle: Literal["forward", "backward"] | None = Field(
        None,
        description="which way the spindle turns where this tool cuts: forward by M3, backward by M4; not stated: "
        "forward, and M4 warns",
    )
    largest_depth_of_cut: Length | None = Field(None, description="more is told as too deep a cut")

    @model_validator(mode="after")
    def _one_of_each(self) -> Self:
        if (self.insert is None) == (self.cutter is None):
            raise ValueError("must state exactly one of insert (as in 'CCMT 09T304') and cutter")
        carriers = [name for name in ("bar", "holder", "plate") if getattr(self, name) is not None]
        if len(carriers) != 1:
            raise ValueError(
                f"must state exactly one of bar, holder and plate, found {' and '.join(carriers) or 'none'}"
            )
        if self.cutter is not None and self.plate is None:
            raise ValueError(f"must hold a cutter in a plate, found a {carriers[0]}")
        return self

    @property
    def direction(self) -> Literal["outward", "inward"]:
        """Which way it cuts."""
        return self.cuts or ("outward" if self.bar is not None else "inward")


class RapidRates(Table):
    """How fast the slides run at rapid; only their ratio counts."""

    x: CuttingSpeed = Field(description="rate of the x slide, as radius, as in '20 m/min'")
    z: CuttingSpeed = Field(description="rate of the z slide, as in '24 m/min'")


class WorkOffsets(Table):
    """Heights of the zero points that a program calls, stated as its zero is."""

    G54: AnyLength | None = Field(None, description="height of the zero point that G54 calls")
    G55: AnyLength | None = Field(None, description="height of the zero point that G55 calls")
    G56: AnyLength | None = Field(None, description="height of the zero point that G56 calls")
    G57: AnyLength | None = Field(None, description="height of the zero point that G57 calls")
    G58: AnyLength | None = Field(None, description="height of the zero point that G58 calls")
    G59: AnyLength | None = Field(None, description="height of the zero point that G59 calls")

    @model_validator(mode="after")
    def _some(self) -> Self:
        if not self.heights:
            raise ValueError("must state one of G54 to G59 at least, found none")
        return self

    @property
    def heights(self) -> dict[int, float]:
        """Heights in mm by the number of the G word."""
        found = {number: getattr(self, f"G{number}") for number in range(54, 60)}
        return {number: height for number, height in found.items() if height is not None}


class CuttingProgram(Table):
    """A program in the format of ISO 6983-1 and how it is to be read."""

    file: str = Field(
        min_length=1, max_length=FILE_NAME.most, description="path of the program, from the scenario's folder"
    )
    zero: AnyLength = Field(
        description="height of the program's zero point: above the serrated plane for boring, above the part's "
        "back face for machining it"
    )
    offsets: WorkOffsets | None = Field(
        None,
        description="heights of the zero points G54 to G59, as zero; default: the program calls one of them at "
        "most, and it is zero",
    )
    x: Literal["diameter", "radius"] = Field("diameter", description="what X and U mean")
    code_system: Literal["G90 cycles", "G77 cycles", "G20 cycles", "ISO"] | None = Field(
        None,
        description="assignment of G codes, named by the code of the single turning cycle, or by the standard that has "
        "none: with 'G90 cycles' increments are U and W and a feed per minute is G98; with 'G77 cycles', 'G20 cycles' "
        "(inch and mm by G70 and G71) and 'ISO' G91 and G94; default: told by words that only some of them have, and "
        "must be stated where they leave open what moves an axis",
    )
    unit: Literal["mm", "inch"] = Field("mm", description="unit until the program says G20 or G21")
    without_point: Literal["units", "increments"] | None = Field(
        None,
        description="a number without a decimal point: units, or increments of 0.001 mm or 0.0001 inch; must be stated "
        "if the program has such a number other than 0",
    )
    start_diameter: Depth = default("400 mm", "twice the tip's radius before the first block")
    start_height: AnyLength = default(
        "200 mm", "z of the tip before the first block, from the program's zero"
    )
    home_diameter: Depth | None = Field(None, description="twice the tip's radius that G28 goes to")
    home_height: AnyLength | None = Field(None, description="z that G28 goes to, from the program's zero")
    second_home_diameter: Depth | None = Field(None, description="twice the tip's radius that G30 goes to")
    second_home_height: AnyLength | None = Field(
        None, description="z that G30 goes to, from the program's zero"
    )
    home_without_axes: Literal["both axes", "nothing"] | None = Field(
        None,
        description="what G28 or G30 without an axis word moves: both axes straight home, or nothing; must be stated "
        "if the program has such a block",
    )
    machine_zero_diameter: Depth | None = Field(
        None, description="twice the tip's radius at X0 of the machine's own coordinates, for G53"
    )
    machine_zero_height: AnyLength | None = Field(
        None, description="z of the tip at Z0 of the machine's own coordinates, from the program's zero"
    )
    rapid: Literal["straight", "dogleg"] | None = Field(
        None,
        description="how the control runs a rapid move of two axes: along a line, or each axis at its own rate until "
        "the first arrives; not stated: judged along the line and wherever else any such rates can lead to",
    )
    rapid_rates: RapidRates | None = Field(
        None,
        description="rates of the axes, with rapid = 'dogleg'; without them judged as if rapid were not stated",
    )
    optional_blocks: Literal["run", "skip"] | None = Field(
        None,
        description="how blocks that start with a slash are shown; they are judged both run and skipped; not stated: "
        "shown run",
    )
    first_tool: int | None = Field(
        None,
        ge=1,
        le=99_999_999,
        strict=True,
        description="number of the tool that stands at the cut when the program starts; must be stated if it cuts "
        "before a T word, or has none",
    )
    tool_word: Literal["TS", "TSO", "TSSOO", "TSSSOOO", "TSSOOWW", "TNNSSOO"] | None = Field(
        None,
        description="what the digits of a T word name: S the station, O the offset, W the wear offset, N the nose "
        "radius, as in 'TSSOO' for T0101; default: T1, T01 and T0101 are station 1, and must be stated for words such "
        "as T0012",
    )
    corner_words: Literal["with comma", "without comma"] = Field(
        "with comma",
        description="which words of a straight G1 block are a chamfer or a rounding towards the next block, and its "
        "angle: ',C', ',R' and ',A' alone, or 'C', 'R' and 'A', too",
    )
    corners: Literal["rolled", "intersection"] | None = Field(
        None,
        description="how G41 and G42 run round an outer corner: the nose rolls round it, or the tool runs on to where "
        "the parallels meet, up to 0.41 nose radii farther out; not stated: judged both ways",
    )
    chuck_opens: MWord | None = Field(
        None,
        description="M word that opens the chuck on this machine, as in 'M69'; must be stated if the program has M10, "
        "M11, M68 or M69",
    )
    chuck_closes: MWord | None = Field(None, description="M word that closes the chuck, as in 'M68'")
    cycle_amounts: CycleAmounts = Field(
        default_factory=lambda: CycleAmounts.model_validate({}),
        description="what the control's parameters say of cycles",
    )
    tools: Annotated[tuple[ProgramTool, ...], Field(max_length=TOOLS.most)] = Field(
        (), description="tools by their T numbers; for boring the default is boring.tool"
    )

    @model_validator(mode="after")
    def _numbers(self) -> Self:
        numbers = [tool.number for tool in self.tools]
        if len(set(numbers)) != len(numbers):
            raise ValueError(f"tools must have different numbers, found {', '.join(map(str, numbers))}")
        for place in ("home", "second_home", "machine_zero"):
            given = [getattr(self, f"{place}_{name}") is not None for name in ("diameter", "height")]
            if given[0] != given[1]:
                raise ValueError(f"must state both {place}_diameter and {place}_height, or neither")
        if self.first_tool is not None and numbers and self.first_tool not in numbers:
            raise ValueError(
                f"must have first_tool among the tools, {', '.join(map(str, numbers))}, found {self.first_tool}"
            )
        if (self.chuck_opens is None) != (self.chuck_closes is None):
            raise ValueError("must state both chuck_opens and chuck_closes, or neither")
        for name in ("chuck_opens", "chuck_closes"):
            word = getattr(self, name)
            if word is not None and int(word[1:]) in NOT_THE_CHUCK:
                raise ValueError(
                    f"must state a word of the chuck for {name}, found {word}, which means something else"
                )
        if self.chuck is not None and self.chuck[0] == self.chuck[1]:
            raise ValueError(
                f"must state different words for chuck_opens and chuck_closes, found {self.chuck_opens}"
            )
        if self.rapid_rates is not None and self.rapid != "dogleg":
            raise ValueError(
                f"must state rapid_rates with rapid = 'dogleg' only, found rapid = {self.rapid!r}"
            )
        return self

    @property
    def chuck(self) -> tuple[int, int] | None:
        """Numbers of the M words that open and close the chuck; None where they are not stated."""
        if self.chuck_opens is None or self.chuck_closes is None:
            return None
        return int(self.chuck_opens[1:]), int(self.chuck_closes[1:])


class PartProgram(CuttingProgram):
    """A program that machines the part, with what it shall make of it."""

    tools: Annotated[tuple[ProgramTool, ...], Field(max_length=TOOLS.most)] = Field(
        (), description="tools by their T numbers; left empty, those that the program calls are listed"
    )
    raw_outline: PartCorners | None = Field(
        None,
        description="corners (r, z) of the half section before machining, arcs, chamfers and roundings as in the "
        "workpiece's outline; default: that outline",
    )
    finished_outline: PartCorners | None = Field(
        None,
        description="corners (r, z) after machining, arcs, chamfers and roundings with them; without it nothing is "
        "called cut too deep or left over",
    )


class BackStop(Table):
    """A disc or ring behind the part that it is pushed against."""

    outer_diameter: Length = Field(description="outer diameter")
    inner_diameter: Depth = default("0 mm", "diameter of its hole, 0 for none")
    thickness: Length = Field(description="thickness along the spindle")
    height: AnyLength = Field(description="height of its lower face above the serrated plane")
