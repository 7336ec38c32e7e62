"""Write moves as a program in the format of ISO 6983-1, longhand, for a stated code system.

One move a block, absolute millimetres with a point always, feed per revolution, constant spindle speed. No cycle, no
variable, no nose compensation: the moves are those of the tip. (Words that differ from system to system: common
practice, no source.) Speeds are rounded down to whole revolutions: not every control takes a point there.
"""

from __future__ import annotations

import math
import textwrap
from collections.abc import Sequence
from dataclasses import dataclass

from meshes.points import Point
from sim.programs.code_groups import CodeSystem
from sim.programs.path import Move

LONGEST_COMMENT = 60
# Plane, unit, no compensation, absolute, feed per revolution.
_MODES: dict[CodeSystem, str] = {
    "G90 cycles": "G18 G21 G40 G99",
    "G77 cycles": "G18 G21 G40 G90 G95",
    "G20 cycles": "G18 G71 G40 G90 G95",
    "ISO": "G18 G71 G40 G90 G95",
}
_STEP = 10  # between block numbers


@dataclass(frozen=True, slots=True)
class Wording:
    """What a program's text says beside its moves.

    Attributes
    ----------
    code_system : {'G90 cycles', 'G77 cycles', 'G20 cycles', 'ISO'}
    tool : str
        Digits of the T word, as in '0101'.
    feed : float
        Of moves that state none, mm/rev.
    speed : float
        Of moves that state none, rev/min.
    zero : float
        z of the program's zero point, mm.
    number : int, optional
        Of the program (O word).
    decimals : int
        Places after the point of coordinates in mm.
    """

    code_system: CodeSystem
    tool: str
    feed: float
    speed: float
    zero: float = 0.0
    number: int | None = None
    decimals: int = 4


def program_text(moves: Sequence[Move], comments: Sequence[str], wording: Wording) -> str:
    """Return the text of a program.

    Parameters
    ----------
    moves : sequence of Move
        Straight or circular, each from where the one before ends; x as radius, mm. The tip comes to the first along z,
        then along x, at rapid.
    comments : sequence of str
        Lines at the head; broken where they are too long, in capitals, without round brackets.
    wording : Wording

    Raises
    ------
    ValueError
        If there are no moves, or one does not start where the one before ends.
    """
    if not moves:
        raise ValueError("a program must move an axis, found no move")
    lines = ["%"] + ([f"O{wording.number:04d}"] if wording.number is not None else [])
    lines += [line for comment in comments for line in _comment(comment)]
    first = moves[0]
    speed = wording.speed if first.speed is None else first.speed
    lines += [_MODES[wording.code_system], f"T{wording.tool}", f"G97 S{math.floor(speed)} M3"]
    # Along z first: it leads away from the chuck, or from outside of everything that turns.
    blocks = [f"G0 {_axis('Z', first.start[1] - wording.zero, wording)}"]
    blocks += [f"G0 {_axis('X', 2.0 * first.start[0], wording)}"]
    feed: float | None = None
    at, stage = first.start, ""
    for move in moves:
        if move.start != at:
            raise ValueError(f"a move must start where the one before ends, {at}, found {move.start}")
        if move.speed is not None and move.speed != speed:
            blocks.append(f"G97 S{math.floor(move.speed)}")
            speed = move.speed
        words = _motion(move, at, wording)
        asked = wording.feed if move.feed is None else move.feed
        if move.kind == "feed" and asked != feed:
            words += f" F{_number(asked, 6)}"
            feed = asked
        if move.stage != stage:
            words += "".join(f" {line}" for line in _comment(move.stage))
            stage = move.stage
        blocks.append(words)
        at = move.end
    lines += [f"N{_STEP * number} {words}" for number, words in enumerate((*blocks, "M5", "M30"), start=1)]
    return "\n".join([*lines, "%", ""])


def _motion(move: Move, at: Point, wording: Wording) -> str:
    """Return the words of a move; of a straight one those axes only that move."""
    x = _axis("X", 2.0 * move.end[0], wording)
    z = _axis("Z", move.end[1] - wording.zero, wording)
    if move.centre is not None:
        i, k = (_number(c - s, wording.decimals) for c, s in zip(move.centre, move.start, strict=True))
        return f"{'G2' if move.clockwise else 'G3'} {x} {z} I{i} K{k}"
    code = "G0" if move.kind == "rapid" else "G1"
    moving = [x] * (_axis("X", 2.0 * at[0], wording) != x) + [z] * (
        _axis("Z", at[1] - wording.zero, wording) != z
    )
    return " ".join([code, *(moving or [x, z])])


def _axis(letter: str, value: float, wording: Wording) -> str:
    return f"{letter}{_number(value, wording.decimals)}"


def _number(value: float, decimals: int) -> str:
    """Return a number with a decimal point always, so that no control counts it in increments."""
    text = f"{value:.{decimals}f}".rstrip("0")
    return "0." if text in ("-0.", "0.") else text


def _comment(text: str) -> list[str]:
    """Return a text as comment lines that any control takes: capitals of ASCII in round brackets, none within."""
    plain = text.translate(_TRANSLITERATED).upper()
    plain = "".join(c for c in plain if c.isascii() and c.isprintable() and c not in "()%")
    return [f"({line})" for line in textwrap.wrap(plain, LONGEST_COMMENT)]


_TRANSLITERATED = str.maketrans(
    {
        "ä": "ae",
        "ö": "oe",
        "ü": "ue",
        "Ä": "AE",
        "Ö": "OE",
        "Ü": "UE",
        "ß": "ss",
        "µ": "u",
        "°": " deg",
        "Ø": "dia ",
    }
    | {"×": "x", "–": "-", "—": "-", "≤": "<=", "≥": ">=", "[": "<", "]": ">", ";": ","}
)
