"""The soft jaw of a setup, blank and bored, as STEP, STL and 3MF. Its own frame, mm."""

from __future__ import annotations

from datetime import date

import trimesh

from sim.base.errors import NotAvailableError
from sim.drawing.jaw_shape import jaw_shape
from sim.exports.handed import HandedFile, LeftOut
from sim.exports.jaw_faces import jaw_faces
from sim.exports.jaw_sheets import jaw_plan
from sim.exports.step_file import step
from sim.exports.triangles import stl, three_mf
from sim.setup.earlier_bores import earlier_bores
from sim.setup.parts import Parts

FRAME = "x outward from the inner end, z up from the serrated plane"


def jaw_step(parts: Parts, day: date, *, bored: bool) -> bytes:
    """Return the jaw as STEP, bored or as it is mounted; its faces are exact.

    Raises
    ------
    NotAvailableError
        One sentence, if it comes from a model file or has an edge that is no exact curve.
    """
    if parts.scenario.soft_jaw.model is not None:
        raise NotAvailableError(
            "no STEP file of the jaw: it comes from the triangles of soft_jaw.model.file, which have no exact faces; "
            "its STL and 3MF files stand for it"
        )
    shape = jaw_shape(parts)
    turned = shape.turned if bored else earlier_bores(parts.scenario)
    plan = jaw_plan(shape.blank, turned)
    return step(jaw_faces(plan), plan.cells, f"soft jaw {'bored' if bored else 'blank'}", day)


def jaw_files(parts: Parts, day: date) -> tuple[list[HandedFile], list[LeftOut]]:
    """Return the files of blank and bored jaw, and those that could not be made."""
    files: list[HandedFile] = []
    left_out: list[LeftOut] = []
    solids: tuple[tuple[str, trimesh.Trimesh, str], ...] = (
        ("bored", parts.bored, "soft jaw as bored"),
        ("blank", parts.blank, "soft jaw as it is mounted, before it is bored"),
    )
    for name, solid, what in solids:
        place = f"soft-jaw-{name}"
        try:
            content = jaw_step(parts, day, bored=name == "bored")
            files.append(HandedFile(f"{place}.step", content, f"{what}, exact faces; {FRAME}", "mm"))
        except NotAvailableError as error:
            left_out.append(LeftOut(f"{place}.step", str(error)))
        triangles = f"{what}, triangles; {FRAME}"
        head = f"chuckscene soft jaw {name}, mm, not released"
        files.append(HandedFile(f"{place}.stl", stl(solid, head), f"{triangles}; STL states no unit", "mm"))
        files.append(HandedFile(f"{place}.3mf", three_mf(solid, f"soft jaw {name}"), triangles, "mm"))
    return files, left_out
