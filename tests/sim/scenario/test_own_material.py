"""Materials of one's own: strict, with a source, judged as the table's are, and never a way around a verdict."""

from __future__ import annotations

import copy
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from sim.assessment.results import Assessment
from sim.assessment.stages import assess
from sim.base import tables
from sim.base.errors import ScenarioError
from sim.mechanics.kienzle import cut_metal, group_metal
from sim.scenario import Scenario, read
from sim.scenario.scenario import checked, full_tables
from sim.setup.loading import refuse_impossible
from sim.setup.pairing import pairing_of
from sim.setup.sections import fixture_metal, jaw_metal, part_metal

HUB, IRON = "cast_hub_on_ring", "cast iron GJL-250"
# The table's grey iron under another name, value by value.
LIKE_IRON: dict[str, Any] = {
    "name": "melt 12", "modulus": "110 GPa", "poisson": 0.26, "density": "7.2 g/cm3", "yield_strength": "102 MPa",
    "yields": [["10 mm", "165 MPa"], ["20 mm", "148 MPa"], ["40 mm", "129 MPa"], ["80 mm", "112 MPa"],
               ["150 mm", "102 MPa"]],
    "surface_pressure": "800 MPa", "group": "16", "brittle": True, "cast": True, "friction_as": "cast iron",
    "source": "the foundry's sheet of this melt",
}  # fmt: skip
PLASTIC: dict[str, Any] = {
    "name": "house plastic", "modulus": "2.8 GPa", "poisson": 0.4, "density": "1410 kg/m3",
    "yield_strength": "60 MPa", "group": "21", "source": "its maker's sheet, 23 deg C, dry",
    "pairings": [{"jaw": "steel", "surface": "turned", "low": 0.08, "high": 0.12, "source": "ten pulls, with coolant"}],
}  # fmt: skip


@pytest.fixture
def made(scenario_file: Callable[[str], Path]) -> Callable[..., Scenario]:
    """The hub of a material of its own; a value of None leaves a field of it out."""

    def of(
        stated: dict[str, Any], jaws: str = "steel C45", pairing: str | None = None, **cut: Any
    ) -> Scenario:
        path = scenario_file(HUB)
        whole = copy.deepcopy(full_tables(path))
        whole["materials"] = [{key: value for key, value in stated.items() if value is not None}]
        whole["soft_jaw"]["material"] = jaws
        operation = whole["operations"][0]
        operation["workpiece"]["material"] = stated.get("name", "melt 12")
        del operation["gripping"]["pairing"]
        if pairing is not None:
            operation["gripping"]["pairing"] = pairing
        operation["cuts"][0] |= cut
        scenario = checked(whole, path)
        refuse_impossible(scenario)
        return scenario

    return of


def values(found: Assessment) -> dict[tuple[str, str], float]:
    return {(v.key, v.stage): v.value for v in found.verdicts}


def test_the_same_values_under_another_name_are_judged_alike(
    made: Callable[..., Scenario], quickly_judged: Callable[[str], Assessment]
) -> None:
    own = assess(made(LIKE_IRON), contact_model="foundation", advised=False)
    table = quickly_judged(HUB)
    assert values(own) == pytest.approx(values(table), rel=1e-12)
    assert {(v.key, v.status) for v in own.verdicts} == {(v.key, v.status) for v in table.verdicts}


def test_part_jaws_and_fixture_may_be_of_it(made: Callable[..., Scenario]) -> None:
    scenario = made(LIKE_IRON)
    assert part_metal(scenario, 0).modulus == 110e3
    jaws = made({**LIKE_IRON, "cast": False}, jaws="melt 12", pairing="steel on steel, oiled")
    assert jaw_metal(jaws).density == pytest.approx(7.2e-6)
    assert fixture_metal(jaws.boring.fixture, jaws.metal).name == "steel C45"
    with pytest.raises(tables.UnknownNameError, match=r"'melt 12'.*known are"):
        tables.material("melt 12")


@pytest.mark.parametrize(
    ("wrong", "words"),
    [
        ({"source": None}, r"materials\[0\]\.source is missing"),
        ({"name": IRON}, "the table of materials has not"),
        ({"group": "99"}, "group must be one of 1, 2, 3"),
        ({"modulus": "110 MPa"}, "modulus must be at least 1650 MPa"),
        ({"density": "7.2 kg/m3"}, "density must lie between 500 and 25000"),
        ({"density": "7.2"}, "must be a density"),
        ({"poisson": 0.5}, "poisson must be less than 0.5"),
        ({"yields": [["20 mm", "120 MPa"], ["10 mm", "150 MPa"]]}, "yields must rise in section"),
        ({"yields": [["20 mm", "110 MPa"], ["40 mm", "120 MPa"]]}, "yields must fall"),
        ({"yields": [["20 mm", "90 MPa"]]}, "yields must fall"),
        ({"specific_force": "1200 MPa"}, "chip_exponent must be stated"),
        ({"specific_force": "12 MPa", "chip_exponent": 0.2}, "specific_force"),
        ({"hardness": "180"}, "not a key"),
        ({"pairings": PLASTIC["pairings"]}, "friction_as must be left out"),
        ({"friction_as": "rubber"}, "friction_as"),
        (
            {"friction_as": None, "pairings": [{**PLASTIC["pairings"][0], "low": 0.2}]},
            "low must be at most high",
        ),
        ({"friction_as": None, "pairings": PLASTIC["pairings"] * 2}, r"pairings\[1\] must be of another"),
    ],
)
def test_what_is_wrong_is_one_sentence(
    made: Callable[..., Scenario], wrong: dict[str, Any], words: str
) -> None:
    with pytest.raises(ScenarioError, match=words):
        made({**LIKE_IRON, **wrong})


def test_without_a_friction_of_its_own_nothing_is_guessed_from_its_name(
    made: Callable[..., Scenario],
) -> None:
    with pytest.raises(ScenarioError, match=r"no friction is known for special steel 7 in jaws of steel C45"):
        made({**LIKE_IRON, "name": "special steel 7", "friction_as": None})


def test_its_own_pairing_holds_it_and_may_not_be_more_than_a_smooth_face_has(
    made: Callable[..., Scenario],
) -> None:
    """Turned smooth faces of the table have at most 0.13: half as much again fails."""
    statuses = []
    for low in (0.08, 0.15, 0.3):
        pair = {**PLASTIC["pairings"][0], "low": low, "high": 0.4}
        scenario = made({**PLASTIC, "pairings": [pair]})
        assert pairing_of(scenario, 0).low == low
        found = assess(scenario, contact_model="foundation", advised=False)
        statuses += [v.status for v in found.verdicts if v.key == "friction_of_the_part_in_the_jaws"]
        assert [
            one for one in found.unasked if "give with time" in one.question
        ]  # what a plastic does beyond that
    assert statuses == ["pass", "warn", "fail"]


def test_own_cutting_values_count_and_too_low_ones_fail(made: Callable[..., Scenario]) -> None:
    """Kienzle by hand: F = b h^(1 - mc) kc1.1; a tenth of the group's is no value of this metal."""
    forces, statuses = [], []
    for kc in ("1600 MPa", "160 MPa"):
        scenario = made({**LIKE_IRON, "specific_force": kc, "chip_exponent": 0.26})
        found = assess(scenario, contact_model="foundation", advised=False)
        forces.append(found.operations[0].demands[0].forces.tangential)
        statuses += [v.status for v in found.verdicts if v.key == "specific_force_of_the_cuts"]
    assert forces[0] == pytest.approx(10.0 * forces[1])
    assert statuses == ["pass", "fail"]


def test_its_rake_is_that_of_the_cut_unless_stated(made: Callable[..., Scenario]) -> None:
    metal = made({**LIKE_IRON, "specific_force": "1600 MPa", "chip_exponent": 0.26}).metal("melt 12")
    assert cut_metal(metal, 0.2).rake == 0.2
    assert cut_metal(metal, 0.2).kienzle.kc11_low == 1600.0
    assert group_metal(metal) == cut_metal(IRON)
    told = made(
        {**LIKE_IRON, "specific_force": "1600 MPa", "chip_exponent": 0.26, "reference_rake": "0 deg"}
    ).metal("melt 12")
    assert cut_metal(told, 0.2).rake == 0.0


def test_a_shop_file_brings_those_that_are_named(
    scenario_file: Callable[[str], Path], tmp_path: Path
) -> None:
    """And a blank of one file may be of a material of another; one that the scenario states itself counts."""
    whole = scenario_file(HUB).read_text(encoding="utf-8").replace(f'"{IRON}"', '"melt 12"', 1)

    def material(name: str, modulus: str) -> str:
        return (
            f'[[materials]]\nname = "{name}"\nmodulus = "{modulus}"\npoisson = 0.26\ndensity = "7.2 g/cm3"\n'
            'yield_strength = "102 MPa"\ngroup = "16"\nfriction_as = "cast iron"\nsource = "the foundry\'s sheet"\n\n'
        )

    shop = tmp_path / "melts.toml"
    shop.write_text(material("melt 12", "110 GPa") + material("melt 13", "120 GPa"), encoding="utf-8")
    file = tmp_path / "hub.toml"
    file.write_text('shop_files = ["melts.toml"]\n' + whole, encoding="utf-8")
    found = read(file)
    assert [(one.name, one.modulus) for one in found.materials] == [("melt 12", 110e3)]
    assert found.origin == ("Taken from melts.toml: materials: melt 12.",)
    own = whole.replace("[machine]", material("melt 12", "100 GPa") + "[machine]", 1)
    file.write_text('shop_files = ["melts.toml"]\n' + own, encoding="utf-8")
    found = read(file)
    assert found.metal("melt 12").modulus == 100e3
    assert "counts for materials[0] (melt 12 in the file)" in found.origin[0]
    shop.write_text(material("melt 12", "110 MPa"), encoding="utf-8")
    with pytest.raises(ScenarioError, match=r"melts\.toml: materials\[0\] modulus must be at least"):
        read(file)
    shop.write_text(material("melt 12", "110 GPa") * 2, encoding="utf-8")
    with pytest.raises(ScenarioError, match=r"materials\[1\]\.name must be another one"):
        read(file)
