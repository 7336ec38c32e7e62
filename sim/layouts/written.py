"""A layout that was found, as a scenario file: the file it came from with some values changed, comments kept."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

import tomlkit
from tomlkit.items import InlineTable, Item

from sim.errors import ScenarioError


def with_values(path: Path, values: Mapping[str, Any]) -> str:
    """Return the text of a scenario file with fields replaced, as in ``{"boring.travel": "3.2 mm"}``.

    Plain values, lists and tables (dictionaries) are written; what is not named stays as it was written.

    Raises
    ------
    ScenarioError
        If the file cannot be read, or a field's place does not exist.
    """
    try:
        document = tomlkit.parse(path.read_bytes().decode("utf-8").removeprefix("\ufeff"))
    except (OSError, UnicodeDecodeError, tomlkit.exceptions.ParseError) as error:
        raise ScenarioError(f"{path}: cannot be read again ({error})") from None
    for field, value in values.items():
        *steps, last = field.split(".")
        place: Any = document
        try:
            for step in steps:
                place = place[int(step)] if step.isdigit() else place[step]
            place[int(last) if last.isdigit() else last] = _item(value, place)
        except (KeyError, IndexError, TypeError):
            raise ScenarioError(
                f"{path}: {field} cannot be written, its table does not stand there"
            ) from None
    return tomlkit.dumps(document)


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
