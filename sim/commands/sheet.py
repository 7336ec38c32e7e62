"""Write the setup sheet of a job, to work from at the machine."""

from __future__ import annotations

import hashlib
import os
from contextlib import suppress
from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated
from urllib.parse import quote

import typer

from sim.base.errors import ScenarioError
from sim.base.files import file_content, regular_bytes, require_place, write_whole
from sim.base.limits import PROGRAM
from sim.commands.drawing import NOT_RELEASED, Paper, Units
from sim.commands.shared import Quick, assessed, progress
from sim.commands.streams import say

if TYPE_CHECKING:
    from sim.assessment.results import Assessment
    from sim.setup_sheet.boring import SheetProgram
    from sim.setup_sheet.gauge import Gauge

LARGEST_GAUGE = 1000.0  # mm


class Language(StrEnum):
    """Languages of a sheet."""

    en = "en"
    de = "de"


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
    language: Annotated[
        Language, typer.Option(help="of its fixed words; what verdicts say stays English")
    ] = Language.en,
    gauge_height: Annotated[
        str | None,
        typer.Option(
            help="of the middle of the grip gauge above the serrated plane, as in '40 mm'; default: where the part is "
            "gripped"
        ),
    ] = None,
    gauge_diameter: Annotated[
        str | None, typer.Option(help="of the grip gauge where the jaws grip it, as in '80 mm'")
    ] = None,
    readings: Annotated[
        Path | None,
        typer.Option(help="also write a blank file for readings of the gauge, in the columns of fit (CSV)"),
    ] = None,
    program: Annotated[
        Path | None,
        typer.Option(help="program that bores the jaws, to be named on the sheet and linked in HTML"),
    ] = None,
    appendix: Annotated[
        bool,
        typer.Option(
            "--appendix", help="behind each set-up's pages all verdicts with limit and basis, and all cuts"
        ),
    ] = False,
    quick: Quick = False,
) -> None:
    """Sheet to set up by at the machine: PDF or HTML, all steps in the order of the work. It is no release."""
    from sim.drawing.written import require_kind
    from sim.setup_sheet.written import KINDS, written

    place = to or Path("out") / f"{files[0].stem}-sheet.pdf"
    require_kind(place, KINDS)
    require_place(place, folder=False)
    gauge = _gauge(gauge_height, gauge_diameter)
    _require_alone(files, readings, program)
    if readings is not None:
        _require_own(readings, [*files, place])
    bored = None if program is None else _read(program)
    with progress() as tell:
        judged = [assessed(file, tell, quick=quick) for file in files]
        tell("setup sheet")
        from sim.drawing.asked import Asked
        from sim.setup_sheet.bundle import attachments, bundled
        from sim.setup_sheet.code_text import code_texts
        from sim.setup_sheet.document import Handed, pages
        from sim.setup_sheet.form import form_of
        from sim.setup_sheet.readings_table import blank_csv, blank_rows

        bundles = [bundled(file, one.scenario) for file, one in zip(files, judged, strict=True)]
        codes = [code_texts(one) for one in bundles]
        along = None if program is None or bored is None else _program(program, bored, judged[0])
        handed = [Handed(one.texts, one.apart, gauge, along, appendix) for one in codes]
        asked = Asked(paper.value, units.value, language=language.value)
        links = [] if program is None else [(program.name, _address(program, place))]
        content = written(pages(judged, asked, handed), place, attachments(bundles), language.value, links)
    say(str(write_whole(place, content)))
    if readings is not None:
        say(str(write_whole(readings, blank_csv(blank_rows(judged[0], gauge), form_of(asked)).encode())))
    say(NOT_RELEASED)
    raise typer.Exit(1 if any(one.status == "fail" for one in judged) else 0)


def _gauge(height: str | None, diameter: str | None) -> Gauge | None:
    """Return the gauge of two options, which go together."""
    if height is None and diameter is None:
        return None
    if height is None or diameter is None:
        raise typer.BadParameter("--gauge-height and --gauge-diameter go together, found one of them")
    from sim.commands.fit_files import option_within
    from sim.setup_sheet.gauge import Gauge

    within = (0.1, LARGEST_GAUGE)
    return Gauge(
        option_within("--gauge-height", height, "length", within, "mm", 1.0),
        option_within("--gauge-diameter", diameter, "length", within, "mm", 1.0),
    )


def _require_alone(files: list[Path], readings: Path | None, program: Path | None) -> None:
    """Refuse, for several set-ups, options that mean one."""
    for option, given in (("--readings", readings), ("--program", program)):
        if given is not None and len(files) > 1:
            raise typer.BadParameter(f"{option} is for one FILE, found {len(files)}")


def _require_own(readings: Path, others: list[Path]) -> None:
    """Refuse to write blank readings over readings, or over another file of this run."""
    require_place(readings, folder=False)
    if readings.suffix.lower() != ".csv":
        raise ScenarioError(f"--readings must end in .csv, found '{readings.name}'")
    if readings.exists() or readings.is_symlink() or readings.resolve() in [one.resolve() for one in others]:
        raise ScenarioError(f"{readings}: exists already and is not overwritten: it may hold readings")


def _read(path: Path) -> bytes:
    """Return what a program's file holds."""
    try:
        return file_content(path, PROGRAM)
    except ValueError as error:
        raise ScenarioError(f"{path}: {error}") from None


def _program(path: Path, data: bytes, judged: Assessment) -> SheetProgram:
    """Return a program as the sheet names it."""
    from sim.setup_sheet.boring import SheetProgram

    named, own = judged.scenario.boring.program, None
    if named is not None:
        with suppress(OSError, ValueError):
            own = regular_bytes(judged.scenario.folder / named.file, len(data))
    return SheetProgram(path.name, hashlib.sha256(data).hexdigest()[:12], own == data)


def _address(path: Path, place: Path) -> str:
    """Return how a page in its place names a file."""
    try:
        return quote(Path(os.path.relpath(path, place.parent)).as_posix())
    except ValueError:  # on another drive
        return path.absolute().as_uri()
