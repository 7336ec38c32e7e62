"""Invariants of reading quantities: against pint's own factors, order, and refusal of everything else."""

from __future__ import annotations

import math

import pint  # noqa: TID251  the test's own reading, independent of sim.base.units
from hypothesis import given
from hypothesis import strategies as st

from sim.base.units import KINDS, read

REGISTRY: pint.UnitRegistry[float] = pint.UnitRegistry(cache_folder=None)
UNITS = st.sampled_from([(kind, unit) for kind, entry in KINDS.items() for unit in entry.units])
SHARES = st.floats(1e-6, 0.999)


def per_unit(kind: str, unit: str) -> float:
    """Inside units in one unit, by pint."""
    entry = KINDS[kind]
    return float(REGISTRY.Quantity(1.0, entry.units[unit]).to(entry.inside_expression).magnitude)


@given(UNITS, SHARES, st.sampled_from(["", " ", "  "]))
def test_round_trip(named: tuple[str, str], share: float, gap: str) -> None:
    """An inside value written in any unit of its kind is read back."""
    kind, unit = named
    value = share * KINDS[kind].largest
    gap = gap or " " * (unit == "1/min")  # 3001/min may be 300 or 3001 of them
    text = f"{value / per_unit(kind, unit)!r}{gap}{unit}"
    assert math.isclose(read(text, kind), value, rel_tol=1e-12)


@given(UNITS, SHARES)
def test_printed_decimals_are_read_as_printed(named: tuple[str, str], share: float) -> None:
    """A number printed with three decimals is that number times pint's factor."""
    kind, unit = named
    shown = f"{share * KINDS[kind].largest / per_unit(kind, unit):.3f}"
    if float(shown) * per_unit(kind, unit) >= 1e-9:
        assert math.isclose(read(f"{shown} {unit}", kind), float(shown) * per_unit(kind, unit), rel_tol=1e-12)


@given(UNITS, st.tuples(SHARES, SHARES))
def test_order_is_kept(named: tuple[str, str], shares: tuple[float, float]) -> None:
    kind, unit = named
    low, high = (s * KINDS[kind].largest / per_unit(kind, unit) for s in sorted(shares))
    assert read(f"{low!r} {unit}", kind) <= read(f"{high!r} {unit}", kind)


@given(st.text(max_size=20) | st.from_regex(r"[-+0-9.,eE /]{1,10}(mm|in|m)?", fullmatch=True))
def test_any_other_text_is_refused_or_finite(text: str) -> None:
    """No text ends in anything but a finite length within its bounds or one line of refusal."""
    said, value = "", 0.0
    try:
        value = read(text, "length")
    except ValueError as error:
        said = str(error)
    assert "\n" not in said
    assert abs(value) <= KINDS["length"].largest
    assert said or text.strip()[-1] in "mn"
