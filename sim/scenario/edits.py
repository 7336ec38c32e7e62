"""Changes typed into a form, written into the text of a scenario file: comments and what is not named stay.

Whoever types states texts only; which of them are numbers, whole numbers, or true and false in the file follows from
the field. A text that is none of what its field wants is written as it was typed: the check of the file then says what
is wrong with it, and nothing that somebody typed is dropped.
"""

from __future__ import annotations

import copy
import re
import tomllib
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache
from typing import Any, Literal

import tomlkit
from tomlkit.items import AoT, Array, InlineTable

from sim.base.errors import ScenarioError
from sim.base.limits import SCENARIO
from sim.scenario.lines import Place
from sim.scenario.mistakes import field_name
from sim.scenario.scenario import Scenario

What = Literal["set", "unset", "add", "remove"]
MOST = 5000  # edits that are put into one text
DEEPEST = 20  # steps of a place
_INTEGER = re.compile(r"[+-]?\d{1,9}")
_NUMBER = re.compile(r"[+-]?(?:\d+(?:\.\d*)?|\.\d+)(?:[eE][+-]?\d{1,3})?")
_PLAIN = re.compile(r"[A-Za-z0-9_-]{1,60}")


@dataclass(frozen=True, slots=True)
class Edit:
    """One change.

    Attributes
    ----------
    what : str
        'set' states a value; 'unset' leaves a key out, so that its default holds; 'add' puts an item into a list
        before the place's last step; 'remove' takes one out.
    place : tuple of str and int
        Keys, and places in lists from 0.
    value : object
        Text, or lists and tables of texts.
    """

    what: What
    place: Place
    value: Any = None


def edits_of(asked: Any) -> tuple[Edit, ...]:
    """Return the edits of a question, as JSON has them.

    Raises
    ------
    ScenarioError
        If they are none.
    """
    if not isinstance(asked, list) or len(asked) > MOST:
        raise ScenarioError(f"edits must be a list of at most {MOST}")
    return tuple(_edit(one) for one in asked)


def _edit(one: Any) -> Edit:
    if not isinstance(one, dict) or one.get("what") not in {"set", "unset", "add", "remove"}:
        raise ScenarioError("an edit must say what is done: set, unset, add or remove")
    place = one.get("place")
    if not isinstance(place, list) or not 0 < len(place) <= DEEPEST or not all(_is_step(s) for s in place):
        raise ScenarioError("an edit must name its place by keys and by places in lists")
    return Edit(one["what"], tuple(place), one.get("value"))


def _is_step(step: Any) -> bool:
    if isinstance(step, str):
        return _PLAIN.fullmatch(step) is not None
    return isinstance(step, int) and not isinstance(step, bool) and 0 <= step <= MOST


def edited(text: str, edits: Iterable[Edit]) -> str:
    """Return the text of a scenario file with edits made one after the other.

    Raises
    ------
    ScenarioError
        If the text is no TOML, an edit's place does not exist, or the text would not say what the edits do.
    """
    mark = "\ufeff" if text.startswith("\ufeff") else ""
    plain = text.removeprefix(mark)
    try:
        wanted: Any = tomllib.loads(plain)
        document: Any = tomlkit.parse(plain)
    except (tomllib.TOMLDecodeError, tomlkit.exceptions.TOMLKitError, ValueError, RecursionError) as error:
        raise ScenarioError(f"the file is not valid TOML ({error})") from None
    for edit in edits:
        value = _stated(edit.place, edit.value)
        try:
            _put(wanted, edit, copy.deepcopy(value), written=False)
            _put(document, edit, value, written=True)
        except (KeyError, IndexError, TypeError, ValueError, AttributeError, tomlkit.exceptions.TOMLKitError):
            raise ScenarioError(f"{field_name(edit.place)} has no place in the file as it stands") from None
    return mark + _held(tomlkit.dumps(document), wanted)


def _held(text: str, wanted: Any) -> str:
    """Return a text that says what is wanted; the writer is not trusted, since it keeps a layout and we keep values."""
    try:
        said = tomllib.loads(text)
    except (tomllib.TOMLDecodeError, ValueError):
        said = None
    if said != wanted:
        raise ScenarioError("these changes cannot be written beside what else stands in the file")
    if len(text.encode("utf-8")) > SCENARIO.most:
        raise ScenarioError("a scenario must be under 1 MB")
    return text


def has_field(place: Place) -> bool:
    """Tell whether a scenario may have something at a place."""
    return bool(_nodes(tuple(step if isinstance(step, str) else 0 for step in place)))


# Values


def _stated(place: Place, value: Any) -> Any:
    """Return a value as the file states it, by the kind of its field."""
    if isinstance(value, dict):
        return {key: _stated((*place, key), one) for key, one in value.items() if _is_step(key)}
    if isinstance(value, list):
        return [_stated((*place, k), one) for k, one in enumerate(value)]
    if not isinstance(value, str):
        return value if isinstance(value, bool | int | float) else ""
    kinds = _kinds(tuple(step if isinstance(step, str) else 0 for step in place))
    text = value.strip()
    if "boolean" in kinds and text in {"true", "false"}:
        return text == "true"
    if "integer" in kinds and _INTEGER.fullmatch(text):
        return int(text)
    if "number" in kinds and _NUMBER.fullmatch(text):
        return float(text)
    return value


@cache
def _schema() -> dict[str, Any]:
    return Scenario.model_json_schema()


def _kinds(place: Place) -> frozenset[str]:
    """Return which JSON types a place of a scenario may have, of all that its tables can be."""
    return frozenset(str(one["type"]) for node in _nodes(place) for one in _ways(node) if "type" in one)


def _nodes(place: Place) -> list[dict[str, Any]]:
    nodes = [_schema()]
    for step in place:
        nodes = [inner for node in nodes for one in _ways(node) for inner in _inside(one, step)]
    return nodes


def _ways(node: dict[str, Any]) -> list[dict[str, Any]]:
    """Return the schemas that a node stands for: what it refers to, each of its choices."""
    if "$ref" in node:
        return _ways(_schema()["$defs"][node["$ref"].rpartition("/")[2]])
    for several in ("anyOf", "oneOf"):
        if several in node:
            return [way for one in node[several] for way in _ways(one)]
    return [node]


def _inside(node: dict[str, Any], step: int | str) -> list[dict[str, Any]]:
    if isinstance(step, str):
        return [node["properties"][step]] if step in node.get("properties", {}) else []
    first = node.get("prefixItems")
    return [*first] if first else [node["items"]] if "items" in node else []


# Writing


def _put(root: Any, edit: Edit, value: Any, *, written: bool) -> None:
    """Make one change in tables, parsed ones or those of tomlkit."""
    *steps, last = edit.place
    place = root
    for step, after in zip(steps, edit.place[1:], strict=True):
        if isinstance(step, str) and step not in place:
            if edit.what == "unset":
                return
            if edit.what == "remove":
                raise KeyError(step)
            place[step] = _new(place, after, written=written)
        place = place[step]
    if edit.what == "unset":
        if not isinstance(last, str):
            raise KeyError(last)
        place.pop(last, None)
    elif edit.what == "remove":
        if not isinstance(last, int):
            raise KeyError(last)
        del place[last]
    elif edit.what == "add":
        _require_list(place, last, within=len(place))
        place.insert(last, _item(value, place, aot=isinstance(place, AoT)) if written else value)
    else:
        _set(place, last, value, written=written)


def _set(place: Any, last: int | str, value: Any, *, written: bool) -> None:
    if isinstance(last, int):
        _require_list(place, last, within=len(place) - 1)
    known = place[last] if isinstance(last, int) or last in place else None
    if isinstance(known, dict) and isinstance(value, dict):
        for key in [key for key in known if key not in value]:
            del known[key]
        for key, one in value.items():
            _set(known, key, one, written=written)
        return
    if known is not None and written and isinstance(known, AoT) and not value:
        del place[last]  # a list of headed tables that becomes empty is written within a line
    place[last] = _item(value, place, aot=False) if written else value


def _require_list(place: Any, last: int | str, within: int) -> None:
    if not isinstance(place, list) or not isinstance(last, int) or last > within:
        raise IndexError(last)


def _new(place: Any, after: int | str, *, written: bool) -> Any:
    """Return an empty table, or the empty list that comes to hold the next step, as it fits where it is put."""
    if not written:
        return [] if isinstance(after, int) else {}
    if isinstance(after, int):
        return tomlkit.array()
    return tomlkit.inline_table() if isinstance(place, InlineTable | Array) else tomlkit.table()


def _item(value: Any, place: Any, *, aot: bool) -> Any:
    """Return a value as an item: tables within a line, but under a head of their own in a list of such."""
    if isinstance(value, dict):
        table = tomlkit.table() if aot else tomlkit.inline_table()
        for key, one in value.items():
            table[key] = _item(one, table, aot=False)
        if aot and value:
            table.add(tomlkit.nl())
        return table
    if isinstance(value, list):
        array = tomlkit.array()
        for one in value:
            array.append(_item(one, array, aot=False))
        array.multiline(multiline=len(value) > 2 and not isinstance(place, InlineTable))
        return array
    return tomlkit.item(value)
