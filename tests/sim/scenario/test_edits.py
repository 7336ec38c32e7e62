"""Changes typed into a form, written into a scenario's text: values as the field wants them, all else as it stood."""

from __future__ import annotations

import difflib
import tomllib
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from sim.base.errors import ScenarioError
from sim.scenario import read
from sim.scenario.drafted import in_place_of
from sim.scenario.edits import Edit, edited, edits_of, has_field

NAME = "valve_bonnet_two_steps"


@pytest.fixture(scope="module")
def text(scenario_file: Callable[[str], Path]) -> str:
    return scenario_file(NAME).read_text(encoding="utf-8")


def edit(what: Any, place: str, value: Any = None) -> Edit:
    steps = tuple(int(step) if step.isdigit() else step for step in place.split("."))
    return Edit(what, steps, value)


def lines(old: str, new: str) -> list[str]:
    found = difflib.unified_diff(old.splitlines(), new.splitlines(), lineterm="", n=0)
    return [line for line in found if not line.startswith(("---", "+++", "@@"))]


def test_one_value_changes_one_line_and_its_comment_stays(text: str) -> None:
    new = edited(text, [edit("set", "operations.0.runout_limit", "0.4 mm")])
    comment = "  # raw flange: nothing that is turned here has to run true to it"
    assert lines(text, new) == [f'-runout_limit = "0.3 mm"{comment}', f'+runout_limit = "0.4 mm"{comment}']


@pytest.mark.parametrize(
    ("place", "typed", "stated"),
    [
        ("soft_jaw.height", "3 5/8 in", "3 5/8 in"),
        ("title", "3", "3"),
        ("operations.0.gripping.friction", "0.15", 0.15),
        ("operations.0.gripping.friction", "a bit", "a bit"),
        ("operations.0.gripping.friction", "0,15", "0,15"),
        ("operations.0.marking_allowed", "false", False),
        ("operations.0.marking_allowed", "perhaps", "perhaps"),
        ("boring.fixture.screw", "1", 1),
        ("boring.fixture.screw", "1.5", "1.5"),
        ("soft_jaw.mass_differences", ["1 g", "2 g"], ["1 g", "2 g"]),
        ("limits.stroke_reserve", ".1", 0.1),
    ],
)
def test_a_text_becomes_what_its_field_wants_and_else_stays_as_typed(
    text: str, place: str, typed: Any, stated: Any
) -> None:
    """Nothing that somebody typed is dropped or guessed: what does not fit is for the check to refuse."""
    found: Any = tomllib.loads(edited(text, [edit("set", place, typed)]))
    for step in place.split("."):
        found = found[int(step) if step.isdigit() else step]
    assert found == stated
    assert type(found) is type(stated)


def test_lists_grow_and_shrink_where_asked(text: str) -> None:
    corners = "operations.0.workpiece.outline"
    cut = {"name": "face", "kind": "facing", "rotating_tool": "false"}
    new = edited(
        text,
        [
            edit("add", f"{corners}.2", ["75 mm", "10 mm"]),
            edit("set", f"{corners}.0.0", "20 mm"),
            edit("remove", f"{corners}.6"),
            edit("add", "operations.0.cuts.1", cut),
            edit("set", "operations.0.cuts.1.forces.tangential", "3 kN"),
            edit("remove", "pockets.0"),
            edit("unset", "boring.speed"),
            edit("unset", "limits.stroke_reserve"),
        ],
    )
    before, after = tomllib.loads(text), tomllib.loads(new)
    outline = before["operations"][0]["workpiece"]["outline"]
    outline.insert(2, ["75 mm", "10 mm"])
    outline[0][0] = "20 mm"
    del outline[6]
    before["operations"][0]["cuts"].append({**cut, "rotating_tool": False, "forces": {"tangential": "3 kN"}})
    del before["pockets"][0], before["boring"]["speed"]
    assert after == before
    assert "# new blanks" in new


def test_another_kind_of_table_keeps_nothing_of_the_one_before(text: str) -> None:
    new = edited(text, [edit("set", "boring.fixture", {"kind": "ring", "outer_diameter": "150 mm"})])
    assert tomllib.loads(new)["boring"]["fixture"] == {"kind": "ring", "outer_diameter": "150 mm"}


@pytest.mark.parametrize(
    "wrong",
    [
        edit("set", "pockets.7.depth", "1 mm"),
        edit("set", "title.inner", "1 mm"),
        edit("remove", "pockets.7"),
        edit("remove", "boring.speed"),
        edit("add", "pockets.9", {}),
        edit("unset", "pockets.0"),
    ],
)
def test_a_place_that_is_not_there_is_refused_and_nothing_written(text: str, wrong: Edit) -> None:
    with pytest.raises(ScenarioError, match="no place in the file"):
        edited(text, [edit("set", "title", "new"), wrong])


@pytest.mark.parametrize(
    "asked",
    [
        None,
        [{}],
        [{"what": "delete", "place": ["a"]}],
        [{"what": "set", "place": "title"}],
        [{"what": "set", "place": []}],
        [{"what": "set", "place": ["a\n[b]"]}],
        [{"what": "set", "place": [-1]}],
        [{"what": "set", "place": [True]}],
    ],
)
def test_what_is_no_edit_is_refused(asked: Any) -> None:
    with pytest.raises(ScenarioError):
        edits_of(asked)


def test_line_ends_and_a_mark_at_the_beginning_stay(text: str) -> None:
    other = "\ufeff" + text.replace("\n", "\r\n")
    new = edited(other, [edit("set", "boring.travel", "2.5 mm")])
    assert new == other.replace('travel = "3 mm"', 'travel = "2.5 mm"')


def test_values_cannot_break_out_of_their_text(text: str) -> None:
    """A quote or a line end in what is typed is letters, no TOML."""
    typed = 'a"\n[machine]\nspeed_limit = "9000 rpm"\n#'
    found = tomllib.loads(edited(text, [edit("set", "title", typed)]))
    assert found["title"] == typed
    assert found["machine"]["speed_limit"] == "3500 rpm"


def test_fields_are_known_by_their_places() -> None:
    assert has_field(("operations", 3, "cuts", 0, "forces", "feed"))
    assert has_field(("boring", "fixture", "screw"))
    assert not has_field(("boring", "fixture", "colour"))


def test_a_text_is_read_in_the_place_of_a_file_and_only_there(tmp_path: Path, text: str) -> None:
    file = tmp_path / "not there.toml"
    with in_place_of(file, edited(text, [edit("set", "title", "typed")])):
        assert read(file).title == "typed"
        assert read(file).folder == tmp_path
        with pytest.raises(ScenarioError, match="cannot be read"):
            read(tmp_path / "other.toml")
    with pytest.raises(ScenarioError, match="cannot be read"):
        read(file)
    assert not file.exists()


def leaves(tables: Any, place: tuple[int | str, ...] = ()) -> Iterator[tuple[tuple[int | str, ...], Any]]:
    """Yield every value that is no table or list, with its place."""
    inner = (
        tables.items() if isinstance(tables, dict) else enumerate(tables) if isinstance(tables, list) else ()
    )
    for key, value in inner:
        if isinstance(value, dict | list):
            yield from leaves(value, (*place, key))
        else:
            yield (*place, key), value


def test_each_value_of_shipped_files_typed_again_changes_no_letter(
    scenario_file: Callable[[str], Path],
) -> None:
    """Numbers but for how they are written: 1.0 and 1 are the same number."""
    for file in sorted(scenario_file(NAME).parent.glob("*.toml")):
        text = file.read_text(encoding="utf-8")
        typed = [
            Edit("set", place, str(value).lower() if isinstance(value, bool) else str(value))
            for place, value in leaves(tomllib.loads(text))
            if "\n" not in str(value)
        ]
        assert len(typed) > 50
        new = edited(text, typed)
        assert tomllib.loads(new) == tomllib.loads(text)
        assert not [line for line in lines(text, new) if '"' in line.partition("#")[0]], file.name
        for place, value in leaves(tomllib.loads(text)):
            assert has_field(place), (file.name, place, value)
