"""Types and widths of lines on a drawing.

Line types 01, 02, 04, 05 of ISO 128-2, dashes in multiples of the line's width, narrow to wide as 1 to 2, 0.25 and 0.5
mm for sheets as small as these; the frame 0.7 mm (ISO 5457; a public page has 0.6): widths and multiples from memory.
"""

from __future__ import annotations

from dataclasses import dataclass

WIDE, NARROW, FRAME_WIDTH = 0.5, 0.25, 0.7  # mm


@dataclass(frozen=True, slots=True)
class Pen:
    """A kind of line.

    Attributes
    ----------
    name : str
        What it stands for; layer of a DXF file and class of an SVG file.
    width : float
        mm on the paper.
    dashes : tuple of float
        Lengths of dash, gap, dash, gap ... on the paper, mm; empty for a continuous line.
    """

    name: str
    width: float
    dashes: tuple[float, ...] = ()


def _dashed(width: float, *multiples: float) -> tuple[float, ...]:
    return tuple(round(width * times, 6) for times in multiples)


EDGE = Pen("edge", WIDE)  # 01.2
CUT_OUT = Pen("removed", NARROW, _dashed(NARROW, 24.0, 3.0, 0.5, 3.0, 0.5, 3.0))  # 05.1
HIDDEN = Pen("hidden", NARROW, _dashed(NARROW, 12.0, 3.0))  # 02.1
AXIS = Pen("axis", NARROW, _dashed(NARROW, 24.0, 3.0, 0.5, 3.0))  # 04.1
DIMENSION = Pen("dimension", NARROW)  # 01.1
HATCH = Pen("hatch", NARROW)  # 01.1
THIN = Pen("thin", NARROW)  # 01.1, what is drawn narrow besides
FRAME = Pen("frame", FRAME_WIDTH)
TEXT = Pen("text", NARROW)
RULE = Pen("rule", 0.13)  # between the rows of a setup sheet, which no drawing has
PENS = (EDGE, CUT_OUT, HIDDEN, AXIS, DIMENSION, HATCH, THIN, FRAME, TEXT)
