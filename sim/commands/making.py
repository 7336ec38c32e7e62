"""The commands that a page has buttons for: each writes beside the file that the page shows."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

import typer

from sim.base.errors import ScenarioError
from sim.commands.drawing import Subject, drawing
from sim.commands.program import System, program
from sim.commands.sheet import sheet
from sim.commands.views import review

if TYPE_CHECKING:
    from sim.views.web.making import Maker


def _as_command(run: Callable[[], None]) -> None:
    """Run a command; that it ends with a status of its own tells only what the verdicts are.

    Raises
    ------
    ScenarioError
        What it says where it is not asked rightly.
    """
    try:
        run()
    except typer.Exit:
        return
    except typer.BadParameter as error:
        raise ScenarioError(error.format_message()) from None


def makers(*, quick: bool) -> tuple[Maker, ...]:
    """Return what can be made of a setup from its page; `quick` as of the page."""
    from sim.views.web.making import Maker

    def drawn(subject: Subject) -> Callable[[Path, Path, str], None]:
        return lambda file, to, _: _as_command(lambda: drawing(file, subject, to, quick=quick))

    return (
        Maker(
            "review",
            "review page",
            ".html",
            lambda file, to, _: _as_command(lambda: review(file, to, quick=quick)),
        ),
        Maker(
            "sheet",
            "setup sheet",
            "-sheet.pdf",
            lambda file, to, _: _as_command(lambda: sheet([file], to, quick=quick)),
        ),
        Maker("pocket", "drawing of the pockets", "-pocket.pdf", drawn(Subject.pocket)),
        Maker("jaws", "drawing of the jaw set", "-jaws.pdf", drawn(Subject.jaws)),
        Maker("assembly", "drawing of the assembly", "-assembly.pdf", drawn(Subject.assembly)),
        Maker(
            "program",
            "boring program",
            ".nc",
            lambda file, to, chosen: _as_command(lambda: program(file, System(chosen), to, quick=quick)),
            choice="code system of the control",
            options=tuple(one.value for one in System),
        ),
    )
