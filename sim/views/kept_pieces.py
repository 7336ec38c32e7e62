"""Pieces of pages that are handed round, from the last run where nothing that a piece is made of has changed since.

An edit of a scenario makes its page anew, but many of its plots, pictures and states are those of the last page, bit by
bit. A piece is named by all that it is drawn from: of a picture the surfaces, colours and the eye, of a plot all that
stands in the figure before it is drawn, of a state the whole setup of its contact; and by the libraries that draw. The
code itself is looked after by `sim.base.answers`. Where something has no digest the piece is made each time.
"""

from __future__ import annotations

import hashlib
import os
from collections.abc import Callable
from functools import cache
from importlib.metadata import PackageNotFoundError
from pathlib import Path

from sim.base.answers import in_pieces, piece, version
from sim.base.digest import digest_of

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


def kept_piece(kind: str, *values: object, make: Callable[[], str]) -> str:
    """Return a piece of a page as text.

    Parameters
    ----------
    kind : str
        What is made of the values.
    values : tuple
        All that the piece is made of; where one of them has no digest it is made each time.
    make : callable
    """
    if not in_pieces():
        return make()
    try:
        asked = digest_of(kind, drawn_with(), values)
    except (TypeError, OSError, PackageNotFoundError):
        return make()
    return piece(asked, make)


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
