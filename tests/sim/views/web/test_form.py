"""What forms are made of: every field of the schema once, in some group."""

from __future__ import annotations

import json
from collections.abc import Iterator
from typing import Any

from sim.scenario import Scenario
from sim.views.web.form import form


def test_every_field_of_a_scenario_stands_in_one_group() -> None:
    found = form()
    json.dumps(found, allow_nan=False)
    fields: dict[str, list[str]] = {"": [], "operations.*": []}
    whole = set()
    for group in found["groups"]:
        for part in group["parts"]:
            if part["fields"]:
                fields[part["at"]] += part["fields"]
            else:
                whole.add(part["at"])
    assert len(fields[""]) == len(set(fields[""]))
    assert whole | set(fields[""]) == set(Scenario.model_fields)
    assert not whole & set(fields[""])
    operation = Scenario.model_fields["operations"].annotation.__args__[0]  # type: ignore[union-attr]
    assert sorted(fields["operations.*"]) == sorted(operation.model_fields)


def _reached(found: dict[str, Any]) -> Iterator[str]:
    """Yield the tables that a form comes to from the first."""
    names, done = [found["root"]], set()
    while names:
        name = names.pop()
        if name in done:
            continue
        done.add(name)
        yield name
        for field in found["tables"][name]["fields"]:
            names += [field["table"]] if "table" in field else list(field.get("tables", {}).values())


def test_every_table_of_the_schema_is_reached_and_every_field_has_a_control() -> None:
    found = form()
    assert set(_reached(found)) == set(found["tables"])
    kinds = {
        "quantity",
        "text",
        "choice",
        "whole number",
        "number",
        "yes or no",
        "table",
        "tables",
        "list",
        "row",
        "either",
    }
    for table in found["tables"].values():
        for field in table["fields"]:
            assert field["kind"] in kinds
            assert field["kind"] != "quantity" or (field["units"] and field["example"])


def test_what_may_be_left_out_says_what_then_holds() -> None:
    gripping = {field["key"]: field for field in form()["tables"]["Gripping"]["fields"]}
    assert gripping["speed_low"]["default"] == "50 rpm"
    assert not gripping["speed_low"]["required"]
    assert gripping["pressure"]["required"]
    assert gripping["friction"]["optional"]
    assert gripping["direction"]["options"] == ["outside", "inside"]
