"""Draw a setup in true scale, for the machine or for another program."""

from __future__ import annotations

from enum import StrEnum
from pathlib import Path
from typing import Annotated

import typer

from sim.base.errors import ScenarioError
from sim.base.files import require_place, write_whole
from sim.commands.shared import File, Quick, assessed, leave, progress
from sim.commands.streams import say

NOT_RELEASED = "Not released: a competent person does that, part and machine in sight."


class Subject(StrEnum):
    """What is drawn."""

    pocket = "pocket"
    jaws = "jaws"
    assembly = "assembly"


class Paper(StrEnum):
    """Sizes of paper."""

    a4 = "A4"
    letter = "Letter"


class Units(StrEnum):
    """Units of dimensions."""

    mm = "mm"
    inch = "inch"


class Projection(StrEnum):
    """Where the view from the tailstock stands."""

    first = "first"
    third = "third"


def drawing(
    file: File,
    of: Annotated[
        Subject,
        typer.Option(
            help="the pockets in a jaw, the jaw set from the tailstock, the assembly in section",
            show_default=False,
        ),
    ],
    to: Annotated[Path, typer.Option(help="file, ending in .svg, .pdf or .dxf", show_default=False)],
    *,
    stage: Annotated[
        str | None,
        typer.Option(help="of the assembly: boring, or an operation by name; default: the first operation"),
    ] = None,
    paper: Annotated[Paper, typer.Option(help="size of the paper")] = Paper.a4,
    units: Annotated[Units, typer.Option(help="of the dimensions, and of a DXF file")] = Units.mm,
    projection: Annotated[
        Projection, typer.Option(help="angle: where the view from the tailstock stands beside a section")
    ] = Projection.first,
    quick: Quick = False,
) -> None:
    """Dimensioned drawing in true scale: SVG, PDF or DXF, chuck left. It is no release."""
    from sim.drawing.written import require_kind, written

    require_kind(to)
    require_place(to, folder=False)
    if stage is not None and of is not Subject.assembly:
        raise typer.BadParameter(f"--stage is for --of assembly, found it with --of {of.value}")
    with progress() as tell:
        judged = assessed(file, tell, quick=quick)
        tell("drawing")
        from sim.drawing.asked import Asked
        from sim.drawing.drawing import drawing as drawn

        asked = Asked(paper.value, units.value, projection.value)
        try:
            content = written(drawn(judged, of.value, asked, stage), to)
        except ScenarioError as error:
            raise ScenarioError(f"{file}: {error}") from None
    say(str(write_whole(to, content)))
    say(NOT_RELEASED)
    leave(judged)
