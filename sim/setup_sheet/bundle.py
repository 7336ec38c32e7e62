"""A scenario with all that it takes from other files, as one thing to hand on: by a code on paper, in a PDF.

Values of shop files stand in it as its own. Files that it includes stay apart, since they also say how the readings
behind their values were judged. Programs, drawings and models that it names go along as they are, where there is room.
"""

from __future__ import annotations

import hashlib
from collections.abc import Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from pathlib import Path, PurePosixPath, PureWindowsPath
from typing import Any

from sim.base.errors import ScenarioError
from sim.base.files import regular_bytes
from sim.base.printable import printable
from sim.drawing.digest import LARGEST_NAMED, scenario_digest
from sim.scenario import Scenario
from sim.scenario.included import KEY, with_included
from sim.scenario.named_files import read_files
from sim.scenario.scenario import checked, stated_tables
from sim.scenario.toml_text import toml_text

LONGEST_NAME = 200  # characters of a file's name with its folders
LARGEST_CARRIED = 200_000  # bytes of a named file that may go along
SAID = "# As a setup sheet gave it back: the remarks of the first file are not in it.\n\n"


@dataclass(frozen=True, slots=True)
class Bundle:
    """A scenario and the files that it needs.

    Attributes
    ----------
    name : str
        Of its file, without the ending.
    tables : mapping
        As stated, with what shop files fill in.
    included : tuple of (str, mapping)
        Name and tables of each file that it includes.
    files : tuple of (str, bytes)
        Name from the scenario's folder and content of each file that it names.
    apart : tuple of (str, str)
        Name and SHA-256 of each such file that does not go along; '' where there was none.
    digest : str
        Of the scenario, as it is printed.
    """

    name: str
    tables: Mapping[str, Any]
    included: tuple[tuple[str, Mapping[str, Any]], ...]
    files: tuple[tuple[str, bytes], ...]
    apart: tuple[tuple[str, str], ...]
    digest: str

    @property
    def without_files(self) -> Bundle:
        """The same with none of the files that it names, each told by its digest."""
        told = tuple((name, hashlib.sha256(data).hexdigest()) for name, data in self.files)
        return replace(self, files=(), apart=(*told, *self.apart))

    @property
    def text(self) -> str:
        """Its scenario as TOML."""
        tables = dict(self.tables)
        tables.pop(KEY, None)
        named = {KEY: [name for name, _ in self.included]} if self.included else {}
        return SAID + toml_text({**named, **tables})

    def laid_out(self, name: str) -> tuple[tuple[str, bytes], ...]:
        """Return all files, the scenario first under this name, each by its name from the scenario's folder."""
        others = [(file, (SAID + toml_text(tables)).encode()) for file, tables in self.included]
        return ((name, self.text.encode()), *others, *self.files)


def bundled(path: Path, scenario: Scenario) -> Bundle:
    """Return a scenario's file with all that it takes from others.

    Raises
    ------
    ScenarioError
        If the files no longer say what was judged.
    """
    tables, included = stated_tables(path)
    taken: set[str] = set()
    inside = tuple((_own_name(name, taken), other) for name, other in included)
    files, apart = [], []
    for name in dict.fromkeys(name for _, name in read_files(scenario)):
        data: bytes | None = None
        with suppress(OSError, ValueError):
            data = regular_bytes(path.parent / name, LARGEST_NAMED)
        free = is_inside(name) and name.lower() not in taken
        if data is not None and len(data) <= LARGEST_CARRIED and free:
            files.append((name, data))
            taken.add(name.lower())
        else:
            apart.append((name, "" if data is None else hashlib.sha256(data).hexdigest()))
    # A name that another system could not write would keep the code from being read.
    name = path.stem if is_inside(path.stem) else "setup"
    found = Bundle(name, tables, inside, tuple(files), tuple(apart), scenario_digest(scenario))
    if scenario_digest(_again(found, path)) != found.digest:
        raise ScenarioError(
            f"{path}: has changed, or a file that it names, while it was judged; run it again"
        )
    return found


def attachments(bundles: Sequence[Bundle]) -> tuple[tuple[str, bytes], ...]:
    """Return the files of several set-ups, those of each by names of its own where two would have the same."""
    found: dict[str, bytes] = {}
    for number, bundle in enumerate(bundles, start=1):
        files = bundle.laid_out(f"{bundle.name}.toml")
        folder = "" if all(found.get(name, data) == data for name, data in files) else f"{number}/"
        found.update((f"{folder}{name}", data) for name, data in files)
    return tuple(found.items())


def _again(bundle: Bundle, path: Path) -> Scenario:
    """Return the scenario that a bundle holds, in the folder of a file."""
    tables = dict(bundle.tables)
    tables.pop(KEY, None)
    for name, other in bundle.included:
        tables = with_included(tables, other, name)
    return checked(tables, path)


def _own_name(name: str, taken: set[str]) -> str:
    """Return a name in the scenario's own folder for a file that it includes, different from those before it."""
    last = PurePosixPath(PureWindowsPath(name).as_posix()).name
    stem = last.removesuffix(".toml") if is_inside(last) else "included"
    found, count = f"{stem}.toml", 2
    while found.lower() in taken:
        found, count = f"{stem}-{count}.toml", count + 1
    taken.add(found.lower())
    return found


def is_inside(name: str) -> bool:
    """Tell whether a name is that of a file in a folder or below it, on any system."""
    parts = name.split("/")
    return (
        0 < len(name) <= LONGEST_NAME
        and printable(name) == name
        and not any(letter in name for letter in '\\:*?"<>|')
        and all(part.strip() == part and part.strip(".") for part in parts)
    )


def told_again(bundle: Bundle, file: Path, scenario: Scenario) -> str:
    """Return in a sentence whether a scenario that was given back is the one that the sheet was made of."""
    found = scenario_digest(scenario)
    wanting = [f"{name} (SHA-256 {sha[:12]})" if sha else name for name, sha in bundle.apart]
    if found == bundle.digest:
        return f"scenario {found}, as on the sheet"
    if wanting:
        return f"{file}: needs beside it {', '.join(wanting)}, which the code does not hold"
    return (
        f"{file}: is scenario {found}, on the sheet it was {bundle.digest}: this chuckscene reads it otherwise than "
        "the one that made the sheet; judge it again before it is used"
    )
