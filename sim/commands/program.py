"""Write the program that bores the jaws."""

from __future__ import annotations

from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from sim.base.beside import working_folder
from sim.base.errors import ScenarioError
from sim.base.files import require_place, write_whole
from sim.base.share import Tell
from sim.commands.shared import File, Quick, assessed, leave, progress
from sim.commands.streams import say

if TYPE_CHECKING:
    from sim.assessment.results import Assessment
    from sim.report.boring_program import Asked, WrittenProgram


class System(StrEnum):
    """Code systems of lathes, by the code that turns in them."""

    g90 = "G90 cycles"
    g77 = "G77 cycles"
    g20 = "G20 cycles"
    iso = "ISO"


def program(
    file: File,
    code_system: Annotated[
        System | None,
        typer.Option(
            help="code system of the control: 'G90 cycles' where G90 X Z turns and G99 is feed per revolution, 'G77 "
            "cycles' where G77 turns and G95 is, 'G20 cycles' where G20 turns, 'ISO' where none does",
            show_default=False,
        ),
    ] = None,
    out: Annotated[
        Path | None,
        typer.Option("--out", help="program; default: out/<scenario>.nc, with a fixture's seat two of them"),
    ] = None,
    *,
    zero: Annotated[
        str | None,
        typer.Option(
            help="height of Z0 above the serrated plane, as in '50 mm'; default: the jaws' top face"
        ),
    ] = None,
    station: Annotated[
        int, typer.Option(min=1, max=99, help="of the boring bar, offset of the same number")
    ] = 1,
    number: Annotated[
        int | None, typer.Option(min=1, max=9998, help="of the program (O word); none if not stated")
    ] = None,
    quick: Quick = False,
) -> None:
    """Write the program that bores the jaws, longhand, and judge it again as it is read back."""
    if code_system is None:
        known = ", ".join(f"'{one.value}'" for one in System)
        raise typer.BadParameter(
            f"--code-system must state that of the control, one of {known}; it is not guessed"
        )
    with progress() as tell:
        judged = assessed(file, tell, quick=quick)
        from sim.base import units
        from sim.report.boring_program import Asked

        try:
            height = None if zero is None else units.read(zero, "length")
        except ValueError as error:
            raise typer.BadParameter(f"--zero {error}") from None
        asked = Asked(code_system.value, station, number, height)
        programs = made_programs(file, judged, asked)
        places = _places(out or Path("out") / f"{file.stem}.nc", [one.what for one in programs])
        for place in places:
            require_place(place, folder=False)
        require_read_back(file, judged, asked, programs[-1], tell, quick=quick)
        for one, place in zip(programs, places, strict=True):
            write_whole(place, one.text.encode("ascii"))
            say(str(place))
    say("Unproven: dry-run it above the jaws; a competent person releases it on the machine.")
    leave(judged)


def made_programs(file: Path, judged: Assessment, asked: Asked) -> tuple[WrittenProgram, ...]:
    """Return the programs that bore the jaws of a judged file, in the order in which they are run.

    Raises
    ------
    ScenarioError
        If none is written of such a setup; the sentence names the file.
    """
    from sim.report.boring_program import require_same_moves, written_programs

    try:
        programs = written_programs(judged, asked)
        for one in programs:
            require_same_moves(one)
    except ScenarioError as error:
        raise ScenarioError(f"{file}: {error}") from None
    return programs


def require_read_back(
    file: Path,
    judged: Assessment,
    asked: Asked,
    written: WrittenProgram,
    tell: Tell,
    *,
    quick: bool,
) -> None:
    """Refuse a program with which the setup is judged otherwise, once it is read back.

    Raises
    ------
    ScenarioError
        What differs; the sentence names the file.
    """
    from sim.report.boring_program import as_stated_program, judged_otherwise

    tell("reading back")
    with working_folder() as folder:
        back = folder / "program.nc"
        back.write_text(written.text, encoding="ascii")
        stated = as_stated_program(judged, written, str(back), asked.station)
        again = assessed(file, tell, quick=quick, changes={"boring.program": stated})
    told = judged_otherwise(judged, again)
    if told:
        raise ScenarioError(
            f"{file}: no program is written, read back it is judged otherwise: {'; '.join(told)}"
        )


def _places(out: Path, whats: list[str]) -> list[Path]:
    """Return a path for each program; what it bores is told apart in the name where there are several."""
    if len(whats) == 1:
        return [out]
    return [
        out.with_name(f"{out.stem}-{count}-{what}{out.suffix}") for count, what in enumerate(whats, start=1)
    ]
