"""Fields of two revisions of a scenario that differ in value.

Values are compared as they are read, in the inside unit: the same in another unit is no change, nor is a default that
is written out. Tables of a list are taken for each other by their names where these tell them apart, else by their
places.
"""

from __future__ import annotations

import hashlib
import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from pydantic import BaseModel

from sim.base.files import regular_bytes
from sim.base.limits import JOB_FILE
from sim.base.units import KINDS
from sim.scenario import Scenario
from sim.scenario.fields import item_type, quantity_of, whole_type
from sim.scenario.named_files import read_files
from sim.scenario.outline import Outline

SAME = 1e-9  # relative; nearer values are one, written in two units
NOT_STATED = "not stated"


@dataclass(frozen=True, slots=True)
class Revision:
    """A scenario as it is read, with its tables as they stand, those of files that it includes put in."""

    scenario: Scenario
    tables: Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class Side:
    """A value on one side of a change.

    Attributes
    ----------
    told : str
        As the file states it, or the default in the inside unit.
    value : object
        In the inside unit; None where there is none.
    origin : str
        File that it was taken from, '' for the scenario's own or a default.
    default : bool
    """

    told: str
    value: Any = None
    origin: str = ""
    default: bool = False


@dataclass(frozen=True, slots=True)
class FieldChange:
    """A field that differs: its key, the unit inside ('' for none), and both sides."""

    key: str
    unit: str
    old: Side
    new: Side


@dataclass(frozen=True, slots=True, eq=False)
class _At:
    """Where a value of one revision stands: its place as the file counts, what is written there, and whose it is."""

    place: str
    written: Any
    origins: Mapping[str, str]

    def inside(self, step: str | int, *, own: Any) -> _At:
        place = f"{self.place}[{step}]" if isinstance(step, int) else f"{self.place}.{step}".lstrip(".")
        return _At(place, own, self.origins)

    def field(self, name: str) -> _At:
        own = self.written.get(name) if isinstance(self.written, Mapping) else None
        return self.inside(name, own=own)

    def item(self, number: int) -> _At:
        listed = isinstance(self.written, list | tuple) and number < len(self.written)
        return self.inside(number, own=self.written[number] if listed else None)

    @property
    def origin(self) -> str:
        return self.origins.get(self.place, "")


def field_changes(old: Revision, new: Revision) -> tuple[FieldChange, ...]:
    """Return what differs between two revisions of a scenario, in the order of its tables."""
    found = _tables(old.scenario, new.scenario, "", _start(old), _start(new))
    return (*found, *_contents(old.scenario, new.scenario))


def renamed(old: Scenario, new: Scenario) -> dict[str, str]:
    """Return for each operation's name in the new revision what it was called in the old one, where there is one."""
    pairs, _, _ = _pairs(old.operations, new.operations)
    return {new.operations[b].name: old.operations[a].name for a, b in pairs}


def _start(one: Revision) -> _At:
    origins = {value.field: other.file for other in one.scenario.included for value in other.values}
    return _At("", one.tables, origins)


def _tables(old: BaseModel, new: BaseModel, key: str, at: _At, to: _At) -> Iterator[FieldChange]:
    for name in dict.fromkeys((*type(old).model_fields, *type(new).model_fields)):
        place = f"{key}.{name}".lstrip(".")
        here, there = type(old).model_fields.get(name), type(new).model_fields.get(name)
        if here is None or there is None:  # of another kind of table, as of another fixture
            one, kept, side = (new, to, there) if here is None else (old, at, here)
            if name in one.model_fields_set and side is not None:
                yield from _lone(
                    getattr(one, name), place, kept.field(name), whole_type(side), added=here is None
                )
            continue
        kind = whole_type(here)
        yield from _values(
            getattr(old, name), getattr(new, name), kind, place, at.field(name), to.field(name)
        )


def _values(old: Any, new: Any, kind: Any, key: str, at: _At, to: _At) -> Iterator[FieldChange]:
    # Corners as they are stated, arcs not in chords.
    old, new = (one.stated if isinstance(one, Outline) else one for one in (old, new))
    if isinstance(old, BaseModel) and isinstance(new, BaseModel):
        yield from _tables(old, new, key, at, to)
    elif isinstance(old, BaseModel) or isinstance(new, BaseModel):
        added = isinstance(new, BaseModel)
        yield FieldChange(key, "", _plain(old, kind, at), _plain(new, kind, to))
        yield from _lone(new if added else old, key, to if added else at, kind, added=added)
    elif isinstance(old, tuple) and isinstance(new, tuple) and _of_tables(old + new):
        yield from _lists(old, new, key, at, to)
    elif not _same(old, new):
        if isinstance(old, tuple) and isinstance(new, tuple) and len(old) == len(new) and old:
            item = item_type(kind)
            for number, (one, other) in enumerate(zip(old, new, strict=True)):
                yield from _values(one, other, item, f"{key}[{number}]", at.item(number), to.item(number))
        else:
            yield FieldChange(key, _unit(kind, old, new), _plain(old, kind, at), _plain(new, kind, to))


def _lists(
    old: tuple[BaseModel, ...], new: tuple[BaseModel, ...], key: str, at: _At, to: _At
) -> Iterator[FieldChange]:
    pairs, gone, come = _pairs(old, new)
    if [b for _, b in pairs] != sorted(b for _, b in pairs):
        yield FieldChange(
            f"order of {key}", "", Side(", ".join(map(_name, old))), Side(", ".join(map(_name, new)))
        )
    for a, b in pairs:
        label = f"{key}[{_label(new, b)}]"
        yield from _tables(old[a], new[b], label, at.item(a), to.item(b))
    for number in gone:
        label = f"{key}[{_label(old, number)}]"
        yield FieldChange(label, "", Side("there"), Side("taken away"))
        yield from _lone(old[number], label, at.item(number), None, added=False)
    for number in come:
        label = f"{key}[{_label(new, number)}]"
        yield FieldChange(label, "", Side("not there"), Side("added"))
        yield from _lone(new[number], label, to.item(number), None, added=True)


def _pairs(old: tuple[Any, ...], new: tuple[Any, ...]) -> tuple[list[tuple[int, int]], list[int], list[int]]:
    """Return which tables of two lists are taken for each other, and those of either side that are left."""
    if not (_named(old) and _named(new)):
        both = min(len(old), len(new))
        return [(n, n) for n in range(both)], list(range(both, len(old))), list(range(both, len(new)))
    names = {_name(one): number for number, one in enumerate(new)}
    pairs = {number: names[_name(one)] for number, one in enumerate(old) if _name(one) in names}
    gone = [n for n in range(len(old)) if n not in pairs]
    come = [n for n in range(len(new)) if n not in pairs.values()]
    if len(old) == len(new):  # what stands in the same place under another name was renamed
        pairs.update({number: number for number in set(gone) & set(come)})
    gone = [n for n in gone if n not in pairs]
    return sorted(pairs.items()), gone, [n for n in come if n not in pairs.values()]


def _lone(value: Any, key: str, at: _At, kind: Any, *, added: bool) -> Iterator[FieldChange]:
    """Yield every stated field of what only one revision has."""
    if isinstance(value, BaseModel):
        for name, info in type(value).model_fields.items():
            if name in value.model_fields_set:
                yield from _lone(
                    getattr(value, name), f"{key}.{name}", at.field(name), whole_type(info), added=added
                )
        return
    if isinstance(value, tuple) and value and _of_tables(value):
        for number, item in enumerate(value):
            yield from _lone(item, f"{key}[{_label(value, number)}]", at.item(number), None, added=added)
        return
    side, nothing = _plain(value, kind, at), Side(NOT_STATED)
    yield FieldChange(key, _unit(kind, value), nothing if added else side, side if added else nothing)


def _contents(old: Scenario, new: Scenario) -> Iterator[FieldChange]:
    """Yield files that both revisions name in the same field and whose contents differ."""
    before = {key: (name, _digest(old, name)) for key, name in read_files(old)}
    for key, name in read_files(new):
        known = before.get(key)
        now = _digest(new, name)
        if known is not None and known[1] != now:
            what = "unreadable" if now is None else f"{name}, SHA-256 {now[:12]}"
            was = "unreadable" if known[1] is None else f"{known[0]}, SHA-256 {known[1][:12]}"
            yield FieldChange(f"content of {key}", "", Side(was), Side(what))


def _digest(scenario: Scenario, name: str) -> str | None:
    try:
        return hashlib.sha256(regular_bytes(scenario.folder / name, JOB_FILE.most)).hexdigest()
    except (OSError, ValueError):
        return None


def _plain(value: Any, kind: Any, at: _At) -> Side:
    if value is None:
        return Side(NOT_STATED)
    if isinstance(value, BaseModel):
        return Side("a table", origin=at.origin)
    stated = at.written
    if isinstance(stated, str | bool | int | float):
        return Side(str(stated).lower() if isinstance(stated, bool) else str(stated), value, at.origin)
    if isinstance(value, tuple):
        told = f"a list of {len(value)}" if value else "an empty list"
        if value and all(isinstance(one, str) for one in value):
            told = ", ".join(value)
        return Side(told, value, at.origin, default=stated is None)
    return Side(_in_words(value, kind), value, at.origin, default=stated is None)


def _in_words(value: Any, kind: Any) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, float | int):
        unit = _unit(kind, value)
        return f"{value:.10g} {unit}".rstrip()
    return str(value)


def _unit(kind: Any, *values: Any) -> str:
    if not any(isinstance(one, float | int) and not isinstance(one, bool) for one in values):
        return ""
    quantity = quantity_of(kind)
    return "" if quantity is None else KINDS[quantity.kind].inside


def _same(old: Any, new: Any) -> bool:
    if isinstance(old, bool) or isinstance(new, bool):
        return old is new
    if isinstance(old, int | float) and isinstance(new, int | float):
        return math.isclose(old, new, rel_tol=SAME, abs_tol=1e-12)
    if isinstance(old, tuple) and isinstance(new, tuple):
        return len(old) == len(new) and all(map(_same, old, new))
    return bool(old == new)


def _of_tables(items: tuple[Any, ...]) -> bool:
    return bool(items) and all(isinstance(one, BaseModel) for one in items)  # of an outline only some may be


def _named(items: tuple[Any, ...]) -> bool:
    names = [_name(one) for one in items]
    return all(names) and len(set(names)) == len(names)


def _name(item: Any) -> str:
    return str(getattr(item, "name", ""))


def _label(items: tuple[Any, ...], number: int) -> str:
    return _name(items[number]) if _named(items) else str(number)
