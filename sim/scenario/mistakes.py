"""What is wrong with a file's tables: which field, what was found, what is allowed, which key may be meant."""

from __future__ import annotations

from collections.abc import Iterator
from difflib import get_close_matches
from typing import TYPE_CHECKING, Any, get_args

from pydantic import BaseModel, ValidationError

from sim.base.scope import OutOfScope, asked_for

if TYPE_CHECKING:
    from pydantic_core import ErrorDetails

# Kinds of tables, which pydantic names as if they were keys.
CORNERS = {"plain corner", "shaped corner"}  # of an outline (sim.scenario.outline)
TAGS = {"ring", "plug", "outer ring", "none", "normal", "uniform", "triangular", "lognormal", *CORNERS}
_SPREADS = '"normal", "uniform", "triangular" or "lognormal"'
A_SCENARIO = "a scenario (see `chuckscene schema`)"
Location = tuple[int | str, ...]
MOST_COMPARED = 100  # unknown keys that are compared with those known
NEAR = 0.7  # of two keys that may be taken for each other (difflib's ratio)
# What pydantic calls its kinds of mistakes, in plain words.
_WORDS = {
    "tuple_type": "must be a list, its items between [ and ]",
    "list_type": "must be a list, its items between [ and ]",
    "string_type": "must be text",
    "int_type": "must be a whole number",
    "float_type": "must be a number",
    "bool_type": "must be true or false",
    "model_type": "must be a table",
    "model_attributes_type": "must be a table",
    "dict_type": "must be a table",
    "finite_number": "must be a finite number",
    "int_from_float": "must be a whole number",
}
FORMAT_KEY = ("format",)


def sentence(error: ValidationError) -> str:
    """Return what is wrong with a file's tables in one clause, the field first."""
    first, *others = _ordered(error)
    more = f" (and {len(others)} more)" if others else ""
    return f"{_clause(first)}{more}".strip()


def _ordered(error: ValidationError) -> list[ErrorDetails]:
    """Return the mistakes as they are told."""
    # A misspelt key also leaves its right spelling missing: name what stands in the file first; the sort is stable.
    return sorted(_own(error.errors(include_url=False)), key=lambda e: e["type"] != "extra_forbidden")


def mistakes(error: ValidationError, model: type[BaseModel]) -> list[tuple[Location, str]]:
    """Return every mistake with its place, the one to be told first in front.

    A key that is missing because its name is misspelt beside it counts once, as the misspelt one.
    """
    ordered = _ordered(error)
    # A file of another format means another thing by all else that stands in it.
    ordered = [e for e in ordered if e["loc"] == FORMAT_KEY and e["type"] != "extra_forbidden"] or ordered
    unknown = [one["loc"] for one in ordered if one["type"] == "extra_forbidden"]
    meant = {place: _meant(place, model) for place in unknown[:MOST_COMPARED]}
    spelt = {(*place[:-1], name) for place, names in meant.items() for name in names}
    found = []
    for one in ordered:
        if one["type"] == "missing" and one["loc"] in spelt:
            continue
        names = meant.get(one["loc"], ())
        found.append((one["loc"], _clause(one) + (f": did you mean {' and '.join(names)}?" if names else "")))
    return found


def _clause(one: ErrorDetails) -> str:
    where = field_name(one["loc"])
    words = (
        f"{where} {_wording(where, one['type'], one['msg'], one.get('input'), one.get('ctx', {}))}".strip()
    )
    beyond = _beyond(one)
    return f"{words}: {beyond.told}" if beyond else words


def _beyond(one: ErrorDetails) -> OutOfScope | None:
    """Return what has no model and is asked for by a key or by the text of a kind; None if it is something else."""
    kind, found = one["type"], one.get("input")
    if kind == "extra_forbidden":
        keys = [part for part in one["loc"] if isinstance(part, str)][-2:]  # 'inserts' of a jaw, not of a cut
        return asked_for(*keys, found if isinstance(found, str) else "")
    if kind.startswith("union_tag") and isinstance(found, dict):
        return asked_for(str(found.get("kind", "")))
    return asked_for(found) if kind == "literal_error" and isinstance(found, str) else None


def _own(errors: list[ErrorDetails]) -> list[ErrorDetails]:
    """Drop what only follows from a wrong item: its list is also too short, a default that hangs on it not known."""
    places = [e["loc"] for e in errors]
    return [
        e
        for e in errors
        if e["type"] != "default_factory_not_called"
        and (
            e["type"] != "too_short"
            or not any(len(p) > len(e["loc"]) and p[: len(e["loc"])] == e["loc"] for p in places)
        )
    ]


def field_name(location: Location) -> str:
    """Return a place as a file names it: keys joined by dots, places in lists in brackets."""
    text = ""
    for part in location:
        if isinstance(part, int):
            text += f"[{part}]"
        elif part not in TAGS:
            text += f".{part}" if text else part
    return text


def _wording(where: str, kind: str, message: str, found: object, context: dict[str, Any]) -> str:
    if kind == "missing":
        return "is missing"
    if kind == "extra_forbidden":
        return f"is not a key of {A_SCENARIO}"
    if kind == "value_error":
        return str(context.get("error", message))
    if kind.startswith("union_tag"):
        fixture = '"ring", "plug", "outer ring" or "none"'
        return f"must have kind = {fixture if where.endswith('fixture') else _SPREADS}"
    shown = str(found).replace("\n", " ")
    shown = shown if len(shown) <= 40 else shown[:37] + "..."
    if kind == "too_long":
        return f"must have at most {context['max_length']} items, found {_counted(found, context)}"
    if kind == "string_too_long":
        return f"must have at most {context['max_length']} characters, found {len(str(found))}: {shown!r}"
    if kind in _WORDS:
        return f"{_WORDS[kind]}, found {shown!r}"
    return f"{message[0].lower()}{message[1:].replace('Input ', '')}, found {shown!r}".replace(
        "input should", "must"
    )


def _counted(found: object, context: dict[str, Any]) -> str:
    if isinstance(found, list | tuple | dict):
        return str(len(found))
    return str(context.get("actual_length") or "more")


def models_in(annotation: Any) -> Iterator[type[BaseModel]]:
    """Yield the kinds of tables that a type may hold."""
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        yield annotation
    for inner in get_args(annotation):
        yield from models_in(inner)


def _tables_at(location: Location, model: type[BaseModel]) -> list[type[BaseModel]]:
    """Return the kinds of tables that a place may hold."""
    now = [model]
    for part in location:
        if isinstance(part, int):
            continue
        if part in CORNERS:
            continue
        if part in TAGS:
            tagged = [one for one in now if part in get_args(one.model_fields["kind"].annotation)]
            now = tagged or now
            continue
        now = [
            m for one in now if part in one.model_fields for m in models_in(one.model_fields[part].annotation)
        ]
    return now


def _meant(location: Location, model: type[BaseModel]) -> tuple[str, ...]:
    """Return the keys that a misspelt one may stand for: those that begin with it, else the nearest."""
    key = str(location[-1])
    known = {name for table in _tables_at(location[:-1], model) for name in table.model_fields}
    parts = sorted(n for n in known if len(key) >= 4 and (n.startswith(f"{key}_") or n.endswith(f"_{key}")))
    if 1 <= len(parts) <= 3:
        return tuple(parts)
    return tuple(get_close_matches(key, sorted(known), n=1, cutoff=NEAR))
