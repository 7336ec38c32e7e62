"""A layout that was found, as a scenario file: the file it came from with some values changed, comments kept."""

from __future__ import annotations

import os
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import tomlkit
from tomlkit.items import InlineTable, Item

from sim.base.errors import ScenarioError
from sim.base.files import file_text
from sim.base.limits import SCENARIO
from sim.scenario.included import KEY, fields, included_files
from sim.scenario.shop_files import KEY as SHOP
from sim.scenario.shop_files import TABLES
from sim.scenario.toml_file import tables_of


def with_values(path: Path, values: Mapping[str, Any], folder: Path | None = None) -> str:
    """Return the text of a scenario file with fields replaced, as in ``{"boring.travel": "3.2 mm"}``.

    Plain values, lists and tables (dictionaries) are written; what is not named stays as it was written. Files that
    the scenario names are named as seen from the folder that it will stand in, if it is another one.

    Raises
    ------
    ScenarioError
        If the file cannot be read, a field's place does not exist, or an included file takes its place.
    """
    try:
        document = tomlkit.parse(file_text(path, SCENARIO))
    except (ValueError, tomlkit.exceptions.ParseError) as error:
        raise ScenarioError(f"{path}: cannot be read again ({error})") from None
    included = _included(path)
    for field, value in values.items():
        for name, taken in included.items():
            if any(f == _plain(field) or f.startswith(f"{_plain(field)}.") for f in taken):
                raise ScenarioError(
                    f"{path}: {field} cannot be written, {name} takes its place; include it no longer"
                )
        *steps, last = field.split(".")
        place: Any = document
        try:
            for step in steps:
                if steps[0] in TABLES and SHOP in document and isinstance(place, dict):
                    place.setdefault(step, tomlkit.table())  # a shop file may be all that states it
                place = place[int(step)] if step.isdigit() else place[step]
            place[int(last) if last.isdigit() else last] = _item(value, place)
        except (KeyError, IndexError, TypeError):
            raise ScenarioError(
                f"{path}: {field} cannot be written, its table does not stand there"
            ) from None
    if folder is not None and folder.resolve() != path.parent.resolve():
        _rename(document, path.parent, folder)
    return tomlkit.dumps(document)


def _included(path: Path) -> dict[str, frozenset[str]]:
    """Return the fields that each included file states."""
    others = included_files(tables_of(path), path.parent)
    return {str(file): fields(tables_of(file)) for file in others}


def _plain(field: str) -> str:
    """Return a field's name without places in lists, as an included file states it."""
    return ".".join(step for step in field.split(".") if not step.isdigit())


def _rename(document: Any, old: Path, new: Path) -> None:
    """Name every file as seen from another folder."""

    def seen(name: str) -> str:
        return Path(os.path.relpath(old / name, new)).as_posix()

    for key in (KEY, SHOP):
        if key in document:
            document[key] = [seen(str(name)) for name in document[key]]
    tables = [document]
    while tables:
        table = tables.pop()
        for value in table.values():
            tables += [
                one for one in (value if isinstance(value, list) else [value]) if isinstance(one, dict)
            ]
        if isinstance(table.get("file"), str):
            table["file"] = seen(str(table["file"]))


def _item(value: Any, place: Any) -> Any:
    """Return a value as an item that fits where it is put: tables within a line, or under a head of their own."""
    if isinstance(value, Mapping) and (isinstance(place, InlineTable) or not _nested(value)):
        table = tomlkit.inline_table()
        table.update(value)
        return table
    made: Item = tomlkit.item(value)
    return made


def _nested(value: Mapping[str, Any]) -> bool:
    return any(isinstance(v, Mapping | list) for v in value.values())
