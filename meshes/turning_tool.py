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
from meshes.boolean import difference, union
from meshes.boring_bar import BoringBar
from meshes.dimension import require_not_negative
from meshes.extrude import prism_along_y
from meshes.insert import Insert
from meshes.placement import placed
from meshes.stated_outline import require_carries, require_holds
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
        if isinstance(self.cutter, Insert) and isinstance(self.carrier, ToolHolder):
            require_carries("tool holder", self.carrier.thickness, self.cutter.thickness)
        if isinstance(self.carrier, BoringBar):
            if self.carrier.head is not None:
                self._require_holds("boring bar", shapely.Polygon(self.carrier.head))
        elif not self.carrier.simplified:
            self._require_holds("tool holder", tool_holder.section_polygon(self.carrier))

    def _require_holds(self, part: str, outline: shapely.Polygon) -> None:
        """Refuse a stated outline that does not hold the cutter."""
        if isinstance(self.cutter, Insert):
            rake_face = shapely.Polygon(inserts.outline(self.cutter, self.approach_angle))
            require_holds(part, outline, rake_face, self.cutter.nose_radius)
        else:
            require_holds(part, outline, shapely.Polygon(self.cutter.outline), None)


def bodies(tool: TurningTool) -> dict[str, trimesh.Trimesh]:
    """Return the tool as closed solids by name, for drawing: 'cutter', 'carrier' and, if there is one, 'turret'.

    Raises
    ------
    ValueError
        If bar and insert do not go together.
    """
    return {name: _turned(tool, solid) for name, solid in _outward(tool).items()}


def mesh(tool: TurningTool) -> trimesh.Trimesh:
    """Return the tool as one closed solid.

    Raises
    ------
    ValueError
        If bar and insert do not go together.
    """
    return _turned(tool, union(list(_outward(tool).values())))


def _turned(tool: TurningTool, solid: trimesh.Trimesh) -> trimesh.Trimesh:
    return placed(solid, _HALF_TURN) if tool.cuts == "inward" else solid


def _outward(tool: TurningTool) -> dict[str, trimesh.Trimesh]:
    """Return the solids as they cut outward."""
    found: dict[str, trimesh.Trimesh] = {}
    if isinstance(tool.cutter, Insert):
        if isinstance(tool.carrier, ToolHolder):
            found["cutter"] = inserts.mesh(tool.cutter, tool.approach_angle)
        else:
            found["cutter"] = boring_bar.insert_mesh(tool.carrier, tool.cutter, tool.approach_angle)
    else:
        found["cutter"] = prism_along_y(shapely.Polygon(tool.cutter.outline), 0.0, BLADE)
    if isinstance(tool.carrier, ToolHolder):
        # Its own pocket for the insert: faces that coincide cannot be drawn.
        found["carrier"] = difference(tool_holder.mesh(tool.carrier), [found["cutter"]])
    elif isinstance(tool.cutter, Insert):
        found["carrier"] = boring_bar.body_mesh(tool.carrier, tool.cutter, tool.approach_angle)
    if tool.turret is not None:
        found["turret"] = tool_holder.mesh(tool.turret)
    return found
