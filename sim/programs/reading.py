"""How a lathe program is to be read: what its text alone does not say."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Literal

from meshes.points import Point
from sim.programs.code_groups import CodeSystem
from sim.programs.compensation import Corners, Nose
from sim.programs.cycles.amounts import Amounts
from sim.programs.tool_digits import ToolWord


@dataclass(frozen=True, slots=True)
class Reading:
    """How a program is to be read.

    Attributes
    ----------
    diameter : bool
        X and U are diameters (else radii).
    start : (x, z)
        Tip before the first block: radius and z in mm, with the tool clear of everything.
    inch : bool
        Inches until the program says G20 or G21.
    nose_radius : float
        For G41 and G42, mm, of a tool that is not in `tools`.
    tip_direction : (int, int)
        From the nose's centre to the programmed tip of such a tool, see `sim.programs.compensation`.
    tools : mapping of int to Nose
        Known tools by number; if there is any, a T word must call one of them.
    skip_optional : bool, optional
        Blocks after a slash are skipped, or run; None refuses them.
    skipped : frozenset of str
        Switches (as in '/' or '/2') whose blocks are skipped, whatever `skip_optional` says.
    least_increment : float, optional
        Length in mm of 1 in a coordinate without a decimal point, and ten times the length in inches of 1
        in an inch program (0.001 mm and 0.0001 in: common practice); without it 1 mm or 1 inch.
    point_required : bool
        Numbers without a decimal point that could count increments are refused.
    speed_limit : float, optional
        Of the machine, rev/min: a feed per minute is judged at no higher speed.
    rapid : {'straight', 'dogleg', 'unknown'}
        How G0 moves both axes: along a straight line; each at its own rate until the first arrives; or not known,
        which marks such moves as `Move.astray`.
    rapid_ratio : float
        Rate of the x slide (as radius) over that of the z slide, for 'dogleg'.
    z_offset : float
        z of the program's zero point in the frame of the chuck, mm.
    datums : mapping of int to float
        z of the zero points G54 to G59 in the frame of the chuck, mm, by their numbers. Without any the program may
        call one, at `z_offset`.
    home : (x, z), optional
        Where G28 takes the tip, radius and z in mm.
    second_home : (x, z), optional
        Where G30 takes it.
    bare_home : {'both axes', 'nothing'}, optional
        What goes home by G28 or G30 without an axis word; without it such a block is refused.
    machine_zero : (x, z), optional
        Tip at X0 Z0 of the machine's coordinates (G53), radius and z in mm.
    chuck : (int, int), optional
        Numbers of the M words that open and close the chuck; without it words that may do so are refused.
    first_tool : int, optional
        The tool that stands at the cut before the first T word.
    tool_word : ToolWord, optional
        What the digits of a T word name, see `sim.programs.tool_digits`; without it words that leave it open are
        refused.
    code_system : {'G90 cycles', 'G77 cycles', 'G20 cycles', 'ISO'}, optional
        Which assignment of codes the control uses, see `sim.programs.code_groups`.
    corner_words : {'with comma', 'without comma'}
        Which words of a straight block are a chamfer, a rounding and an angle: ,C ,R ,A alone, or C, R and A, too.
    corners : {'rolled', 'intersection'}
        How G41 and G42 run round an outer corner, see `sim.programs.compensation`.
    amounts : Amounts
        Of cycles, where they are parameters of the control.
    """

    diameter: bool = True
    start: Point = (200.0, 200.0)
    inch: bool = False
    nose_radius: float = 0.0
    tip_direction: tuple[int, int] = (1, -1)
    tools: Mapping[int, Nose] = field(default_factory=lambda: MappingProxyType({}))
    skip_optional: bool | None = False
    skipped: frozenset[str] = frozenset()
    least_increment: float | None = None
    point_required: bool = False
    speed_limit: float | None = None
    rapid: Literal["straight", "dogleg", "unknown"] = "straight"
    rapid_ratio: float = 1.0
    z_offset: float = 0.0
    datums: Mapping[int, float] = field(default_factory=lambda: MappingProxyType({}))
    home: Point | None = None
    second_home: Point | None = None
    bare_home: Literal["both axes", "nothing"] | None = None
    machine_zero: Point | None = None
    chuck: tuple[int, int] | None = None
    first_tool: int | None = None
    tool_word: ToolWord | None = None
    code_system: CodeSystem | None = None
    corner_words: Literal["with comma", "without comma"] = "with comma"
    corners: Corners = "rolled"
    amounts: Amounts = field(default_factory=Amounts)

    @property
    def points_count(self) -> bool:
        """Whether a number without a decimal point counts something else than one with it, or may do so."""
        return self.point_required or self.least_increment is not None
