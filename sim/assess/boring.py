"""The boring set-up in the half-plane: path, tool, everything that turns, clearance, remedy."""

from __future__ import annotations

import numpy as np
from shapely.geometry.base import BaseGeometry

from meshes import boring_ring, chuck_body, outer_ring, plug
from meshes.placement import jaw_placement, placed, translation
from sim import pose
from sim.assessment import BoringFigures
from sim.clearance import advice, boring, check, image
from sim.clearance.path import Move
from sim.clearance.result import Body
from sim.clearance.tool import Tool, boring_tool, mirrored
from sim.errors import ScenarioError
from sim.parts import Parts, body_dimensions, inner_end_radius
from sim.scenario import OuterRing, Plug

IMAGE_TOLERANCE = 0.005  # mm
PLUG_THICKNESS = 12.0  # mm of the plug that is looked for (common practice, no source)


def bore(parts: Parts) -> BoringFigures:
    """Return the boring path of all pockets and its clearance.

    Raises
    ------
    ScenarioError
        If the tool or the passes cannot be as stated.
    """
    try:
        return _bored(parts)
    except ValueError as error:
        raise ScenarioError(f"boring: {error}") from None


def _bored(parts: Parts) -> BoringFigures:
    scenario = parts.scenario
    inner = inner_end_radius(scenario, scenario.boring.travel)
    stock = image.of_mesh(placed(parts.stock, jaw_placement(0, inner)), IMAGE_TOLERANCE)
    wanted = image.of_mesh(placed(parts.bored, jaw_placement(0, inner)), IMAGE_TOLERANCE)
    tool = _tool(parts)
    bodies = _bodies(parts)
    moves = boring.boring_path(stock, wanted, tool, _plan(parts, bodies))
    found = check.check(
        moves,
        tool,
        bodies,
        stock,
        wanted,
        scenario.limits.clearance,
    )
    return BoringFigures(moves, tool, bodies, stock, wanted, found, _remedy(parts, moves, tool, stock))


def _tool(parts: Parts) -> Tool:
    tool = boring_tool(parts.bar, parts.insert, parts.scenario.boring.tool.approach_angle)
    return mirrored(tool) if parts.direction == "inside" else tool


def _plan(parts: Parts, bodies: tuple[Body, ...]) -> boring.BoringPlan:
    passes, height = parts.scenario.boring.passes, parts.scenario.soft_jaw.height
    highest = max([height, *(body.image.bounds[3] for body in bodies if not body.image.is_empty)])
    return boring.BoringPlan(
        direction=parts.direction,
        depth_of_cut=passes.depth_of_cut,
        finish_allowance=passes.finish_allowance,
        safe_plane=highest + max(passes.rapid_clearance, boring.APPROACH),
        speed=parts.scenario.boring.speed,
    )


def _bodies(parts: Parts) -> tuple[Body, ...]:
    # The three jaws share one image, so jaw 1 stands for all.
    solids = [solid for solid in pose.jaws(parts, parts.scenario.boring.travel) if solid.jaw == 0]
    hardware = []
    for kind in ("jaw screw", "T-nut"):
        of_kind = (solid.mesh for solid in solids if solid.kind == kind)
        hardware += [
            Body(f"{kind} {count}", image.of_mesh(mesh, IMAGE_TOLERANCE), "jaw hardware")
            for count, mesh in enumerate(of_kind, start=1)
        ]
    (master,) = (solid.mesh for solid in solids if solid.kind == "master jaw")
    return (
        Body("chuck body", _body_image(parts), "chuck"),
        Body("master jaws", image.of_mesh(master, IMAGE_TOLERANCE), "chuck"),
        *hardware,
        *_fixture_bodies(parts),
    )


def _body_image(parts: Parts) -> BaseGeometry:
    """Return the chuck body as a body of revolution: the slots are filled, which errs on the safe side."""
    return image.of_outline(chuck_body.section_outline(body_dimensions(parts.scenario)))


def _fixture_bodies(parts: Parts) -> tuple[Body, ...]:
    stated, height = parts.scenario.boring.fixture, parts.scenario.soft_jaw.height
    if parts.ring is not None:
        mesh = placed(boring_ring.mesh(parts.ring), translation(0.0, 0.0, height))
        return (Body("boring ring", image.of_mesh(mesh, IMAGE_TOLERANCE), "fixture"),)
    if parts.plug is not None and isinstance(stated, Plug):
        found = image.of_outline(np.add(plug.section_outline(parts.plug), (0.0, stated.height)))
        return (Body("plug", found, "fixture"),)
    if parts.outer_ring is not None and isinstance(stated, OuterRing):
        found = image.of_outline(np.add(outer_ring.section_outline(parts.outer_ring), (0.0, stated.height)))
        return (Body("outer ring", found, "fixture"),)
    return ()


def _remedy(parts: Parts, moves: tuple[Move, ...], tool: Tool, stock: BaseGeometry) -> str:
    """Say which fixture this path leaves room for; empty where the stated one is no ring or plug."""
    if parts.direction == "inside" or not moves:
        return ""
    scenario = parts.scenario
    room = advice.covered(moves, tool, scenario.limits.clearance)
    height = scenario.soft_jaw.height
    fits = []
    if parts.ring is not None:
        ring = advice.ring_advice(
            room, height, parts.ring.thickness, parts.ring.pin_circle_diameter, parts.ring.pin_diameter
        )
        if ring.fits:
            fits.append(
                f"a ring with an inner diameter of {ring.least_inner_diameter:.1f} mm or more "
                f"({ring.most_inner_diameter:.1f} mm at most for its pins)"
            )
    plug_found = advice.plug_advice(room, stock, thickness=PLUG_THICKNESS)
    if plug_found.fits:
        fits.append(
            f"a plug of {plug_found.diameter:.1f} mm whose upper face lies at most {plug_found.top:.1f} mm "
            f"above the serrated plane"
        )
    if not fits:
        return "Neither a ring on these screws nor a plug below the pockets clears this path."
    return f"This path is cleared by {', or by '.join(fits)}."
