"""Frozen values as plain text and back: numbers, texts, arrays, shapes, and frozen dataclasses of `sim` and `meshes`.

The text is JSON, so reading it runs no code but the constructors of those dataclasses. It keeps every bit of a float,
kind, shape and order of an array, and the class of a dataclass: equal values of equal classes have the same text,
others another, so that the text also names a value.
"""

from __future__ import annotations

import base64
import dataclasses
import json
import sys
from collections.abc import Callable
from functools import cache
from typing import Any

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

_OWN = ("sim.", "meshes.")  # packages whose dataclasses are known
_KINDS = "biuf"  # of arrays: truth values, whole numbers, floats
_SIMPLE = (
    bool,
    int,
    float,
    str,
    type(None),
)  # JSON tells them apart, and Python writes each float by all its bits


def text_of(value: object) -> str:
    """Return a value as text.

    Raises
    ------
    TypeError
        If it, or something in it, is of no kind that is known here.
    """
    return json.dumps(_plain(value), separators=(",", ":"))


def value_of(text: str) -> Any:
    """Return the value of a text from `text_of`; its arrays are read-only.

    Raises
    ------
    Exception
        Whatever comes of a text that is none of `text_of`.
    """
    return _value(json.loads(text))


def _plain(value: object) -> object:
    kind = type(value)
    if kind in _SIMPLE:
        return value
    if isinstance(value, tuple | list) and kind in (tuple, list):
        return [kind.__name__, *map(_plain, value)]
    if isinstance(value, np.ndarray) and kind is np.ndarray:
        return ["array", *_array(value)]
    if isinstance(value, np.generic) and value.dtype.kind in _KINDS:
        return ["scalar", value.dtype.str, value.tobytes().hex()]
    if isinstance(value, BaseGeometry):
        return ["shape", base64.b64encode(shapely.to_wkb(value, output_dimension=3)).decode()]
    if dataclasses.is_dataclass(value) and kind.__module__.startswith(_OWN):
        named = {name: _plain(getattr(value, name)) for name in _names(kind)}  # type: ignore[arg-type]
        return ["frozen", kind.__module__, kind.__qualname__, named]
    raise TypeError(f"no plain text is known for a {kind.__module__}.{kind.__qualname__}")


@cache
def _names(kind: type[Any]) -> tuple[str, ...]:
    return tuple(field.name for field in dataclasses.fields(kind))


@cache
def _given(kind: type[Any]) -> tuple[str, ...]:
    return tuple(field.name for field in dataclasses.fields(kind) if field.init)


def _array(value: np.ndarray[Any, Any]) -> tuple[str, list[int], str, str]:
    """Return kind, shape, order and bytes; the order decides how sums are rounded."""
    flags = value.flags
    if value.dtype.kind not in _KINDS or not (flags.c_contiguous or flags.f_contiguous):
        raise TypeError(f"no plain text is known for an array of {value.dtype}, or for one with gaps")
    order = "C" if flags.c_contiguous else "F"
    return value.dtype.str, list(value.shape), order, base64.b64encode(value.tobytes("A")).decode()


def _value(plain: Any) -> Any:
    if not isinstance(plain, list):
        return plain
    return _READ[plain[0]](*plain[1:])


def _read_array(kind: str, shape: list[int], order: Any, content: str) -> np.ndarray[Any, Any]:
    flat = np.frombuffer(base64.b64decode(content), dtype=kind)
    found = np.array(flat.reshape(shape, order=order), order=order)
    found.setflags(write=False)
    return found


def _read_scalar(kind: str, content: str) -> Any:
    return np.frombuffer(bytes.fromhex(content), dtype=kind)[0]


def _read_shape(content: str) -> BaseGeometry:
    return shapely.from_wkb(base64.b64decode(content))


def _read_frozen(module: str, name: str, fields: dict[str, Any]) -> Any:
    # Only of modules that are loaded: whoever asks for a value has the class at hand.
    found = getattr(sys.modules[module], name)
    if not (module.startswith(_OWN) and isinstance(found, type) and dataclasses.is_dataclass(found)):
        raise TypeError(f"{module}.{name} is no dataclass of this program")
    # What a class derives from its other fields it derives again.
    return found(**{name: _value(fields[name]) for name in _given(found)})


_READ: dict[str, Callable[..., Any]] = {
    "tuple": lambda *items: tuple(map(_value, items)),
    "list": lambda *items: list(map(_value, items)),
    "array": _read_array,
    "scalar": _read_scalar,
    "shape": _read_shape,
    "frozen": _read_frozen,
}
