"""Place the parts of a setup at a travel of the jaws: solids in the chuck frame (mm)."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

import trimesh

from meshes import boring_ring, centre, outer_ring, plug, steady_rest, turning_tool, workpiece
from meshes.boring_bar import BoringBar
from meshes.placement import JAW_COUNT, jaw_placement, placed, translation
from meshes.turning_tool import TurningTool
from sim.scenario import OuterRing, Plug
from sim.setup.held import held_zone
from sim.setup.jaw_screws import head_underside, nut_top
from sim.setup.parts import Parts
from sim.setup.supports import centre_tip

Kind = Literal[
    "chuck body",
    "master jaw",
    "T-nut",
    "jaw screw",
    "soft jaw",
    "workpiece",
    "boring ring",
    "plug",
    "outer ring",
    "back stop",
    "centre",
    "steady rest",
    "boring bar",
    "insert",
    "tool",
]
SHOWN_QUILL = 60.0  # mm of the quill that are drawn
JawState = Literal["blank", "stock", "bored"]


@dataclass(frozen=True, slots=True, eq=False)
class Solid:
    """One body in the chuck frame; `jaw` is 0, 1 or 2 for what belongs to a jaw, None otherwise."""

    name: str
    kind: Kind
    mesh: trimesh.Trimesh
    jaw: int | None = None


def jaws(parts: Parts, travel: float, state: JawState = "bored") -> tuple[Solid, ...]:
    """Return master jaws, T-nuts, screws and soft jaws at a travel (mm)."""
    scenario = parts.scenario
    inner, master = parts.place.inner(travel), parts.place.master_inner(travel)
    top = {"blank": parts.blank, "stock": parts.stock, "bored": parts.bored}[state]
    solids = []
    for jaw in range(JAW_COUNT):
        number = jaw + 1
        at = jaw_placement(jaw, inner)
        solids.append(
            Solid(f"master jaw {number}", "master jaw", placed(parts.master, jaw_placement(jaw, master)), jaw)
        )
        solids.append(Solid(f"soft jaw {number}", "soft jaw", placed(top, at), jaw))
        for count, position in enumerate(scenario.soft_jaw.screws.positions, start=1):
            nut = placed(parts.nut, at @ translation(position, 0.0, nut_top(scenario)))
            screw = placed(parts.screw, at @ translation(position, 0.0, head_underside(scenario)))
            solids.append(Solid(f"T-nut {number}.{count}", "T-nut", nut, jaw))
            solids.append(Solid(f"jaw screw {number}.{count}", "jaw screw", screw, jaw))
    return tuple(solids)


def fixture(parts: Parts) -> tuple[Solid, ...]:
    """Return the boring fixture at the boring travel; empty without one."""
    scenario = parts.scenario
    stated = scenario.boring.fixture
    if parts.ring is not None:
        at = translation(0.0, 0.0, scenario.soft_jaw.height)
        return (Solid("boring ring", "boring ring", placed(boring_ring.mesh(parts.ring), at)),)
    if parts.plug is not None and isinstance(stated, Plug):
        at = translation(0.0, 0.0, stated.height)
        return (Solid("plug", "plug", placed(plug.mesh(parts.plug), at)),)
    if parts.outer_ring is not None and isinstance(stated, OuterRing):
        at = translation(0.0, 0.0, stated.height)
        return (Solid("outer ring", "outer ring", placed(outer_ring.mesh(parts.outer_ring), at)),)
    return ()


def part(parts: Parts, operation: int) -> Solid:
    """Return the workpiece of an operation on its seat."""
    seat = held_zone(parts.scenario, operation).seat
    solid = placed(workpiece.mesh(parts.workpieces[operation]), translation(0.0, 0.0, seat))
    return Solid("workpiece", "workpiece", solid)


def tool(parts: Parts, tip_radius: float, tip_z: float) -> Solid:
    """Return the (first) boring tool with its tip at (radius, z)."""
    return standing_tool(parts.boring_tools[0], tip_radius, tip_z)


def standing_tool(stated: TurningTool, tip_radius: float, tip_z: float) -> Solid:
    """Return a tool with its tip at (radius, z)."""
    mesh = placed(turning_tool.mesh(stated), translation(tip_radius, 0.0, tip_z))
    if isinstance(stated.carrier, BoringBar):
        return Solid("boring bar", "boring bar", mesh)
    return Solid("tool", "tool", mesh)


def tool_solids(stated: TurningTool, tip_radius: float, tip_z: float) -> tuple[Solid, ...]:
    """Return a tool with its tip at (radius, z), its cutter apart."""
    at = translation(tip_radius, 0.0, tip_z)
    carrier: Kind = "boring bar" if isinstance(stated.carrier, BoringBar) else "tool"
    kinds: dict[str, Kind] = {"cutter": "insert", "carrier": carrier, "turret": "tool"}
    return tuple(
        Solid(name, kinds[name], placed(mesh, at)) for name, mesh in turning_tool.bodies(stated).items()
    )


def back_stop(parts: Parts, operation: int) -> tuple[Solid, ...]:
    """Return the stop behind the part of an operation; empty without one."""
    stop, stated = parts.back_stops[operation], parts.scenario.operations[operation].back_stop
    if stop is None or stated is None:
        return ()
    return (Solid("back stop", "back stop", placed(plug.mesh(stop), translation(0.0, 0.0, stated.height))),)


def supports(parts: Parts, operation: int) -> tuple[Solid, ...]:
    """Return centre and steady rest of an operation; empty without them."""
    stated, seat = parts.scenario.operations[operation], held_zone(parts.scenario, operation).seat
    centre_of, steady_of = parts.centres[operation], parts.steady_rests[operation]
    found = []
    if centre_of is not None:
        at = translation(0.0, 0.0, seat + centre_tip(stated))
        shown = replace(centre_of, quill_length=min(SHOWN_QUILL, centre_of.quill_length))
        found.append(Solid("centre", "centre", placed(centre.mesh(shown), at)))
    if steady_of is not None and stated.steady_rest is not None:
        at = translation(0.0, 0.0, seat + stated.steady_rest.height)
        found.append(Solid("steady rest", "steady rest", placed(steady_rest.mesh(steady_of), at)))
    return tuple(found)


def body(parts: Parts) -> Solid:
    """Return the chuck body."""
    return Solid("chuck body", "chuck body", parts.body)


def boring_scene(parts: Parts, state: JawState = "bored") -> tuple[Solid, ...]:
    """Return chuck, jaws and fixture as they stand while the jaws are bored."""
    return (body(parts), *jaws(parts, parts.scenario.boring.travel, state), *fixture(parts))


def gripping_scene(parts: Parts, operation: int, travel: float) -> tuple[Solid, ...]:
    """Return chuck, jaws, workpiece and what bears it at a travel (mm)."""
    return (
        body(parts),
        *jaws(parts, travel),
        part(parts, operation),
        *back_stop(parts, operation),
        *supports(parts, operation),
    )
