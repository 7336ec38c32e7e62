"""Tables that a scenario takes from other files, as what a fit of gauge readings has found for the chuck."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from sim.errors import ScenarioError

KEY = "include"


@dataclass(frozen=True, slots=True)
class Taken:
    """One value out of an included file, and the scenario's own that it takes the place of, if any, as text."""

    field: str
    value: str
    own: str | None

    def __str__(self) -> str:
        return f"{self.field} = {self.value}" + ("" if self.own is None else f" (in place of {self.own})")


@dataclass(frozen=True, slots=True)
class Included:
    """What a scenario takes from another file, and the file as the scenario names it."""

    file: str
    values: tuple[Taken, ...]

    def __str__(self) -> str:
        return f"{self.file}: {', '.join(str(value) for value in self.values)}"


def with_included(tables: Mapping[str, Any], other: Mapping[str, Any], name: str) -> dict[str, Any]:
    """Return tables with another file's put in; its values take the place of the scenario's own.

    Tables are merged. A table that stands where the scenario has a list of tables goes into each of them.

    Parameters
    ----------
    tables, other : parsed tables of the scenario and of the other file.
    name : str
        Of the other file, for messages.

    Raises
    ------
    ScenarioError
        If the file has what a scenario cannot take.
    """
    if KEY in other:
        raise ScenarioError(f"{name}: {KEY} may stand in a scenario only, not in a file that it includes")
    return _merged(tables, other, name, "")


def _merged(own: Mapping[str, Any], other: Mapping[str, Any], name: str, at: str) -> dict[str, Any]:
    found = dict(own)
    for key, value in other.items():
        place = f"{at}{key}"
        if isinstance(found.get(key), Mapping) and isinstance(value, Mapping):
            found[key] = _merged(found[key], value, name, f"{place}.")
        elif isinstance(found.get(key), list) and isinstance(value, Mapping):
            found[key] = [
                _merged(item, value, name, f"{place}.{n}.") if isinstance(item, Mapping) else item
                for n, item in enumerate(found[key])
            ]
        elif isinstance(found.get(key), Mapping):
            raise ScenarioError(f"{place} must be a table in {name}, as in the scenario, found {value!r}")
        else:
            found[key] = value
    return found


def fields(tables: Mapping[str, Any], at: str = "") -> frozenset[str]:
    """Return the names of the values in tables, as in 'chuck.efficiency'."""
    found: set[str] = set()
    for key, value in tables.items():
        found |= fields(value, f"{at}{key}.") if isinstance(value, Mapping) else {f"{at}{key}"}
    return frozenset(found)


def require_apart(one: Mapping[str, Any], other: Mapping[str, Any], names: tuple[str, str]) -> None:
    """Refuse two included files that state the same key.

    Raises
    ------
    ScenarioError
    """
    for field in sorted(fields(one) & fields(other)):
        raise ScenarioError(f"{field} is stated by both {names[0]} and {names[1]}; include one of them only")


def included_files(tables: Mapping[str, Any], folder: Path) -> list[Path]:
    """Return the files that a scenario includes, in their order.

    Raises
    ------
    ScenarioError
        If `include` is no list of file names.
    """
    stated = tables.get(KEY, [])
    if not isinstance(stated, list) or not all(isinstance(name, str) and name for name in stated):
        raise ScenarioError(
            f'{KEY} must be a list of file names (as in ["chuck_fit.toml"]), found {stated!r}'
        )
    return [folder / name for name in stated]


def taken(tables: Mapping[str, Any], own: Mapping[str, Any], other: Mapping[str, Any], file: str) -> Included:
    """Return what of an included file's tables stands in the full tables of a scenario, not changed since."""
    return Included(file, tuple(_unchanged(tables, own, other, "")))


def _unchanged(full: Any, own: Any, other: Mapping[str, Any], at: str) -> Iterator[Taken]:
    for key, value in other.items():
        if isinstance(full, list):
            for n, item in enumerate(full):
                mine = own[n] if isinstance(own, list) and n < len(own) else None
                yield from _unchanged(item, mine, {key: value}, f"{at.removesuffix('.')}[{n}].")
            continue
        mine = own.get(key) if isinstance(own, Mapping) else None
        if isinstance(full, Mapping) and isinstance(value, Mapping):
            yield from _unchanged(full.get(key), mine, value, f"{at}{key}.")
        elif isinstance(full, Mapping) and full.get(key) == value:
            yield Taken(f"{at}{key}", _brief(value), None if mine is None or mine == value else _brief(mine))


def _brief(value: Any) -> str:
    return f"a list of {len(value)}" if isinstance(value, list) else str(value)


def stands_in(other: Mapping[str, Any], location: tuple[int | str, ...]) -> bool | None:
    """Tell whether a field stands in an included file: True the value itself, None its table in part, False not."""
    place: Any = other
    for step in location:
        if isinstance(step, int) and isinstance(place, Mapping):
            continue  # a table that goes into each item of a list
        if not isinstance(place, Mapping):
            break  # inside of a value
        if step not in place:
            return False
        place = place[step]
    return None if isinstance(place, Mapping) else True
