"""Why three jaws: how jaws on one piston share the grip of a part that is not round, worked out here.

A rigid part between jaws that one piston moves alike, each a spring along the spindle's radius that only presses, no
friction: the least energy under the closing force (statics; the spring's range is that of the manual's default,
Ito, Modular Design for Machine Tools, quoted in `chuck.radial_stiffness`). No code of the program. The manual's table
of counts is held to it.
"""

from __future__ import annotations

import math
import re
from pathlib import Path

import numpy as np
import pytest
from scipy.optimize import minimize

MANUAL = Path(__file__).parents[2] / "sim" / "manual" / "scope.md"
ANGLES = np.radians(np.arange(0.0, 180.0, 3.0))
LOBES = (2, 3, 4, 5, 7)


def shares(
    count: int, grip: float, stiffness: float, peak_to_valley: float, lobes: int, turned: float
) -> np.ndarray:
    """Return each jaw's force (N) on a part with lobes, turned by an angle (rad)."""
    at = 2.0 * np.pi * np.arange(count) / count
    out = 0.5 * peak_to_valley * np.cos(lobes * (at - turned))
    away = np.column_stack([np.ones(count), np.cos(at), np.sin(at)])  # of piston and part

    def energy(moved: np.ndarray) -> tuple[float, np.ndarray]:
        pressed = np.maximum(0.0, out + away @ moved)
        slope = stiffness * pressed @ away
        slope[0] -= grip
        return 0.5 * stiffness * float(pressed @ pressed) - grip * float(moved[0]), slope

    start = np.array([grip / (count * stiffness), 0.0, 0.0])
    # In units in which the forces are about 1.
    scale = grip * grip / stiffness

    def scaled(moved: np.ndarray) -> tuple[float, np.ndarray]:
        value, slope = energy(moved * grip / stiffness)
        return value / scale, slope / grip

    found = minimize(scaled, start * stiffness / grip, jac=True, method="BFGS", options={"gtol": 1e-10})
    moved = found.x * grip / stiffness
    return np.asarray(stiffness * np.maximum(0.0, out + away @ moved))


def least(count: int, grip: float, stiffness: float, peak_to_valley: float) -> float:
    """Return the least force of a jaw over its equal share, for the worst number of lobes and the worst angle."""
    found = (
        shares(count, grip, stiffness, peak_to_valley, lobes, turned).min()
        for lobes in LOBES
        for turned in ANGLES / lobes * 2.0
    )
    return min(found) / (grip / count)


ROW = re.compile(r"^\| ([346]) \| (\d+) N/µm[^|]*\| ([\d.]+) \| ([\d.]+) \| ([\d.]+) \|$", re.MULTILINE)


def test_the_manuals_table_is_what_the_springs_give() -> None:
    rows = ROW.findall(MANUAL.read_text(encoding="utf-8"))
    assert [int(row[0]) for row in rows] == [4, 4, 4, 6, 6, 6]
    for count, stiffness, *told in rows:
        for grip, share in zip((15e3, 40e3, 90e3), told, strict=True):
            assert least(int(count), grip, 1e3 * float(stiffness), 0.02) == pytest.approx(
                float(share), abs=0.0051
            )


@pytest.mark.parametrize("lobes", LOBES)
def test_three_jaws_grip_alike_on_any_part(lobes: int) -> None:
    for turned in (0.0, 0.1, 0.3, 0.77):
        found = shares(3, 15e3, 400e3, 0.02, lobes, turned)
        assert found == pytest.approx(np.full(3, 5e3), rel=1e-5)


@pytest.mark.parametrize(("count", "lobes", "carry"), [(4, 2, 2), (6, 3, 3), (6, 2, 2)])
def test_on_a_hard_jaw_few_carry_all(count: int, lobes: int, carry: int) -> None:
    found = shares(count, 15e3, 400e3, 0.02 if carry != 2 or count == 4 else 0.05, lobes, 0.0)
    assert int((found > 1.0).sum()) == carry
    assert found.sum() == pytest.approx(15e3, rel=1e-6)


def test_a_part_in_two_jaws_moves_aside_as_its_bores_let_it() -> None:
    """Circle in two half bores without friction: the sideways balance of both touches, found by bisection."""
    grip, push, smaller = 10e3, 2e3, 0.1  # N of each jaw and across (a tenth of both), mm
    low, high = 0.0, smaller
    for _ in range(80):
        aside = 0.5 * (low + high)
        turned = math.asin(aside / smaller)  # of both touches off the jaws' middles
        # Each touch presses with grip / cos, of which the sine pushes back.
        low, high = (aside, high) if 2.0 * grip / math.cos(turned) * math.sin(turned) < push else (low, aside)
    assert aside == pytest.approx(smaller * math.sin(math.atan(push / (2.0 * grip))), rel=1e-9)
    assert round(aside, 2) == 0.01
