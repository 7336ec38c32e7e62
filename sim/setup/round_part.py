"""Whether a part from a file is turned all around where jaws grip it and rollers of a steady rest run. mm."""

from __future__ import annotations

import shapely

from sim.scenario import Scenario
from sim.setup.held import GRIPPED_WITHIN, held_zone
from sim.setup.part_model import FAR, all_around, swept
from sim.setup.refusal import refuse


def require_round(scenario: Scenario) -> None:
    """Refuse a part whose surface is not round where it is gripped or rolls: jaws and rollers count as on its core.

    Raises
    ------
    ScenarioError
        Names the field, what was found and what is allowed.
    """
    for number, operation in enumerate(scenario.operations):
        work = operation.workpiece
        if work.shape is None or work.shape.surface is None or work.model is None:
            continue
        zone, least, most = (
            held_zone(scenario, number),
            all_around(work.shape.surface),
            swept(work.shape.surface),
        )
        radius = 0.25 * (work.gripped_diameter_low + work.gripped_diameter_high)
        outside = operation.gripping.direction == "outside"
        low, high = (radius - GRIPPED_WITHIN, FAR) if outside else (0.0, radius + GRIPPED_WITHIN)
        places = [("where the jaws grip it", (low, zone.low - zone.seat, high, zone.high - zone.seat))]
        if operation.steady_rest is not None:
            half, at = 0.5 * operation.steady_rest.roller_width, operation.steady_rest.height
            core = shapely.intersection(
                shapely.Polygon(work.outline), shapely.box(0.0, at - half, FAR, at + half)
            )
            beside = core.bounds[2] - GRIPPED_WITHIN
            places.append(("where the steady rest's rollers run", (beside, at - half, FAR, at + half)))
        for words, box in places:
            uneven = shapely.intersection(shapely.difference(most, least), shapely.box(*box))
            if not shapely.is_empty(shapely.buffer(uneven, -0.5 * work.model.tolerance)):
                worst = max(shapely.get_parts(uneven), key=lambda piece: piece.area)
                refuse(
                    f"operations[{number}].workpiece.model",
                    f"must be turned all around {words}, z = {box[1]:.4g} to {box[3]:.4g} mm, within its tolerance of "
                    f"{work.model.tolerance:g} mm, found its surface anywhere between radius {worst.bounds[0]:.2f} and "
                    f"{worst.bounds[2]:.2f} mm near z = {worst.centroid.y:.4g} mm in {work.model.file} (a flat, a "
                    "hole, a lug; or triangles so coarse that their chords leave the circle)",
                )
