"""Half-plane images of what turns or stands around it: jaws, their hardware, chuck, fixture, stop, centre, steady."""

from __future__ import annotations

import numpy as np
from shapely.geometry.base import BaseGeometry

from meshes import chuck_body, outer_ring, plug
from meshes.placement import jaw_placement, placed, translation
from sim.clearance import image
from sim.clearance.result import Body
from sim.scenario import OuterRing, Plug
from sim.setup import pose, solids
from sim.setup.parts import Parts
from sim.setup.pose import JawState
from sim.setup.surroundings import supports

IMAGE_TOLERANCE = 0.005  # mm
JAWS = "soft jaws"
WORKPIECE = "workpiece"


def jaws_image(parts: Parts, travel: float, state: JawState) -> BaseGeometry:
    """Return the image of the three soft jaws at a travel (mm); they share one, so jaw 1 stands for all."""
    mesh = {"blank": parts.blank, "stock": parts.stock, "bored": parts.bored}[state]
    return image.of_mesh(placed(mesh, jaw_placement(0, parts.place.inner(travel))), IMAGE_TOLERANCE)


def hardware_bodies(parts: Parts, travel: float) -> tuple[Body, ...]:
    """Return chuck body, master jaws, screws and T-nuts at a travel (mm)."""
    solids = [solid for solid in pose.jaws(parts, travel) if solid.jaw == 0]
    hardware = []
    for kind in ("jaw screw", "T-nut"):
        of_kind = (solid.mesh for solid in solids if solid.kind == kind)
        hardware += [
            Body(f"{kind} {count}", image.of_mesh(mesh, IMAGE_TOLERANCE), "jaw hardware")
            for count, mesh in enumerate(of_kind, start=1)
        ]
    (master,) = (solid.mesh for solid in solids if solid.kind == "master jaw")
    return (
        # Slots take nothing off the image: at some angle the body stands there.
        Body(
            "chuck body",
            image.of_outline(chuck_body.section_outline(parts.sizes.body)),
            "chuck",
        ),
        Body("master jaws", image.of_mesh(master, IMAGE_TOLERANCE), "chuck"),
        *hardware,
    )


def fixture_bodies(parts: Parts) -> tuple[Body, ...]:
    """Return the boring fixture; empty without one."""
    stated, height = parts.scenario.boring.fixture, parts.scenario.soft_jaw.height
    if parts.ring is not None:
        mesh = placed(solids.made(parts.ring), translation(0.0, 0.0, height))
        return (Body("boring ring", image.of_mesh(mesh, IMAGE_TOLERANCE), "fixture"),)
    if parts.plug is not None and isinstance(stated, Plug):
        found = image.of_outline(np.add(plug.section_outline(parts.plug), (0.0, stated.height)))
        return (Body("plug", found, "fixture"),)
    if parts.outer_ring is not None and isinstance(stated, OuterRing):
        found = image.of_outline(np.add(outer_ring.section_outline(parts.outer_ring), (0.0, stated.height)))
        return (Body("outer ring", found, "fixture"),)
    return ()


def support_bodies(parts: Parts, operation: int) -> tuple[Body, ...]:
    """Return centre and steady rest of an operation; empty without them."""
    return tuple(Body(one.name, one.image, "fixture") for one in supports(parts, operation))


def stop_bodies(parts: Parts, operation: int) -> tuple[Body, ...]:
    """Return the stop behind the part of an operation; empty without one."""
    stop, stated = parts.back_stops[operation], parts.scenario.operations[operation].back_stop
    if stop is None or stated is None:
        return ()
    found = image.of_outline(np.add(plug.section_outline(stop), (0.0, stated.height)))
    return (Body("back stop", found, "fixture"),)
