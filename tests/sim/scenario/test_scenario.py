"""The scenario's tables: the files of scenarios/ against the printed JSON schema, defaults as text, frozen values."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import jsonschema
import pydantic
import pytest

from sim.base.errors import ScenarioError
from sim.scenario import Scenario, read

SCHEMA = Scenario.model_json_schema()
VALIDATOR = jsonschema.Draft202012Validator(SCHEMA)


def fields() -> Iterator[tuple[str, dict[str, Any]]]:
    """Every property of every table of the schema."""
    for name, table in {"Scenario": SCHEMA, **SCHEMA["$defs"]}.items():
        for key, entry in table.get("properties", {}).items():
            yield f"{name}.{key}", entry


def test_schema_is_a_schema() -> None:
    jsonschema.Draft202012Validator.check_schema(SCHEMA)


def test_file_fits_the_schema(scenario_name: str, scenario_file: Callable[[str], Path]) -> None:
    """An editor that checks by the printed schema finds nothing wrong in a good file."""
    found = tomllib.loads(scenario_file(scenario_name).read_text(encoding="utf-8"))
    assert [e.message for e in VALIDATOR.iter_errors(found)] == []


@pytest.mark.parametrize(
    ("table", "key", "value"),
    [
        ("boring", "travel", "3"),
        ("boring", "travel", "3000 rpm"),
        ("boring", "travel", "-3 mm"),
        ("boring", "travel", "12,7 mm"),
        ("boring", "travel", 3),
        ("boring", "colour", "red"),
        ("soft_jaw", "serration_index", 1.5),
        ("chuck", "efficiency", 2.0),
    ],
)
def test_editor_sees_what_the_program_refuses(
    scenario_file: Callable[[str], Path], table: str, key: str, value: object
) -> None:
    found = tomllib.loads(scenario_file("cast_hub_on_ring").read_text(encoding="utf-8"))
    found[table][key] = value
    assert list(VALIDATOR.iter_errors(found))
    with pytest.raises(pydantic.ValidationError):
        Scenario.model_validate(found)


def test_every_field_is_described() -> None:
    tables = ("machine", "chuck", "master_jaw", "soft_jaw", "boring", "limits", "kind")
    bare = [
        n for n, f in fields() if "description" not in f and n.split(".")[1] not in (*tables, "operations")
    ]
    assert bare == []


def test_defaults_are_text_with_a_unit() -> None:
    """The schema states a default as a user would write it, and the default fits its own pattern."""
    quantities = [(n, f) for n, f in fields() if "pattern" in f and "default" in f]
    assert len(quantities) > 20
    for name, entry in quantities:
        assert isinstance(entry["default"], str), name
        assert re.fullmatch(entry["pattern"], entry["default"]), name


def test_every_quantity_gives_an_example() -> None:
    for name, entry in fields():
        for choice in (entry, *entry.get("anyOf", ())):
            if "pattern" in choice and "examples" in choice:
                assert re.fullmatch(choice["pattern"], choice["examples"][0]), name


def test_nothing_changes_after_reading(varied: Callable[..., Scenario]) -> None:
    scenario = varied("cast_hub_on_ring")
    with pytest.raises(pydantic.ValidationError):
        scenario.chuck.stroke = 3.0  # type: ignore[misc]
    with pytest.raises(pydantic.ValidationError):
        scenario.title = ""  # type: ignore[misc]
    assert isinstance(scenario.operations, tuple)
    assert isinstance(scenario.operations[0].workpiece.outline, tuple)


def test_inside_units(scenario_file: Callable[[str], Path]) -> None:
    """mm, MPa, N mm, rad, rev/min: 22 bar is 2.2 MPa and 185 N m are 185 000 N mm."""
    scenario = read(scenario_file("cast_hub_on_ring"))
    assert scenario.operations[0].gripping.pressure == pytest.approx(1.95)
    assert scenario.soft_jaw.screws.torque == pytest.approx(185_000.0, rel=1e-9)
    assert scenario.chuck.wedge_angle == pytest.approx(0.331613, abs=1e-6)
    assert scenario.chuck.piston_area == pytest.approx(15_000.0)


def test_only_the_first_of_many_mistakes_is_told(
    scenario_file: Callable[[str], Path], tmp_path: Path
) -> None:
    text = scenario_file("cast_hub_on_ring").read_text(encoding="utf-8")
    file = tmp_path / "two.toml"
    file.write_text(text.replace('"95 mm"', '"95"').replace('"75 mm"', '"75"'), encoding="utf-8")
    with pytest.raises(ScenarioError, match=r"chuck\.body_height .*\(and 1 more\)"):
        read(file)


def test_one_mistake_is_counted_once(scenario_file: Callable[[str], Path], tmp_path: Path) -> None:
    """A wrong item makes pydantic call its list too short as well; the user made one mistake."""
    text = scenario_file("cast_hub_on_ring").read_text(encoding="utf-8")
    file = tmp_path / "one.toml"
    file.write_text(text.replace('"118 mm"', '"118"'), encoding="utf-8")
    with pytest.raises(ScenarioError) as found:
        read(file)
    assert "more)" not in str(found.value)
