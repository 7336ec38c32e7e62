"""What a shop states once for many scenarios: machine, chuck, jaw blanks, tools, materials, each in a small file.

A scenario names such files by `shop_files`. They fill in what it leaves out; what it states itself counts, and the
output says so. That is the reverse of `include`, whose files correct a scenario by what was measured. A file of tools
is a list ``[[tools]]``: every program of the scenario takes those whose numbers it calls and that it does not state
itself, each as a whole, so that no tool is put together from two. So is a list ``[[materials]]``, by name.
"""

from __future__ import annotations

import os
from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path, PureWindowsPath
from typing import Any, get_args

from pydantic import TypeAdapter, ValidationError

from sim.base.errors import ScenarioError
from sim.base.files import regular_bytes
from sim.base.limits import PROGRAM, SHOP_TOOLS
from sim.scenario.included import JUDGED, fields, file_names, stands_in
from sim.scenario.included import KEY as INCLUDE
from sim.scenario.program import ProgramTool

KEY = "shop_files"
TABLES = ("machine", "chuck", "master_jaw", "soft_jaw")  # that a shop file may state, beside its tools
TOOLS = "tools"
MATERIALS = "materials"
TYPICAL = "typical"  # its tables and fields that nobody has read off
APART = (TOOLS, MATERIALS, TYPICAL)  # what of it does not fill in field by field
MOST_TOOLS = SHOP_TOOLS.most  # in one file
NAMING = "file"  # key of a path within a table; it is named from the folder of the file that states it


@dataclass(frozen=True, slots=True, eq=False)
class ShopFile:
    """A shop file as the scenario names it, where it lies, and its tables, paths in them as the scenario has them."""

    name: str
    path: Path
    tables: Mapping[str, Any]

    @property
    def tools(self) -> list[Any]:
        """Its tools as they stand."""
        found = self.tables.get(TOOLS, [])
        return found if isinstance(found, list) else []

    @property
    def materials(self) -> list[Any]:
        """Its materials as they stand."""
        found = self.tables.get(MATERIALS, [])
        return found if isinstance(found, list) else []

    @property
    def typical(self) -> list[str]:
        """Its tables and fields whose values are typical, as it names them."""
        found = self.tables.get(TYPICAL, [])
        return found if isinstance(found, list) else []

    @property
    def without_lists(self) -> dict[str, Any]:
        """Its tables but for its lists: tools and materials are taken whole."""
        return {key: value for key, value in self.tables.items() if key not in APART}


def shop_file_names(tables: Mapping[str, Any]) -> list[str]:
    """Return the names of the shop files that a scenario names, in their order.

    Raises
    ------
    ScenarioError
        If `shop_files` is no list of names, or one of them is no path from the scenario's folder.
    """
    stated = file_names(tables, KEY, "../shop/tools.toml")
    for name in stated:
        # A scenario is handed on with its folder: a place on one machine's disk would not be there.
        if Path(name).is_absolute() or PureWindowsPath(name).drive or PureWindowsPath(name).root:
            raise ScenarioError(
                f"{KEY} must name files from the scenario's folder (as in '../shop/tools.toml'), found '{name}'"
            )
    if len(set(stated)) != len(stated):
        raise ScenarioError(f"{KEY} must name each file once, found {stated!r}")
    return stated


def shop_file(name: str, path: Path, tables: Mapping[str, Any], folder: Path) -> ShopFile:
    """Return a shop file of these tables, for a scenario in a folder.

    Raises
    ------
    ScenarioError
        If it states what no shop file may, or a tool that is none: which field of it, and what is allowed.
    """
    for key in (KEY, INCLUDE):
        if key in tables:
            raise ScenarioError(f"{path}: {key} may stand in a scenario only, not in a file that it names")
    if JUDGED in tables:
        raise ScenarioError(
            f"{path}: holds what a fit of gauge readings has found, which must take the place of the scenario's own "
            f"values: name it by {INCLUDE}, not by {KEY}"
        )
    allowed = (*TABLES, *APART)
    for key, value in tables.items():
        if key not in allowed:
            raise ScenarioError(f"{path}: {key} is not a table of a shop file ({', '.join(allowed)})")
        if key not in APART and not isinstance(value, Mapping):
            raise ScenarioError(f"{path}: {key} must be a table, found {value!r}")
    _require_tools(tables.get(TOOLS, []), path)
    _require_materials(tables.get(MATERIALS, []), path)
    _require_typical(tables, path)
    return ShopFile(name, path, _seen_from(tables, path.parent, folder))


def _require_tools(stated: Any, path: Path) -> None:
    """Refuse a list of tools that holds another thing, or one number twice."""
    if not isinstance(stated, list) or not all(isinstance(tool, Mapping) for tool in stated):
        raise ScenarioError(f"{path}: {TOOLS} must be a list of tables, [[{TOOLS}]], found {stated!r}")
    if len(stated) > MOST_TOOLS:
        raise ScenarioError(f"{path}: {TOOLS} must be at most {MOST_TOOLS}, found {len(stated)}")
    try:
        tools = _tools().validate_python(stated)
    except ValidationError as error:
        from sim.scenario.mistakes import sentence

        raise ScenarioError(f"{path}: {TOOLS}{sentence(error)}") from None
    numbers = [tool.number for tool in tools]
    for n, number in enumerate(numbers):
        if number in numbers[:n]:
            raise ScenarioError(
                f"{path}: {TOOLS}[{n}].number must be another one than those above it, found {number}"
            )


def _require_materials(stated: Any, path: Path) -> None:
    """Refuse a list of materials that holds another thing, or one name twice."""
    if not isinstance(stated, list) or not all(isinstance(one, Mapping) for one in stated):
        raise ScenarioError(
            f"{path}: {MATERIALS} must be a list of tables, [[{MATERIALS}]], found {stated!r}"
        )
    if len(stated) > MOST_TOOLS:
        raise ScenarioError(f"{path}: {MATERIALS} must be at most {MOST_TOOLS}, found {len(stated)}")
    if not stated:
        return
    from sim.scenario.own_material import OwnMaterial

    try:
        TypeAdapter(tuple[OwnMaterial, ...]).validate_python(stated)
    except ValidationError as error:
        from sim.scenario.mistakes import sentence

        raise ScenarioError(f"{path}: {MATERIALS}{sentence(error)}") from None
    names = [one["name"] for one in stated]
    for n, name in enumerate(names):
        if name in names[:n]:
            raise ScenarioError(
                f"{path}: {MATERIALS}[{n}].name must be another one than those above it, found {name!r}"
            )


def _require_typical(tables: Mapping[str, Any], path: Path) -> None:
    """Refuse a list of what is typical that names what does not stand in the file."""
    stated = tables.get(TYPICAL, [])
    if not isinstance(stated, list) or not all(isinstance(name, str) for name in stated):
        raise ScenarioError(f"{path}: {TYPICAL} must be a list of its tables and fields, found {stated!r}")
    there = {name: value for name, value in tables.items() if name not in APART}
    for n, name in enumerate(stated):
        if name in stated[:n] or _value_at(there, name) is None:
            raise ScenarioError(
                f"{path}: {TYPICAL}[{n}] must be a table or field that stands in this file, each once, as 'chuck' or "
                f"'chuck.stroke', found '{name}'"
            )


def _value_at(tables: Any, name: str) -> Any:
    """Return what stands at a name, keys joined by dots; None if nothing does."""
    for key in name.split("."):
        tables = tables.get(key) if isinstance(tables, Mapping) else None
    return tables


def typical_of(own: Mapping[str, Any], files: list[ShopFile]) -> list[str]:
    """Return what of shop files is typical and in use: fields that are stated nowhere else.

    Parameters
    ----------
    own : mapping
        What is stated beside these files: the tables of the scenario with those that it includes.
    files : list of ShopFile
    """
    found: list[str] = []
    for file in files:
        for name in file.typical:
            found += _still_typical(name, _value_at(file.without_lists, name), _value_at(own, name))
    return found


def _still_typical(name: str, theirs: Any, own: Any) -> list[str]:
    if own is None:
        return [name]
    if not (isinstance(theirs, Mapping) and isinstance(own, Mapping)):
        return []
    return [
        one
        for key, value in theirs.items()
        if key != "name"  # words
        for one in _still_typical(f"{name}.{key}", value, own.get(key))
    ]


@cache
def _tools() -> TypeAdapter[tuple[ProgramTool, ...]]:
    return TypeAdapter(tuple[ProgramTool, ...])


def _seen_from(value: Any, own: Path, folder: Path) -> Any:
    """Return a table with its paths named from another folder."""
    if isinstance(value, Mapping):
        return {
            key: Path(os.path.relpath(own / one, folder)).as_posix()
            if key == NAMING and isinstance(one, str) and one and "\0" not in one
            else _seen_from(one, own, folder)
            for key, one in value.items()
        }
    return [_seen_from(one, own, folder) for one in value] if isinstance(value, list) else value


def require_apart(files: list[ShopFile]) -> None:
    """Refuse two shop files that state the same field, or tools of the same number.

    Raises
    ------
    ScenarioError
    """
    known: dict[str, ShopFile] = {}
    for file in files:
        stated = {
            *fields(file.without_lists),
            *(f"tool {tool['number']}" for tool in file.tools),
            *(f"material '{one['name']}'" for one in file.materials),
        }
        for field in sorted(stated):
            if field in known:
                raise ScenarioError(
                    f"{field} is stated by both {known[field].path} and {file.path}; name one of them only"
                )
            known[field] = file


def filled(tables: Mapping[str, Any], files: list[ShopFile], folder: Path) -> dict[str, Any]:
    """Return a scenario's tables with what shop files state and it does not.

    Parameters
    ----------
    tables : mapping
        Parsed tables of the scenario.
    files : list of ShopFile
    folder : Path
        Of the scenario, from which it names its programs.
    """
    found = dict(tables)
    for file in files:
        found = _filled(found, file.without_lists)
    found = _with_materials(
        found, [one for file in files for one in file.materials]
    )  # a blank of one file may name them
    tools = [tool for file in files for tool in file.tools]
    for place in program_places(found) if tools else ():
        found = _with_tools(found, place, tools, folder)
    return found


def _filled(own: Mapping[str, Any], other: Mapping[str, Any]) -> dict[str, Any]:
    found = dict(own)
    for key, value in other.items():
        if key not in found:
            found[key] = value
        elif isinstance(found[key], Mapping) and isinstance(value, Mapping):
            found[key] = _filled(found[key], value)
    return found


def _with_materials(tables: Mapping[str, Any], materials: list[Any]) -> dict[str, Any]:
    """Return tables with the materials that they name and do not state themselves."""
    own = tables.get(MATERIALS, [])
    if not isinstance(own, list):
        return dict(tables)
    stated = {one.get("name") for one in own if isinstance(one, Mapping)}
    named = set(_named_materials(tables))
    more = [one for one in materials if one["name"] in named - stated]
    return {**tables, MATERIALS: [*own, *more]} if more else dict(tables)


def _named_materials(tables: Any) -> Iterator[str]:
    """Yield the material of each table within tables that names one."""
    for key, value in tables.items() if isinstance(tables, Mapping) else enumerate(tables):
        if key == "material" and isinstance(value, str):
            yield value
        elif isinstance(value, Mapping | list):
            yield from _named_materials(value)


def program_places(tables: Mapping[str, Any]) -> Iterator[tuple[str | int, ...]]:
    """Yield where programs stand that take tools from shop files."""
    boring = tables.get("boring")
    program = boring.get("program") if isinstance(boring, Mapping) else None
    # A program without tools of its own is bored with `boring.tool` where that is stated.
    if isinstance(program, Mapping) and (program.get("tools") or "tool" not in tables["boring"]):
        yield "boring", "program"
    operations = tables.get("operations")
    for n, operation in enumerate(operations if isinstance(operations, list) else ()):
        if isinstance(operation, Mapping) and isinstance(operation.get("program"), Mapping):
            yield "operations", n, "program"


def _with_tools(
    tables: Mapping[str, Any], place: tuple[str | int, ...], tools: list[Any], folder: Path
) -> dict[str, Any]:
    """Return tables in which one program has the tools that it calls and does not state."""
    program = table_at(tables, place)
    own = program.get(TOOLS, [])
    if not isinstance(own, list):
        return dict(tables)
    stated = {tool.get("number") for tool in own if isinstance(tool, Mapping)}
    called = _called(program, folder)
    more = [
        tool
        for tool in tools
        if tool["number"] not in stated and (called is None or tool["number"] in called)
    ]
    whole: dict[str, Any] = _put(tables, place, {**program, TOOLS: [*own, *more]})
    return whole


def table_at(tables: Any, place: tuple[str | int, ...]) -> Any:
    """Return the table at a place of tables, step by step."""
    for step in place:
        tables = tables[step]
    return tables


def _put(tables: Any, place: tuple[str | int, ...], value: Any) -> Any:
    """Return a copy of tables with another value at a place."""
    if not place:
        return value
    copied: Any = list(tables) if isinstance(tables, list) else dict(tables)
    copied[place[0]] = _put(tables[place[0]], place[1:], value)
    return copied


def _called(program: Mapping[str, Any], folder: Path) -> Collection[int] | None:
    """Return the numbers by which a program's tools may be stated; None where its text does not tell."""
    from sim.programs.tool_digits import ToolWord
    from sim.programs.tool_list import called_numbers

    name, rule, first = (program.get(key) for key in ("file", "tool_word", "first_tool"))
    if not isinstance(name, str) or (rule is not None and rule not in get_args(ToolWord)):
        return None
    try:
        text = regular_bytes(folder / name, PROGRAM.most).decode("latin-1")  # words are ASCII
    except (OSError, ValueError):
        return None
    called = called_numbers(text, rule)
    return called if called is None or not isinstance(first, int) else {*called, first}


def named(tool: Mapping[str, Any]) -> str:
    """Return a tool's number and name."""
    return f"tool {tool['number']}" + (f" ({tool['name']})" if tool.get("name") else "")


def less_required(schema: dict[str, Any]) -> None:
    """Let a scenario's JSON schema ask for the tables that shop files may state only where none is named."""
    given = [name for name in schema["required"] if name in TABLES]
    schema["required"] = [name for name in schema["required"] if name not in TABLES]
    schema["if"], schema["else"] = {"required": [KEY]}, {"required": given}


def origin(location: tuple[int | str, ...], own: Mapping[str, Any], files: list[ShopFile]) -> str:
    """Return which shop file a wrong field stands in, '' if in none or if the scenario states it itself."""
    for file in files:
        where = stands_in(file.without_lists, location) if location and location[0] in TABLES else False
        if where and not stands_in(own, location):
            return f"as taken from {file.path}, "
        if where is None:
            return f"with what is taken from {file.path}, "
    return ""
