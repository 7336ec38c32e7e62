"""The data tables are whole: every row has a source, a plausible range, and names that can be looked up."""

from __future__ import annotations

import dataclasses
import tomllib
from importlib import resources

import pytest

from sim.base import tables

ALL = (tables.materials(), tables.frictions(), tables.kienzle_groups(), tables.threads())


@pytest.mark.parametrize("rows", ALL, ids=lambda rows: type(rows[0]).__name__)
def test_every_row_has_a_source_and_finite_numbers(rows: tuple[object, ...]) -> None:
    assert len(rows) > 5
    for row in rows:
        values = dataclasses.asdict(row)  # type: ignore[call-overload]
        assert len(values["source"]) > 5
        assert all(v > 0.0 for v in values.values() if isinstance(v, float))


def test_the_data_files_lie_inside_the_package() -> None:
    names = {entry.name for entry in resources.files("sim").joinpath("data").iterdir()}
    assert {"materials.toml", "friction.toml", "kienzle.toml", "screws.toml"} <= names
    tomllib.loads(resources.files("sim").joinpath("data", "screws.toml").read_text(encoding="utf-8"))


def test_names_are_unique() -> None:
    for rows, key in zip(ALL, ("name", "name", "group", "name"), strict=True):
        names = [getattr(row, key) for row in rows]
        assert len(names) == len(set(names))


def test_the_defaults_of_a_scenario_are_in_the_tables() -> None:
    assert tables.material("steel, soft").density == pytest.approx(7.85e-6)
    assert tables.friction("steel on steel, smooth jaw, turned part").low == 0.10
    for name in ("torque wrench", "by feel", "impact driver"):
        assert tables.tightening(name).factor_high > tables.tightening(name).factor_low > 1.0


def test_every_material_names_a_listed_group() -> None:
    for material in tables.materials():
        assert tables.kienzle(material.kienzle).group == material.kienzle


def test_frictions_are_ordered() -> None:
    for row in tables.frictions():
        assert 0.0 < row.low <= row.high < 0.5
    surfaces = [
        tables.friction(f"steel on steel, smooth jaw, {s} part").low for s in ("ground", "turned", "raw")
    ]
    assert surfaces == sorted(surfaces)


@pytest.mark.parametrize("chip_thickness", [0.02, 0.1, 0.3, 1.0])
def test_the_unfavourable_printing_gives_the_larger_force(chip_thickness: float) -> None:
    for row in tables.kienzle_groups():
        kc11, mc = row.unfavourable(chip_thickness)
        largest = max(
            row.kc11_low * chip_thickness**-row.mc_low, row.kc11_high * chip_thickness**-row.mc_high
        )
        assert kc11 * chip_thickness**-mc == largest


def test_an_unknown_name_lists_the_known_ones() -> None:
    with pytest.raises(tables.UnknownNameError, match=r"unknown material 'wood', known are: 'steel, soft', "):
        tables.material("wood")
    with pytest.raises(tables.UnknownNameError, match=r"known are: '8.8', '10.9', '12.9'$"):
        tables.property_class("5.6", 12.0)
    with pytest.raises(tables.UnknownNameError, match="'M12'"):
        tables.thread("M11")
    with pytest.raises(ValueError, match="M39"):
        tables.property_class("8.8", 42.0)


def test_class_8_8_is_stronger_above_16_mm() -> None:
    assert tables.property_class("8.8", 16.0).yield_strength == 640.0
    assert tables.property_class("8.8", 20.0).yield_strength == 660.0


@pytest.mark.parametrize("material", tables.materials(), ids=lambda m: m.name)
def test_a_thicker_section_never_yields_later(material: tables.Material) -> None:
    """And the row by itself, or beyond the thickest listed, is the weakest: who asks for no section is safe."""
    sections = [5.0, 16.0, 16.1, 40.0, 63.0, 90.0, 101.0, 149.0, 151.0, 199.0, 249.0, 251.0, 2000.0]
    yields = [material.of_section(section).yield_strength for section in sections]
    assert yields == sorted(yields, reverse=True)
    assert yields[-1] == material.yield_strength <= min([y for _, y in material.yields], default=yields[-1])
    assert material.thin_yield_strength == yields[0]


def test_yields_by_section_are_those_of_the_standards() -> None:
    """EN 10025-2, table 7; EN 10083-2 and EN 10250-2, normalised; EN 10083-3: as public data sheets quote them."""
    for name, by_section in (
        (
            "steel, soft",
            {16: 235, 40: 225, 63: 215, 80: 215, 100: 215, 150: 195, 200: 185, 250: 175, 400: 165},
        ),
        (
            "steel S355",
            {16: 355, 40: 345, 63: 335, 80: 325, 100: 315, 150: 295, 200: 285, 250: 275, 400: 265},
        ),
        ("steel C45", {16: 340, 100: 305, 250: 275, 500: 240, 1000: 230}),
        ("steel 42CrMo4, quenched and tempered", {100: 650, 160: 550, 250: 500}),
    ):
        for section, strength in by_section.items():
            assert tables.material(name).of_section(section).yield_strength == strength


@pytest.mark.parametrize(
    ("name", "modulus", "density", "group"),
    [
        # E (GPa) and density (kg/m3) of public tables: ranges of their printings, not the rows' own figures
        ("stainless steel 1.4301", (190, 205), (7850, 8050), "14"),
        ("duplex stainless steel 1.4462", (190, 210), (7750, 7850), "14"),
        ("titanium Ti-6Al-4V", (105, 120), (4400, 4500), "37"),
        ("nickel alloy 718, aged", (198, 210), (8150, 8250), "34"),
        ("brass CuZn39Pb3", (95, 105), (8400, 8550), "26"),
        ("hardened steel, 58 HRC", (200, 215), (7750, 7900), "39"),
        ("cast aluminium EN AC-43100-T6 (AlSi10Mg)", (68, 77), (2600, 2720), "24"),
        ("cast iron GJS-400-15", (160, 175), (7050, 7250), "17"),
        ("plastic POM-C", (2.5, 3.1), (1390, 1430), "29"),
        ("plastic PA 66", (1.1, 3.3), (1120, 1160), "29"),
        ("plastic PEEK", (3.4, 4.2), (1290, 1330), "29"),
    ],
)
def test_usual_materials_are_there_within_what_is_printed(
    name: str, modulus: tuple[float, float], density: tuple[float, float], group: str
) -> None:
    row = tables.material(name)
    assert modulus[0] <= row.modulus / 1e3 <= modulus[1]
    assert density[0] <= row.density * 1e9 <= density[1]
    assert row.kienzle == group
    assert row.yield_strength < 0.04 * row.modulus
