"""What is counted, in words: English, no source."""

import pytest

from sim.base.counted import counted


@pytest.mark.parametrize(
    ("number", "unit", "words"),
    [
        (0.0, "touches", "0 touches"),
        (1.0, "touches", "1 touch"),
        (2.0, "moves", "2 moves"),
        (1.0, "moves", "1 move"),
    ],
)
def test_one_is_singular(number: float, unit: str, words: str) -> None:
    assert counted(number, unit) == words
