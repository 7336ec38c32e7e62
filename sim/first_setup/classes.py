"""Typical chucks by their size class, invented; what the plate of the chuck says takes their values' place."""

from __future__ import annotations

import tomllib
from importlib import resources
from typing import Any

from sim.first_setup.known import CLASSES, Plate

# Fields of the plate, with the key of the table [chuck] and the unit in which it is written.
ON_THE_PLATE = (
    ("largest_pull", "largest_pull", "kN", 1e-3),
    ("largest_grip", "largest_grip", "kN", 1e-3),
    ("stroke", "stroke", "mm", 1.0),
    ("speed", "marked_speed", "rpm", 1.0),
    ("pressure", "pressure_limit", "bar", 10.0),
)


def class_text(size_class: int) -> str:
    """Return the tables of a class as they are written, with their comments.

    Raises
    ------
    KeyError
        If the class is none of `CLASSES`.
    """
    if size_class not in CLASSES:
        raise KeyError(size_class)
    return (
        resources.files("sim").joinpath("data", "classes", f"{size_class}.toml").read_text(encoding="utf-8")
    )


def class_tables(size_class: int) -> dict[str, Any]:
    """Return the tables of a class, values as text with their units."""
    return tomllib.loads(class_text(size_class))


def stated_tables(size_class: int, plate: Plate) -> dict[str, Any]:
    """Return the tables of a class with what the plate says in the place of what is typical."""
    tables = class_tables(size_class)
    tables["chuck"].update(from_plate(plate))
    return tables


def from_plate(plate: Plate) -> dict[str, str]:
    """Return what was read off the plate as fields of the table ``[chuck]``."""
    found = {}
    for name, key, unit, factor in ON_THE_PLATE:
        value = getattr(plate, name)
        if value is not None:
            found[key] = f"{value * factor:.10g} {unit}"
    return found
