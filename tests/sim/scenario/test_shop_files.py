"""What scenarios share in files of a shop: filled in where a scenario leaves it out, and told; its own counts."""

from __future__ import annotations

import json
import os
import re
import shutil
import tomllib
from collections.abc import Callable
from pathlib import Path

import jsonschema
import pytest

from sim.base.errors import ScenarioError
from sim.layouts.written import with_values
from sim.programs.tool_list import called_numbers
from sim.scenario import Scenario, read
from sim.scenario.scenario import checked, full_tables
from sim.setup.loading import load
from sim.views.web.watching import named_files

Split = Callable[..., Path]
TOOL = re.compile(r"\[\[(?:boring|operations)\.program\.tools\]\]\n(.*?)\n\n", re.DOTALL)


@pytest.fixture
def split(scenario_file: Callable[[str], Path], tmp_path: Path) -> Split:
    """Write the hub with its machine, chuck and tools in files of the shop, beside the folder that it stands in."""
    whole = scenario_file("cast_hub_by_program")
    text = whole.read_text(encoding="utf-8")
    chuck = text[text.index("[machine]") : text.index("[master_jaw]")]
    tools = "\n\n".join(f"[[tools]]\n{one}" for one in TOOL.findall(text))

    def write(
        more: str = "", *, top: str = "", tools: str = tools, chuck: str = chuck, names: str = ""
    ) -> Path:
        jobs, shop = tmp_path / "jobs", tmp_path / "shop"
        shop.mkdir(exist_ok=True)
        shutil.copytree(whole.parent / "programs", jobs / "programs", dirs_exist_ok=True)
        (shop / "tools.toml").write_text(tools, encoding="utf-8")
        (shop / "chuck.toml").write_text(chuck, encoding="utf-8")
        own = TOOL.sub("", text).replace(text[text.index("[machine]") : text.index("[master_jaw]")], more)
        stated = names or '["../shop/tools.toml", "../shop/chuck.toml"]'
        (jobs / "hub.toml").write_text(f"{top}shop_files = {stated}\n{own}", encoding="utf-8")
        return jobs / "hub.toml"

    write.tools = tools  # type: ignore[attr-defined]
    return write


def test_what_is_left_out_is_filled_in(split: Split, scenario_file: Callable[[str], Path]) -> None:
    """Read from three files it is the scenario that stands in one."""
    found, whole = read(split()), read(scenario_file("cast_hub_by_program"))
    assert found.model_dump() | {"shop_files": ()} == whole.model_dump()
    assert found.origin == (
        "Taken from ../shop/tools.toml: boring.program.tools: tool 1 (rough boring bar), tool 2 (finish boring bar); "
        "operations[0].program.tools: tool 3 (turning tool).",
        "Taken from ../shop/chuck.toml: machine: 3 values; chuck: 11 values.",
    )


def test_the_scenarios_own_counts_and_says_so(split: Split) -> None:
    """A looser limit than the shop's is no secret."""
    file = split('[chuck]\nmarked_speed = "5000 rpm"\nstroke = "6 mm"\n\n')
    found = read(file)
    assert found.chuck.marked_speed == 5000.0
    assert found.chuck.body_diameter == 254.0
    (told,) = (one for one in found.included if one.instead)
    assert [(one.field, one.value) for one in told.instead] == [("chuck.marked_speed", "4000 rpm")]
    assert (
        "What the scenario states itself counts for chuck.marked_speed (4000 rpm in the file)." in told.told
    )


def test_a_tool_is_taken_whole(split: Split) -> None:
    """A bar of the scenario and the insert of the shop's tool would be a tool that nobody has."""
    own = '[[boring.program.tools]]\nnumber = 2\ninsert = "DCMT 070204"\n'
    own += 'bar = { diameter = "12 mm", reach = "60 mm", functional_offset = "9 mm" }\n\n'
    file = split()
    text = file.read_text(encoding="utf-8").replace("[[operations]]\n", own + "[[operations]]\n", 1)
    file.write_text(text, encoding="utf-8")
    found = read(file)
    assert found.boring.program is not None
    assert [(t.number, t.insert) for t in found.boring.program.tools] == [
        (2, "DCMT 070204"),
        (1, "CCMT 09T308"),
    ]
    assert found.boring.program.tools[0].largest_depth_of_cut is None
    assert "counts for boring.program.tools[0] (tool 2 (finish boring bar) in the file)" in found.origin[0]


def test_a_tool_of_the_scenario_without_a_carrier_takes_none_from_the_shop(split: Split) -> None:
    file = split()
    own = '[[boring.program.tools]]\nnumber = 2\ninsert = "DCMT 070204"\n\n'
    text = file.read_text(encoding="utf-8").replace("[[operations]]\n", own + "[[operations]]\n", 1)
    file.write_text(text, encoding="utf-8")
    with pytest.raises(ScenarioError, match=r"must state exactly one of bar, holder and plate, found none"):
        read(file)


def test_only_tools_that_are_called_are_taken(split: Split) -> None:
    other = split.tools.replace("number = 1\n", "number = 4\n")  # type: ignore[attr-defined]
    found = read(split(tools=other))
    assert found.boring.program is not None
    assert [tool.number for tool in found.boring.program.tools] == [2]


@pytest.mark.parametrize(
    ("text", "rule", "numbers"),
    [
        ("T0101\nG0 X1. T3 (T9)\n", None, {101, 1, 3}),
        ("T0117\n", None, {117, 1}),
        ("T1205\n", "TSO", {1205, 20}),
        ("T0101\nT#5\n", None, None),
        ("T[1+1]\n", None, None),
        ("G0 X1.\n", None, set()),
    ],
)
def test_numbers_that_a_program_may_mean(text: str, rule: str, numbers: set[int] | None) -> None:
    assert called_numbers(text, rule) == (None if numbers is None else frozenset(numbers))  # type: ignore[arg-type]


def test_a_bar_stated_for_the_boring_is_not_put_aside_by_the_shops(split: Split) -> None:
    """`boring.tool` is what a program without tools is bored with; the shop's tools of those numbers stay out."""
    file = split()
    text = file.read_text(encoding="utf-8").replace(
        "[boring.program]\n",
        '[boring.tool]\nbar_diameter = "20 mm"\nreach = "80 mm"\nfunctional_offset = "13 mm"\n\n[boring.program]\n',
    )
    file.write_text(text, encoding="utf-8")
    found = read(file)
    assert found.boring.program is not None
    assert found.boring.program.tools == ()
    assert found.operations[0].program is not None
    assert len(found.operations[0].program.tools) == 1


def test_what_was_measured_stands_above_both(split: Split) -> None:
    file = split('[chuck]\nstroke = "6.2 mm"\n\n', top='include = ["fit.toml"]\n')
    (file.parent / "fit.toml").write_text(
        '[gauge_readings]\njudgement = "accepted"\n[chuck]\nstroke = "6.4 mm"\nmarked_speed = "3900 rpm"\n',
        encoding="utf-8",
    )
    found = read(file)
    assert (found.chuck.stroke, found.chuck.marked_speed) == (6.4, 3900.0)
    assert "chuck.marked_speed = 3900 rpm (in place of 4000 rpm)" in str(found.included[-1])


def test_changes_and_another_program_go_over_it(split: Split) -> None:
    file = split()
    (file.parent / "programs" / "rough.nc").write_text("T0101 (ROUGH)\nM30\n", encoding="utf-8")
    found = read(file, {"boring.program.file": "programs/rough.nc", "chuck.stroke": "5.5 mm"})
    assert found.boring.program is not None
    assert [tool.number for tool in found.boring.program.tools] == [1]
    assert found.chuck.stroke == 5.5


def test_a_study_goes_on_without_the_files_and_knows_what_stood_in_them(split: Split) -> None:
    """Its digest is that of the full tables."""
    file = split()
    tables = full_tables(file)
    shop = file.parent.parent / "shop"
    (shop / "chuck.toml").write_text(
        (shop / "chuck.toml").read_text(encoding="utf-8").replace("4000 rpm", "4100 rpm"), encoding="utf-8"
    )
    assert json.dumps(full_tables(file)) != json.dumps(tables)
    shutil.rmtree(shop)
    assert checked(tables, file).chuck.marked_speed == 4000.0


def test_a_live_page_looks_at_them_and_at_what_they_name(split: Split) -> None:
    found = named_files(split(chuck='[soft_jaw.model]\nfile = "models/blank.stl"\n'))
    assert found is not None
    names = {os.path.relpath(one, found[0].parent.parent) for one in map(Path.absolute, found)}
    seen = {Path(os.path.normpath(one)).as_posix() for one in map(str, map(Path.absolute, found))}
    assert names
    assert any(one.endswith("/shop/tools.toml") for one in seen)
    assert any(one.endswith("/shop/models/blank.stl") for one in seen)


def test_paths_in_a_shop_file_start_at_its_own_folder(split: Split) -> None:
    """The same blank for scenarios in any folder."""
    file = split()
    shop = file.parent.parent / "shop"
    (shop / "blank.toml").write_text(
        '[soft_jaw.model]\nfile = "models/b.stl"\nunit = "mm"\n', encoding="utf-8"
    )
    tables = tomllib.loads(file.read_text(encoding="utf-8"))
    text = file.read_text(encoding="utf-8").replace(
        '"../shop/chuck.toml"]', '"../shop/chuck.toml", "../shop/blank.toml"]'
    )
    file.write_text(text, encoding="utf-8")
    assert "model" not in tables["soft_jaw"]
    model = read(file).soft_jaw.model
    assert model is not None
    assert model.file == "../shop/models/b.stl"


def test_a_layout_is_written_where_only_a_shop_file_stands(split: Split, tmp_path: Path) -> None:
    file = split()
    out = tmp_path / "out" / "deep"
    out.mkdir(parents=True)
    text = with_values(file, {"chuck.stroke": "5.8 mm"}, out)
    (out / "hub.toml").write_text(text, encoding="utf-8")
    assert read(out / "hub.toml").chuck.stroke == 5.8
    assert tomllib.loads(text)["shop_files"] == ["../../shop/tools.toml", "../../shop/chuck.toml"]


def test_the_schema_asks_for_a_chuck_unless_shop_files_may_state_it(split: Split) -> None:
    schema = Scenario.model_json_schema()
    tables = tomllib.loads(split().read_text(encoding="utf-8"))
    jsonschema.validate(tables, schema)
    del tables["shop_files"]
    with pytest.raises(jsonschema.ValidationError, match=r"'(machine|chuck)' is a required property"):
        jsonschema.validate(tables, schema)


@pytest.mark.parametrize(
    ("how", "words"),
    [
        ({"chuck": 'chuck = "big"\n'}, "{}/jobs/../shop/chuck.toml: chuck must be a table, found 'big'"),
        ({"chuck": '[chuck]\nbrand = "x"\n'}, "as taken from {}/jobs/../shop/chuck.toml, chuck.brand is not a key"),
        ({"chuck": "[limits]\nholding_factor = 1.1\n"}, "limits is not a table of a shop file (machine, chuck,"),
        ({"chuck": 'include = ["x.toml"]\n'}, "include may stand in a scenario only"),
        ({"chuck": 'shop_files = ["tools.toml"]\n'}, "shop_files may stand in a scenario only"),
        ({"chuck": '[gauge_readings]\njudgement = "rejected"\n'}, "name it by include, not by shop_files"),
        ({"chuck": '[[tools]]\nnumber = 3\ninsert = "CNMG 120408"\n'}, "tools[0] must state exactly one of bar,"),
        ({"chuck": "[[tools]]\nnumber = 0\n"}, "chuck.toml: tools[0]"),
        ({"chuck": "tools = 3\n"}, "tools must be a list of tables, [[tools]], found 3"),
        ({"names": '["../shop/none.toml"]'}, "shop_files: {}/jobs/../shop/none.toml: cannot be read"),
        ({"names": '"../shop/tools.toml"'}, "shop_files must be a list of file names"),
        ({"names": '["/dev/zero"]'}, "shop_files must name files from the scenario's folder"),
        ({"names": '["C:\\\\shop\\\\tools.toml"]'}, "shop_files must name files from the scenario's folder"),
        ({"names": '["../shop"]'}, "must be one TOML file, found a directory"),
        ({"names": '["../shop/tools.toml", "../shop/tools.toml"]'}, "shop_files must name each file once"),
    ],
)  # fmt: skip
def test_a_slip_is_one_sentence(split: Split, tmp_path: Path, how: dict[str, str], words: str) -> None:
    file = split(**how)
    with pytest.raises(ScenarioError) as told:
        load(file)
    assert words.replace("{}", str(tmp_path)) in str(told.value)
    assert str(told.value).startswith(str(file))
    assert "\n" not in str(told.value)


def test_a_wrong_value_is_told_with_the_file_that_states_it(split: Split) -> None:
    file = split('[chuck]\nbody_height = "0 mm"\n\n')
    shop = file.parent.parent / "shop" / "chuck.toml"
    text = shop.read_text(encoding="utf-8")
    shop.write_text(text.replace('stroke = "6 mm"', 'stroke = "6"'), encoding="utf-8")
    with pytest.raises(ScenarioError) as told:
        read(file)
    assert f"{file}: chuck.body_height must be" in str(told.value)  # the scenario's own
    own = file.read_text(encoding="utf-8").replace('"0 mm"', '"95 mm"')
    file.write_text(own, encoding="utf-8")
    with pytest.raises(ScenarioError, match=r"as taken from .*chuck\.toml, chuck\.stroke must be a length"):
        read(file)


def test_two_files_may_not_state_the_same(split: Split) -> None:
    first = split.tools.split("\n\n")[0]  # type: ignore[attr-defined]
    with pytest.raises(ScenarioError, match=r"tool 1 is stated by both .*tools\.toml and .*chuck\.toml"):
        read(split(chuck=first))
    both = '["../shop/chuck.toml", "../shop/again.toml"]'
    file = split(names=both)
    (file.parent.parent / "shop" / "again.toml").write_text('[chuck]\nstroke = "7 mm"\n', encoding="utf-8")
    with pytest.raises(ScenarioError, match=r"chuck\.stroke is stated by both"):
        read(file)


def test_one_number_twice_in_a_file_is_refused(split: Split) -> None:
    first = split.tools.split("\n\n")[0]  # type: ignore[attr-defined]
    with pytest.raises(ScenarioError, match=r"tools\[1\]\.number must be another one .* found 1"):
        read(split(tools=f"{first}\n\n{first}"))


def test_a_pipe_is_no_shop_file(split: Split) -> None:
    file = split(names='["../shop/pipe.toml"]')
    os.mkfifo(file.parent.parent / "shop" / "pipe.toml")
    with pytest.raises(ScenarioError, match="a device or a pipe"):
        read(file)
