"""Kienzle's force of a cut, and its corrections."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from sim.base.tables import OwnCutting, material
from sim.mechanics.kienzle import (
    Kind,
    chip_section,
    correction,
    cut_metal,
    cutting_force,
    group_metal,
    rake_factor,
    speed_factor,
)

RIGHT = math.pi / 2.0


def test_kc11_is_the_force_on_one_square_millimetre() -> None:
    assert cutting_force(1.0, 1.0, RIGHT, 1780.0, 0.17) == pytest.approx(1780.0)


def test_the_chip_section_is_feed_times_depth_at_any_angle() -> None:
    for degrees in (30.0, 75.0, 95.0, 120.0):
        h, b = chip_section(0.3, 2.0, math.radians(degrees))
        assert h * b == pytest.approx(0.6)


def test_a_flatter_approach_cuts_a_thinner_chip_with_more_force() -> None:
    steep = cutting_force(0.3, 2.0, RIGHT, 1780.0, 0.17)
    assert cutting_force(0.3, 2.0, math.radians(45.0), 1780.0, 0.17) > steep


def test_corrections() -> None:
    assert rake_factor(math.radians(6.0)) == pytest.approx(1.0)
    assert rake_factor(math.radians(16.0)) == pytest.approx(0.9)
    assert rake_factor(0.0) == pytest.approx(1.06)
    assert speed_factor(99.999) == pytest.approx(1.0, abs=0.001)
    assert speed_factor(100.0) == pytest.approx(1.0, abs=0.001)
    assert speed_factor(250.0) < 1.0 < speed_factor(40.0)
    assert speed_factor(1.0) == speed_factor(20.0)
    assert correction(kind="boring", wear=1.0) == pytest.approx(1.2, abs=0.002)


def test_what_is_refused() -> None:
    with pytest.raises(ValueError, match="greater than 0 mm"):
        chip_section(0.0, 1.0, RIGHT)
    with pytest.raises(ValueError, match="approach angle"):
        chip_section(0.1, 1.0, math.pi)
    with pytest.raises(ValueError, match=r"approach angle .*found 0 deg"):
        chip_section(0.1, 1.0, 0.0)
    assert chip_section(0.1, 1.0, math.radians(3.0))[0] > 0.0  # a high-feed insert's
    # one bad cut of many
    for feed, depth in ((np.array([0.1, 0.0]), 1.0), (np.array([0.1, 0.2]), np.array([0.0, 1.0]))):
        with pytest.raises(ValueError, match="greater than 0 mm"):
            chip_section(feed, depth, RIGHT)


@pytest.mark.parametrize(
    ("kind", "room"),
    [
        # where chips go: freely outside, less in a bore, least in a groove or a thread
        ("turning", 1.0),
        ("facing", 1.0),
        ("boring", 1.2),
        ("drilling", 1.2),
        ("tapping", 1.3),
        ("grooving", 1.3),
        ("parting", 1.3),
        ("threading", 1.3),
    ],
)
def test_chips_press_where_they_have_no_room(kind: Kind, room: float) -> None:
    """The textbook's K_st, at 100 m/min and the rake of its values; an edge of which nothing is said is a worn one."""
    assert correction(wear=1.0, kind=kind) == pytest.approx(room, rel=1e-3)
    assert correction(kind=kind) == pytest.approx(1.3 * room, rel=1e-3)


@pytest.mark.parametrize(
    ("name", "rake"),
    [
        ("steel C45", 6.0),
        ("cast iron GJL-250", 2.0),
        ("cast iron GJS-400-15", 2.0),
        ("aluminium EN AW-5083", 0.0),
        ("titanium Ti-6Al-4V", 0.0),
    ],
)
def test_a_groups_values_hold_at_the_handbooks_rake(name: str, rake: float) -> None:
    assert math.degrees(group_metal(name).rake) == pytest.approx(rake)


def test_values_of_ones_own_without_a_rake_are_those_of_the_cut() -> None:
    """Else a sharper tool than that of the trial would take force off twice."""
    own = replace(material("steel C45"), cutting=OwnCutting(1800.0, 0.2, None))
    found = cut_metal(own, math.radians(15.0))
    assert found.rake == math.radians(15.0)
    assert found.kienzle.unfavourable(0.2) == (1800.0, 0.2)
    assert rake_factor(math.radians(15.0), found.rake) == 1.0


@pytest.mark.parametrize(("group", "rake"), [("14", 6.0), ("15", 2.0), ("20", 2.0), ("21", 0.0)])
def test_where_steel_and_iron_end_in_vdi_3323(group: str, rake: float) -> None:
    """P and M are groups 1 to 14, K 15 to 20, N from 21 on (the guideline's list as tool makers print it)."""
    found = group_metal(replace(material("steel C45"), kienzle=group))
    assert math.degrees(found.rake) == pytest.approx(rake)
