"""What a file of the part tells a first setup: its length, its far end, its bore, and how the scenario names it."""

from __future__ import annotations

import itertools
import json
from dataclasses import dataclass, replace
from pathlib import Path

from meshes.sides import Arc
from sim.base.errors import ScenarioError
from sim.part_files.part import PartShape
from sim.scenario.part_model import PartModel, part_shape

SAME = 1e-3  # mm
LEAST = 2.0  # mm of a cylinder's length that is worth being named


@dataclass(frozen=True, slots=True, eq=False)
class Drawn:
    """A part in a file.

    Attributes
    ----------
    model : PartModel
        Its file named from the scenario's folder.
    place : Path
        The file.
    shape : PartShape
    """

    model: PartModel
    place: Path
    shape: PartShape

    @property
    def length(self) -> float:
        """Height of its far end above the face on the jaws, mm."""
        return max(z for _, z in self.shape.outline)

    @property
    def far_end(self) -> float:
        """Diameter of its far end, mm."""
        return 2.0 * max(r for r, z in self.shape.outline if z > self.length - SAME)

    @property
    def bore(self) -> float:
        """Diameter of the narrowest of its bore, 0 for none, mm."""
        return 2.0 * min(r for r, _ in self.shape.outline)

    @property
    def cylinders(self) -> tuple[tuple[float, float, float], ...]:
        """Diameter and both heights of each cylinder around it, mm, from the chuck on."""
        corners = self.shape.outline
        found = []
        for (r0, z0), (r1, z1) in itertools.pairwise((*corners, corners[0])):
            if (
                abs(r1 - r0) <= SAME and z1 - z0 >= LEAST and r0 > 0.0
            ):  # counter-clockwise: outside runs upward
                found.append((2.0 * r0, z0, z1))
        return tuple(sorted(found, key=lambda one: one[1]))

    @property
    def words(self) -> str:
        """What was read, in one sentence."""
        round_ = ", ".join(f"{d:.4g} mm from {low:.4g} to {high:.4g}" for d, low, high in self.cylinders)
        kind = (
            f"a body of revolution within {self.shape.deviation:.2g} mm"
            if self.shape.surface is None
            else "no body of revolution: the contact takes its turned core, all of it counts for mass, unbalance, "
            "swing and clearance"
        )
        radii = sorted(
            {f"{side.radius:.4g}" for side in self.shape.sides if isinstance(side, Arc)}, key=float
        )
        arcs = f"; arcs of {', '.join(radii)} mm" if radii else ""
        return f"{self.model.file}: axis {self.shape.axis}; {kind}; cylinders: {round_ or 'none'}{arcs}"

    def text(self) -> str:
        """Return the table that names it, as a scenario states it."""
        stated = {key: getattr(self.model, key) for key in ("file", "unit", "axis", "chuck_end", "layer")}
        told = [f"{key} = {json.dumps(value, ensure_ascii=False)}" for key, value in stated.items() if value]
        if "axis_at" in self.model.model_fields_set:
            told.append(f'axis_at = "{self.model.axis_at:g} mm"')
        if "tolerance" in self.model.model_fields_set:
            told.append(f'tolerance = "{self.model.tolerance:g} mm"')
        return "{ " + ", ".join(told) + " }"

    def by_whole_path(self) -> Drawn:
        """Return the same, its file named by its whole path, as from any folder."""
        return replace(self, model=self.model.model_copy(update={"file": str(self.place.resolve())}))

    def require_gripped(self, low: float, high: float) -> None:
        """Refuse a gripped diameter (mm) that no cylinder of it has.

        Raises
        ------
        ScenarioError
        """
        if all(abs(d - 0.5 * (low + high)) > 1.0 for d, _, _ in self.cylinders):
            raise ScenarioError(f"no cylinder there is gripped at {low:g} to {high:g} mm; {self.words}")


def drawn(model: PartModel, folder: Path) -> Drawn:
    """Return what a file tells that is named from a folder.

    Raises
    ------
    ScenarioError
        One sentence on the file.
    """
    return Drawn(model, folder / model.file, part_shape(model, folder))
