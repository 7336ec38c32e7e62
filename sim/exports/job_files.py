"""The files of a job: scenarios with all that they name, by their places under the folder that holds them all."""

from __future__ import annotations

import os
from collections.abc import Iterable, Iterator, Mapping, Sequence
from pathlib import Path, PurePosixPath, PureWindowsPath
from typing import Any

from sim.base.errors import ScenarioError
from sim.base.files import file_content
from sim.base.limits import JOB_FILE
from sim.scenario import Scenario
from sim.scenario.included import KEY as INCLUDE
from sim.scenario.named_files import read_files, table_files
from sim.scenario.other_files import A_SHOP_FILE, AN_INCLUDED
from sim.scenario.shop_files import KEY as SHOP
from sim.scenario.shop_files import NAMING
from sim.scenario.toml_file import tables_of

LARGEST_FILE = JOB_FILE.most
FILES = "files"  # folder in a job


def job_files(scenarios: Sequence[tuple[Path, Scenario]]) -> tuple[dict[str, bytes], list[str]]:
    """Return all files that scenarios need by their names in a job, and the names of the scenarios' own.

    Raises
    ------
    ScenarioError
        If a file is named by an absolute path, which no other machine has, or cannot be read.
    """
    found: dict[Path, None] = {}
    own: list[Path] = []
    for path, scenario in scenarios:
        own.append(_plain(path))
        found[own[-1]] = None
        for field, name in (*table_files(scenario), *read_files(scenario)):
            if _absolute(name):
                raise ScenarioError(
                    f"{path}: {field} must be named from the scenario's folder to go into a job, found '{name}'"
                )
            found[_plain(scenario.folder / name)] = None
    try:
        root = Path(os.path.commonpath([path.parent for path in found]))
    except ValueError:  # on two drives
        raise ScenarioError("the files of a job must lie on one drive") from None
    names = {path: f"{FILES}/{path.relative_to(root).as_posix()}" for path in found}
    return {name: _content(path) for path, name in names.items()}, [names[path] for path in own]


def _plain(path: Path) -> Path:
    """Return an absolute path without steps up, links left as they are."""
    return Path(os.path.normpath(path.absolute()))


def _absolute(name: str) -> bool:
    windows = PureWindowsPath(name)
    return PurePosixPath(name).is_absolute() or bool(windows.drive or windows.root)


def _content(path: Path) -> bytes:
    try:
        return file_content(path, JOB_FILE)
    except ValueError as error:
        raise ScenarioError(f"{path}: {error}") from None


def require_inside(root: Path, scenarios: Iterable[Path]) -> None:
    """Refuse scenarios that name a file out of a folder, before any such file is opened.

    Raises
    ------
    ScenarioError
        If they do, or are no TOML.
    """
    for path in scenarios:
        tables = tables_of(path)
        _require(root, path, path.parent, named(tables))
        for key, kind, folder in ((INCLUDE, AN_INCLUDED, path.parent), (SHOP, A_SHOP_FILE, None)):
            names = tables.get(key, [])
            if not isinstance(names, list) or not all(isinstance(name, str) for name in names):
                raise ScenarioError(f"{path}: {key} must be a list of file names, found {names!r}")
            _require(root, path, path.parent, names)
            for name in names:
                other = path.parent / name
                # A path in a shop file starts from its own folder, in an included one from the scenario's.
                _require(root, other, folder or other.parent, named(tables_of(other, kind)))


def named(tables: Mapping[str, Any]) -> Iterator[str]:
    """Yield every path that tables name, whatever they are tables of."""
    for key, value in tables.items():
        if key == NAMING and isinstance(value, str):
            yield value
        for item in value if isinstance(value, list) else [value]:
            yield from _named_in(item)


def _named_in(item: Any) -> Iterator[str]:
    if isinstance(item, Mapping):
        yield from named(item)
    elif isinstance(item, list):
        for one in item:
            yield from _named_in(one)


def _require(root: Path, path: Path, folder: Path, names: Iterable[str]) -> None:
    for name in names:
        if _absolute(name) or not _plain(folder / name).is_relative_to(_plain(root)):
            raise ScenarioError(f"{path}: must name files of the job only, found '{name}'")
