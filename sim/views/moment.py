"""The moment of a path that matters, first touch or least clearance: in section, and in 3D with the stock of then."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import shapely
import trimesh
from matplotlib.artist import Artist
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.patches import Patch
from shapely.geometry.base import BaseGeometry

from meshes import soft_jaw
from meshes.placement import JAW_COUNT, jaw_placement, placed, translation
from meshes.revolve import revolve
from sim.assessment.figures.machining import MachiningFigures
from sim.assessment.figures.path import PathFigures
from sim.assessment.moment import Moment, moment
from sim.assessment.results import Assessment
from sim.assessment.state import BORING
from sim.setup import pose
from sim.setup.pose import Solid
from sim.views.bodies import METAL_IN_METAL
from sim.views.camera import Camera, fitted
from sim.views.colours import INK, NEED, PATH, body_colour
from sim.views.drawn_on import DrawnOn, drawn_on
from sim.views.figure import BODY, WHOLE, in_diameters, named, new_figure, plain_axes
from sim.views.layer import Layer, Picture, Staged
from sim.views.render import render
from sim.views.scene import SIZE, Size, layers
from sim.views.section import draw_mark, draw_path, draw_tool, fill, legend_names

AROUND = 42.0  # mm shown on each side of the place
FINE = 0.01  # mm, detail of the stock that a solid does not need
LEAST_AREA = 0.05  # mm2 of the half-plane that is worth turning away in a picture
_TOWARDS = (0.35, 0.72, 0.60)  # to the eye: on the side of the rake face, from the tailstock
MARK = 1.6  # mm, radius of the ball at a touch


def moment_section(path: PathFigures) -> Figure | None:
    """Return the half section round the place that matters, stock as it is then; None if nothing comes near."""
    found = moment(path)
    if found is None:
        return None
    stock = body_colour("workpiece" if isinstance(path, MachiningFigures) else "soft jaw")
    figure = new_figure(WHOLE, 6.0)
    axes = plain_axes(figure, across="z along the spindle, mm", up="diameter, mm")
    in_diameters(axes)
    for body in path.bodies:
        fill(axes, body.image, body_colour(body.name), 1)
    fill(axes, path.stock, stock, 2, alpha=0.25, dashed=True)
    fill(axes, found.stock, stock, 2)
    draw_path(axes, path)
    draw_tool(axes, found.tool, found.tip)
    draw_mark(axes, found)
    rho, z = found.mark
    axes.set_xlim(z - 1.25 * AROUND, z + 1.25 * AROUND)
    axes.set_ylim(max(-4.0, rho - AROUND), max(-4.0, rho - AROUND) + 2.0 * AROUND)
    axes.set_aspect("equal")
    axes.axhline(0.0, color=INK, lw=1.2, ls=(0, (12, 3, 2, 3)), zorder=7)
    window = shapely.box(rho - AROUND, z - 1.25 * AROUND, rho + AROUND, z + 1.25 * AROUND)
    seen = [body.name for body in path.bodies if shapely.intersects(body.image, window)]
    handles: list[Artist] = [
        Patch(fc=body_colour(name), ec=INK, lw=0.6, label=name) for name in legend_names(seen)
    ]
    handles += [
        Patch(fc=stock, ec=INK, lw=0.6, label=named(f"{path.stock_name} then")),
        Patch(fc=stock, ec=INK, lw=0.6, ls="--", alpha=0.4, label="turned away by then"),
        Patch(
            fc=body_colour("tool"), ec=INK, lw=0.6, alpha=0.75, label=named(found.tool.name.partition(",")[0])
        ),
        Patch(fc=body_colour("insert"), ec=INK, lw=0.6, label="insert"),
        Line2D([], [], color=PATH, lw=1.6, label="feed"),
        Line2D([], [], color=PATH, lw=0.9, ls=(0, (4, 3)), label="rapid"),
    ]
    figure.legend(handles=handles, loc="outside right upper", frameon=False, fontsize=BODY, labelcolor=INK)
    return figure


def moment_picture(assessment: Assessment, path: PathFigures, size: Size = SIZE) -> Picture | None:
    """Return a picture of that moment, the tool in the plane of jaw 1; None if nothing comes near."""
    scene = moment_scene(assessment, path, size)
    return None if scene is None else render(scene.layers, scene.camera, size)


def moment_scene(assessment: Assessment, path: PathFigures, size: Size = SIZE) -> Staged | None:
    """Return that moment for a picture of a size in pixels; None if nothing comes near."""
    found = moment(path)
    if found is None:
        return None
    drawn = layers(moment_solids(assessment, path, found), assessment, _on(assessment, path, found))
    if found.ends is None:
        ball = trimesh.creation.icosphere(subdivisions=3, radius=MARK)
        drawn.append(Layer(placed(ball, translation(found.mark[0], 0.0, found.mark[1])), NEED, edges=False))
    return Staged(tuple(drawn), _camera(found, size))


def _on(assessment: Assessment, path: PathFigures, found: Moment) -> DrawnOn:
    """Return what is drawn on the solids of that moment, but metal in metal: it would hide the touch."""
    stage, travel = BORING, assessment.scenario.boring.travel
    if isinstance(path, MachiningFigures):
        stage, travel = str(path.operation), assessment.operations[path.operation].grip_travel
    on = drawn_on(assessment, stage, travel, tip=found.tip, run=path.drawn.index(found.drawn))
    return replace(on, solids=tuple(one for one in on.solids if one[0].kind != METAL_IN_METAL))


def moment_solids(assessment: Assessment, path: PathFigures, found: Moment) -> tuple[Solid, ...]:
    """Return everything as it stands at that moment, jaws or part turned as far as they are by then."""
    parts = assessment.parts
    tool = pose.tool_solids(found.drawn, *found.tip)
    if isinstance(path, MachiningFigures):
        travel = assessment.operations[path.operation].grip_travel
        around = (
            pose.body(parts),
            *pose.jaws(parts, travel),
            *pose.back_stop(parts, path.operation),
            *pose.supports(parts, path.operation),
        )
        turned = tuple(Solid("workpiece", "workpiece", solid) for solid in _revolved(found.stock))
        return (*around, *turned, *tool)
    inner = parts.place.bored
    jaw = parts.stock
    for away in _outlines(shapely.difference(path.stock, found.stock)):
        jaw = soft_jaw.bored(jaw, away, inner)
    others = tuple(s for s in pose.boring_scene(parts, "stock") if s.kind != "soft jaw")
    jaws = tuple(
        Solid(f"soft jaw {k + 1}", "soft jaw", placed(jaw, jaw_placement(k, inner)), k)
        for k in range(JAW_COUNT)
    )
    return (*others, *jaws, *tool)


def _outlines(region: BaseGeometry) -> list[np.ndarray]:
    """Outer outlines (r, z) of what is worth drawing of a region."""
    simple = shapely.simplify(region, FINE)
    return [
        shapely.get_coordinates(part.exterior)[:-1]
        for part in shapely.get_parts(simple)
        if isinstance(part, shapely.Polygon) and part.area > LEAST_AREA
    ]


def _revolved(region: BaseGeometry) -> list[trimesh.Trimesh]:
    return [revolve(outline) for outline in _outlines(region)]


def _camera(found: Moment, size: Size) -> Camera:
    """Round the place, in the tool's plane, wide enough to show jaw and holder."""
    rho, z = found.mark
    turn = np.linspace(0.0, 2.0 * math.pi, 24, endpoint=False)
    ring = np.column_stack([rho + 1.3 * AROUND * np.cos(turn), np.zeros(24), z + 1.1 * AROUND * np.sin(turn)])
    # The rake face of a tool that cuts inward looks the other way: it is turned by half a turn about z.
    side = -1.0 if found.drawn.cuts == "outward" else 1.0
    towards = (_TOWARDS[0], side * _TOWARDS[1], _TOWARDS[2])
    return fitted(ring, towards, (1.0, 0.0, 0.0), size)
