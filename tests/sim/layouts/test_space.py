"""What a search may try: ranges kept, values a setter can set, every point a scenario's fields."""

from __future__ import annotations

import tomllib
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sim.base.errors import ScenarioError
from sim.layouts.space import Space, space
from sim.scenario import Search, read_search
from sim.scenario.changes import changed
from sim.scenario.scenario import checked
from sim.setup.loading import load, refuse_impossible

Write = Callable[[str], Search]
FULL = """
serration_index = [-1, 2]
boring_travel = ["1.5 mm", "4.5 mm"]
jaw_heights = ["50 mm", "60 mm"]
pocket_depths = [{ pocket = "rim", low = "20 mm", high = "24 mm" }]
pressures = [{ operation = "first side", low = "14 bar", high = "28 bar" }]
grooves = [{ width = "2 mm", depth = "0.5 mm" }, { width = "0 mm", depth = "0 mm" }]
[[fixtures]]
fixture = { kind = "none" }
[[fixtures]]
fixture = { kind = "plug", diameter = "92 mm", thickness = "12 mm", height = "8 mm" }
pressure = "15 bar"
"""


@pytest.fixture
def written(tmp_path: Path, root: Path) -> Write:
    """Read a search file for the hub with a text of ranges."""

    def write(text: str) -> Search:
        path = tmp_path / "search.toml"
        path.write_text(f'scenario = "{root}/scenarios/cast_hub_on_ring.toml"\n{text}', encoding="utf-8")
        return read_search(path)

    return write


@pytest.fixture(scope="module")
def full(tmp_path_factory: pytest.TempPathFactory, root: Path) -> tuple[Space, Path]:
    path = tmp_path_factory.mktemp("search") / "search.toml"
    file = root / "scenarios/cast_hub_on_ring.toml"
    path.write_text(f'scenario = "{file}"\n{FULL}', encoding="utf-8")
    return space(read_search(path), load(file)), file


@given(shares=st.tuples(*[st.floats(0.0, 1.0)] * 6))
def test_every_point_is_a_scenario(full: tuple[Space, Path], shares: tuple[float, ...]) -> None:
    """All values lie in their ranges, can be set, and are read as fields of the file, refused only by its geometry."""
    within, file = full
    point = within.point(shares)
    for variable, value in zip(within.variables, point, strict=True):
        assert variable.low - 1e-9 <= value <= variable.high + 1e-9
        steps = (value - variable.low) / variable.step
        assert steps == pytest.approx(round(steps), abs=1e-6) or value == variable.high
        assert variable.nearest(value) == value
    scenario = checked(changed(tomllib.loads(file.read_text(encoding="utf-8")), within.changes(point)), file)
    values = dict(zip((v.name for v in within.variables), point, strict=True))
    assert scenario.soft_jaw.serration_index == values["serration index"]
    assert scenario.boring.travel == pytest.approx(values["boring travel"])
    assert scenario.pockets[0].depth == pytest.approx(values["depth of 'rim'"])
    # Blanks of any height have the face under the screw heads where the chuck's screws want it.
    assert scenario.soft_jaw.height - scenario.soft_jaw.screws.counterbore_depth == pytest.approx(22.0)
    assert scenario.boring.fixture.kind == ("none", "plug")[round(values["fixture"])]
    assert scenario.boring.pressure == pytest.approx((0.7, 1.5)[round(values["fixture"])])


def test_whole_numbers_have_equal_shares(full: tuple[Space, Path]) -> None:
    index = full[0].variables[0]
    found = [index.at((k + 0.5) / 400.0) for k in range(400)]
    assert {v: found.count(v) for v in set(found)} == {-1.0: 100, 0.0: 100, 1.0: 100, 2.0: 100}
    assert (index.at(0.0), index.at(1.0)) == (-1.0, 2.0)


def test_words(full: tuple[Space, Path]) -> None:
    within, file = full
    refuse_impossible(load(file))
    assert [v.words(v.low) for v in within.variables] == ["-1", "1.50", "50", "20.0", "none 1", "2 x 0.5"]
    assert [(p.operation, p.low, p.high) for p in within.pressures] == [
        (0, pytest.approx(1.4), pytest.approx(2.8))
    ]


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("", "at least one range"),
        ('boring_travel = ["4 mm", "2 mm"]', "boring_travel must rise"),
        ('boring_travel = ["4 mm"]', "boring_travel"),
        ("boring_travel = [2, 4]", "boring_travel[0] must be a length"),
        ("serration_index = [-1.5, 2]", "serration_index[0]"),
        ("serration_index = [-1, 200]", "serration_index[1]"),
        ('pressures = [{ operation = "first side", low = "20 bar", high = "10 bar" }]', "pressures[0] must rise"),
        ('colour = "red"\nserration_index = [0, 1]', "colour is not a key of a search"),
        ('fixtures = [{ fixture = { kind = "glue" } }]', "must have kind"),
        ('pocket_depths = [{ pocket = "rim", low = "1 mm", high = "2 mm" }, '
         '{ pocket = "rim", low = "1 mm", high = "2 mm" }]', "must name each once"),
    ],
)  # fmt: skip
def test_a_wrong_search_file(written: Write, tmp_path: Path, text: str, says: str) -> None:
    with pytest.raises(ScenarioError) as found:
        written(text)
    assert str(found.value).startswith(str(tmp_path / "search.toml"))
    assert says in str(found.value)


def test_no_scenario(tmp_path: Path) -> None:
    path = tmp_path / "search.toml"
    path.write_text('scenario = "missing.toml"\nserration_index = [0, 1]\n', encoding="utf-8")
    with pytest.raises(ScenarioError, match="scenario must be a scenario's file, found nothing"):
        read_search(path)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ('boring_travel = ["2 mm", "7 mm"]', "boring_travel must be at most chuck.stroke, 6 mm"),
        ('jaw_heights = ["20 mm", "50 mm"]', "jaw_heights must be over 22 mm"),
        ('pocket_depths = [{ pocket = "hole", low = "1 mm", high = "2 mm" }]', "one of rim, found 'hole'"),
        ('pressures = [{ operation = "second", low = "10 bar", high = "20 bar" }]', "one of first side"),
        ('pressures = [{ operation = "first side", low = "10 bar", high = "31 bar" }]', "at most 30 bar"),
        ('fixtures = [{ fixture = { kind = "none" }, pressure = "31 bar" }]', "fixtures[0].pressure"),
    ],
)
def test_beyond_what_the_setup_allows(written: Write, text: str, says: str) -> None:
    search = written(text)
    with pytest.raises(ScenarioError, match=says.replace("[", r"\[").replace("]", r"\]")):
        space(search, load(search.scenario_file))
