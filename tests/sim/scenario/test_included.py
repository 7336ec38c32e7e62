"""Tables out of other files: merged, into each item of a list, in place of what the scenario states."""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path

import pytest

from sim.base.errors import ScenarioError
from sim.scenario.scenario import checked, full_tables
from sim.setup.loading import load


@pytest.fixture
def hub(tmp_path: Path, scenario_file: Callable[[str], Path]) -> Callable[[str, str], Path]:
    """Write the hub's scenario with an include line and the file that it includes."""
    own = scenario_file("cast_hub_on_ring").read_text(encoding="utf-8")

    def write(line: str, text: str) -> Path:
        (tmp_path / "other.toml").write_text(text, encoding="utf-8")
        file = tmp_path / "hub.toml"
        file.write_text(f"{line}\n{own}", encoding="utf-8")
        return file

    return write


def test_tables_are_put_in(hub: Callable[[str, str], Path]) -> None:
    text = "[chuck]\nefficiency = 0.8\n[operations.gripping]\ngrip_loss_share = 0.5\n"
    scenario = load(hub('include = ["other.toml"]', text))
    assert scenario.chuck.efficiency == 0.8
    assert [o.gripping.grip_loss_share for o in scenario.operations] == [0.5]
    (other,) = scenario.included
    assert str(other) == (
        "other.toml: chuck.efficiency = 0.8, operations[0].gripping.grip_loss_share = 0.5; it does not say whether "
        "gauge readings were accepted"
    )


def test_values_take_the_place_of_the_own_and_say_so(hub: Callable[[str, str], Path]) -> None:
    scenario = load(hub('include = ["other.toml"]', '[chuck]\nstroke = "6.5 mm"\nbody_height = "95 mm"\n'))
    assert scenario.chuck.stroke == 6.5
    assert str(scenario.included[0]) == (
        "other.toml: chuck.stroke = 6.5 mm (in place of 6 mm), chuck.body_height = 95 mm"
    )


def test_two_included_files_may_not_state_the_same(hub: Callable[[str, str], Path]) -> None:
    file = hub('include = ["other.toml", "again.toml"]', "[chuck]\nefficiency = 0.8\n")
    (file.parent / "again.toml").write_text("[chuck]\nefficiency = 0.7\n", encoding="utf-8")
    with pytest.raises(
        ScenarioError, match=r"chuck\.efficiency is stated by both .*other\.toml and .*again\.toml"
    ):
        load(file)


def test_changes_go_over_what_is_included(hub: Callable[[str, str], Path]) -> None:
    file = hub('include = ["other.toml"]', "[chuck]\nefficiency = 0.8\n")
    scenario = load(file, {"chuck.efficiency": 0.7})
    assert scenario.chuck.efficiency == 0.7
    assert scenario.included[0].values == ()  # nothing of the file is left in use


def test_include_may_be_a_change(hub: Callable[[str, str], Path]) -> None:
    file = hub("", "[chuck]\nefficiency = 0.8\n")
    assert load(file, {"include": ["other.toml"]}).chuck.efficiency == 0.8


@pytest.mark.parametrize(
    ("line", "text", "words"),
    [
        (
            'include = ["other.toml"]',
            "chuck = 3\n",
            "chuck must be a table in {}/other.toml, as in the scenario, found 3",
        ),
        ('include = ["none.toml"]', "x = 1\n", "none.toml: cannot be read"),
        ('include = ["other.toml"]', 'include = ["hub.toml"]\n', "may stand in a scenario only"),
        (
            'include = ["other.toml"]',
            "[chuck]\nbrand = 'x'\n",
            "as included from {}/other.toml, chuck.brand is not",
        ),
        (
            'include = ["other.toml"]',
            "[chuck]\nefficiency = 1.8\n",
            "as included from {}/other.toml, chuck.effic",
        ),
        (
            'include = ["other.toml"]',
            "[operations.gripping]\ngrip_loss_share = 2\n",
            "as included from {}/other.toml, operations[0].gripping.grip_loss_share must be",
        ),
        (
            'include = ["other.toml"]',
            "[chuck]\nguideway_friction = 1.4\n",
            "as included from {}/other.toml, chuck.guideway_friction must let the wedge move the jaw",
        ),
        (
            'include = ["other.toml"]',
            '[chuck]\nlargest_pull = "30 kN"\n',
            "with what is included from {}/other.toml, chuck must state exactly one",
        ),
        ('include = ["other.toml"]', "[chuck\n", "is not valid TOML"),
        ('include = "other.toml"', "x = 1\n", "include must be a list of file names"),
        ("include = [1]", "x = 1\n", "include must be a list of file names"),
        (f"include = [{'1, ' * 500}]", "x = 1\n", "1, 1, 1..."),
        (
            f"include = ['{'a' * 301}']",
            "x = 1\n",
            "include must name each file in at most 300 characters, found 301",
        ),
    ],
)
def test_a_slip_is_one_sentence(
    hub: Callable[[str, str], Path], tmp_path: Path, line: str, text: str, words: str
) -> None:
    with pytest.raises(ScenarioError) as caught:
        load(hub(line, text))
    assert words.replace("{}", str(tmp_path)) in str(caught.value)
    assert str(caught.value).startswith(str(hub(line, text)))
    assert "\n" not in str(caught.value)


def test_full_tables_need_the_file_no_more(hub: Callable[[str, str], Path]) -> None:
    """A study that runs for hours goes on with what it has read."""
    file = hub('include = ["other.toml"]', "[chuck]\nefficiency = 0.8\n")
    tables = full_tables(file)
    (file.parent / "other.toml").unlink()
    assert checked(tables, file).chuck.efficiency == 0.8


def test_a_device_or_a_pipe_is_no_file_to_include(hub: Callable[[str, str], Path]) -> None:
    """One has no end and would take all memory, the other waits for ever."""
    file = hub('include = ["/dev/zero"]', "")
    pipe = file.parent / "pipe.toml"
    os.mkfifo(pipe)
    with pytest.raises(ScenarioError, match=r"include: /dev/zero: cannot be read \(a device or a pipe"):
        load(file)
    for place in (pipe, Path("/dev/zero"), Path("/dev/stdin")):
        with pytest.raises(ScenarioError, match="cannot be read"):
            load(place)
