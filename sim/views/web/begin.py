"""The page before there is a setup: what `new` asks in the terminal, as a form; then the file is made."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

from markupsafe import Markup

from sim.base.errors import ScenarioError
from sim.base.files import require_place, write_whole
from sim.views.web.document import as_json, filled, start_script, style
from sim.views.web.live import Watched

NAME = re.compile(r"[\w][\w .+-]{0,100}\.toml")
FILE = "file"  # the field that says how the new file is called


class UnansweredError(Exception):
    """Some answers are missing or wrong: what is wrong with each, by its question."""

    def __init__(self, fields: Mapping[str, str]) -> None:
        self.fields = dict(fields)
        count = len(self.fields)
        super().__init__(f"{count} answer{'s are' if count > 1 else ' is'} missing or wrong")


class Begin:
    """What is asked before there is a scenario, and what is made of the answers."""

    def __init__(
        self,
        folder: Path,
        questions: Mapping[str, Any],
        wrong: Callable[[Mapping[str, str]], Mapping[str, str]],
        proposed: Callable[[Mapping[str, str]], str],
        watched: Callable[[Path], Watched],
    ) -> None:
        """Ask for a setup.

        Parameters
        ----------
        folder : Path
            Where the file is made.
        questions : mapping
            What is asked, as the page reads it.
        wrong : callable
            What is wrong with answers, by question.
        proposed : callable
            The text of a scenario out of answers that are right; raises ScenarioError.
        watched : callable
            The scenario file, judged and watched.
        """
        self.folder = folder.resolve()
        self._wrong, self._proposed, self._watched = wrong, proposed, watched
        data = {**questions, "folder": str(self.folder)}
        self.page = filled(
            "begin.html",
            style=style("form.css"),
            script=start_script("begin.js"),
            data=Markup(as_json(data)),  # noqa: S704  (no tag can begin in it)
            sources="connect-src 'self'",
        ).encode("utf-8")

    def begun(self, asked: Mapping[str, Any]) -> Watched:
        """Write a first scenario from answers and return it judged.

        Raises
        ------
        UnansweredError
            If answers are missing or wrong.
        ScenarioError, OutputError
            If the part cannot be held so, or the file cannot be written.
        """
        answers = asked.get("answers")
        if not isinstance(answers, dict):
            raise ScenarioError("answers must be a table")
        given = {
            str(key): value.strip()
            for key, value in answers.items()
            if isinstance(value, str) and value.strip()
        }
        name = given.pop(FILE, "")
        wrong = {**self._wrong_name(name), **self._wrong(given)}
        if wrong:
            raise UnansweredError(wrong)
        place = self.folder / name
        require_place(place, folder=False)
        text = self._proposed(given)
        if place.exists() or place.is_symlink():  # made by somebody in the meantime
            raise UnansweredError(self._wrong_name(name))
        write_whole(place, text.encode("utf-8"))
        return self._watched(place)

    def _wrong_name(self, name: str) -> dict[str, str]:
        if not name:
            return {FILE: "is missing: say how the file shall be called, as 'bearing cap.toml'"}
        if NAME.fullmatch(name) is None:
            return {
                FILE: "must be a plain name that ends in .toml, without folders, as 'bearing cap.toml', "
                f"found '{name[:60]}'"
            }
        place = self.folder / name
        if place.exists() or place.is_symlink():
            return {FILE: f"{name} exists already and is not overwritten; choose another name"}
        return {}
