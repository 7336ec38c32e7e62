"""A sheet as SVG: in mm, so that it comes out in scale; words stay text and are as wide as they were set."""

from __future__ import annotations

import math
from html import escape

from sim.drawing.frame import scale_text
from sim.drawing.letters import CAPITALS, FAMILY
from sim.drawing.pens import PENS, RULE, Pen
from sim.drawing.primitives import Arc, Corners, Group, Line, Primitive, Sheet, Words

INK = "#000"


def as_svg(sheet: Sheet) -> bytes:
    """Return a sheet as an SVG file; y is turned down, as SVG counts it."""
    body = []
    for item in sheet.items:
        if isinstance(item, Group):
            inner = "".join(_element(one, sheet.height) for one in item.items)
            body.append(f'<g class="{escape(item.kind)}" data-says="{escape(item.name)}">{inner}</g>')
        else:
            body.append(_element(item, sheet.height))
    x, y = sheet.view.origin
    wide, high = _n(sheet.width), _n(sheet.height)
    head = (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{wide}mm" height="{high}mm" viewBox="0 0 {wide} {high}" '
        f'role="img" data-scale="{scale_text(sheet.view.scale)}" data-axis="{_n(sheet.height - y)}" '
        f'data-serrated-plane="{_n(x)}"><title>{escape(sheet.title)}</title><desc>{escape(sheet.description)}</desc>'
        f"<style>{_style()}</style>"
        f'<rect width="{wide}" height="{high}" fill="#fff"/>'
    )
    return (head + "\n".join(body) + "</svg>\n").encode("utf-8")


def _style() -> str:
    rules = [
        f"line,path{{fill:none;stroke:{INK};stroke-linecap:butt;stroke-linejoin:round}}"
        f"text{{font-family:'{FAMILY}',sans-serif;fill:{INK};stroke:none;white-space:pre}}"
        f"path.filled{{fill:{INK};stroke:none}}"
    ]
    for pen in (*PENS, RULE):
        dashes = f";stroke-dasharray:{','.join(map(_n, pen.dashes))}" if pen.dashes else ""
        rules.append(f".{pen.name}{{stroke-width:{_n(pen.width)}{dashes}}}")
    return "".join(rules)


def _element(item: Primitive, height: float) -> str:
    if isinstance(item, Line):
        (x0, y0), (x1, y1) = item.start, item.end
        ends = f'x1="{_n(x0)}" y1="{_n(height - y0)}" x2="{_n(x1)}" y2="{_n(height - y1)}"'
        return f'<line class="{item.pen.name}" {ends}/>'
    if isinstance(item, Arc):
        return _arc(item, height, item.pen)
    if isinstance(item, Corners):
        points = "L".join(f"{_n(x)} {_n(height - y)}" for x, y in item.points)
        return f'<path class="{item.pen.name}{" filled" if item.filled else ""}" d="M{points}Z"/>'
    return _words(item, height)


def _arc(arc: Arc, height: float, pen: Pen) -> str:
    radius = _n(arc.radius)
    if arc.whole:
        x, y = arc.centre
        return (
            f'<circle class="{pen.name}" cx="{_n(x)}" cy="{_n(height - y)}" r="{radius}" fill="none" '
            f'stroke="{INK}"/>'
        )
    (x0, y0), (x1, y1) = arc.at(arc.start), arc.at(arc.end)
    large = int(arc.end - arc.start > math.pi)
    return (
        f'<path class="{pen.name}" d="M{_n(x0)} {_n(height - y0)}A{radius} {radius} 0 {large} 0 {_n(x1)} '
        f'{_n(height - y1)}"/>'
    )


def _words(item: Words, height: float) -> str:
    if not item.words:
        return ""
    x, y = item.at[0], height - item.at[1]
    anchor = {"left": "start", "middle": "middle", "right": "end"}[item.anchor]
    set_as = ' font-weight="bold"' if item.bold else ""
    set_as += ' lengthAdjust="spacingAndGlyphs"' if item.stretch != 1.0 else ""
    turn = f' transform="rotate(-90 {_n(x)} {_n(y)})"' if item.upwards else ""
    return (
        f'<text x="{_n(x)}" y="{_n(y)}" font-size="{_n(item.height / CAPITALS)}" text-anchor="{anchor}" '
        f'textLength="{_n(item.width)}"{set_as}{turn}>{escape(item.words)}</text>'
    )


def _n(number: float) -> str:
    """Return a number with a thousandth of a micrometre on the paper, which rounds no dimension."""
    text = f"{number:.6f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text
