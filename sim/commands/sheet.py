"""Write the setup sheet of a job, to work from at the machine."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from sim.base.files import require_place, write_whole
from sim.commands.drawing import NOT_RELEASED, Paper, Units
from sim.commands.shared import Quick, assessed, progress
from sim.commands.streams import say


def sheet(
    files: Annotated[
        list[Path],
        typer.Argument(
            metavar="FILE...",
            help="scenario files (TOML), all set-ups of a job in the order of its work",
            show_default=False,
        ),
    ],
    to: Annotated[
        Path | None, typer.Option(help="file, ending in .pdf or .html; default: out/<scenario>-sheet.pdf")
    ] = None,
    *,
    paper: Annotated[Paper, typer.Option(help="size of the paper")] = Paper.a4,
    units: Annotated[Units, typer.Option(help="of lengths")] = Units.mm,
    quick: Quick = False,
) -> None:
    """Sheet to set up by at the machine: PDF or HTML, all steps in the order of the work. It is no release."""
    from sim.drawing.written import require_kind
    from sim.setup_sheet.written import KINDS, written

    place = to or Path("out") / f"{files[0].stem}-sheet.pdf"
    require_kind(place, KINDS)
    require_place(place, folder=False)
    with progress() as tell:
        judged = [assessed(file, tell, quick=quick) for file in files]
        tell("setup sheet")
        from sim.drawing.asked import Asked
        from sim.setup_sheet.document import pages

        content = written(pages(judged, Asked(paper.value, units.value)), place)
    say(str(write_whole(place, content)))
    say(NOT_RELEASED)
    raise typer.Exit(1 if any(one.status == "fail" for one in judged) else 0)
