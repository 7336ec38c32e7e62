"""Change single fields of a scenario's tables before they are checked, as in ``soft_jaw.height=70 mm``."""

from __future__ import annotations

import copy
import tomllib
from collections.abc import Iterable, Mapping
from typing import Any

from sim.base.errors import ScenarioError


def changes(texts: Iterable[str]) -> dict[str, Any]:
    """Read ``field=value`` texts; a value that is no TOML is taken as text, so that ``70 mm`` needs no quotes.

    Raises
    ------
    ScenarioError
        If a text has no field or no value.
    """
    found: dict[str, Any] = {}
    for text in texts:
        field, equals, value = text.partition("=")
        if not (equals and field.strip() and value.strip()):
            raise ScenarioError(f"a change must be field=value (as in soft_jaw.height=70 mm), found '{text}'")
        found[field.strip()] = _value(value.strip())
    return found


def changed(tables: Mapping[str, Any], wanted: Mapping[str, Any]) -> dict[str, Any]:
    """Return a copy of parsed tables with fields replaced; items of lists are counted from 0, as in pockets.0.depth.

    Raises
    ------
    ScenarioError
        If a field's place does not exist.
    """
    copied: dict[str, Any] = copy.deepcopy(dict(tables))
    for field, value in wanted.items():
        *steps, last = field.split(".")
        place: Any = copied
        for step in steps:
            place = _inside(place, step, field, new={})
        if isinstance(place, list):
            _inside(place, last, field, new=None)
            place[int(last)] = value
        elif isinstance(place, dict):
            place[last] = value
        else:
            raise ScenarioError(f"{field} names no field of the scenario")
    return copied


def _inside(place: Any, step: str, field: str, *, new: Any) -> Any:
    if isinstance(place, dict):
        return place.setdefault(step, new)
    if isinstance(place, list) and step.isdigit() and int(step) < len(place):
        return place[int(step)]
    if isinstance(place, list):
        raise ScenarioError(f"{field}: must count from 0 to {len(place) - 1}, found '{step}'")
    raise ScenarioError(f"{field} names no field of the scenario")


def _value(text: str) -> Any:
    try:
        return tomllib.loads(f"value = {text}")["value"]
    except tomllib.TOMLDecodeError:
        return text
