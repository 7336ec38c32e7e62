"""Shop files of the size classes: the tables that `new` reads, once; what of them is typical is never forgotten."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from sim.base.errors import ScenarioError
from sim.first_setup.classes import class_tables
from sim.first_setup.known import CLASSES, HeaviestCut, Known, Part, Plate
from sim.first_setup.proposal import takes
from sim.first_setup.shop import shop_texts
from sim.first_setup.writing import scenario_text
from sim.scenario import read
from sim.scenario.toml_file import tables_of
from sim.setup.loading import load


@pytest.fixture
def folder(root: Path) -> Path:
    return root / "scenarios" / "shop"


def test_the_files_are_those_tables(folder: Path) -> None:
    """Written by `python tests/sim/first_setup/write_shop.py`; no second copy of a number is kept by hand."""
    assert {path.name: path.read_text(encoding="utf-8") for path in folder.glob("*.toml")} == shop_texts()
    for size in CLASSES:
        whole = {}
        for kind in ("lathe", "chuck", "blanks"):
            file = tables_of(folder / f"{kind}_{size}.toml")
            assert sorted(file.pop("typical")) == sorted(file)
            whole |= file
        typical = class_tables(size)
        assert whole == {key: typical[key] for key in ("machine", "chuck", "master_jaw", "soft_jaw")}


@pytest.fixture
def job(tmp_path: Path) -> Callable[..., Path]:
    """A first setup whose machine, chuck and blanks come from the shop; only where they are bolted is its own."""
    for name, text in shop_texts().items():
        (tmp_path / name).write_text(text, encoding="utf-8")

    def write(size: int, top: str = "", chuck: str = "") -> Path:
        _, largest = takes(size, 12.0, class_tables(size))
        part = Part(largest - 0.1, largest, 40.0, "steel C45", "turned", 12.0, largest - 2.0)
        known = Known(size, Plate(), part, HeaviestCut("turning", largest - 2.0, 1.0, 0.2, 150.0))
        text = scenario_text(known, gripping=12.0, boring=5.0)
        jaw = "\n".join(
            line for line in text.splitlines() if line.startswith(("serration_index", "tip_width"))
        )
        names = ", ".join(f'"{kind}_{size}.toml"' for kind in ("lathe", "chuck", "blanks"))
        file = tmp_path / f"job_{size}.toml"
        file.write_text(
            f'title = "own part"\nshop_files = [{names}]\n{top}\n{chuck}\n[soft_jaw]\n{jaw}\n\n'
            + text[text.index("[[pockets]]") :],
            encoding="utf-8",
        )
        return file

    return write


@pytest.mark.parametrize("size", CLASSES)
def test_each_class_bears_a_job_and_all_of_it_is_typical(size: int, job: Callable[..., Path]) -> None:
    scenario = load(job(size))
    assert scenario.chuck.name == f"three-jaw wedge chuck of the {size} mm class, typical figures"
    assert {"machine", "chuck", "master_jaw"} <= set(scenario.typical)
    assert "soft_jaw.height" in scenario.typical  # the scenario states where the blanks are bolted, no more


def test_what_the_plate_says_is_typical_no_more(job: Callable[..., Path]) -> None:
    plate = '[chuck]\nlargest_pull = "30 kN"\nlargest_grip = "75 kN"\nstroke = "6 mm"\nmarked_speed = "4200 rpm"\n'
    scenario = load(job(210, chuck=plate))
    assert scenario.chuck.largest_pull == 30000.0
    said = {"chuck", "chuck.largest_pull", "chuck.largest_grip", "chuck.stroke", "chuck.marked_speed"}
    assert not said & set(scenario.typical)
    assert {"chuck.moment_limit", "chuck.pressure_limit", "chuck.tilt_stiffness", "machine"} <= set(
        scenario.typical
    )


def test_what_was_measured_is_typical_no_more(tmp_path: Path, job: Callable[..., Path]) -> None:
    (tmp_path / "fit.toml").write_text(
        '[gauge_readings]\njudgement = "accepted"\n[chuck]\nradial_stiffness = "300 kN/mm"\n',
        encoding="utf-8",
    )
    scenario = read(job(210, top='include = ["fit.toml"]'))
    assert "chuck.radial_stiffness" not in scenario.typical
    assert "chuck.tilt_stiffness" in scenario.typical


def test_a_file_that_is_read_off_says_nothing_of_the_kind(tmp_path: Path, job: Callable[..., Path]) -> None:
    file = tmp_path / "lathe_210.toml"
    file.write_text(file.read_text(encoding="utf-8").replace('typical = ["machine"]', ""), encoding="utf-8")
    assert "machine" not in read(job(210)).typical


@pytest.mark.parametrize("wrong", ['["spindle"]', '["machine", "machine"]', '"machine"', '["machine.bore"]'])
def test_a_wrong_list_is_one_sentence(tmp_path: Path, job: Callable[..., Path], wrong: str) -> None:
    file = tmp_path / "lathe_210.toml"
    file.write_text(file.read_text(encoding="utf-8").replace('["machine"]', wrong), encoding="utf-8")
    with pytest.raises(ScenarioError, match=r"lathe_210\.toml: typical"):
        read(job(210))
