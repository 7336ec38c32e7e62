"""Lists of a file that are longer than is taken, before any of their items is looked at."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Annotated, Any, get_args, get_origin

from pydantic import BaseModel
from pydantic.fields import FieldInfo

from sim.scenario.mistakes import models_in


def too_long(tables: Any, model: type[BaseModel]) -> str:
    """Return what is wrong with the first list that has too many items, the field first; empty if none has.

    Parameters
    ----------
    tables : object
        As the file has them, unchecked.
    model : type of table
        What they are to be.
    """
    return next(_found(tables, [model], ""), "")


def _found(tables: Any, kinds: Sequence[type[BaseModel]], at: str) -> Iterator[str]:
    if not isinstance(tables, Mapping):
        return
    for key, value in tables.items():
        infos = [kind.model_fields[key] for kind in kinds if key in kind.model_fields]
        if not infos:
            continue
        most = [one for info in infos for one in (_most(info),) if one is not None]
        if isinstance(value, list) and most and len(value) > max(most):
            yield f"{at}{key} must have at most {max(most)} items, found {len(value)}"
        inner = [one for info in infos for one in models_in(info.annotation)]
        for n, item in enumerate(value if isinstance(value, list) else ()):
            yield from _found(item, inner, f"{at}{key}[{n}].")
        yield from _found(value, inner, f"{at}{key}.")


def _most(info: FieldInfo) -> int | None:
    """Return how many items a field's list may have; None where nothing says so."""
    found = [*info.metadata, *_annotated(info.annotation)]
    stated = [one for one in (getattr(each, "max_length", None) for each in found) if isinstance(one, int)]
    return min(stated) if stated else None


def _annotated(kind: Any) -> Iterator[Any]:
    """Yield what is annotated on a type or on one that may stand in its place, not on the items of a list."""
    if get_origin(kind) is Annotated:
        for one in kind.__metadata__:
            yield from one.metadata if isinstance(one, FieldInfo) else (one,)
        yield from _annotated(get_args(kind)[0])
    elif get_origin(kind) is not tuple:
        for one in get_args(kind):
            yield from _annotated(one)
