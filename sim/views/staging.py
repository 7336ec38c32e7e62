"""A named view put on stage: bodies where the stage has them, pulled apart, opened, hidden or seen through; its camera.

The page does the same in the browser from the same table (`sim.scenario.View`).
"""

from __future__ import annotations

import math

import numpy as np
import trimesh

from meshes.placement import placed
from sim.assessment.results import Assessment
from sim.assessment.state import BORING
from sim.base.arrays import Floats
from sim.scenario import View
from sim.views.bodies import GROUPS, Body, bodies, metal_colour, placement, shapes, slide_of
from sim.views.camera import Camera, fitted
from sim.views.drawn_on import drawn_on, without
from sim.views.layer import Layer, Staged

GLASS = 0.16  # opacity of what is seen through
FILL = 0.92  # share of the picture that the whole scene fills at zoom 1
_FAR = 2000.0  # mm, larger than any chuck


def stage_key(assessment: Assessment, view: View) -> str:
    """Return the key of a view's stage: 'boring' or the operation's number."""
    if view.stage == BORING:
        return BORING
    names = [f.operation.name for f in assessment.operations]
    return str(names.index(view.stage)) if view.stage else "0"


def staged(assessment: Assessment, view: View, size: tuple[int, int]) -> Staged:
    """Put a view on stage, for a picture of a size in pixels."""
    key = stage_key(assessment, view)
    shown = _standing(assessment, view, key)
    # The tool is long: what is fitted leaves it out unless it is pulled apart from the rest.
    reach = np.vstack(
        [mesh.bounds for body, mesh, _ in shown if view.apart > 0.0 or GROUPS.get(body.kind) != "tool"]
    )
    cutter = _cutter(view)
    layers = []
    for body, mesh, lines in shown:
        solid, left = mesh, lines
        if cutter is not None and body.run is None:  # the tool is not sectioned
            solid, left = without(mesh, lines, cutter)
        if len(solid.faces):
            glass = GROUPS.get(body.kind, body.kind) in view.see_through
            colour = metal_colour(assessment, body.kind)
            layers.append(Layer(solid, colour, GLASS if glass else 1.0, lines=left))
    return Staged(tuple(layers), camera_of(view, reach, size))


def camera_of(view: View, bounds: Floats, size: tuple[int, int]) -> Camera:
    """Return the camera of a view onto the box round points (n, 3), for a picture of a size in pixels."""
    towards, up = directions(view)
    low, high = bounds.min(axis=0), bounds.max(axis=0)
    corners = np.array(
        [[x, y, z] for x in (low[0], high[0]) for y in (low[1], high[1]) for z in (low[2], high[2])]
    )
    whole = fitted(corners, towards, up, size, FILL)
    eye, focus = np.array(whole.eye), np.array(whole.focus)
    x, y, z = (float(v) for v in focus + (eye - focus) / view.zoom)
    return Camera((x, y, z), whole.focus, whole.up, whole.angle)


def directions(view: View) -> tuple[tuple[float, float, float], tuple[float, float, float]]:
    """Return the direction to the eye and what is up: x, but for a view straight along it."""
    level = math.cos(view.rise)
    towards = (math.sin(view.rise), -level * math.sin(view.turn), level * math.cos(view.turn))
    if abs(towards[0]) < 0.999:
        return towards, (1.0, 0.0, 0.0)
    # Straight from above or below: what lies behind the level view's picture is up.
    sign = -math.copysign(1.0, towards[0])
    return towards, (0.0, -sign * math.sin(view.turn), sign * math.cos(view.turn))


def _standing(
    assessment: Assessment, view: View, key: str
) -> list[tuple[Body, trimesh.Trimesh, Floats | None]]:
    """Return the bodies that a view shows, where they stand, with the lines on them."""
    meshes = shapes(assessment)
    slide, travel, tip, run = _state(assessment, key)
    on = drawn_on(assessment, key, travel, tip=tip, run=run, apart=view.apart)
    found: list[tuple[Body, trimesh.Trimesh, Floats | None]] = []
    for body in bodies(assessment):
        if body.stages and key not in body.stages:
            continue
        if GROUPS.get(body.kind, body.kind) in view.hide or (body.run is not None and body.run != run):
            continue
        at = placement(body, slide, travel, tip=tip, apart=view.apart)
        mesh = on.instead.get(body.name)
        lines = on.lines.get(body.name)
        found.append((body, placed(meshes[body.shape], at) if mesh is None else mesh, lines))
    shown = (
        (body, mesh, None) for body, mesh in on.solids if GROUPS.get(body.kind, body.kind) not in view.hide
    )
    return [*found, *shown]


def _state(assessment: Assessment, key: str) -> tuple[float, float, tuple[float, float], int | None]:
    """Return slide, travel, tip and which tool stands: while boring at its first touch, or above the pocket."""
    slide = slide_of(assessment.parts)
    if key != BORING:
        return slide, assessment.operations[int(key)].grip_travel, (0.0, 0.0), None
    from sim.views.scene import tool_standing

    touch = assessment.boring.clearance.first_touch
    run = 0 if touch is None else assessment.boring.run_of(touch.move)
    return slide, assessment.scenario.boring.travel, tool_standing(assessment), run


def _cutter(view: View) -> trimesh.Trimesh | None:
    """Return the half space that the section takes away, as a large box; None without a section."""
    if view.section == "none":
        return None
    low, high = np.full(3, -_FAR), np.full(3, _FAR)
    if view.section == "along":
        # The half towards the eye is taken away.
        (high if view.turn > 0.0 else low)[1] = view.section_at
    elif view.section == "across":
        low[2] = view.section_at
    else:
        low[0] = view.section_at
    box: trimesh.Trimesh = trimesh.creation.box(bounds=np.array([low, high]))
    return box
