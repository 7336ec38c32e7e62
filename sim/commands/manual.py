"""The command that shows the manual."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from sim.base.errors import ChuckSceneError, OutputError
from sim.base.files import require_place
from sim.commands.streams import say

PLACE = Path("out") / "manual.html"


def manual(
    page: Annotated[
        str | None,
        typer.Argument(
            help="the page to show; default: the list of pages. With --html the file to write (.html); default: "
            f"{PLACE.as_posix()}",
            show_default=False,
        ),
    ] = None,
    *,
    html: Annotated[
        bool, typer.Option("--html", help="write all pages as one HTML file that needs no network")
    ] = False,
) -> None:
    """Show a page of the manual, one a question, or write all of them as one HTML file."""
    if html:
        _write(PLACE if page is None else Path(page))
        return
    from sim.manual import page as named
    from sim.manual import pages
    from sim.terminal.manual import show_page, show_pages

    if page is None:
        show_pages(pages())
    elif Path(page).suffix.lower() in (".html", ".htm"):
        raise ChuckSceneError(
            f"manual writes a file only with --html, as in `chuckscene manual --html {page}`"
        )
    else:
        show_page(named(page))


def _write(path: Path) -> None:
    """Write the manual as HTML.

    Raises
    ------
    OutputError
        If the file has another ending, which may be a page's name, or cannot be written.
    """
    if path.suffix.lower() not in (".html", ".htm"):
        raise OutputError(
            f"manual --html writes all pages into one file, whose name must end in .html, found '{path}'"
        )
    require_place(path, folder=False)
    from sim.views.manual import write_manual

    say(str(write_manual(path)))
