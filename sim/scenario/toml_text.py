"""Tables as TOML text, each value as it was stated; tables after values, so that none of them takes another's."""

from __future__ import annotations

import json
import math
import re
from collections.abc import Iterator, Mapping
from typing import Any

_BARE = re.compile(r"[A-Za-z0-9_-]+")


def toml_text(tables: Mapping[str, Any]) -> str:
    """Return tables as TOML that reads back as the same.

    Raises
    ------
    TypeError
        If a value is none that a scenario has: text, number, truth, list or table.
    """
    return "\n".join(_lines(tables, "")).lstrip("\n") + "\n"


def _lines(table: Mapping[str, Any], at: str) -> Iterator[str]:
    for key, value in table.items():
        if not _is_table(value) and not _are_tables(value):
            yield f"{_key(key)} = {_value(value)}"
    for key, value in table.items():
        place = f"{at}{_key(key)}"
        if _is_table(value):
            yield f"\n[{place}]"
            yield from _lines(value, f"{place}.")
        elif _are_tables(value):
            for one in value:
                yield f"\n[[{place}]]"
                yield from _lines(one, f"{place}.")


def _is_table(value: Any) -> bool:
    return isinstance(value, Mapping)


def _are_tables(value: Any) -> bool:
    return isinstance(value, list | tuple) and bool(value) and all(map(_is_table, value))


def _key(key: str) -> str:
    return key if _BARE.fullmatch(key) else _text(key)


def _text(value: str) -> str:
    # JSON's text is TOML's but for what JSON leaves as it is and no terminal should get.
    return "".join(c if c.isprintable() else _escaped(c) for c in json.dumps(value, ensure_ascii=False))


def in_ascii(text: str) -> str:
    """Return the same TOML without a character beyond ASCII, for an output that has no more."""
    return "".join(c if c.isascii() else _escaped(c) for c in text)


def _escaped(character: str) -> str:
    code = ord(character)
    return f"\\u{code:04x}" if code < 0x10000 else f"\\U{code:08x}"


def _value(value: Any) -> str:
    if isinstance(value, str):
        return _text(value)
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, int) or (isinstance(value, float) and math.isfinite(value)):
        return repr(value)
    if isinstance(value, float):
        return "nan" if math.isnan(value) else "inf" if value > 0.0 else "-inf"
    if isinstance(value, list | tuple):
        return f"[{', '.join(map(_value, value))}]"
    if isinstance(value, Mapping):
        inner = ", ".join(f"{_key(key)} = {_value(one)}" for key, one in value.items())
        return f"{{{inner}}}" if inner else "{}"
    raise TypeError(f"a scenario has no value of type {type(value).__name__}")
