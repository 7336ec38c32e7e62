"""Deviations behind a size, on one line, upper before lower: none is written that was not judged."""

from __future__ import annotations

import re
from decimal import Decimal

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from sim.drawing.numbers import toleranced_text
from sim.drawing.primitives import Units
from sim.scenario import Tolerance

INCH = Decimal("25.4")  # mm, exact by the agreement of 1959
WRITTEN = re.compile(r"([\d.]+) (?:±([\d.]+)|([+-]?[\d.]+)/([+-]?[\d.]+))")


def within(above: float, below: float) -> Tolerance:
    return Tolerance(above=f"{above!r} mm", below=f"{below!r} mm")  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("size", "above", "below", "units", "words"),
    [
        (118.0, 0.02, 0.0, "mm", "118 +0.02/0"),
        (118.0, 0.02, 0.02, "mm", "118 ±0.02"),
        (99.5, 0.0, 0.035, "mm", "99.5 0/-0.035"),
        (34.0, 0.1, 0.05, "mm", "34 +0.1/-0.05"),
        (118.0, 0.0, 0.0, "mm", "118 ±0"),
        # 118 mm are 4.64567 in: 118.02 mm 4.64646 in, of which 4.6464 is the most in whole ten-thousandths.
        (118.0, 0.02, 0.0, "inch", "4.6457 +0.0007/0"),
        # 118.001 mm 4.645709 in: one size of four places lies between, which is no band.
        (118.0, 0.001, 0.0, "inch", "4.64567 +0.00003/0"),
    ],
)
def test_deviations_stand_behind_the_size(
    size: float, above: float, below: float, units: Units, words: str
) -> None:
    assert toleranced_text(size, within(above, below), units) == words


def test_a_size_without_tolerance_stands_alone() -> None:
    assert toleranced_text(118.0, None, "mm") == "118"


@given(
    st.integers(10_000, 400_000), st.integers(0, 500), st.integers(0, 500), st.sampled_from(("mm", "inch"))
)
@example(118_000, 1, 0, "inch")
def test_no_limit_on_paper_lies_outside_of_those_judged(
    size: int, above: int, below: int, units: Units
) -> None:
    """Read back in exact decimals; sizes are whole micrometres."""
    if above == below == 0:
        return
    found = WRITTEN.fullmatch(toleranced_text(size / 1000.0, within(above / 1000.0, below / 1000.0), units))
    assert found is not None
    unit = INCH if units == "inch" else Decimal(1)
    middle = Decimal(found[1])
    upper, lower = (Decimal(found[2]), -Decimal(found[2])) if found[2] else map(Decimal, found.group(3, 4))
    slack = Decimal("1e-5")  # mm, what floats are off
    low, high = Decimal(size - below) / 1000, Decimal(size + above) / 1000
    assert low - slack <= (middle + lower) * unit <= (middle + upper) * unit <= high + slack
    if units == "mm":
        assert (middle + lower, middle + upper) == (low, high)
