"""Quantities as text: a closed list of units, one number, nothing guessed.

The traps are readings of pint's own parser (0.25): '12,7 mm' gives 127 mm, '2 1/2 in' gives 25.4 mm, '50 Hz'
as a speed gives 50 rad/s; `test_pint_alone_would_guess` holds that they are still traps.
"""

from __future__ import annotations

import pint  # noqa: TID251  the test's own reading, independent of sim.base.units
import pytest

from sim.base.unit_factors import FACTORS
from sim.base.units import KINDS, default, factor, read

REFUSED = [
    ("12,7 mm", "length"),
    ("2 1/2 in", "length"),
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
    ("3 μm", "length"),
    ("50 Hz", "speed"),
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
    ],
)
def test_what_is_read(text: str, kind: str, inside: float) -> None:
    assert read(text, kind) == pytest.approx(inside, rel=1e-12)


@pytest.mark.parametrize("found", [3, 3.0, True, None, [], {}, b"3 mm"])
def test_only_text_is_a_quantity(found: object) -> None:
    with pytest.raises(ValueError, match="as text"):
        read(found, "length")


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
