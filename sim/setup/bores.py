"""Pockets that the jaws can be bored to, and faces that a part can be held on. Lengths in mm."""

from __future__ import annotations

import math

from meshes.jaw_screw import HEADS
from sim.base import tables
from sim.base.rounding import at_least_text
from sim.scenario import Pocket, Scenario
from sim.setup.jaw_place import JawPlace
from sim.setup.jaw_screws import head_top
from sim.setup.refusal import refuse


def require_bores(scenario: Scenario, place: JawPlace) -> None:
    """Refuse pockets that jaws and screws leave no room for."""
    jaw, screws = scenario.soft_jaw, scenario.soft_jaw.screws
    inner, outside = place.bored, place.outside
    outer = place.outer_end(inner)
    size = tables.thread(screws.thread).diameter
    top = head_top(scenario)
    for n, pocket in enumerate(scenario.pockets):
        field, radius, seat = f"pockets[{n}].diameter", 0.5 * pocket.diameter, jaw.height - pocket.depth
        if not inner < radius < outer - 5.0:
            refuse(
                field,
                f"must lie between {2 * inner:g} mm and {2 * (outer - 5.0):g} mm, what the jaws can hold at "
                f"the boring travel, found {pocket.diameter:g} mm",
            )
        if pocket.depth >= jaw.height:
            refuse(
                f"pockets[{n}].depth",
                f"must be less than soft_jaw.height, {jaw.height:g} mm, found {pocket.depth:g} mm",
            )
        for position in screws.positions:
            centre = inner + position
            wall = radius + (pocket.groove_depth if outside else -pocket.groove_depth)
            nearest = centre - 0.5 * HEADS[size].diameter
            farthest = centre + 0.5 * HEADS[size].diameter
            cut = nearest < wall if outside else farthest > wall
            if cut and seat < top:
                refuse(
                    field,
                    f"must not bore through the screw at radius {centre:g} mm, whose head reaches up to "
                    f"z = {top:g} mm, while the pocket's back face lies at z = {seat:g} mm; found "
                    f"{pocket.diameter:g} mm",
                )


def least_gripped(place: JawPlace, pocket: Pocket) -> float:
    """Return over which gripped diameter (mm) a bored face reaches less than 60 deg around a part to each side."""
    return 2.0 * place.face_half_chord(0.5 * pocket.diameter) / math.sin(math.pi / 3.0)


def require_faces(scenario: Scenario, place: JawPlace) -> None:
    """Refuse a bored face that no part can be held on: one that spans 60 deg to a side, or ends in a thin edge."""
    jaw, inner, outside = scenario.soft_jaw, place.bored, place.outside
    for n, pocket in enumerate(scenario.pockets):
        half, full = place.face_half_chord(0.5 * pocket.diameter), 0.5 * jaw.width - jaw.edge_chamfer
        if place.round_end is not None:
            # Where its flanks begin a turned face would end in the corners of the flat inner end.
            if 0.5 * pocket.diameter <= math.hypot(inner, place.tip) + jaw.edge_chamfer:
                refuse(
                    f"pockets[{n}].diameter",
                    f"must be over {at_least_text(2.0 * (math.hypot(inner, place.tip) + jaw.edge_chamfer), 1)} mm for "
                    f"a face that ends on the flanks of the sector jaws, whose inner ends, {2.0 * place.tip:g} mm "
                    f"wide, stand at a radius of {inner:g} mm; found {pocket.diameter:g} mm",
                )
        elif not outside and half < full:
            behind = inner + max(0.0, full - place.tip) / math.tan(place.flank)
            refuse(
                f"pockets[{n}].diameter",
                f"must be at least {at_least_text(2.0 * math.hypot(behind, full), 1)} mm for a step as wide "
                f"as the jaws, {2.0 * full:g} mm between the chamfers, whose inner ends stand at a radius of "
                f"{inner:g} mm; found {pocket.diameter:g} mm",
            )
        for k, operation in enumerate(scenario.operations):
            smallest, least = operation.workpiece.gripped_diameter_low, least_gripped(place, pocket)
            if scenario.pocket_of(operation) is pocket and smallest <= least:
                refuse(
                    f"operations[{k}].workpiece.gripped_diameter_low",
                    f"must be over {at_least_text(least, 2)} mm, for the bored faces, {2.0 * half:.2f} mm wide, "
                    f"to reach less than 60 deg around the part to each side, found {smallest:g} mm",
                )
