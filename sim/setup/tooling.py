"""From the tables of tools to their dimensions."""

from __future__ import annotations

from typing import Literal

from meshes.boring_bar import BoringBar
from meshes.insert import parse
from meshes.tool_holder import SquareShank, ToolHolder, square_shank
from meshes.turning_tool import Cutter, TurningTool
from sim.base.errors import in_field
from sim.scenario import ProgramTool, Scenario


def boring_tools(scenario: Scenario, direction: Literal["outside", "inside"]) -> tuple[TurningTool, ...]:
    """Return the tools that turn the jaws: those of the program, or else the one of `boring.tool`.

    Raises
    ------
    ValueError
        If a designation or a dimension is impossible; the message names the field.
    """
    stated, program = scenario.boring.tool, scenario.boring.program
    if program is not None and program.tools:
        return program_tools("boring.program", program.tools)
    if stated is None:
        raise ValueError("boring must state tool, or program with its tools")
    with in_field("boring.tool.insert"):
        insert = parse(stated.insert)
    turns: Literal["outward", "inward"] = "outward" if direction == "outside" else "inward"
    with in_field("boring.tool"):
        bar = BoringBar(
            stated.bar_diameter, stated.reach, stated.functional_offset, stated.least_bore, stated.shank
        )
        return (TurningTool("", insert, stated.approach_angle, bar, turns),)


def program_tools(field: str, tools: tuple[ProgramTool, ...]) -> tuple[TurningTool, ...]:
    """Return the tools of a program in their order; `field` is the program's, for messages.

    Raises
    ------
    ValueError
        If a designation or a dimension is impossible; the message names the field.
    """
    made = []
    for number, tool in enumerate(tools):
        with in_field(f"{field}.tools[{number}]"):
            made.append(turning_tool(tool))
    return tuple(made)


def turning_tool(stated: ProgramTool) -> TurningTool:
    """Return the dimensions of a tool that a program calls.

    Raises
    ------
    ValueError
        If the insert's designation or a dimension is impossible.
    """
    inward = stated.direction == "inward"

    def drawn(corners: tuple[tuple[float, float], ...]) -> tuple[tuple[float, float], ...]:
        # Outlines are stated as they stand in the machine; the tool's frame is that of an outward cut.
        return tuple((-x, z) for x, z in corners) if inward else corners

    turret = (
        None if stated.turret is None else ToolHolder(drawn(stated.turret.outline), stated.turret.thickness)
    )
    cutter = (
        Cutter(drawn(stated.cutter.outline), stated.cutter.nose_radius)
        if stated.cutter is not None
        else parse(stated.insert or "")
    )
    name = f"tool {stated.number}" + (f", {stated.name}" if stated.name else "")
    carrier: BoringBar | ToolHolder
    if stated.bar is not None:
        b = stated.bar
        carrier = BoringBar(b.diameter, b.reach, b.functional_offset, b.least_bore, b.shank)
    elif stated.plate is not None:
        carrier = ToolHolder(drawn(stated.plate.outline), stated.plate.thickness)
    elif stated.holder is not None and not isinstance(cutter, Cutter):
        s = stated.holder
        shank = SquareShank(s.height, s.width, s.length, s.functional_offset, s.head_length, s.axis)
        carrier = square_shank(shank, cutter, stated.approach_angle)
    else:
        raise ValueError("must hold a cutter in a plate")
    return TurningTool(name, cutter, stated.approach_angle, carrier, stated.direction, turret)
