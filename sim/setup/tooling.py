"""From the tables of tools to their dimensions."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Literal

from meshes.boring_bar import BoringBar
from meshes.insert import parse
from meshes.points import Outline
from meshes.tool_holder import SquareShank, ToolHolder, shank_with_head, square_shank
from meshes.turning_tool import Cutter, TurningTool
from sim.base.errors import in_field
from sim.scenario import Drawing, ProgramTool, Scenario, Shape

Drawn = Mapping[Drawing, Outline]  # what the drawings of shapes hold
NONE_DRAWN: Drawn = MappingProxyType({})


def boring_tools(
    scenario: Scenario, direction: Literal["outside", "inside"], drawn: Drawn
) -> tuple[TurningTool, ...]:
    """Return the tools that turn the jaws: those of the program, or else the one of `boring.tool`.

    Raises
    ------
    ValueError
        If a designation or a dimension is impossible; the message names the field.
    """
    stated, program = scenario.boring.tool, scenario.boring.program
    if program is not None and program.tools:
        return program_tools("boring.program", program.tools, drawn)
    if stated is None:
        raise ValueError("boring must state tool, or program with its tools")
    with in_field("boring.tool.insert"):
        insert = parse(stated.insert)
    turns: Literal["outward", "inward"] = "outward" if direction == "outside" else "inward"
    with in_field("boring.tool"):
        bar = BoringBar(
            stated.bar_diameter,
            stated.reach,
            stated.functional_offset,
            stated.least_bore,
            stated.shank,
            _head(stated.head, drawn, inward=turns == "inward"),
        )
        return (TurningTool("", insert, stated.approach_angle, bar, turns),)


def program_tools(
    field: str, tools: tuple[ProgramTool, ...], drawn: Drawn = NONE_DRAWN
) -> tuple[TurningTool, ...]:
    """Return the tools of a program in their order; `field` is the program's, for messages.

    Raises
    ------
    ValueError
        If a designation or a dimension is impossible; the message names the field.
    """
    made = []
    for number, tool in enumerate(tools):
        with in_field(f"{field}.tools[{number}]"):
            made.append(turning_tool(tool, drawn))
    return tuple(made)


def turning_tool(stated: ProgramTool, drawn: Drawn = NONE_DRAWN) -> TurningTool:
    """Return the dimensions of a tool that a program calls.

    Raises
    ------
    ValueError
        If the insert's designation or a dimension is impossible.
    """
    inward = stated.direction == "inward"

    turret = None
    if stated.turret is not None:
        turret = ToolHolder(_corners(stated.turret, drawn, inward=inward), stated.turret.thickness)
    cutter = (
        Cutter(_as_outward(stated.cutter.outline, inward=inward), stated.cutter.nose_radius)
        if stated.cutter is not None
        else parse(stated.insert or "")
    )
    name = f"tool {stated.number}" + (f", {stated.name}" if stated.name else "")
    carrier: BoringBar | ToolHolder
    if stated.bar is not None:
        b = stated.bar
        head = _head(b.head, drawn, inward=inward)
        carrier = BoringBar(b.diameter, b.reach, b.functional_offset, b.least_bore, b.shank, head)
    elif stated.plate is not None:
        carrier = ToolHolder(_corners(stated.plate, drawn, inward=inward), stated.plate.thickness)
    elif stated.holder is not None and not isinstance(cutter, Cutter):
        s = stated.holder
        shank = SquareShank(s.height, s.width, s.length, s.functional_offset, s.head_length, s.axis)
        head = _head(s.head, drawn, inward=inward)
        carrier = (
            square_shank(shank, cutter, stated.approach_angle)
            if head is None
            else shank_with_head(shank, head)
        )
    else:
        raise ValueError("must hold a cutter in a plate")
    return TurningTool(name, cutter, stated.approach_angle, carrier, stated.direction, turret)


def _as_outward(corners: Outline, *, inward: bool) -> Outline:
    """Return corners as they stand in the machine in the tool's frame, which is that of an outward cut."""
    return tuple((-x, z) for x, z in corners) if inward else corners


def _corners(shape: Shape, drawn: Drawn, *, inward: bool) -> Outline:
    """Return the corners of a shape in the tool's frame."""
    stated = shape.outline or () if shape.drawing is None else drawn[shape.drawing]
    return _as_outward(stated, inward=inward)


def _head(shape: Shape | None, drawn: Drawn, *, inward: bool) -> Outline | None:
    return None if shape is None else _corners(shape, drawn, inward=inward)
