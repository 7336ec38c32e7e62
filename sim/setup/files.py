"""What the files hold that a setup names, read once before anything is built of them."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import trimesh

from sim.base.errors import ScenarioError, in_field
from sim.base.files import any_text, file_content
from sim.base.limits import DRAWING, JAW, PROGRAM
from sim.scenario import CuttingProgram, Drawing, JawModel, ProgramTool, Scenario
from sim.setup.drawn_outline import drawn_outline
from sim.setup.jaw_model import jaw_model
from sim.setup.tooling import Drawn


@dataclass(frozen=True, slots=True, eq=False)
class SetupFiles:
    """What was read of the files that a setup names.

    Attributes
    ----------
    jaw : Trimesh or None
        The soft jaw's solid from its model file in the jaw's frame, mm; None without one.
    drawn : mapping of Drawing to tuple of tuple of float
        The corners (x, z) of each drawn shape of a tool, mm from the programmed tip.
    boring_text : str or None
        The program that bores the jaws; None without one.
    part_texts : tuple of str or None
        The program of each operation.
    """

    jaw: trimesh.Trimesh | None
    drawn: Drawn
    boring_text: str | None
    part_texts: tuple[str | None, ...]


def read_files(scenario: Scenario) -> SetupFiles:
    """Return what the files of a setup hold: all are read first, then made sense of.

    Raises
    ------
    ScenarioError, ValueError
        If a file cannot be read or does not hold what it is to hold; names the field and the file.
    """
    folder, model = scenario.folder, scenario.soft_jaw.model
    jaw = None if model is None else jaw_bytes(model, folder)
    drawings = [
        (field, drawing, drawing_bytes(drawing, folder, field)) for field, drawing in _drawings(scenario)
    ]
    boring = scenario.boring.program
    boring_text = None if boring is None else program_text(boring, "boring.program", folder)
    part_texts = tuple(
        None if o.program is None else program_text(o.program, f"operations[{n}].program", folder)
        for n, o in enumerate(scenario.operations)
    )
    drawn = {}
    for field, drawing, data in drawings:
        with in_field(field):
            drawn[drawing] = drawn_outline(drawing, data)
    return SetupFiles(None if jaw is None else jaw_model(scenario, jaw), drawn, boring_text, part_texts)


def jaw_bytes(stated: JawModel, folder: Path) -> bytes:
    """Return what the model file of a soft jaw holds.

    Raises
    ------
    ValueError
        If there is none of a form that is read, or it has no end; the message names the field.
    """
    field, path = "soft_jaw.model.file", folder / stated.file
    if path.suffix.lower() not in (".stl", ".glb"):
        raise ValueError(f"{field} must be an STL or GLB file, found {stated.file}")
    if not path.is_file():
        raise ValueError(f"{field} must name a model file, found none at {path}")
    try:
        return file_content(path, JAW)
    except ValueError as error:
        words = f"{error} in {stated.file}" if str(error).startswith("must") else f"{stated.file} {error}"
        raise ValueError(f"{field} {words}") from None


def drawing_bytes(stated: Drawing, folder: Path, field: str) -> bytes:
    """Return what the file of a drawing holds; `field` is the drawing's, for messages.

    Raises
    ------
    ScenarioError
        If it cannot be read.
    """
    try:
        return file_content(folder / stated.file, DRAWING)
    except ValueError as error:
        raise ScenarioError(f"{field}: file {stated.file} {error}") from None


def program_text(stated: CuttingProgram, field: str, folder: Path) -> str:
    """Return the text of a program's file.

    Raises
    ------
    ScenarioError
        If there is no such file, or it is no text.
    """
    path = folder / stated.file
    if not path.is_file():
        raise ScenarioError(f"{field}.file must name a program file, found none at {path}")
    try:
        return any_text(file_content(path, PROGRAM), PROGRAM)
    except ValueError as error:
        raise ScenarioError(f"{field}.file {stated.file} {error}") from None


def _drawings(scenario: Scenario) -> Iterator[tuple[str, Drawing]]:
    """Yield each drawing of a tool that is asked for, with its field."""
    boring = scenario.boring
    if boring.program is not None and boring.program.tools:
        yield from _of_tools("boring.program", boring.program.tools)
    elif boring.tool is not None and boring.tool.head is not None and boring.tool.head.drawing is not None:
        yield "boring.tool: head.drawing", boring.tool.head.drawing
    for number, operation in enumerate(scenario.operations):
        if operation.program is not None:
            yield from _of_tools(f"operations[{number}].program", operation.program.tools)


def _of_tools(field: str, tools: tuple[ProgramTool, ...]) -> Iterator[tuple[str, Drawing]]:
    for number, tool in enumerate(tools):
        shapes = {
            "turret": tool.turret,
            "bar.head": None if tool.bar is None else tool.bar.head,
            "plate": tool.plate,
            "holder.head": None if tool.holder is None else tool.holder.head,
        }
        for name, shape in shapes.items():
            if shape is not None and shape.drawing is not None:
                yield f"{field}.tools[{number}]: {name}.drawing", shape.drawing
