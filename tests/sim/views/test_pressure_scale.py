"""The range of the pressures' colours: which share of the area it holds, where it ends, what is over it."""

from __future__ import annotations

import numpy as np
import pytest

from sim.views.pressure_scale import (
    STEPS,
    colour_map,
    coloured,
    colours,
    linear_map,
    norm,
    rounded_up,
    top_of,
)


def test_the_ends_of_the_map_are_its_first_and_last_stop() -> None:
    assert colours()[0].tolist() == [0xA9, 0xC9, 0xFF]
    assert colours()[-1].tolist() == [0x24, 0x00, 0x4A]


def test_one_band_at_an_edge_does_not_set_the_range() -> None:
    bands = np.full((3, 10, 20), 20.0)
    bands[:, 0, 0] = 400.0  # 0.5 % of the area
    assert top_of(bands) == 20.0
    bands[:, 0, :] = 45.0  # a tenth of it
    assert top_of(bands) == 50.0


def test_open_contact_is_no_part_of_the_area() -> None:
    bands = np.zeros(1000)
    bands[:40] = np.linspace(1.0, 40.0, 40)
    assert top_of(bands) == 40.0  # 38 of 40 lie under 38.5
    assert top_of(np.zeros(10)) == 1.0


@pytest.mark.parametrize(
    ("value", "end"), [(0.7, 0.8), (1.0, 1.0), (1.01, 1.5), (216.0, 300.0), (91.0, 100.0), (0.0, 1.0)]
)
def test_ranges_end_with_round_figures(value: float, end: float) -> None:
    assert rounded_up(value) == pytest.approx(end)


def test_a_quarter_of_the_range_has_the_middle_colour() -> None:
    """By the root of the pressure, in arrays, in matplotlib's bar, and in a bar with even marks."""
    middle = colours()[round(0.5 * (STEPS - 1))]
    assert coloured([12.5, 50.0, 80.0], 50.0).tolist() == [middle.tolist(), *[colours()[-1].tolist()] * 2]
    assert 255.0 * np.array(colour_map()(norm(50.0)(12.5))[:3]) == pytest.approx(middle, abs=3)
    assert 255.0 * np.array(linear_map()(0.25)[:3]) == pytest.approx(middle, abs=3)
