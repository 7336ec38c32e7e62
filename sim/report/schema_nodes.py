"""Nodes of a JSON schema: tables, rows, figures and words, each with what it says."""

from __future__ import annotations

from typing import Any

Node = dict[str, Any]
UNITS = {
    "mm": "mm",
    "um": "micrometres",
    "N": "N",
    "Nm": "N m",
    "MPa": "MPa",
    "rpm": "rev/min",
    "deg": "degrees",
    "rad": "rad",
}


def table(text: str, properties: dict[str, Node], *optional: str, null: bool = False) -> Node:
    """Return an object with these properties and no other; the unit that ends a key is said in its description."""
    return {
        "type": ["object", "null"] if null else "object",
        "description": text,
        "properties": {key: suffixed(key, node) for key, node in properties.items()},
        "required": [key for key in properties if key not in optional],
        "additionalProperties": False,
    }


def suffixed(key: str, node: Node) -> Node:
    """Return a node with its key's unit in its description."""
    # Tables say the unit of each figure themselves.
    numeric = "number" in str([node.get("type"), node.get("items")]) and "properties" not in str(
        node.get("items")
    )
    if not numeric or "'unit'" in node["description"]:
        return node
    unit = UNITS.get(key.rpartition("_")[2])
    return {**node, "description": f"{node['description']}, {'no unit' if unit is None else f'in {unit}'}"}


def rows(text: str, properties: dict[str, Node], *optional: str) -> Node:
    """Return an array of tables."""
    return {"type": "array", "description": text, "items": table("One of them.", properties, *optional)}


def _or_null(kind: str, text: str, *, null: bool) -> Node:
    return {"type": [kind, "null"] if null else kind, "description": text}


def number(text: str) -> Node:
    """Return a figure; what is not finite is null."""
    return _or_null("number", text, null=True)


def count(text: str, *, null: bool = False) -> Node:
    """Return a whole number."""
    return _or_null("integer", text, null=null)


def flag(text: str, *, null: bool = False) -> Node:
    """Return a yes or no."""
    return _or_null("boolean", text, null=null)


def word(text: str, *allowed: str, null: bool = False) -> Node:
    """Return a text, one of those allowed if any are named."""
    choice = {"enum": [*allowed, *([None] if null else [])]} if allowed else {}
    return {**_or_null("string", text, null=null), **choice}


def pattern(text: str) -> Node:
    """Return where faces carry."""
    return word(text, "middle", "edges", "full")


def words(text: str, *, null: bool = False) -> Node:
    """Return an array of texts."""
    return {**_or_null("array", text, null=null), "items": {"type": "string"}}


def numbers(text: str, *, null: bool = False) -> Node:
    """Return an array of figures; what is not finite is null."""
    return {**_or_null("array", text, null=null), "items": {"type": ["number", "null"]}}


def grid(text: str) -> Node:
    """Return an array of arrays of figures."""
    return {
        **_or_null("array", text, null=False),
        "items": {"type": "array", "items": {"type": ["number", "null"]}},
    }
