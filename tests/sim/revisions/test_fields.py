"""Fields of two revisions: what is no change, what is told, with units, and where a value comes from."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
import tomlkit

from sim.revisions.fields import FieldChange, Revision, field_changes, renamed
from sim.scenario.scenario import full_tables, read

STEPS = "valve_bonnet_two_steps"


def revision(path: Path) -> Revision:
    return Revision(read(path), full_tables(path))


@pytest.fixture
def told(scenario_file: Callable[[str], Path], tmp_path: Path) -> Callable[..., tuple[FieldChange, ...]]:
    """Compare a shipped scenario with what an edit of its file makes of it."""

    def found(edit: Callable[[Any], object], name: str = "cast_hub_on_ring") -> tuple[FieldChange, ...]:
        text = scenario_file(name).read_text(encoding="utf-8")
        document = tomlkit.parse(text)
        edit(document)
        old, new = tmp_path / "old.toml", tmp_path / "new.toml"
        old.write_text(text, encoding="utf-8")
        new.write_text(tomlkit.dumps(document), encoding="utf-8")
        return field_changes(revision(old), revision(new))

    return found


def short(found: tuple[FieldChange, ...]) -> list[tuple[str, str, str]]:
    return [(one.key, one.old.told, one.new.told) for one in found]


def test_the_same_in_other_units_and_a_default_written_out_are_no_change(told: Callable[..., Any]) -> None:
    def other_words(document: Any) -> None:
        jaw = document["soft_jaw"]
        height = float(str(jaw["height"]).removesuffix(" mm"))
        jaw["height"] = f"{height / 10.0:g} cm"
        pressure = document["operations"][0]["gripping"]["pressure"]
        document["operations"][0]["gripping"]["pressure"] = (
            f"{float(pressure.removesuffix(' bar')) / 10.0:g} MPa"
        )
        document["description"] = document.get("description", "")
        document.setdefault("limits", {})["holding_factor"] = 1.5

    assert told(other_words) == ()


def test_a_quantity_is_told_as_stated_with_its_value_inside(told: Callable[..., Any]) -> None:
    (one,) = told(lambda document: document["operations"][0]["gripping"].update({"pressure": "1 MPa"}))
    assert one.key.endswith("].gripping.pressure")
    assert one.unit == "MPa"
    assert (one.new.told, one.new.value, one.new.default) == ("1 MPa", 1.0, False)
    assert one.old.told.endswith(" bar")
    assert one.old.value == pytest.approx(0.1 * float(one.old.told.removesuffix(" bar")))


def test_a_small_difference_is_a_change(told: Callable[..., Any]) -> None:
    def more(document: Any) -> None:
        diameter = float(str(document["pockets"][0]["diameter"]).removesuffix(" mm"))
        document["pockets"][0]["diameter"] = f"{diameter + 1e-4:.4f} mm"

    (one,) = told(more)
    assert one.new.value - one.old.value == pytest.approx(1e-4)


def test_what_was_a_default_says_so(told: Callable[..., Any]) -> None:
    (one,) = told(lambda document: document.setdefault("limits", {}).update({"holding_factor": 2.5}))
    assert one.key == "limits.holding_factor"
    assert (one.old.default, one.new.default) == (True, False)
    assert one.new.told == "2.5"


def test_tables_are_matched_by_name_and_order_is_told(told: Callable[..., Any]) -> None:
    def swapped(document: Any) -> None:
        first, second = document["pockets"]
        document["pockets"] = [second.unwrap(), first.unwrap()]

    (one,) = told(swapped, STEPS)
    assert one.key == "order of pockets"


def test_a_renamed_operation_is_one_change(told: Callable[..., Any], varied: Callable[..., Any]) -> None:
    old = varied(STEPS)
    first, second = old.operations

    def called_otherwise(document: Any) -> None:
        document["operations"][1]["name"] = "side B"
        for view in document["views"]:
            if view.get("stage") == second.name:
                view["stage"] = "side B"

    found = told(called_otherwise, STEPS)
    assert ("operations[side B].name", second.name, "side B") in short(found)
    assert not any(one.new.told in ("added", "not stated") for one in found)
    new = old.model_copy(update={"operations": (first, second.model_copy(update={"name": "side B"}))})
    assert renamed(old, new) == {first.name: first.name, "side B": second.name}


def test_what_is_added_and_taken_away_is_told(told: Callable[..., Any]) -> None:
    def another_cut(document: Any) -> None:
        cut = dict(document["operations"][0]["cuts"][0].unwrap(), name="one more")
        document["operations"][0]["cuts"].append(cut)

    found = short(told(another_cut))
    assert any(key.endswith(".cuts[one more]") and new == "added" for key, _, new in found)
    assert any(key.endswith(".cuts[one more].feed") and old == "not stated" for key, old, _ in found)
    assert all("one more" in key for key, _, _ in found)

    def one_cut_less(document: Any) -> None:
        del document["operations"][0]["cuts"][1]

    gone = short(told(one_cut_less))
    assert gone[0][2] == "taken away"
    assert any(
        key.endswith(".feed") and (old, new) == ("0.25 mm/rev", "not stated") for key, old, new in gone
    )


def test_another_kind_of_fixture_tells_what_only_one_has(told: Callable[..., Any]) -> None:
    def no_fixture(document: Any) -> None:
        document["boring"]["fixture"] = {"kind": "none"}

    found = {key: (old, new) for key, old, new in short(told(no_fixture))}
    assert found["boring.fixture.kind"] == ("ring", "none")
    assert any(new == "not stated" for key, (_, new) in found.items() if key.startswith("boring.fixture."))


def test_values_of_included_files_say_where_they_come_from(
    scenario_file: Callable[[str], Path], tmp_path: Path
) -> None:
    text = scenario_file("cast_hub_on_ring").read_text(encoding="utf-8")
    for name, efficiency in (("a", 0.8), ("b", 0.9)):
        (tmp_path / f"{name}_fit.toml").write_text(f"[chuck]\nefficiency = {efficiency}\n", encoding="utf-8")
        (tmp_path / f"{name}.toml").write_text(f'include = ["{name}_fit.toml"]\n{text}', encoding="utf-8")
    found = field_changes(revision(tmp_path / "a.toml"), revision(tmp_path / "b.toml"))
    (one,) = [change for change in found if change.key == "chuck.efficiency"]
    assert (one.old.told, one.old.origin) == ("0.8", "a_fit.toml")
    assert (one.new.told, one.new.origin) == ("0.9", "b_fit.toml")


def test_another_text_of_a_program_under_the_same_name_is_a_change(
    scenario_file: Callable[[str], Path], tmp_path: Path
) -> None:
    path = scenario_file("cast_hub_by_program")
    for folder, more in (("a", b""), ("b", b"\n")):
        (tmp_path / folder / "programs").mkdir(parents=True)
        (tmp_path / folder / path.name).write_bytes(path.read_bytes())
        for program in (path.parent / "programs").iterdir():
            (tmp_path / folder / "programs" / program.name).write_bytes(program.read_bytes() + more)
    found = field_changes(revision(tmp_path / "a" / path.name), revision(tmp_path / "b" / path.name))
    assert found
    assert all(one.key.startswith("content of ") for one in found)
    assert field_changes(revision(tmp_path / "a" / path.name), revision(path)) == ()
