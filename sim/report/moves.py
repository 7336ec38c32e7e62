"""A cutting path move by move, as the table and the JSON list it: the program's own numbers, plain words."""

from __future__ import annotations

import math
from dataclasses import dataclass

from sim.assessment.figures.machining import MachiningFigures
from sim.assessment.figures.path import PathFigures


@dataclass(frozen=True, slots=True)
class MoveRow:
    """One move; lengths in mm.

    Attributes
    ----------
    number : int
        From 1.
    block, line : int or None
        Sequence number and line of the program.
    tool : str
    kind : str
        'rapid', 'feed', 'arc clockwise' or 'arc counter-clockwise'.
    stage : str
        What it is for, as in 'finish' or 'rough pass 2 (G71)'; empty where nothing says so.
    x, z : float
        Its end: diameter, and z from the program's zero point.
    clearance : float
        Least distance to what must not be touched; inf where nothing is.
    between : str
        The two that are that near; empty where nothing is.
    off_the_line : bool
        The two are that near only if the control runs each axis of a rapid move at its own rate.
    touches : str
        Kinds of touch that begin in this move.
    depth : float
        Depth of cut.
    speed : float or None
        Highest spindle speed, rev/min.
    factor : float or None
        Grip left over grip needed in this move; None for boring, inf where nothing is cut.
    """

    number: int
    block: int | None
    line: int | None
    tool: str
    kind: str
    stage: str
    x: float
    z: float
    clearance: float
    between: str
    off_the_line: bool
    touches: str
    depth: float
    speed: float | None
    factor: float | None


def move_rows(path: PathFigures) -> list[MoveRow]:
    """Return a row for each move of a path."""
    result = path.clearance
    kinds: dict[int, list[str]] = {}
    for touch in result.touches:
        kinds.setdefault(touch.move, []).append(touch.kind)
    grip = path.grip if isinstance(path, MachiningFigures) else None
    factors = None if grip is None else grip.factor.tolist()
    tools = [tool.name for tool in path.tools]
    rows = []
    for number, move in enumerate(path.moves):
        kind = move.kind if move.centre is None else f"arc {'' if move.clockwise else 'counter-'}clockwise"
        speed = move.speed if grip is None else float(grip.speed[number])
        rows.append(
            MoveRow(
                number=number + 1,
                block=move.block,
                line=move.line,
                tool=tools[number],
                kind=kind,
                stage=move.stage,
                x=2.0 * move.end[0],
                z=move.end[1] - path.zero,
                clearance=float(result.clearance[number]),
                between=f"{result.part[number]} to {result.body[number]}" if result.part[number] else "",
                off_the_line=bool(result.astray[number]),
                touches=", ".join(dict.fromkeys(kinds.get(number, ()))),
                depth=float(result.depth_of_cut[number]),
                speed=None if speed is None or math.isinf(speed) else speed,
                factor=None if factors is None else factors[number],
            )
        )
    return rows
