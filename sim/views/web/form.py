"""What can be stated of a setup, as forms show it: every field of the scenario's schema, in the order of the work."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache
from typing import Any

from sim.base import tables
from sim.base.units import KINDS
from sim.report.schema_nodes import Node
from sim.scenario import Scenario

# Groups in the order of the work: what of the scenario stands in each. A '*' stands for every item of a list, by whose
# name its fields are headed; of a table that is shared between groups each has its own fields.
GROUPS: tuple[tuple[str, str, tuple[tuple[str, tuple[str, ...]], ...]], ...] = (
    ("part", "Part", (("", ("title", "revision", "description")), ("operations.*", ("name", "workpiece")))),
    ("chuck", "Chuck", (("machine", ()), ("chuck", ()), ("master_jaw", ()))),
    ("jaws", "Jaws", (("soft_jaw", ()), ("pockets", ()))),
    ("boring", "Boring", (("boring", ()),)),
    (
        "cuts",
        "Grip and cuts",
        (
            (
                "operations.*",
                (
                    "pocket",
                    "gripping",
                    "cuts",
                    "roundness_limit",
                    "runout_limit",
                    "squareness_limit",
                    "marking_allowed",
                    "back_stop",
                    "tailstock",
                    "steady_rest",
                    "program",
                ),
            ),
            ("", ("operations",)),
        ),
    ),
    (
        "limits",
        "Limits and files",
        (
            ("limits", ()),
            ("running", ()),
            ("uncertainty", ()),
            ("views", ()),
            ("", ("typical", "materials", "include", "shop_files", "format")),
        ),
    ),
)
_KIND_OF = {kind.example: kind for kind in KINDS.values()}


def form() -> dict[str, Any]:
    """Return what forms are made of; JSON.

    ``tables`` has every kind of table by its name, with its fields in order; a field has

    - ``kind``: quantity, text, choice, whole number, number, yes or no, table, tables (a list of tables), list (a list
      of something else, ``item``), row (a list of fixed length, ``items``) or either (one of several tables, by its
      ``kind``);
    - ``required``, ``help``, ``default`` (None: none), ``optional`` (nothing stands there unless something is stated);
    - ``table`` also of a list of rows whose items may be such a table instead (corners of an outline);
    - ``units`` and ``example`` of a quantity, ``options`` of a choice, ``most`` and ``least`` of a list.

    ``groups`` says what stands where, ``names`` what a table of the program knows for a field.
    """
    schema = Scenario.model_json_schema()
    return {
        "root": "Scenario",
        "tables": {name: _table(node) for name, node in (("Scenario", schema), *schema["$defs"].items())},
        "groups": [
            {"key": key, "title": title, "parts": [{"at": at, "fields": list(names)} for at, names in parts]}
            for key, title, parts in GROUPS
        ],
        "names": _names(),
    }


@cache
def _names() -> dict[str, list[str]]:
    """Return names that the program knows, by the last key of the fields that take them."""
    return {
        "material": [row.name for row in tables.materials()],
        "pairing": [row.name for row in tables.frictions()],
        "thread": [row.name for row in tables.threads()],
    }


def _table(node: Node) -> dict[str, Any]:
    required = set(node.get("required", ()))
    return {
        "help": node.get("description", ""),
        "fields": [
            {"key": key, "required": key in required, **_field(inner)}
            for key, inner in node.get("properties", {}).items()
        ],
    }


def _field(node: Node) -> dict[str, Any]:
    ways = [way for way in node.get("anyOf", ()) if way.get("type") != "null"]
    optional = bool(ways) and len(ways) < len(node["anyOf"])
    # What may be a text or a list, as a name or several, is typed as the first of these.
    found = _kind(ways[0] if ways else node)
    return {
        **found,
        "help": node.get("description", found.get("help", "")),
        "default": _default(node),
        "optional": optional,
    }


def _default(node: Node) -> Any:
    default = node.get("default")
    return None if default in (None, [], "") else default


def _kind(node: Node) -> dict[str, Any]:
    if "$ref" in node:
        return {"kind": "table", "table": _referred(node)}
    if "discriminator" in node:
        return {"kind": "either", "tables": dict(_tagged(node))}
    if "oneOf" in node:  # corners of an outline: typed as a row, or as a table that says more of it
        row, table = (_kind(one) for one in node["oneOf"])
        return {**row, "table": table["table"]}
    if "enum" in node:
        return {"kind": "choice", "options": list(node["enum"])}
    if "const" in node:
        return {"kind": "choice", "options": [node["const"]]}
    if node.get("type") == "array":
        return _list(node)
    if node.get("type") == "string":
        example = next(iter(node.get("examples", ())), None)
        quantity = _KIND_OF.get(example) if example else None
        if quantity is None:
            return {"kind": "text", "long": node.get("maxLength", 0) > 1000}
        return {"kind": "quantity", "units": list(quantity.units), "example": quantity.example}
    return {
        "kind": {"integer": "whole number", "number": "number", "boolean": "yes or no"}.get(
            str(node.get("type")), "text"
        )
    }


def _list(node: Node) -> dict[str, Any]:
    if "prefixItems" in node:
        return {"kind": "row", "items": [_kind(one) for one in node["prefixItems"]]}
    item = _kind(node.get("items", {}))
    span = {"least": node.get("minItems", 0), "most": node.get("maxItems", 100)}
    if item["kind"] == "table":
        return {"kind": "tables", "table": item["table"], **span}
    return {"kind": "list", "item": item, **({"table": item["table"]} if "table" in item else {}), **span}


def _referred(node: Node) -> str:
    return str(node["$ref"]).rpartition("/")[2]


def _tagged(node: Node) -> Iterator[tuple[str, str]]:
    for tag, place in node["discriminator"]["mapping"].items():
        yield tag, place.rpartition("/")[2]
