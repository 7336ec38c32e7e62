"""Centre and steady rest: their dimensions, and a part on which they can bear. Lengths in mm."""

from __future__ import annotations

import numpy as np
import shapely

from meshes.centre import Centre, depth
from meshes.steady_rest import SteadyRest
from sim.base.errors import in_field
from sim.scenario import Operation, Scenario
from sim.setup.refusal import refuse

QUILL_LENGTH = 300.0  # shown and kept clear of; what stands behind it is the machine's
ROUND = 0.01  # by which the surface under a roller may differ in radius
BELOW = 0.01  # below a face at which its section is looked at


def centre_dimensions(operation: Operation, number: int) -> Centre | None:
    """Return the dimensions of the centre of an operation; None without one."""
    stated = operation.tailstock
    if stated is None:
        return None
    with in_field(f"operations[{number}].tailstock"):
        return Centre(
            stated.cone_angle,
            stated.cone_diameter,
            stated.body_diameter,
            stated.body_length,
            stated.quill_diameter,
            QUILL_LENGTH,
        )


def centre_tip(operation: Operation) -> float:
    """Return z of the centre's tip in the part's own frame; there must be one."""
    stated = operation.tailstock
    if stated is None:
        raise TypeError("an operation without a tailstock has no centre")
    return stated.height - depth(stated.hole_diameter, stated.cone_angle)


def steady_dimensions(operation: Operation, number: int) -> SteadyRest | None:
    """Return the dimensions of the steady rest of an operation, its rollers on the part; None without one."""
    stated = operation.steady_rest
    if stated is None:
        return None
    with in_field(f"operations[{number}].steady_rest"):
        return SteadyRest(
            2.0 * max(_radii(operation, stated.height)),
            stated.roller_diameter,
            stated.roller_width,
            stated.frame_diameter,
            stated.frame_width,
        )


def require_supports(scenario: Scenario) -> None:
    """Refuse a centre or a steady rest that the part does not reach, or that stands in jaws or in a cut."""
    for number, operation in enumerate(scenario.operations):
        wall = scenario.pocket_of(operation).depth  # the jaws' top face in the part's own frame
        _require_centre(operation, f"operations[{number}]", wall)
        _require_steady(operation, f"operations[{number}]", wall)


def _require_centre(operation: Operation, field: str, wall: float) -> None:
    stated = operation.tailstock
    if stated is None:
        return
    highest = max(z for _, z in operation.workpiece.outline)
    found = stated.height
    if not wall < found <= highest:
        refuse(
            f"{field}.tailstock.height",
            f"must lie on the part beyond the jaws, over {wall:g} mm and up to {highest:g} mm, found {found:g} mm",
        )
    body = centre_tip(operation) + depth(stated.cone_diameter, stated.cone_angle)
    if body < highest and body < wall:
        refuse(
            f"{field}.tailstock.cone_diameter",
            f"must keep the centre's body out of the jaws, whose top face lies at {wall:g} mm, found it at {body:g} mm",
        )
    radii = _radii(operation, found - BELOW)
    if not radii or not 2.0 * min(radii) < stated.hole_diameter < 2.0 * max(radii):
        bore, outside = (2.0 * min(radii), 2.0 * max(radii)) if radii else (0.0, 0.0)
        refuse(
            f"{field}.tailstock.hole_diameter",
            f"must lie between the part's bore and its outside there, {bore:g} and {outside:g} mm, for the cone to "
            f"bear on, found {stated.hole_diameter:g} mm",
        )
    for k, cut in enumerate(operation.cuts):
        if (
            cut.kind in ("drilling", "tapping")
            and 2.0 * (cut.off_axis or 0.0) < cut.diameter + stated.hole_diameter
        ):
            refuse(
                f"{field}.cuts[{k}].kind",
                f"must not be {cut.kind} where the centre stands: take the tailstock out of this operation, and the "
                "cut into another",
            )


def _require_steady(operation: Operation, field: str, wall: float) -> None:
    stated = operation.steady_rest
    if stated is None:
        return
    highest, half = max(z for _, z in operation.workpiece.outline), 0.5 * stated.roller_width
    if not wall + 0.5 * max(stated.frame_width, stated.roller_width) < stated.height <= highest - half:
        low = wall + 0.5 * max(stated.frame_width, stated.roller_width)
        refuse(
            f"{field}.steady_rest.height",
            f"must keep frame and rollers before the jaws and the rollers on the part, over {low:g} mm and up to "
            f"{highest - half:g} mm, found {stated.height:g} mm",
        )
    ends = [
        max(_radii(operation, z), default=0.0)
        for z in np.linspace(stated.height - half, stated.height + half, 5)
    ]
    if max(ends) - min(ends) > ROUND:
        refuse(
            f"{field}.steady_rest.height",
            f"must lie where the part is a cylinder under the rollers, found radii of {min(ends):g} to {max(ends):g} "
            f"mm within {stated.roller_width:g} mm",
        )
    if operation.tailstock is not None and not stated.height < centre_tip(operation):
        refuse(
            f"{field}.steady_rest.height",
            f"must lie between the jaws and the centre's tip at {centre_tip(operation):g} mm, found "
            f"{stated.height:g} mm",
        )


def _radii(operation: Operation, height: float) -> list[float]:
    """Return the radii between which the part has metal at a height, its own frame; empty where it has none."""
    section = shapely.Polygon(operation.workpiece.outline)
    far = 2.0 * max(r for r, _ in operation.workpiece.outline) + 1.0
    met = shapely.intersection(section, shapely.LineString([(0.0, height), (far, height)]))
    return [] if met.is_empty else [met.bounds[0], met.bounds[2]]
