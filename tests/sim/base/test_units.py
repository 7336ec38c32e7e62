"""Quantities as text: a closed list of units, one number, nothing guessed.

The traps are readings of pint's own parser (0.25): '12,7 mm' gives 127 mm, '2 1/2 in' gives 25.4 mm, '50 Hz'
as a speed gives 50 rad/s; `test_pint_alone_would_guess` holds that they are still traps.
"""

from __future__ import annotations

import re
from fractions import Fraction
from typing import Annotated

import pint  # noqa: TID251  the test's own reading, independent of sim.base.units
import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import TypeAdapter

from sim.base.unit_factors import FACTORS
from sim.base.units import KINDS, SPELLINGS, _quantity, default, factor, read

REFUSED = [
    ("12,7 mm", "length"),
    ("1,200 mm", "length"),
    ("2 1/2 mm", "length"),
    ("2 1/3 in", "length"),
    ("2 3/2 in", "length"),
    ("2 1/2 1/2 in", "length"),
    ("2 lb", "force"),
    ("1/2 bar", "pressure"),
    ("1.2.3 mm", "length"),
    ("3", "length"),
    ("mm", "length"),
    ("", "length"),
    ("3 mm mm", "length"),
    ("3 MM", "length"),
    ("3 ft", "length"),
    ("3 degC", "length"),
    ("1e400 mm", "length"),
    ("inf mm", "length"),
    ("nan mm", "length"),
    ("0x10 mm", "length"),
    ("1_000 mm", "length"),
    ("３ mm", "length"),
    ("50 Hz", "speed"),
    ("3001/min", "speed"),
    ("3000 rpm", "length"),
    ("25 bar", "stress"),
    ("5 N", "torque"),
    ("3*4 mm", "length"),
    ("3. mm", "length"),
    ("__import__('os') mm", "length"),
]


@pytest.mark.parametrize(("text", "kind"), REFUSED)
def test_nothing_is_guessed(text: str, kind: str) -> None:
    with pytest.raises(ValueError, match=kind) as found:
        read(text, kind)
    assert "\n" not in str(found.value)


def test_pint_alone_would_guess() -> None:
    units: pint.UnitRegistry[float] = pint.UnitRegistry(cache_folder=None)
    assert units.Quantity("12,7 mm").m_as("mm") == pytest.approx(127.0)
    assert units.Quantity("2 1/2 in").m_as("mm") == pytest.approx(25.4)
    assert units.Quantity("50 Hz").m_as("rpm") == pytest.approx(477.5, rel=1e-3)


@pytest.mark.parametrize(
    ("text", "kind", "inside"),
    [
        ("118 mm", "length", 118.0),
        ("118mm", "length", 118.0),
        (" 4.65 in ", "length", 118.11),
        (".5 mm", "length", 0.5),
        ("1.18e2 mm", "length", 118.0),
        ("-5 mm", "length", -5.0),
        ("+5 mm", "length", 5.0),
        ("1000 um", "length", 1.0),
        ("3000 1/min", "speed", 3000.0),
        ("25 bar", "pressure", 2.5),
        # Spellings of the trade, fractions of an inch; 3 5/8 in are 92.075 mm.
        ("3 5/8 in", "length", 92.075),
        ('3-5/8"', "length", 92.075),
        ("5/8 inch", "length", 15.875),
        ("-1/16 in", "length", -1.5875),
        ("2 1/2 in", "length", 63.5),
        ("3 μm", "length", 0.003),
        ("3 µm", "length", 0.003),
        ("1800 RPM", "speed", 1800.0),
        ("1800 min-1", "speed", 1800.0),
        ("80 ft lb", "torque", 108465.43586651205),
        ("80 N m", "torque", 80000.0),
        ("95°", "angle", 1.6580627893946132),
    ],
)
def test_what_is_read(text: str, kind: str, inside: float) -> None:
    assert read(text, kind) == pytest.approx(inside, rel=1e-12)


@pytest.mark.parametrize("found", [3, 3.0, True, None, [], {}, b"3 mm"])
def test_only_text_is_a_quantity(found: object) -> None:
    with pytest.raises(ValueError, match="as text"):
        read(found, "length")


@given(st.integers(0, 99), st.sampled_from([2, 4, 8, 16, 32, 64, 128]), st.data())
def test_a_mixed_fraction_of_an_inch_is_exact(whole: int, bottom: int, data: st.DataObject) -> None:
    """Held to Python's fractions: 1 in is 254/10 mm."""
    top = data.draw(st.integers(1, bottom - 1))
    exact = (Fraction(whole) + Fraction(top, bottom)) * Fraction(254, 10)
    for text in (f"{whole} {top}/{bottom} in", f'{whole}-{top}/{bottom}"', f"+{whole} {top}/{bottom} inch"):
        assert read(text, "length") == pytest.approx(float(exact), rel=1e-15)


def test_a_comma_has_its_own_sentence() -> None:
    """'3,7 mm' is 3.7 in one country and '1,200 mm' 1200 in another: neither is taken."""
    for text in ("3,7 mm", "1,200 mm"):
        with pytest.raises(ValueError, match=f"a point before its decimals .* found '{text}'"):
            read(text, "length")


def test_each_spelling_means_one_unit_of_the_list() -> None:
    every = {unit for entry in KINDS.values() for unit in entry.units}
    for spelling, unit in SPELLINGS.items():
        assert unit in every, spelling
        assert spelling not in every, spelling
        for kind, entry in KINDS.items():
            if unit in entry.units:
                assert read(f"2 {spelling}", kind) == read(f"2 {unit}", kind), (spelling, kind)


def taken(text: str, kind: str) -> bool:
    """Whether it is read, or refused for nothing but its size."""
    try:
        read(text, kind)
    except ValueError as error:
        return "at most" in str(error)
    return True


@pytest.mark.parametrize("kind", KINDS)
def test_the_schema_takes_what_is_read(kind: str) -> None:
    """An editor marks what the program refuses, and nothing else of these."""
    pattern = re.compile(TypeAdapter(Annotated[float, *_quantity(kind, "any")]).json_schema()["pattern"])
    tried = [f"3{gap}{u}" for gap in ("", " ") for u in (*KINDS[kind].units, *SPELLINGS)]
    tried += [f"{n} {u}" for n in ("3 5/8", "3,7", "3-5/8", "5/8", "3 5/3") for u in ("in", '"', "mm", "bar")]
    for text in tried:
        assert (pattern.search(text) is not None) == taken(text, kind), text


def test_sign() -> None:
    with pytest.raises(ValueError, match="greater than 0 mm"):
        read("0 mm", "length", "positive")
    with pytest.raises(ValueError, match="0 mm or more"):
        read("-0.1 mm", "length", "not negative")
    assert read("0 mm", "length", "not negative") == 0.0


@pytest.mark.parametrize("kind", KINDS)
def test_every_kind_has_an_end(kind: str) -> None:
    """What is over the largest value, or so near to zero that it is a slip, is refused with the bound."""
    entry = KINDS[kind]
    assert read(entry.example, kind) > 0.0
    with pytest.raises(ValueError, match=f"at most {entry.largest:g}".replace("+", r"\+")):
        read(f"{1.01 * entry.largest!r} {entry.inside}", kind)
    with pytest.raises(ValueError, match="at least"):
        read(f"1e-300 {entry.inside}", kind)


def test_factor_refuses_what_is_off_the_list() -> None:
    with pytest.raises(KeyError):
        factor("length", "ft")
    with pytest.raises(KeyError):
        factor("time", "s")


def test_default_keeps_its_text() -> None:
    assert default("3 mm", "a length").default == "3 mm"


@pytest.mark.parametrize("kind", KINDS)
def test_every_factor_is_that_of_the_full_registry(kind: str) -> None:
    """What is written down is what pint's own file gives, to the last bit, and nothing else is on the list."""
    full: pint.UnitRegistry[float] = pint.UnitRegistry(cache_folder=None)
    entry = KINDS[kind]
    assert FACTORS.keys() == KINDS.keys()
    assert FACTORS[kind].keys() == entry.units.keys()
    for unit, expression in entry.units.items():
        assert factor(kind, unit) == full.Quantity(1.0, expression).m_as(entry.inside_expression), unit
