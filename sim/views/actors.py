"""Bodies of a setup as actors of one pyvista plotter, moved from state to state: for films and the desktop window."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

import numpy as np
import trimesh

from sim.assessment.figures.operation import OperationFigures
from sim.assessment.results import Assessment
from sim.assessment.state import GripState
from sim.base.arrays import Floats
from sim.views.bodies import (
    Body,
    bodies,
    details,
    metal_colour,
    placement,
    shapes,
    slide_of,
    toothed,
)
from sim.views.colours import EDGE, rgb
from sim.views.drawn_on import without
from sim.views.face_patches import face_patches
from sim.views.layer import FEATURE_ANGLE, LIGHTS
from sim.views.packing import packed
from sim.views.pressure_scale import coloured

FACE_CELLS = (48, 24)
_FAR = 2000.0  # mm, larger than any chuck
# rad to which a part around jaws is opened: beyond a jaw's face, and at most beyond its middle: then it is convex.
BESIDE, MOST = math.radians(8.0), math.radians(29.0)


@dataclass(frozen=True, slots=True, eq=False)
class Actors:
    """What stands in a plotter.

    Attributes
    ----------
    bodies : tuple of (Body, actors)
        Surface and edges of each body of the stage.
    faces : tuple of (surface, actor)
        The gripped faces of the three jaws; empty for boring.
    opened : tuple of (Body, actors)
        The gripped part a second time, cut so that the pressed faces are seen; empty for boring.
    slide : float
        -1 where jaws move inward as the travel grows. Sign, no unit.
    """

    bodies: tuple[tuple[Body, tuple[Any, ...]], ...]
    faces: tuple[tuple[Any, Any], ...]
    opened: tuple[tuple[Body, tuple[Any, ...]], ...]
    slide: float


def light(plotter: Any) -> None:
    """Put the lights of all pictures into a plotter."""
    import pyvista

    for spot, strength in LIGHTS:
        plotter.add_light(pyvista.Light(position=spot, light_type="camera light", intensity=strength))


def enter(plotter: Any, assessment: Assessment, stage: str) -> Actors:
    """Add the bodies of a stage ('boring' or an operation's number) to a plotter, undrawn.

    A window that is open would draw the whole scene anew with each of them.
    """
    import pyvista

    more = details(assessment)
    meshes = {
        **shapes(assessment),
        "master jaw": toothed(assessment.parts),
        **{body.shape: solid for body, solid in more},
    }
    surfaces: dict[str, tuple[Any, Any]] = {}
    found = []
    for body in (*bodies(assessment), *(body for body, _ in more)):
        if body.stages and stage not in body.stages:
            continue
        shape = meshes[body.shape]
        if body.shape not in surfaces:
            surfaces[body.shape] = (
                (_surface(shape), _edges(shape))
                if isinstance(shape, trimesh.Trimesh)
                else (None, _lines(shape))
            )
        surface, edges = surfaces[body.shape]
        found.append((body, _metal(plotter, assessment, body, surface, edges)))
    if stage == "boring":
        return Actors(tuple(found), (), (), slide_of(assessment.parts))
    figures = assessment.operations[int(stage)]
    opened = []
    for body, _ in found:
        shape = meshes[body.shape]
        if body.kind == "workpiece" and isinstance(shape, trimesh.Trimesh):
            solid, _ = without(shape, None, _taken(assessment, figures, body.at[2]))
            opened.append((body, _metal(plotter, assessment, body, _surface(solid), _edges(solid))))
    faces = _faces(plotter, assessment, figures, pyvista)
    return Actors(tuple(found), faces, tuple(opened), slide_of(assessment.parts))


def _metal(
    plotter: Any, assessment: Assessment, body: Body, surface: Any | None, edges: Any | None
) -> tuple[Any, ...]:
    """Add a body's surface and edges, whichever it has."""
    own = [] if surface is None else [
        plotter.add_mesh(
            surface, color=rgb(metal_colour(assessment, body.kind)), smooth_shading=True,
            split_sharp_edges=True, feature_angle=FEATURE_ANGLE, ambient=0.2, diffuse=0.92, specular=0.16,
            render=False,
        )
    ]  # fmt: skip
    if edges is not None:
        own.append(plotter.add_mesh(edges, color=EDGE, line_width=1.2, render=False))
    return tuple(own)


def _taken(assessment: Assessment, figures: OperationFigures, seat: float) -> trimesh.Trimesh:
    """Return what is taken off the part, in its own frame: all above the pressed faces, or what hides them.

    Jaws that press outward lie in the part: it is opened before jaws 1 and 2, which face the eye; half of it is left.

    Parameters
    ----------
    seat : float
        z of the part's frame, mm.
    """
    if assessment.parts.direction == "outside":
        box: trimesh.Trimesh = trimesh.creation.box(
            bounds=[[-_FAR, -_FAR, figures.zone.low - seat], [_FAR] * 3]
        )
        return box
    jaw = assessment.scenario.soft_jaw.width / figures.operation.workpiece.gripped_diameter_low
    beside = min(math.asin(min(1.0, jaw)) + BESIDE, MOST)
    turns = np.linspace(-beside, 2.0 * math.pi / 3.0 + beside, 8)
    flat = np.vstack([np.zeros(2), _FAR * np.column_stack([np.cos(turns), np.sin(turns)])])
    points = np.vstack([np.column_stack([flat, np.full(len(flat), z)]) for z in (-_FAR, _FAR)])
    wedge: trimesh.Trimesh = trimesh.convex.convex_hull(points)
    return wedge


def leave(plotter: Any, actors: Actors) -> None:
    """Take actors out of a plotter."""
    for _, own in (*actors.bodies, *actors.opened):
        for actor in own:
            plotter.remove_actor(actor, render=False)
    for _, actor in actors.faces:
        plotter.remove_actor(actor, render=False)


def place(
    actors: Actors,
    travel: float,
    spindle_angle: float = 0.0,
    tip: tuple[float, float] = (0.0, 0.0),
    run: int | None = None,
    *,
    opened: bool = False,
) -> None:
    """Move all bodies to a state; of tools only that of the run is seen; the part whole or opened."""
    for bodies_, cut in ((actors.bodies, False), (actors.opened, True)):
        for body, own in bodies_:
            at = placement(body, actors.slide, travel, spindle_angle, tip)
            seen = body.run is None or body.run == run
            for actor in own:
                actor.user_matrix = at
                actor.SetVisibility(seen and (body.kind != "workpiece" or cut == opened))
    soft = next(body for body, _ in actors.bodies if body.kind == "soft jaw")
    for jaw, (_, actor) in enumerate(actors.faces):
        own_jaw = Body(soft.name, soft.kind, soft.shape, jaw, soft.at)
        actor.user_matrix = placement(own_jaw, actors.slide, travel, spindle_angle)


def colour(actors: Actors, state: GripState | None, scale: float) -> None:
    """Colour the gripped faces by band-mean pressure up to `scale` (MPa); hide them where nothing is gripped."""
    for jaw, (surface, actor) in enumerate(actors.faces):
        actor.SetVisibility(state is not None and state.bands is not None)
        if state is not None and state.bands is not None:
            surface["colours"] = coloured(_smooth(state.bands[jaw]), scale)


def _smooth(bands: Floats) -> Floats:
    """Values at the corners of the face's cells, linear between the middles of the bands."""
    rows, columns = bands.shape
    u = np.linspace(0.0, 1.0, FACE_CELLS[0] + 1)
    v = np.linspace(0.0, 1.0, FACE_CELLS[1] + 1)
    across = np.array([np.interp(u, (np.arange(columns) + 0.5) / columns, row) for row in bands])
    full = np.array([np.interp(v, (np.arange(rows) + 0.5) / rows, column) for column in across.T]).T
    return np.asarray(full.ravel())


def _faces(
    plotter: Any, assessment: Assessment, figures: OperationFigures, pyvista: Any
) -> tuple[tuple[Any, Any], ...]:
    patch, _ = face_patches(figures, assessment.parts, FACE_CELLS)[0]
    inner = assessment.parts.place.inner(figures.grip_travel)
    points = np.asarray(patch.vertices) - [inner, 0.0, 0.0]
    triangles = np.column_stack([np.full(len(patch.faces), 3), patch.faces]).ravel()
    found = []
    for _ in range(3):
        surface = pyvista.PolyData(points.copy(), triangles)
        surface["colours"] = np.zeros((len(points), 3), dtype=np.uint8)
        actor = plotter.add_mesh(surface, scalars="colours", rgb=True, lighting=False, render=False)
        found.append((surface, actor))
    return tuple(found)


def _surface(mesh: trimesh.Trimesh) -> Any:
    import pyvista

    faces = np.column_stack([np.full(len(mesh.faces), 3), mesh.faces])
    return pyvista.PolyData(np.array(mesh.vertices, dtype=np.float64), faces.ravel())


def _edges(mesh: trimesh.Trimesh) -> Any:
    """Return the sharp edges as lines; None where there are none."""
    ends = packed(mesh).edges.astype(np.float64)
    return _lines(ends) if len(ends) else None


def _lines(ends: Floats) -> Any:
    import pyvista

    return pyvista.line_segments_from_points(ends.reshape(-1, 3))
