"""A sheet as DXF in real size: the spindle axis at the serrated plane is its origin, the paper is as much larger.

Lines, arcs, circles and text on layers by kind of line. A dimension, a note, a body's hatching is a group; the
dimension's number is text, so that it stays what was judged.
"""

from __future__ import annotations

import io
import math
import re
from typing import TYPE_CHECKING

import ezdxf
from ezdxf import options
from ezdxf.enums import TextEntityAlignment

from meshes.points import Point
from sim.drawing.numbers import per_unit
from sim.drawing.pens import PENS
from sim.drawing.primitives import Arc, Corners, Group, Line, Primitive, Sheet, Words

if TYPE_CHECKING:
    from ezdxf.document import Drawing
    from ezdxf.entities import DXFEntity
    from ezdxf.layouts import Modelspace

STYLE = "LETTERS"
APART = "\u2060"  # joins words and is not seen
_CODE = re.compile(r"(%(?=%)|\\(?=[UuMm]\+))")
INCH, MILLIMETRE = 1, 4  # $INSUNITS
_ALIGNED = {
    "left": TextEntityAlignment.LEFT,
    "middle": TextEntityAlignment.CENTER,
    "right": TextEntityAlignment.RIGHT,
}


def as_dxf(sheet: Sheet) -> bytes:
    """Return a sheet as a DXF file (R2010), in mm or inch as its dimensions are."""
    # No time and no random names in it: the same sheet is the same file.
    options.write_fixed_meta_data_for_testing = True
    drawing = ezdxf.new("R2010", setup=False, units=MILLIMETRE if sheet.units == "mm" else INCH)
    drawing.header["$MEASUREMENT"] = int(sheet.units == "mm")
    drawing.styles.add(STYLE, font="DejaVuSans.ttf")
    size = 1.0 / (sheet.view.scale * per_unit(sheet.units))
    for pen in PENS:
        _layer(drawing, pen.name.upper(), pen.dashes, round(100.0 * pen.width), size)
    space = drawing.modelspace()
    for item in sheet.items:
        if isinstance(item, Group):
            made = [_entity(space, one, sheet, size) for one in item.items]
            group = drawing.groups.new(description=f"{item.kind}: {_plain(item.name)}"[:250])
            group.extend(made)
        else:
            _entity(space, item, sheet, size)
    file = io.StringIO()
    drawing.write(file)
    return file.getvalue().encode("utf-8")


def _layer(drawing: Drawing, name: str, dashes: tuple[float, ...], weight: int, size: float) -> None:
    kind = "CONTINUOUS"
    if dashes:
        kind = f"{name}_LINE"
        # A dash counts up, a gap down; a dot of the standard is a short dash.
        pattern = [size * (dash if k % 2 == 0 else -dash) for k, dash in enumerate(dashes)]
        drawing.linetypes.add(kind, [sum(map(abs, pattern)), *pattern], description=name.lower())
    drawing.layers.add(name, linetype=kind, lineweight=weight)


def _entity(space: Modelspace, item: Primitive, sheet: Sheet, size: float) -> DXFEntity:
    (x0, y0), layer = sheet.view.origin, {"layer": item.pen.name.upper()}

    def at(point: Point) -> Point:
        return (point[0] - x0) * size, (point[1] - y0) * size

    if isinstance(item, Line):
        return space.add_line(at(item.start), at(item.end), dxfattribs=layer)
    if isinstance(item, Arc):
        centre, radius = at(item.centre), item.radius * size
        if item.whole:
            return space.add_circle(centre, radius, dxfattribs=layer)
        return space.add_arc(
            centre, radius, math.degrees(item.start), math.degrees(item.end), dxfattribs=layer
        )
    if isinstance(item, Corners):
        points = [at(point) for point in item.points]
        if item.filled:
            return space.add_solid(points, dxfattribs=layer)
        return space.add_lwpolyline(points, close=True, dxfattribs=layer)
    return _text(space, item, at(item.at), size)


def _text(space: Modelspace, item: Words, at: Point, size: float) -> DXFEntity:
    attributes = {"layer": item.pen.name.upper(), "style": STYLE, "rotation": 90.0 if item.upwards else 0.0}
    found = space.add_text(_plain(item.words), height=item.height * size, dxfattribs=attributes)
    return found.set_placement(at, align=_ALIGNED[item.anchor])


def _plain(words: str) -> str:
    r"""Return words in which a reader finds no code: '%%c' is a sign to it, '^J' a new line, '\U+00D8' a letter.

    What keeps them apart has no width.
    """
    return _CODE.sub(rf"\1{APART}", words).replace("^", "^ ")
