"""Tables that a scenario takes from other files, as what a fit of gauge readings has found for the chuck."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from sim.base.errors import ScenarioError
from sim.base.limits import FILE_NAME, INCLUDED
from sim.base.printable import printable

KEY = "include"
SHOWN = 200  # characters of what is no list of names
_PLACE = re.compile(r"\[\d+\]")
JUDGED = "gauge_readings"  # the table in which a fit says how it has judged the readings behind its values
ACCEPTED, WITH_FINDINGS, REJECTED = "accepted", "accepted with findings", "rejected"
# What a fit gives; a file that states one of these owes its readers whether the readings behind it were accepted.
GAUGED = frozenset(
    {
        "chuck.guideway_friction",
        "chuck.efficiency",
        "chuck.largest_pull",
        "chuck.grip_points",
        "chuck.radial_stiffness",
        "operations.gripping.grip_loss_share",
        "running.repeat_scatter",
        "running.stiffness_scatter",
        "running.rebolted_along",
        "running.rebolted_across",
        "running.rebolted_up",
    }
)


@dataclass(frozen=True, slots=True)
class Taken:
    """One value out of an included file, and the scenario's own that it takes the place of, if any, as text."""

    field: str
    value: str
    own: str | None

    def __str__(self) -> str:
        return f"{self.field} = {self.value}" + ("" if self.own is None else f" (in place of {self.own})")


@dataclass(frozen=True, slots=True)
class Judgement:
    """How the gauge readings behind a file's values were judged, what was found, and where they come from."""

    word: str
    findings: tuple[str, ...] = ()
    source: str = ""

    @property
    def told(self) -> str:
        """In words."""
        return {
            ACCEPTED: "its gauge readings were accepted",
            WITH_FINDINGS: "its gauge readings were accepted with findings",
            REJECTED: "its gauge readings were REJECTED",
        }[self.word]


@dataclass(frozen=True, slots=True)
class Included:
    """What a scenario takes from another file, the file as the scenario names it, and how its readings were judged.

    Of a shop file (see `sim.scenario.shop_files`) also what the scenario states `instead`, with the file's value.
    """

    file: str
    values: tuple[Taken, ...]
    judgement: Judgement | None = None
    instead: tuple[Taken, ...] = ()
    shop: bool = False

    @property
    def is_gauged(self) -> bool:
        """Tell whether values are such as a fit of gauge readings gives, or a judgement of readings is stated."""
        if self.shop:  # what a shop states of its chuck is no reading
            return False
        return self.judgement is not None or any(plain(value.field) in GAUGED for value in self.values)

    @property
    def told(self) -> str:
        """In a sentence: what is taken, and of a shop file what is not, since the scenario states it itself."""
        if not self.shop:
            return f"Values taken from {self}." if self.values else ""
        taken = f"Taken from {self.file}: {_counted(self.values) or 'nothing'}."
        if self.instead:
            fields = ", ".join(f"{one.field} ({one.value} in the file)" for one in self.instead)
            taken += f" What the scenario states itself counts for {fields}."
        return printable(taken)

    @property
    def brief(self) -> str:
        """As `told`, without a judgement that a verdict of its own repeats: readings in doubt."""
        if self.shop or self.judgement is None or self.judgement.word == ACCEPTED or not self.values:
            return self.told
        return f"Values taken from {self.file}: {', '.join(map(str, self.values))}."

    def __str__(self) -> str:
        values = f"{self.file}: {', '.join(str(value) for value in self.values)}"
        if self.judgement is not None:
            return f"{values}; {self.judgement.told}"
        return f"{values}; it does not say whether gauge readings were accepted" if self.is_gauged else values


def _counted(values: tuple[Taken, ...]) -> str:
    """Return fields as how many values a table has, and each item of a list by what it is."""
    found: dict[str, list[str]] = {}
    for one in values:
        listed = one.field.endswith("]")
        table = one.field.rsplit("[", 1)[0] if listed else one.field.split(".", 1)[0]
        found.setdefault(table, []).append(one.value if listed else "")
    return "; ".join(
        f"{table}: {', '.join(items)}"
        if items[0]
        else f"{table}: {len(items)} value{'s' if len(items) > 1 else ''}"
        for table, items in found.items()
    )


def plain(field: str) -> str:
    """Return a field's name without its places in lists, as an included file states it."""
    return _PLACE.sub("", field)


def judgement(tables: Mapping[str, Any], name: str) -> Judgement | None:
    """Return how the readings behind an included file's values were judged; None where it does not say.

    Raises
    ------
    ScenarioError
        If it says so in words that are none of these.
    """
    stated = tables.get(JUDGED)
    if stated is None:
        return None
    words = (ACCEPTED, WITH_FINDINGS, REJECTED)
    word = stated.get("judgement") if isinstance(stated, Mapping) else stated
    if word not in words:
        raise ScenarioError(
            f"{JUDGED}.judgement must be one of {', '.join(repr(one) for one in words)} in {name}, found {word!r}"
        )
    found, source = stated.get("findings", []), stated.get("source", "")
    if not isinstance(found, list) or not all(isinstance(one, str) for one in found):
        raise ScenarioError(f"{JUDGED}.findings must be a list of sentences in {name}, found {found!r}")
    return Judgement(word, tuple(found), str(source))


def with_included(tables: Mapping[str, Any], other: Mapping[str, Any], name: str) -> dict[str, Any]:
    """Return tables with another file's put in; its values take the place of the scenario's own.

    Tables are merged. A table that stands where the scenario has a list of tables goes into each of them.

    Parameters
    ----------
    tables, other : mapping
        Parsed tables of the scenario and of the other file.
    name : str
        Of the other file, for messages.

    Raises
    ------
    ScenarioError
        If the file has what a scenario cannot take.
    """
    if KEY in other:
        raise ScenarioError(f"{name}: {KEY} may stand in a scenario only, not in a file that it includes")
    judgement(other, name)
    return _merged(tables, _values(other), name, "")


def _values(tables: Mapping[str, Any]) -> dict[str, Any]:
    """Return an included file's tables without its judgement of readings, which is no value of a scenario."""
    return {key: value for key, value in tables.items() if key != JUDGED}


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
    for field in sorted(fields(_values(one)) & fields(_values(other))):
        raise ScenarioError(f"{field} is stated by both {names[0]} and {names[1]}; include one of them only")


def file_names(tables: Mapping[str, Any], key: str, example: str) -> list[str]:
    """Return the names of files that a scenario lists under a key.

    Raises
    ------
    ScenarioError
        If that is no list of names, has too many, or a name is too long to be one.
    """
    stated = tables.get(key, [])
    if not isinstance(stated, list) or not all(isinstance(name, str) and name for name in stated):
        shown = repr(stated)
        raise ScenarioError(
            f'{key} must be a list of file names (as in ["{example}"]), '
            f"found {shown[:SHOWN]}{'...' if len(shown) > SHOWN else ''}"
        )
    if len(stated) > INCLUDED.most:
        raise ScenarioError(f"{key} must have at most {INCLUDED.most} items, found {len(stated)}")
    longest = max(map(len, stated), default=0)
    if longest > FILE_NAME.most:
        raise ScenarioError(
            f"{key} must name each file in at most {FILE_NAME.most} characters, found {longest} characters"
        )
    return stated


def included_files(tables: Mapping[str, Any], folder: Path) -> list[Path]:
    """Return the files that a scenario includes, in their order.

    Raises
    ------
    ScenarioError
        If `include` is no list of file names.
    """
    return [folder / name for name in file_names(tables, KEY, "chuck_fit.toml")]


def taken(tables: Mapping[str, Any], own: Mapping[str, Any], other: Mapping[str, Any], file: str) -> Included:
    """Return what of an included file's tables stands in the full tables of a scenario, not changed since."""
    return Included(file, tuple(_unchanged(tables, own, _values(other), "")), judgement(other, file))


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
            yield Taken(f"{at}{key}", brief(value), None if mine is None or mine == value else brief(mine))


def brief(value: Any) -> str:
    """Return a value as text; of a list only how long it is."""
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
