"""A turning tool with all that moves with it: cutter, bar or holder, turret; origin at the programmed tip.

The frame is that of `meshes.insert`: a tool that cuts outward (+x) and towards the chuck (-z). A tool that cuts
inward, as for outer diameters, is the same turned by half a turn about z.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
import shapely
import trimesh

from meshes import boring_bar, tool_holder
from meshes import insert as inserts
from meshes.boring_bar import BoringBar
from meshes.dimension import require_not_negative
from meshes.extrude import prism_along_y
from meshes.insert import Insert
from meshes.placement import placed
from meshes.tool_holder import ToolHolder

_HALF_TURN = np.diag([-1.0, -1.0, 1.0, 1.0])
BLADE = 4.0  # mm of thickness with which a cutter by its outline is drawn


@dataclass(frozen=True, slots=True)
class Cutter:
    """A cutting part that no insert designation describes: a grooving blade, a form tool, a drill.

    Attributes
    ----------
    outline : tuple of (x, z)
        Closed polygon in mm relative to the programmed tip, first point not repeated.
    nose_radius : float
        mm, for nose radius compensation; the outline has its rounding drawn.
    """

    outline: tuple[tuple[float, float], ...]
    nose_radius: float = 0.0

    def __post_init__(self) -> None:
        require_not_negative("cutter", nose_radius=self.nose_radius)
        ToolHolder(self.outline, BLADE)  # refuses an outline that bounds nothing


@dataclass(frozen=True, slots=True)
class TurningTool:
    """A tool of the turret.

    Attributes
    ----------
    name : str
    cutter : Insert or Cutter
    approach_angle : float
        KAPR of an insert, rad.
    carrier : BoringBar or ToolHolder
        A bar takes an insert only.
    cuts : {'outward', 'inward'}
        Outward as a boring bar, inward as a tool for outer diameters.
    turret : ToolHolder, optional
        Side view of what carries bar or holder.
    """

    name: str
    cutter: Insert | Cutter
    approach_angle: float
    carrier: BoringBar | ToolHolder
    cuts: Literal["outward", "inward"] = "outward"
    turret: ToolHolder | None = None

    def __post_init__(self) -> None:
        if isinstance(self.carrier, BoringBar) and not isinstance(self.cutter, Insert):
            raise ValueError(
                "a bar must hold an insert by its designation; a cutter by its outline takes a holder"
            )


def mesh(tool: TurningTool) -> trimesh.Trimesh:
    """Return the tool as a mesh for drawing; its parts are closed and may overlap.

    Raises
    ------
    ValueError
        If bar and insert do not go together.
    """
    solids = []
    if isinstance(tool.carrier, BoringBar) and isinstance(tool.cutter, Insert):
        solids.append(boring_bar.mesh(tool.carrier, tool.cutter, tool.approach_angle))
    elif isinstance(tool.carrier, ToolHolder):
        solids.append(tool_holder.mesh(tool.carrier))
        if isinstance(tool.cutter, Insert):
            solids.append(inserts.mesh(tool.cutter, tool.approach_angle))
        else:
            solids.append(prism_along_y(shapely.Polygon(tool.cutter.outline), 0.0, BLADE))
    if tool.turret is not None:
        solids.append(tool_holder.mesh(tool.turret))
    whole = solids[0]
    for solid in solids[1:]:
        whole = whole + solid
    return placed(whole, _HALF_TURN) if tool.cuts == "inward" else whole
