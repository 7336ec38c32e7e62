"""Chuck, jaws and gripped part with a quarter cut away: chuck left, tailstock right, the grip of each jaw beside it."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
import trimesh

from meshes.points import Vector
from sim.assessment.figures.operation import OperationFigures
from sim.assessment.results import Assessment
from sim.contact.face import JAW_ANGLES_RAD
from sim.setup import pose
from sim.setup.pose import Solid
from sim.views.camera import Camera, fitted, projected
from sim.views.colours import ENOUGH, SCARCE, TOO_LITTLE, body_colour
from sim.views.drawn_on import DrawnOn, drawn_on, without
from sim.views.layer import Layer, Picture, Staged
from sim.views.render import render
from sim.views.scene import Size

SIZE: Size = (800, 500)
TOWARDS: Vector = (0.46, 0.78, 0.62)  # to the eye: from the tailstock, above, so that +z runs to the right
_UP: Vector = (1.0, 0.0, 0.0)
_FILL = 0.78  # of the picture, so that arrows and figures stand beside the solids
_FAR = 2000.0  # mm, larger than any chuck
# Verdicts on the grip: where one fails no jaw is drawn as gripping enough.
ON_GRIP = frozenset(
    {"holding_factor", "holding_factor_each_move", "spindle_speed", "least_grip_of_a_jaw", "grip_at_rest"}
)
LONGEST = 0.30  # of the distance from the axis to the jaw's outer end: the arrow of the largest grip


@dataclass(frozen=True, slots=True)
class Arrow:
    """The grip of a jaw in the picture.

    Attributes
    ----------
    jaw : int
        From 1.
    grip : float
        N.
    tail, head, label : (x, y)
        Share of the picture's width and height, from the top left.
    """

    jaw: int
    grip: float
    tail: tuple[float, float]
    head: tuple[float, float]
    label: tuple[float, float]


def cutaway_picture(assessment: Assessment, operation: int, size: Size = SIZE) -> Picture:
    """Return the picture, (height, width, 3)."""
    scene = cutaway_scene(assessment, operation, size)
    return render(scene.layers, scene.camera, size)


def cutaway_scene(assessment: Assessment, operation: int, size: Size = SIZE) -> Staged:
    """Return the solids, the quarter before the eye cut away."""
    figures = assessment.operations[operation]
    solids = pose.gripping_scene(assessment.parts, operation, figures.grip_travel)
    jaws = tuple(grip_colour(assessment, figures, 3.0 * n) for n in _at_speed(figures))
    on = drawn_on(assessment, str(operation), figures.grip_travel)
    return Staged(opened(solids, on, jaws), camera(assessment, operation, size))


def grip_colour(assessment: Assessment, figures: OperationFigures, grip: float) -> str:
    """Return the colour of so much grip in all (N) against what the cuts need, as in the page's scene.

    Where a verdict on the grip fails it is never that of enough.
    """
    need, asked = figures.grip.needed_total, assessment.scenario.limits.holding_factor
    if not grip > 0.0 or grip < need:
        return TOO_LITTLE
    stage = figures.operation.name
    fails = any(v.status == "fail" and v.stage == stage and v.key in ON_GRIP for v in assessment.verdicts)
    return ENOUGH if grip >= asked * need and not fails else SCARCE


def _at_speed(figures: OperationFigures) -> list[float]:
    """Return the grip (N) of each jaw at the highest speed under the worst side load, 0 where the part is not held."""
    there = figures.contact_at_speed
    return [0.0 if there is None else float(there.grip_n[jaw]) for jaw in range(3)]


def opened(solids: Iterable[Solid], on: DrawnOn, jaws: Sequence[str] = ()) -> tuple[Layer, ...]:
    """Return solids as they are drawn, without the quarter before the eye; `jaws`: colours of the soft jaws."""
    quarter = trimesh.creation.box(bounds=[[0.0, 0.0, -_FAR], [_FAR, _FAR, _FAR]])
    drawn = []
    for solid in solids:
        mesh, lines = without(on.instead.get(solid.name, solid.mesh), on.lines.get(solid.name), quarter)
        tinted = jaws and solid.jaw is not None and solid.kind == "soft jaw"
        if len(mesh.faces):
            drawn.append(
                Layer(mesh, jaws[solid.jaw or 0] if tinted else body_colour(solid.kind), lines=lines)
            )
    for body, whole in on.solids:
        mesh, _ = without(whole, None, quarter)
        tinted = jaws and body.jaw is not None
        if len(mesh.faces):
            drawn.append(Layer(mesh, jaws[body.jaw or 0] if tinted else body_colour(body.kind)))
    return tuple(drawn)


def towards_tailstock(meshes: Iterable[trimesh.Trimesh], size: Size, fill: float = 0.94) -> Camera:
    """Return the camera of these pictures, chuck left and tailstock right, fitted to meshes."""
    return fitted(np.vstack([mesh.vertices for mesh in meshes]), TOWARDS, _UP, size, fill)


def camera(assessment: Assessment, operation: int, size: Size = SIZE) -> Camera:
    """Return the camera, fitted to the whole solids and to the arrows of the largest grip."""
    figures = assessment.operations[operation]
    solids = pose.gripping_scene(assessment.parts, operation, figures.grip_travel)
    return towards_tailstock((solid.mesh for solid in solids), size, _FILL)


def arrows(assessment: Assessment, operation: int, size: Size = SIZE) -> tuple[Arrow, ...]:
    """Return the grip of each jaw at rest as an arrow towards the part, its length by the grip."""
    figures, parts = assessment.operations[operation], assessment.parts
    grips = [float(n) for n in figures.contact.grip_n]
    outside = parts.direction == "outside"
    outer = parts.place.inner(figures.grip_travel) + parts.place.length
    height, seen = float(figures.zone.middle), camera(assessment, operation, size)
    found = []
    for jaw, (turn, grip) in enumerate(zip(JAW_ANGLES_RAD, grips, strict=True), start=1):
        long = LONGEST * outer * grip / max(*grips, 1e-9)
        near, far = 1.02 * outer, 1.02 * outer + long
        radii = (far, near) if outside else (near, far)
        beyond = 1.02 * outer + (LONGEST + 0.13) * outer
        points = [(r * math.cos(turn), r * math.sin(turn), height) for r in (*radii, beyond)]
        shares = projected(seen, points, size) / np.array(size)
        tail, head, label = ((float(x), float(y)) for x, y in shares)
        label = (min(max(label[0], 0.09), 0.91), min(max(label[1], 0.06), 0.94))
        found.append(Arrow(jaw, grip, tail, head, label))
    return tuple(found)
