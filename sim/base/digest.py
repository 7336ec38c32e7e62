"""A digest of frozen values, bit by bit: it names what a question was asked of, and nothing is read back from it.

Beside what `sim.base.plain` writes as text it knows tables of a scenario (fields and what was stated) and meshes by
their corners and triangles. Values that differ in a bit, a kind or a class have other digests.
"""

from __future__ import annotations

import dataclasses
import hashlib
import struct
import sys
from collections.abc import Mapping
from enum import Enum
from functools import cache
from pathlib import PurePath
from typing import Any

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

_OWN = ("sim.", "meshes.")
_KINDS = "biuf"  # of arrays: truth values, whole numbers, floats
_SIMPLE = (bool, int, float, str, type(None))


def digest_of(*values: object) -> str:
    """Return the digest of values.

    Raises
    ------
    TypeError
        If one of them, or something in it, is of no kind that is known here.
    """
    digest = hashlib.blake2b(digest_size=32)
    for value in values:
        _add(digest, value)
    return digest.hexdigest()


def _add(digest: Any, value: Any) -> None:
    kind = type(value)
    if kind is float:
        digest.update(b"float" + struct.pack("<d", value))
    elif kind in _SIMPLE:
        _text(digest, f"{kind.__name__} {value}")
    elif kind in (tuple, list):
        _items(digest, kind.__name__, value)
    elif kind is np.ndarray:
        _array(digest, value)
    elif kind.__module__.startswith(_OWN):
        _own(digest, value)
    else:
        _foreign(digest, value)


def _own(digest: Any, value: Any) -> None:
    """Add a named tuple, a choice, a dataclass or a table of this program."""
    kind = type(value)
    name = f"{kind.__module__} {kind.__qualname__}"
    pydantic = sys.modules.get("pydantic")  # whoever has a table has loaded it
    if isinstance(value, tuple):
        _items(digest, f"named {name}", value)
    elif isinstance(value, Enum):
        _text(digest, f"enum {name} {value.name}")
    elif dataclasses.is_dataclass(value):
        _items(digest, f"frozen {name}", [getattr(value, one) for one in _names(kind)])  # type: ignore[arg-type]
    elif pydantic is not None and isinstance(value, pydantic.BaseModel):
        stated = sorted(value.model_fields_set)
        _items(
            digest,
            f"table {name}",
            [dict(value), stated, value.__pydantic_extra__, value.__pydantic_private__],
        )
    else:
        raise TypeError(f"no digest is known for a {name}")


def _foreign(digest: Any, value: Any) -> None:
    """Add a mapping, a set, a path, or what a library holds: a number, a shape, a mesh."""
    kind = type(value)
    trimesh = sys.modules.get("trimesh")
    if isinstance(value, np.generic) and value.dtype.kind in _KINDS:
        _text(digest, f"scalar {value.dtype.str} {value.tobytes().hex()}")
    elif isinstance(value, Mapping):
        _items(digest, "mapping", [part for pair in value.items() for part in pair])
    elif isinstance(value, frozenset):
        _items(digest, "frozenset", sorted(digest_of(one) for one in value))
    elif isinstance(value, BaseGeometry):
        _items(digest, "shape", [shapely.to_wkb(value, output_dimension=3, hex=True)])
    elif isinstance(value, PurePath):
        _text(digest, f"path {value}")
    elif trimesh is not None and kind is trimesh.Trimesh:
        _items(digest, "mesh", [np.asarray(value.vertices), np.asarray(value.faces)])
    else:
        raise TypeError(f"no digest is known for a {kind.__module__}.{kind.__qualname__}")


def _items(digest: Any, name: str, items: Any) -> None:
    _text(digest, f"{name} {len(items)}")
    for item in items:
        _add(digest, item)


def _text(digest: Any, text: str) -> None:
    content = text.encode("utf-8", "surrogatepass")
    digest.update(b"%d:" % len(content) + content)


def _array(digest: Any, value: np.ndarray[Any, Any]) -> None:
    if value.dtype.kind not in _KINDS:
        raise TypeError(f"no digest is known for an array of {value.dtype}")
    flags = value.flags
    order = "C" if flags.c_contiguous else "F" if flags.f_contiguous else "gaps"
    _text(digest, f"array {value.dtype.str} {value.shape} {order}")
    digest.update(value.tobytes("F" if order == "F" else "C"))


@cache
def _names(kind: Any) -> tuple[str, ...]:
    return tuple(field.name for field in dataclasses.fields(kind))
