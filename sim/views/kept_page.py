"""Pages that are handed round, from the last run where nothing that they are made of has changed since.

A page is a function of what was judged, of this code with its templates, scripts and styles, and of the libraries that
draw. All of it is in the question, so that any other value, code or library asks anew. What a page shows of pictures is
what the driver of its run has drawn; a page without pictures, for lack of a driver, is not kept.
"""

from __future__ import annotations

from collections.abc import Callable
from importlib.metadata import PackageNotFoundError
from pathlib import Path
from typing import TYPE_CHECKING

from sim.base.answers import kept_text, pieces_in
from sim.base.digest import digest_of
from sim.base.share import Tell
from sim.views.kept_pieces import drawn_with

if TYPE_CHECKING:
    from sim.assessment.results import Assessment
    from sim.layouts.comparison import Comparison


def kept_review(folder: Path, file: Path, assessment: Assessment, progress: Tell) -> str:
    """Return the review page of a file's setup as HTML; what draws is loaded only where it has to be drawn."""

    def drawn() -> tuple[str, bool]:
        from sim.views.render import refused
        from sim.views.review import page

        with pieces_in(folder, "pieces of a review", where):
            return page(assessment, progress), not refused()

    where = str(file.absolute())
    return kept_page(folder, "review", where, values=(assessment,), make=drawn)


def kept_comparison(folder: Path, files: list[str], found: Comparison, progress: Tell) -> str:
    """Return the page of a comparison of files as HTML; what draws is loaded only where it has to be drawn."""

    def drawn() -> tuple[str, bool]:
        from sim.views.comparison import comparison_page
        from sim.views.render import refused

        with pieces_in(folder, "pieces of a comparison", *where):
            return comparison_page(found, progress), not refused()

    where = [str(Path.cwd()), *files]
    return kept_page(folder, "comparison", *where, values=(found,), make=drawn)


def kept_scene(folder: Path, file: Path, assessment: Assessment, make: Callable[[], str]) -> str:
    """Return what the page of a file shows when it is opened, as JSON."""
    return kept_page(folder, "scene", str(file.absolute()), values=(assessment,), make=lambda: (make(), True))


def kept_page(
    folder: Path, *subject: str, values: tuple[object, ...], make: Callable[[], tuple[str, bool]]
) -> str:
    """Return a page of values as HTML.

    Parameters
    ----------
    folder : Path
        Of answers.
    subject : str
        Names what kind of page of which file this is: the last one of each is kept.
    values : tuple
        All that the page is made of; where one of them has no digest it is made each time.
    make : callable
        Returns the page, and whether it may be kept.
    """
    try:
        asked = digest_of(drawn_with(), values)
    except (TypeError, OSError, PackageNotFoundError):
        return make()[0]
    return kept_text(folder, *subject, asked=asked, make=make)
