"""Write moves as a program in the format of ISO 6983-1 that `sim.programs.program` reads back."""

from __future__ import annotations

from collections.abc import Sequence

from meshes.points import Point
from sim.programs.path import Move


def write(
    moves: Sequence[Move], *, diameter: bool = True, name: str = "", decimals: int = 4, z_offset: float = 0.0
) -> str:
    """Return the program of a path: absolute millimetres, feed per revolution, arcs by I and K, a move per block.

    Parameters
    ----------
    moves : sequence of Move
        Each starts where the one before ends.
    diameter : bool
        X as diameters.
    name : str
        Written as a comment; brackets and line ends are left out.
    decimals : int
        Places after the point; coordinates are rounded to them.
    z_offset : float
        z of the program's zero point, mm.
    """
    share = 2.0 if diameter else 1.0
    head = "".join(c for c in name if c.isascii() and c.isprintable() and c not in "()")
    lines = ["%", *([f"({head})"] if head else []), "G18 G21 G40 G90 G95"]
    speed: float | None = None
    feed: float | None = None
    at: Point | None = None
    number = 10
    for move in moves:
        if move.speed is not None and move.speed != speed:
            lines.append(f"G97 S{_number(move.speed, decimals)} M3")
            speed = move.speed
        if at is None or at != move.start:
            lines.append(
                f"G0 X{_number(share * move.start[0], decimals)} Z{_number(move.start[1] - z_offset, decimals)}"
            )
        line = (
            f"N{move.block if move.block is not None else number} {_words(move, share, decimals, z_offset)}"
        )
        if move.feed is not None and move.feed != feed:
            line += f" F{_number(move.feed, 6)}"
            feed = move.feed
        lines.append(line)
        number += 10
        at = move.end
    return "\n".join([*lines, "M30", "%", ""])


def _words(move: Move, share: float, decimals: int, z_offset: float) -> str:
    target = f"X{_number(share * move.end[0], decimals)} Z{_number(move.end[1] - z_offset, decimals)}"
    if move.centre is None:
        return f"{'G0' if move.kind == 'rapid' else 'G1'} {target}"
    i, k = move.centre[0] - move.start[0], move.centre[1] - move.start[1]
    code = "G2" if move.clockwise else "G3"
    return f"{code} {target} I{_number(i, decimals)} K{_number(k, decimals)}"


def _number(value: float, decimals: int) -> str:
    """Return a number with a decimal point always, so that no control counts it in increments."""
    text = f"{value:.{decimals}f}".rstrip("0")
    return "0." if text in ("-0.", "0.") else text
