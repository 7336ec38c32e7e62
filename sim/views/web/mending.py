"""A scenario file that cannot be judged yet: the forms alone, each mistake at its field, until all are mended."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from sim.base.errors import ChuckSceneError
from sim.scenario.scenario import full_tables
from sim.views.web.document import filled, forms_script, style
from sim.views.web.live import Watched


def mendable(file: Path) -> bool:
    """Tell whether forms can show a file: its tables, and those of the files that it names, can be read."""
    try:
        full_tables(file)
    except ChuckSceneError:
        return False
    return True


class Mending:
    """A file with mistakes. What is typed is looked through for mistakes; it is judged when it has been saved."""

    def __init__(self, file: Path, watched: Callable[[Path], Watched]) -> None:
        """Show a file that `mendable` says yes to; `watched` judges it and raises ChuckSceneError where it cannot."""
        self._file, self._watched = file, watched
        self.page = filled(
            "mend.html",
            title=f"To mend: {file.name}",
            name=file.name,
            style=style("form.css"),
            script=forms_script("mending.js"),
            sources="connect-src 'self'",
        ).encode("utf-8")

    @property
    def file(self) -> Path:
        """The scenario file."""
        return self._file

    def judge_typed(self, text: str | None, revision: int) -> None:
        """Nothing is judged before it is saved."""

    def saved(self, revision: int) -> None:
        """Leave it to the page to ask for `mended` when nothing is left to mend."""

    def mended(self) -> Watched:
        """Return the file judged, as it is saved.

        Raises
        ------
        ChuckSceneError
            If it cannot be judged yet.
        """
        return self._watched(self._file)
