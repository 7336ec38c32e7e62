"""What pictures draw on the solids that are judged: numbers, marks, threads and screws as lines, teeth as solids."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import trimesh

from meshes.boolean import difference
from meshes.placement import placed
from sim.assessment.results import Assessment
from sim.base.arrays import Floats
from sim.views.bodies import Body, bodies, details, placement, slide_of, toothed


@dataclass(frozen=True, slots=True, eq=False)
class DrawnOn:
    """What is drawn beside the solids of a stage, in the machine's frame.

    Attributes
    ----------
    lines : dict of str to (n, 2, 3) array
        Lines on the body of that name, mm.
    instead : dict of str to Trimesh
        A finer solid for the body of that name: master jaws with their grooves.
    solids : tuple of (Body, Trimesh)
        Teeth of the soft jaws; metal in metal.
    """

    lines: dict[str, Floats]
    instead: dict[str, trimesh.Trimesh]
    solids: tuple[tuple[Body, trimesh.Trimesh], ...]


def drawn_on(
    assessment: Assessment,
    stage: str,
    travel: float,
    *,
    tip: tuple[float, float] = (0.0, 0.0),
    run: int | None = None,
    apart: float = 0.0,
) -> DrawnOn:
    """Return what is drawn on the solids of a stage at a state.

    Parameters
    ----------
    assessment : Assessment
    stage : str
        'boring' or the operation's number.
    travel : float
        Of the jaws, mm.
    tip : (x, z)
        Of the tool, mm.
    run : int, optional
        Which of the path's tools stands there.
    apart : float
        0 as it stands to 1 pulled apart. Share, no unit.
    """
    slide = slide_of(assessment.parts)
    lines: dict[str, Floats] = {}
    solids = []
    for body, solid in details(assessment):
        if (body.stages and stage not in body.stages) or (body.run is not None and body.run != run):
            continue
        at = placement(body, slide, travel, tip=tip, apart=apart)
        if isinstance(solid, trimesh.Trimesh):
            solids.append((body, placed(solid, at)))
        else:
            lines[body.name] = solid @ at[:3, :3].T + at[:3, 3]
    grooved = toothed(assessment.parts)
    instead = {
        body.name: placed(grooved, placement(body, slide, travel, apart=apart))
        for body in bodies(assessment)
        if body.kind == "master jaw"
    }
    return DrawnOn(lines, instead, tuple(solids))


def without(
    mesh: trimesh.Trimesh, lines: Floats | None, box: trimesh.Trimesh
) -> tuple[trimesh.Trimesh, Floats | None]:
    """Return what is left of a solid and of the lines on it when an upright box is taken away."""
    (low, high), (least, most) = mesh.bounds, box.bounds
    if np.any(high <= least) or np.any(low >= most):
        return mesh, lines
    return difference(mesh, [box]), None if lines is None else beyond(lines, box)


def beyond(lines: Floats, box: trimesh.Trimesh) -> Floats:
    """Return the lines (n, 2, 3) whose middles lie outside of an upright box: what is left of them by a section."""
    low, high = box.bounds
    middles = lines.mean(axis=1)
    kept: Floats = lines[~np.all((middles > low) & (middles < high), axis=1)]
    return kept
