"""Tables that a scenario takes from other files, as what a fit of gauge readings has found for the chuck."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from sim.errors import ScenarioError

KEY = "include"


@dataclass(frozen=True, slots=True)
class Included:
    """What a scenario takes from another file: the file as the scenario names it, and the fields with their text."""

    file: str
    values: tuple[tuple[str, str], ...]

    def __str__(self) -> str:
        return f"{self.file}: {', '.join(f'{field} = {value}' for field, value in self.values)}"


def with_included(tables: Mapping[str, Any], other: Mapping[str, Any], name: str) -> dict[str, Any]:
    """Return tables with another file's put in.

    Tables are merged. A table that stands where the scenario has a list of tables goes into each of them.

    Parameters
    ----------
    tables, other : parsed tables of the scenario and of the other file.
    name : str
        Of the other file, for messages.

    Raises
    ------
    ScenarioError
        If both state a key, or the file has what a scenario cannot take.
    """
    if KEY in other:
        raise ScenarioError(f"{name}: {KEY} may stand in a scenario only, not in a file that it includes")
    return _merged(tables, other, name, "")


def _merged(own: Mapping[str, Any], other: Mapping[str, Any], name: str, at: str) -> dict[str, Any]:
    found = dict(own)
    for key, value in other.items():
        place = f"{at}{key}"
        if key not in found:
            found[key] = value
        elif isinstance(found[key], Mapping) and isinstance(value, Mapping):
            found[key] = _merged(found[key], value, name, f"{place}.")
        elif isinstance(found[key], list) and isinstance(value, Mapping):
            found[key] = [
                _merged(item, value, name, f"{place}.{n}.") if isinstance(item, Mapping) else item
                for n, item in enumerate(found[key])
            ]
        else:
            raise ScenarioError(
                f"{place} is stated by the scenario and by {name}, which it includes; take one of them out"
            )
    return found


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


def taken(tables: Mapping[str, Any], other: Mapping[str, Any], file: str) -> Included:
    """Return what of an included file's tables stands in the full tables of the scenario, not changed since."""
    return Included(file, tuple(_unchanged(tables, other, "")))


def _unchanged(own: Any, other: Mapping[str, Any], at: str) -> Iterator[tuple[str, str]]:
    for key, value in other.items():
        field = f"{at}{key}"
        if isinstance(own, list):
            for n, item in enumerate(own):
                yield from _unchanged(item, {key: value}, f"{at.removesuffix('.')}[{n}].")
        elif isinstance(own, Mapping) and isinstance(value, Mapping):
            yield from _unchanged(own.get(key), value, f"{field}.")
        elif isinstance(own, Mapping) and own.get(key) == value:
            yield field, _brief(value)


def _brief(value: Any) -> str:
    return f"{len(value)} items" if isinstance(value, list) else str(value)


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
