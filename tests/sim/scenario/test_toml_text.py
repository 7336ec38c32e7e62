"""Tables written as TOML read back as the same."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from sim.scenario.toml_text import in_ascii, toml_text

VALUES = (
    st.text(st.characters(exclude_categories=["Cs"]), max_size=8)
    | st.booleans()
    | st.integers(-(2**60), 2**60)
    | st.floats(allow_nan=False)
)
KEYS = st.text(st.characters(exclude_categories=["Cs"]), max_size=5)
TABLES = st.dictionaries(
    KEYS,
    st.recursive(
        VALUES, lambda one: st.lists(one, max_size=3) | st.dictionaries(KEYS, one, max_size=3), max_leaves=12
    ),
    max_size=4,
)


@given(TABLES)
@example({"a": [{"b": 1, "c": {"d": [{}]}}, {}], "e": "after tables"})
@example({"a": {"b": []}, "\x7f\u2028": '\x00\x7f"\\', "": {}})
def test_reads_back(tables: dict[str, Any]) -> None:
    text = toml_text(tables)
    assert tomllib.loads(text) == tables
    assert text.replace("\n", "").isprintable()  # nothing in it moves a cursor or turns words round
    assert in_ascii(text).isascii()
    assert tomllib.loads(in_ascii(text)) == tables


def test_shipped_scenarios_read_back(root: Path, scenario_name: str) -> None:
    tables = tomllib.loads((root / "scenarios" / f"{scenario_name}.toml").read_text(encoding="utf-8"))
    assert tomllib.loads(toml_text(tables)) == tables


def test_another_value_is_refused() -> None:
    with pytest.raises(TypeError, match="NoneType"):
        toml_text({"a": None})
