"""What of a shop file stands in a scenario's full tables, and what the scenario states instead of it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from sim.scenario.included import Included, Taken, brief
from sim.scenario.shop_files import MATERIALS, TOOLS, ShopFile, named, program_places, table_at


def taken_from(file: ShopFile, own: Mapping[str, Any], tables: Mapping[str, Any]) -> Included:
    """Return what of a shop file stands in the full tables of a scenario, and what the scenario states instead.

    Parameters
    ----------
    file : ShopFile
    own : mapping
        What the scenario's file states.
    tables : mapping
        Full tables.
    """
    told = [
        *_told(own, tables, file.without_lists, ""),
        *_told_tools(own, tables, file),
        *_told_materials(own, tables, file),
    ]
    return Included(
        file.name,
        tuple(Taken(field, value, None) for field, value, is_taken in told if is_taken),
        instead=tuple(Taken(field, value, None) for field, value, is_taken in told if not is_taken),
        shop=True,
    )


def _told(own: Any, full: Any, other: Mapping[str, Any], at: str) -> Iterator[tuple[str, str, bool]]:
    """Yield field, value of the file, and whether it is in use; nothing where another file has taken its place."""
    for key, value in other.items():
        mine = own.get(key) if isinstance(own, Mapping) else None
        whole = full.get(key) if isinstance(full, Mapping) else None
        if isinstance(value, Mapping) and isinstance(whole, Mapping):
            yield from _told(mine, whole, value, f"{at}{key}.")
        elif mine is not None and mine != value:
            yield f"{at}{key}", brief(value), False
        elif whole == value:
            yield f"{at}{key}", brief(value), True


def _told_tools(
    own: Mapping[str, Any], tables: Mapping[str, Any], file: ShopFile
) -> Iterator[tuple[str, str, bool]]:
    by_number = {tool["number"]: tool for tool in file.tools}
    for place in program_places(tables) if by_number else ():
        known = _numbers(own, place)
        for n, tool in enumerate(table_at(tables, place).get(TOOLS, [])):
            theirs = by_number.get(tool.get("number")) if isinstance(tool, Mapping) else None
            field = f"{_dotted(place)}.{TOOLS}[{n}]"
            if theirs is None:
                continue
            if theirs == tool:
                yield field, named(tool), True
            elif tool.get("number") in known:
                yield field, named(theirs), False


def _told_materials(
    own: Mapping[str, Any], tables: Mapping[str, Any], file: ShopFile
) -> Iterator[tuple[str, str, bool]]:
    by_name = {one["name"]: one for one in file.materials}
    mine = {one.get("name") for one in own.get(MATERIALS, []) if isinstance(one, Mapping)}
    for n, one in enumerate(tables.get(MATERIALS, []) if by_name else ()):
        theirs = by_name.get(one.get("name")) if isinstance(one, Mapping) else None
        if theirs == one:
            yield f"{MATERIALS}[{n}]", theirs["name"], True
        elif theirs is not None and theirs["name"] in mine:
            yield f"{MATERIALS}[{n}]", theirs["name"], False


def _numbers(own: Any, place: tuple[str | int, ...]) -> set[Any]:
    """Return the numbers of the tools that a scenario's own program states."""
    try:
        stated = table_at(own, place).get(TOOLS, [])
        return {tool.get("number") for tool in stated if isinstance(tool, Mapping)}
    except (KeyError, IndexError, TypeError, AttributeError):
        return set()


def _dotted(place: tuple[str | int, ...]) -> str:
    text = ""
    for step in place:
        text += f"[{step}]" if isinstance(step, int) else f".{step}" if text else step
    return text
