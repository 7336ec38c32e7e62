"""What a scenario states and what it left to defaults, each value in the shop's unit, for the page."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from pydantic import BaseModel, WithJsonSchema
from pydantic.fields import FieldInfo

from sim.base.units import KINDS
from sim.scenario import Scenario
from sim.scenario.outline import Outline

# Inside unit of a quantity to the one shown, and the factor between them.
_SHOWN = {
    "pressure": ("bar", 10.0),
    "force": ("kN", 1e-3),
    "angle": ("deg", 57.29577951308232),
    "torque": ("N m", 1e-3),
    "speed": ("rev/min", 1.0),
    "area": ("cm²", 1e-2),
    "stiffness": ("kN/mm", 1e-3),
    "tilt stiffness": ("kN m/rad", 1e-6),
}


@dataclass(frozen=True, slots=True)
class Stated:
    """One value of a scenario: its field, what it means, how it reads, and whether it is a default."""

    field: str
    meaning: str
    value: str
    default: bool


def stated(scenario: Scenario) -> tuple[Stated, ...]:
    """Return every value of a scenario in the file's order; outlines and points as their count."""
    return tuple(_walk(scenario, "", given=True))


def _walk(table: BaseModel, path: str, *, given: bool) -> Iterator[Stated]:
    for name, info in type(table).model_fields.items():
        value = getattr(table, name)
        field = f"{path}.{name}" if path else name
        here = given and name in table.model_fields_set
        if name in {"title", "revision", "description"} and not path:
            continue
        if isinstance(value, BaseModel):
            yield from _walk(value, field, given=here)
        elif isinstance(value, tuple) and value and all(isinstance(v, BaseModel) for v in value):
            for number, item in enumerate(value):
                yield from _walk(item, f"{field}[{number}]", given=here)
        elif value is not None and value != ():
            yield Stated(field, info.description or name.replace("_", " "), _text(value, info), not here)


def _text(value: Any, info: FieldInfo) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, tuple):
        if isinstance(value[0], tuple):
            return f"{len(value.stated if isinstance(value, Outline) else value)} corners"
        return ", ".join(_text(v, info) for v in value)
    if not isinstance(value, float):
        return str(value)
    kind = _kind(info)
    if kind is None:
        return f"{value:.4g}"
    unit, factor = _SHOWN.get(kind, (KINDS[kind].inside, 1.0))
    return f"{value * factor:.6g} {unit}"


def _kind(info: FieldInfo) -> str | None:
    """Return the kind of quantity that a field holds, from its JSON schema; None for a bare number."""
    for found in _schemas(info.annotation, info.metadata):
        kind = str((found.json_schema or {}).get("description", "")).partition(",")[0]
        if kind in KINDS:
            return kind
    return None


def _schemas(annotation: Any, metadata: list[Any]) -> Iterator[WithJsonSchema]:
    yield from (m for m in metadata if isinstance(m, WithJsonSchema))
    yield from (m for m in getattr(annotation, "__metadata__", ()) if isinstance(m, WithJsonSchema))
    for inner in getattr(annotation, "__args__", ()):
        yield from _schemas(inner, [])
