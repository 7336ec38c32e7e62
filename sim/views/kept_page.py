"""Pages that are handed round, from the last run where nothing that they are made of has changed since.

A page is a function of what was judged, of this code with its templates, scripts and styles, and of the libraries that
draw. All of it is in the question, so that any other value, code or library asks anew. What a page shows of pictures is
what the driver of its run has drawn; a page without pictures, for lack of a driver, is not kept.
"""

from __future__ import annotations

import hashlib
import os
from collections.abc import Callable
from functools import cache
from importlib.metadata import PackageNotFoundError
from pathlib import Path
from typing import TYPE_CHECKING

from sim.base.answers import kept_text, version
from sim.base.digest import digest_of
from sim.views import Progress

if TYPE_CHECKING:
    from sim.assessment.results import Assessment
    from sim.layouts.comparison import Comparison

# What pages are made with, beside the libraries whose versions every answer hangs on.
DRAWING = (
    "pyvista",
    "vtk",
    "matplotlib",
    "contourpy",
    "pillow",
    "jinja2",
    "markupsafe",
    "rich",
    "markdown-it-py",
)


def kept_review(folder: Path, file: Path, assessment: Assessment, progress: Progress) -> str:
    """Return the review page of a file's setup as HTML; what draws is loaded only where it has to be drawn."""

    def drawn() -> tuple[str, bool]:
        from sim.views.render import renders
        from sim.views.review import page

        return page(assessment, progress), renders()

    return kept_page(folder, "review", str(file.absolute()), values=(assessment,), make=drawn)


def kept_comparison(folder: Path, files: list[str], found: Comparison, progress: Progress) -> str:
    """Return the page of a comparison of files as HTML; what draws is loaded only where it has to be drawn."""

    def drawn() -> tuple[str, bool]:
        from sim.views.comparison import comparison_page
        from sim.views.render import renders

        return comparison_page(found, progress), renders()

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


@cache
def drawn_with() -> str:
    """Return a digest of the libraries that draw, and of every file of the views that is no module.

    Raises
    ------
    OSError, PackageNotFoundError
        If one of them cannot be read.
    """
    digest = hashlib.blake2b(repr([version(name) for name in DRAWING]).encode(), digest_size=32)
    for path in assets():
        text = path.read_bytes()
        digest.update(f"asset{len(text)} {path}".encode())
        digest.update(text)
    return digest.hexdigest()


def assets() -> list[Path]:
    """Files that pages are filled with: templates, scripts, styles, pictures."""
    found: list[Path] = []
    for place, folders, names in os.walk(Path(__file__).parent):
        folders[:] = sorted(name for name in folders if name != "__pycache__")
        found += [Path(place, name) for name in sorted(names) if not name.endswith((".py", ".pyc"))]
    return found
