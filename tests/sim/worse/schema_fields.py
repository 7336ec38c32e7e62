"""Every field of a scenario: of the tables as they are declared, and of one scenario as it stands.

A row is named by the tables that lead to it: ``chuck.grip_points[].grip`` for an item of a list,
``boring.fixture[ring].thickness`` for one kind of several tables.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Annotated, Any, get_args, get_origin

from pydantic import BaseModel

from sim.scenario import Scenario


def declared(model: type[BaseModel] = Scenario, at: str = "") -> Iterator[str]:
    """Yield the rows of a table and of all tables within it, in their order."""
    for name, info in model.model_fields.items():
        tables = list(_tables(info.annotation))
        if not tables:
            yield f"{at}{name}"
            continue
        items = "[]" if _is_list(info.annotation) else ""
        for table, kind in tables:
            yield from declared(table, f"{at}{name}{items}{kind}.")


@dataclass(frozen=True, slots=True)
class Place:
    """One value of a scenario: its dotted key, the row that it belongs to, and the value in the inside unit."""

    key: str
    row: str
    value: Any


def stated(table: BaseModel, key: str = "", row: str = "") -> Iterator[Place]:
    """Yield every value of a scenario that stands in no list of plain values, those left out too."""
    for name, info in type(table).model_fields.items():
        value = getattr(table, name)
        if isinstance(value, BaseModel):
            kind = _kind(type(value)) if len(list(_tables(info.annotation))) > 1 else ""
            yield from stated(value, f"{key}{name}.", f"{row}{name}{kind}.")
        elif isinstance(value, tuple) and value and all(isinstance(one, BaseModel) for one in value):
            for number, one in enumerate(value):
                yield from stated(one, f"{key}{name}.{number}.", f"{row}{name}[].")
        elif not list(_tables(info.annotation)):
            yield Place(f"{key}{name}", f"{row}{name}", value)


def _tables(kind: Any) -> Iterator[tuple[type[BaseModel], str]]:
    """Yield the tables within a type, each with its kind in brackets where there are several."""
    found = list(_plain_tables(kind))
    for table in found:
        yield table, _kind(table) if len(found) > 1 else ""


def _plain_tables(kind: Any) -> Iterator[type[BaseModel]]:
    if isinstance(kind, type) and issubclass(kind, BaseModel):
        yield kind
        return
    for one in get_args(kind):
        yield from _plain_tables(one)


def _kind(table: type[BaseModel]) -> str:
    field = table.model_fields.get("kind")
    return "" if field is None else f"[{get_args(field.annotation)[0]}]"


def _is_list(kind: Any) -> bool:
    if get_origin(kind) is Annotated:
        return _is_list(get_args(kind)[0])
    return get_origin(kind) is tuple or any(_is_list(one) for one in get_args(kind))
