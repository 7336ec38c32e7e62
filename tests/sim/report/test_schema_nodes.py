"""Nodes of the schema: what is required, what may be null, and where a unit is said."""

from __future__ import annotations

import jsonschema
import pytest

from sim.report.schema_nodes import Node, count, flag, grid, number, numbers, rows, table, word, words


def told(node: Node, key: str) -> str:
    text: str = node["properties"][key]["description"]
    return text


def test_a_table_requires_all_but_what_is_optional_and_allows_no_other() -> None:
    made = table("Two figures.", {"a_mm": number("a length"), "b": count("a count")}, "b")
    assert made["required"] == ["a_mm"]
    fits = jsonschema.Draft202012Validator(made).is_valid
    assert [fits(one) for one in ({"a_mm": 1.0}, {"a_mm": None, "b": 2})] == [True, True]
    wrong: tuple[object, ...] = (
        {},
        {"b": 2},
        {"a_mm": "1"},
        {"a_mm": 1.0, "b": 1.5},
        {"a_mm": 1.0, "c": 1},
        None,
    )
    assert not any(fits(one) for one in wrong)
    assert jsonschema.Draft202012Validator(table("None.", {}, null=True)).is_valid(None)


def test_only_figures_are_told_in_a_unit() -> None:
    made = table(
        "t",
        {
            "a_um": number("a length"), "b": number("a share"), "c_N": numbers("forces"), "d_deg": word("a word"),
            "e_rad": flag("yes or no"), "f": number("in the unit of the key 'unit'"), "g_Nm": grid("moments"),
            "h_mm": table("Nested.", {"i_mm": number("a depth")}), "j_mm": rows("Many.", {"k_rpm": number("a speed")}),
            "l": words("a list"),
        },
    )  # fmt: skip
    assert [told(made, key) for key in made["properties"]] == [
        "a length, in micrometres", "a share, no unit", "forces, in N", "a word", "yes or no",
        "in the unit of the key 'unit'", "moments, in N m", "Nested.", "Many.", "a list",
    ]  # fmt: skip
    assert told(made["properties"]["h_mm"], "i_mm") == "a depth, in mm"
    assert told(made["properties"]["j_mm"]["items"], "k_rpm") == "a speed, in rev/min"


@pytest.mark.parametrize(
    ("node", "fits", "not_"),
    [
        (word("w", "a", "b"), ["a"], ["c", None, 1]),
        (word("w", "a", null=True), ["a", None], ["c"]),
        (word("w"), ["any"], [None]),
        (flag("f"), [True], [1, None]),
        (count("n", null=True), [3, None], [1.5]),
        (number("x"), [1.5, None], ["1"]),
        (numbers("x"), [[1.0, None]], [None, ["1"]]),
        (words("x", null=True), [["a"], None], [[1]]),
        (grid("x"), [[[1.0, None]]], [None, [1.0]]),
    ],
)
def test_what_fits_a_node(node: Node, fits: list[object], not_: list[object]) -> None:
    judge = jsonschema.Draft202012Validator(node).is_valid
    assert all(map(judge, fits))
    assert not any(map(judge, not_))
