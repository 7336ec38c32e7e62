"""Which lines are read at one look, and what they say."""

from __future__ import annotations

import pytest

from sim.programs.plain_lines import plain_line


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("G1 X50.25 Z-3. F.2", (None, 1, 50.25, None, -3.0, None, False, ".2")),
        ("N0120G01X-.5", (120, 1, -0.5, None, None, None, False, "")),
        ("Z+7", (None, None, None, None, 7.0, None, False, "")),
        ("N7\tG00 X1. Z2.", (7, 0, 1.0, None, 2.0, None, False, "")),
        ("G3 X10. Z-5. R5. F0.1", (None, 3, 10.0, None, -5.0, None, True, "0.1")),
        ("G2 X10. Z-5. I1. K-2.", (None, 2, 10.0, None, -5.0, None, True, "")),
        ("X10. K-2.", (None, None, 10.0, None, None, None, True, "")),
        ("G1 U-1.5 W-3. F.2", (None, 1, None, -1.5, None, -3.0, False, ".2")),
        ("N5W.5", (5, None, None, None, None, 0.5, False, "")),
        ("X4.W-2.", (None, None, 4.0, None, None, -2.0, False, "")),
        ("G3 U+2. Z-5. R5.", (None, 3, None, 2.0, -5.0, None, True, "")),
    ],
)
def test_what_a_line_says(text: str, said: tuple[object, ...]) -> None:
    found = plain_line(4, text, 9, pointed=False)
    assert found is not None
    assert found == (4, text, 9, *said)


@pytest.mark.parametrize(
    "text",
    [
        "", "N10", "G1", "G1 F.2", "G4 X1.", "G10 X1.", "G01.5 X1.", "G28 X1.", "G1 X1. X2.", "Z1. X2.", "X1. U2.",
        "U1. X2.", "Z1. W2.", "W1. U2.", "U1. U2.", "V1.", "G4 U1.", "G28 U0. W0.", "W",
        "X1. M8", "G1 X1. S500", "X#1", "X1.,C2.", "/X1.", "X1. R1. K2.", "X1.5.", "X1.. Z2.", "X1. Z", "F.1 X2.",
        "X1. F-.1", "X12345678.", "G1 X١.",
    ],
)  # fmt: skip
def test_what_says_more_or_is_in_doubt_is_none(text: str) -> None:
    assert plain_line(1, text, 1, pointed=False) is None


@pytest.mark.parametrize(
    "text", ["X50", "X0 Z1.", "X1. Z-3", "U5", "X1. W0", "G2 X1. Z2. R5", "G2 X1. Z2. I0 K1."]
)
def test_a_length_without_a_point_is_none_where_it_counts(text: str) -> None:
    assert plain_line(1, text, 1, pointed=False) is not None
    assert plain_line(1, text, 1, pointed=True) is None
    assert plain_line(1, "G1 X1. Z.5 F20", 1, pointed=True) is not None
