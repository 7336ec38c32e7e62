"""The solids of a setup: each shape once, each body as a shape with its place in the chuck, at any state."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import trimesh

from meshes import boring_ring, master_jaw, outer_ring, plug, workpiece
from meshes.placement import JAW_COUNT, JAW_SPACING, rotation_z, translation
from sim.assessment.figures.path import PathFigures
from sim.assessment.results import Assessment
from sim.assessment.state import BORING
from sim.base.arrays import Floats
from sim.scenario import NoFixture, OuterRing, Plug
from sim.setup import pose
from sim.setup.held import held_zone
from sim.setup.jaw_screws import head_underside, nut_top
from sim.setup.parts import Parts
from sim.setup.pose import Solid
from sim.views import engraving
from sim.views.colours import HARDENED, METAL_COLOURS, body_colour, metal_of
from sim.views.overlap import overlap
from sim.views.packing import Packed, encoded, packed

# How far each kind goes, along the spindle and outward along its jaw (mm), when the setup is pulled apart.
APART: dict[str, tuple[float, float]] = {
    "chuck body": (-105.0, 0.0),
    "master jaw": (-15.0, 60.0),
    "T-nut": (25.0, 60.0),
    "soft jaw": (80.0, 60.0),
    "jaw screw": (175.0, 60.0),
    "workpiece": (190.0, 0.0),
    "boring ring": (150.0, 0.0),
    "plug": (130.0, 0.0),
    "outer ring": (150.0, 0.0),
    "back stop": (110.0, 0.0),
    "centre": (260.0, 0.0),
    "steady rest": (190.0, 0.0),
    "boring bar": (230.0, 0.0),
    "tool": (230.0, 0.0),
    "insert": (230.0, 0.0),
}
METAL_IN_METAL = "metal in metal"
TEETH = "soft jaw teeth"
APART[TEETH] = APART["soft jaw"]
LINES = " lines"  # ends the name of a shape that is only drawn on another
GROUPS = {
    TEETH: "soft jaws",
    "chuck body": "chuck body",
    "master jaw": "master jaws",
    "T-nut": "T-nuts",
    "jaw screw": "jaw screws",
    "soft jaw": "soft jaws",
    "workpiece": "workpiece",
    "boring bar": "tool",
    "tool": "tool",
    "insert": "tool",
}


@dataclass(frozen=True, slots=True)
class Body:
    """A body of the scene.

    Attributes
    ----------
    name, kind : str
    shape : str
        Name of its shape.
    jaw : int or None
        0, 1, 2 for what moves with a jaw.
    at : (x, y, z)
        Place of its frame at travel 0, mm: in its jaw's frame (x outward from the spindle axis), or in the chuck's.
    turns : bool
        Turns with the spindle; what does not is a tool, which moves with its tip, or stands still.
    stages : tuple of str
        Where it is seen; empty for everywhere.
    run : int or None
        Which of the path's tools it belongs to; None for what is no tool.
    """

    name: str
    kind: str
    shape: str
    jaw: int | None
    at: tuple[float, float, float]
    turns: bool = True
    stages: tuple[str, ...] = ()
    run: int | None = None


def bodies(assessment: Assessment) -> tuple[Body, ...]:
    """Return every body of a setup, of all stages."""
    parts = assessment.parts
    scenario = parts.scenario
    inner, master = parts.place.soft, parts.place.master
    found = [Body("chuck body", "chuck body", "chuck body", None, (0.0, 0.0, 0.0))]
    for jaw in range(JAW_COUNT):
        number = jaw + 1
        found.append(Body(f"master jaw {number}", "master jaw", "master jaw", jaw, (master, 0.0, 0.0)))
        found.append(Body(f"soft jaw {number}", "soft jaw", "soft jaw", jaw, (inner, 0.0, 0.0)))
        for count, position in enumerate(scenario.soft_jaw.screws.positions, start=1):
            radius = inner + position
            nut, seat = nut_top(scenario), head_underside(scenario)
            found.append(Body(f"T-nut {number}.{count}", "T-nut", "T-nut", jaw, (radius, 0.0, nut)))
            found.append(
                Body(f"jaw screw {number}.{count}", "jaw screw", "jaw screw", jaw, (radius, 0.0, seat))
            )
    fixture = _fixture(parts)
    if fixture is not None:
        name, height, _ = fixture
        found.append(Body(name, name, name, None, (0.0, 0.0, height), stages=(BORING,)))
    for stage, run, solid in _tools(assessment):
        shape = _tool_shape(stage, run, solid)
        found.append(
            Body(solid.name, solid.kind, shape, None, (0.0, 0.0, 0.0), turns=False, stages=(stage,), run=run)
        )
    for index in range(len(scenario.operations)):
        at = (0.0, 0.0, held_zone(scenario, index).seat)
        found.append(Body("workpiece", "workpiece", f"workpiece {index}", None, at, stages=(str(index),)))
        for stop in pose.back_stop(parts, index):
            shape = f"{stop.name} {index}"
            found.append(Body(stop.name, stop.kind, shape, None, (0.0, 0.0, 0.0), stages=(str(index),)))
        for support in pose.supports(parts, index):
            shape, stages = f"{support.name} {index}", (str(index),)
            found.append(
                Body(support.name, support.kind, shape, None, (0.0, 0.0, 0.0), turns=False, stages=stages)
            )
    return tuple(found)


def _tools(assessment: Assessment) -> Iterator[tuple[str, int, Solid]]:
    """Yield stage, run and solids of every tool of every path, tips at the origin."""
    paths: list[tuple[str, PathFigures]] = [(BORING, assessment.boring)]
    paths += [(str(path.operation), path) for path in assessment.machining if path is not None]
    for stage, path in paths:
        for run, drawn in enumerate(path.drawn):
            for solid in pose.tool_solids(drawn, 0.0, 0.0):
                yield stage, run, solid


def _tool_shape(stage: str, run: int, solid: Solid) -> str:
    return f"tool {stage} {run} {solid.name}"


def shapes(assessment: Assessment) -> dict[str, trimesh.Trimesh]:
    """Return the shapes of all bodies, each in its own frame."""
    parts = assessment.parts
    found = {
        "chuck body": parts.body,
        "master jaw": parts.master,
        "soft jaw": parts.bored,
        "T-nut": parts.nut,
        "jaw screw": parts.screw,
    }
    found.update({_tool_shape(stage, run, solid): solid.mesh for stage, run, solid in _tools(assessment)})
    for index in range(len(parts.workpieces)):
        held = (*pose.back_stop(parts, index), *pose.supports(parts, index))
        found.update({f"{one.name} {index}": one.mesh for one in held})
    fixture = _fixture(parts)
    if fixture is not None:
        name, _, mesh = fixture
        found[name] = mesh
    found.update({f"workpiece {n}": workpiece.mesh(part) for n, part in enumerate(parts.workpieces)})
    return found


def placement(
    body: Body,
    slide: float,
    travel: float,
    spindle_angle: float = 0.0,
    tip: tuple[float, float] = (0.0, 0.0),
    apart: float = 0.0,
) -> Floats:
    """Return where a body stands at a state, a 4x4 matrix from its shape's frame to the machine's.

    Parameters
    ----------
    body : Body
    slide : float
        -1 where jaws move inward as the travel grows, +1 where they move outward.
    travel : float
        Of the jaws, mm.
    spindle_angle : float
        rad; a tool does not turn.
    tip : (x, z)
        Of the tool, mm.
    apart : float
        0 as it stands to 1 pulled apart.
    """
    along, outward = APART.get(body.kind, (0.0, 0.0))
    x, y, z = body.at
    if not body.turns:
        moved = tip if body.run is not None else (0.0, 0.0)
        return translation(x + moved[0], y, z + moved[1] + apart * along)
    if body.jaw is None:
        return rotation_z(spindle_angle) @ translation(x, y, z + apart * along)
    turn = spindle_angle + JAW_SPACING * body.jaw
    slid = slide * travel + apart * outward
    return rotation_z(turn) @ translation(x + slid, y, z + apart * along)


def slide_of(parts: Parts) -> float:
    """Return -1 where jaws move inward as the travel grows, +1 where they move outward."""
    return -1.0 if parts.direction == "outside" else 1.0


def metal_colour(assessment: Assessment, kind: str) -> str:
    """Return the colour ('#rrggbb') in which a kind of body is drawn: soft jaws in that of their metal."""
    if kind not in ("soft jaw", TEETH):
        return body_colour(kind)
    material = assessment.parts.jaw_material
    return METAL_COLOURS[metal_of(material.name, material.density)]


def metal_words(assessment: Assessment, body: Body) -> str:
    """Return of what a body is, as the scenario names it; empty where it does not say."""
    parts = assessment.parts
    fixture = parts.scenario.boring.fixture
    if body.kind in ("soft jaw", TEETH):
        return parts.jaw_material.name
    if body.kind == "workpiece" and body.stages:
        return parts.scenario.operations[int(body.stages[0])].workpiece.material
    if not isinstance(fixture, NoFixture) and body.kind in ("boring ring", "plug", "outer ring"):
        return fixture.material
    return "hardened steel" if body_colour(body.kind) == HARDENED else ""


def details(assessment: Assessment) -> tuple[tuple[Body, trimesh.Trimesh | Floats], ...]:
    """Return what is drawn beside the bodies that are judged, each as a solid or as lines (n, 2, 3).

    Numbers, index marks, threads, screws of the chuck's face and of inserts, the teeth of soft jaws in their grooves,
    and where a path runs through metal. A shape comes once, with the first body that has it.
    """
    parts, sizes = assessment.parts, assessment.parts.sizes
    inner, master = parts.place.soft, parts.place.master
    found: list[tuple[Body, trimesh.Trimesh | Floats]] = []
    face = engraving.chuck_face(sizes.body)
    found.append((Body("chuck body", "chuck body", f"chuck{LINES}", None, (0.0, 0.0, 0.0)), face))
    off = inner - master
    marks, teeth = (
        engraving.index_marks(sizes.master, sizes.blank, off),
        engraving.soft_teeth(sizes.master, sizes.blank, off),
    )
    thread = engraving.thread(sizes.screw)
    for body in bodies(assessment):
        if body.kind == "soft jaw" and body.jaw is not None:
            number = engraving.jaw_number(sizes.blank, body.jaw + 1)
            found.append((replace(body, kind="soft jaw", shape=f"number {body.jaw + 1}{LINES}"), number))
        if body.kind == "master jaw":
            found.append((replace(body, shape=f"index mark{LINES}"), marks))
            if teeth is not None:
                found.append((replace(body, name=f"teeth of {body.name}", kind=TEETH, shape=TEETH), teeth))
        if body.kind == "jaw screw":
            found.append((replace(body, shape=f"thread{LINES}"), thread))
    for stage, run, solid in _tools(assessment):
        lines = engraving.insert_screw(solid.mesh) if solid.kind == "insert" else None
        if lines is not None:
            shape = f"{_tool_shape(stage, run, solid)}{LINES}"
            at = (0.0, 0.0, 0.0)
            found.append(
                (Body(solid.name, solid.kind, shape, None, at, turns=False, stages=(stage,), run=run), lines)
            )
    paths = [
        (BORING, assessment.boring),
        *((str(p.operation), p) for p in assessment.machining if p is not None),
    ]
    for stage, path in paths:
        common = overlap(path)
        if common is not None:
            shape = f"{METAL_IN_METAL} {stage}"
            at = (0.0, 0.0, 0.0)
            found.append(
                (Body(METAL_IN_METAL, METAL_IN_METAL, shape, None, at, turns=False, stages=(stage,)), common)
            )
    return tuple(found)


def _packed(solid: trimesh.Trimesh | Floats) -> Packed:
    if isinstance(solid, trimesh.Trimesh):
        return packed(solid)
    none, no_triangle = np.zeros((0, 3), dtype=np.float32), np.zeros((0, 3), dtype=np.uint32)
    return Packed(none, none, no_triangle, solid.astype(np.float32))


def toothed(parts: Parts) -> trimesh.Trimesh:
    """Return the master jaw with its grooves, which only pictures need."""
    return master_jaw.mesh(replace(parts.sizes.master, serration_teeth=True))


def as_objects(assessment: Assessment) -> dict[str, Any]:
    """Return shapes and bodies as the page reads them."""
    more = details(assessment)
    solids = {**shapes(assessment), "master jaw": toothed(assessment.parts)}
    drawn = {name: packed(mesh) for name, mesh in solids.items()}
    for body, solid in more:
        if body.shape not in drawn:
            drawn[body.shape] = _packed(solid)
    return {
        "shapes": {name: encoded(one) for name, one in drawn.items()},
        "bodies": [
            {
                "name": body.name,
                "kind": body.kind,
                "group": GROUPS.get(body.kind, body.kind),
                "shape": body.shape,
                "jaw": body.jaw,
                "at": list(body.at),
                "turns": body.turns,
                "stages": list(body.stages),
                "run": body.run,
                "apart": list(APART.get(body.kind, (0.0, 0.0))),
                "colour": metal_colour(assessment, body.kind),
                "metal": metal_words(assessment, body),
            }
            for body in (*bodies(assessment), *(body for body, _ in more))
        ],
        "slide": slide_of(assessment.parts),
        "reach": _reach(assessment.parts),
    }


def _fixture(parts: Parts) -> tuple[str, float, trimesh.Trimesh] | None:
    """Return name, height (mm) and shape of what the jaws are bored against."""
    stated = parts.scenario.boring.fixture
    if parts.ring is not None:
        return "boring ring", parts.scenario.soft_jaw.height, boring_ring.mesh(parts.ring)
    if parts.plug is not None and isinstance(stated, Plug):
        return "plug", stated.height, plug.mesh(parts.plug)
    if parts.outer_ring is not None and isinstance(stated, OuterRing):
        return "outer ring", stated.height, outer_ring.mesh(parts.outer_ring)
    return None


def _reach(parts: Parts) -> list[list[float]]:
    """Corners of the box round chuck, jaws and part, mm: what the first view shows."""
    scenario = parts.scenario
    solids = [*pose.boring_scene(parts), *(pose.part(parts, n) for n in range(len(scenario.operations)))]
    bounds = np.array([solid.mesh.bounds for solid in solids])
    return [bounds[:, 0].min(axis=0).tolist(), bounds[:, 1].max(axis=0).tolist()]
