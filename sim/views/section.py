"""The half section through the spindle axis: what turns, the cutting path, the tool where it matters.

Drawn as a lathe stands: the chuck left, the tailstock right, diameters up. Each body is its half-plane image, all
that a tool at rest can meet of it at any angle of the spindle.
"""

from __future__ import annotations

import textwrap

import numpy as np
import shapely
from matplotlib.artist import Artist
from matplotlib.axes import Axes
from matplotlib.collections import LineCollection
from matplotlib.colors import to_rgba
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.patches import Patch, PathPatch
from matplotlib.path import Path as Outline
from shapely.geometry.base import BaseGeometry

from meshes.points import Point
from sim.assessment.figures.path import PathFigures
from sim.assessment.moment import Moment, image_at, moment
from sim.assessment.results import Assessment
from sim.clearance.tool import Tool
from sim.programs.path import arc_points
from sim.views.colours import INK, NEED, PAPER, PATH, body_colour
from sim.views.figure import BODY, WHOLE, fine_hatching, in_diameters, new_figure, plain_axes

FINE = 0.02  # mm, detail of an image that a drawing does not need
ASPECT = 1.32  # of the drawing, beside its legend
# By what a name begins with. Screws are not hatched: a drawing leaves them whole where the plane runs along them.
_HATCHES = {
    "chuck": "//",
    "master jaw": "\\\\",
    "T-nut": "////",
    "soft jaw": "\\\\\\",
    "boring ring": "///",
    "plug": "///",
    "outer ring": "///",
    "workpiece": "//",
}
_LAYER = {"chuck": 0, "jaw hardware": 2, "fixture": 3, "workpiece": 3}


def section_figure(assessment: Assessment) -> Figure:
    """Return the half section of the boring set-up as a figure."""
    boring = assessment.boring
    back, front, highest = _window(assessment)
    figure = new_figure(WHOLE, 6.2)
    axes = plain_axes(figure, across="z along the spindle, mm", up="diameter, mm")
    in_diameters(axes)
    shown = []
    # Screws come last: what they stand in would hide them.
    drawn = sorted(boring.bodies, key=lambda b: (_LAYER.get(b.kind, 2), b.name.startswith("jaw screw")))
    for k, body in enumerate(drawn):
        layer = _LAYER.get(body.kind, 2) + 0.02 * k
        fill(axes, body.image, body_colour(body.name), layer, hatch=hatch_of(body.name))
        shown.append(body)
    fill(axes, boring.stock, body_colour("soft jaw"), 1, alpha=0.38, dashed=True)
    fill(axes, boring.wanted, body_colour("soft jaw"), 1, hatch=hatch_of("soft jaw"))
    draw_path(axes, boring)
    standing = moment(boring)
    if standing is not None:
        draw_tool(axes, standing.tool, standing.tip)
        draw_mark(axes, standing)
    axes.set_xlim(back, front)
    axes.set_ylim(0.0, highest)
    axes.set_aspect("equal")
    axes.axhline(0.0, color=INK, lw=1.2, ls=(0, (12, 3, 2, 3)), zorder=7, clip_on=False)
    handles: list[Artist] = [cut_mark(body_colour(n), n, n) for n in legend_names([b.name for b in shown])]
    handles += [
        cut_mark(body_colour("soft jaw"), "soft jaw", "soft jaws as bored"),
        Patch(fc=body_colour("soft jaw"), ec=INK, lw=0.6, ls="--", alpha=0.5, label="turned away"),
        Patch(fc=body_colour("boring bar"), ec=INK, lw=0.6, alpha=0.75, label="boring bar"),
        Patch(fc=body_colour("insert"), ec=INK, lw=0.6, label="insert"),
        Line2D([], [], color=PATH, lw=1.6, label="feed"),
        Line2D([], [], color=PATH, lw=0.9, ls=(0, (4, 3)), label="rapid"),
    ]
    figure.legend(handles=handles, loc="outside right upper", frameon=False, fontsize=BODY, labelcolor=INK)
    return figure


def hatch_of(name: str) -> str:
    """Return the hatching of a body that is cut, each its own way as ISO 128-3 has it; "" for one that is not."""
    return next((pattern for start, pattern in _HATCHES.items() if name.startswith(start)), "")


def cut_mark(colour: str, name: str, words: str) -> Patch:
    """Return the mark of a body in a legend, hatched as the body is."""
    with fine_hatching():
        return Patch(fc=colour, ec=INK, lw=0.6, label=words, hatch=hatch_of(name))


def fill(
    axes: Axes,
    image: BaseGeometry,
    colour: str,
    layer: float,
    *,
    alpha: float = 1.0,
    dashed: bool = False,
    hatch: str = "",
) -> None:
    """Fill an image of (rho, z), drawn with z to the right."""
    simple = shapely.simplify(image, FINE)
    for polygon in shapely.get_parts(simple):
        if polygon.geom_type != "Polygon" or polygon.is_empty:
            continue
        rings = [polygon.exterior, *polygon.interiors]
        outlines = [Outline(np.asarray(ring.coords)[:, ::-1], closed=True) for ring in rings]
        path = Outline.make_compound_path(*outlines)
        axes.add_patch(PathPatch(path, fc=colour, ec="none", alpha=alpha, zorder=layer))
        if hatch:
            with fine_hatching():
                lines = PathPatch(
                    path, fc="none", ec=to_rgba(INK, 0.45), lw=0.0, hatch=hatch, zorder=layer + 0.01
                )
            axes.add_patch(lines)
        style = (0, (3, 2)) if dashed else "solid"
        axes.add_patch(PathPatch(path, fc="none", ec=INK, lw=0.7, ls=style, zorder=layer + 0.5))


def draw_path(axes: Axes, boring: PathFigures) -> None:
    """Draw the cutting path: feed solid (the finish pass heavier), rapid dashed and thin."""
    groups: dict[tuple[str, bool], list[np.ndarray]] = {}
    for move in boring.moves:
        points = arc_points(move, 0.01)[:, ::-1]
        groups.setdefault((move.kind, "finish" in move.stage), []).append(points)
    for (kind, finish), lines in groups.items():
        feeds = kind == "feed"
        width = 1.7 if feeds and finish else 0.9 if feeds else 0.8
        style = "solid" if feeds else (0, (4, 3))
        axes.add_collection(
            LineCollection(
                lines, colors=PATH, linewidths=width, linestyles=[style], zorder=6, capstyle="round"
            )
        )


def draw_tool(axes: Axes, tool: Tool, tip: Point) -> None:
    """Draw what the tool covers with its tip at (x, z)."""
    colour, insert = body_colour("boring bar"), body_colour("insert")
    for kinds, layer in ((("shank", "holder", "seat"), 4.0), (("insert",), 5.0)):
        pieces = [image_at(tool, index, tip) for index, p in enumerate(tool.parts) if p.kind in kinds]
        if pieces:
            alone = kinds == ("insert",)
            fill(
                axes,
                shapely.union_all(pieces),
                insert if alone else colour,
                layer,
                alpha=0.9 if alone else 0.75,
            )


def draw_mark(axes: Axes, standing: Moment) -> None:
    """Mark the touch (a cross in a ring) or the least clearance (a line with ends), with its words."""
    rho, z = standing.mark
    if standing.ends is None:
        axes.plot([z], [rho], marker="o", ms=15, mfc="none", mec=NEED, mew=2.0, ls="none", zorder=9)
        axes.plot([z], [rho], marker="x", ms=8, mec=NEED, mew=2.2, ls="none", zorder=9)
    else:
        (r0, z0), (r1, z1) = standing.ends
        axes.plot([z0, z1], [r0, r1], color=NEED, lw=2.0, marker="o", ms=4.5, zorder=9)
    words = "\n".join(textwrap.fill(line, 52) for line in standing.words.split("\n"))
    axes.annotate(
        words, (z, rho), xytext=(0.985, 0.965), textcoords="axes fraction", ha="right", va="top",
        fontsize=BODY, color=INK, zorder=10, linespacing=1.35,
        bbox={"boxstyle": "round,pad=0.4", "fc": PAPER, "ec": NEED, "lw": 1.0},
        arrowprops={"arrowstyle": "-", "color": NEED, "lw": 1.0, "shrinkB": 8.0},
    )  # fmt: skip


def _window(assessment: Assessment) -> tuple[float, float, float]:
    """Least and largest z and largest radius that are drawn, mm."""
    boring = assessment.boring
    boxes = [boring.stock.bounds, *(body.image.bounds for body in boring.bodies)]
    reach = max(max(move.start[1], move.end[1]) for move in boring.moves) if boring.moves else 0.0
    highest = max(box[2] for box in boxes) + 6.0
    back = max(-60.0, min(box[1] for box in boxes))
    front = max(reach, *(box[3] for box in boxes)) + 34.0
    return back, max(front, back + ASPECT * highest), highest


def legend_names(names: list[str]) -> list[str]:
    """Return names for the legend, one for each colour: 'jaw screw 1' and 'jaw screw 2' are 'jaw screws'."""
    kinds: dict[str, list[str]] = {}
    for name in names:
        kinds.setdefault(name.rstrip(" 0123456789"), []).append(name)
    return [f"{k}s" if (len(v) > 1 or v[0] != k) and not k.endswith("s") else k for k, v in kinds.items()]
