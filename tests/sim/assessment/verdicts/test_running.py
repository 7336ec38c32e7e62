"""Run-out and squareness: which limit is met, what is said to be behind it; made-up budgets."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import pytest

from sim.assessment.figures.running import RunningFigures, Share
from sim.assessment.running import JAWS, LOBES, RUBBING, SPINDLE, UNLIKE
from sim.assessment.verdict import Verdict
from sim.assessment.verdicts.running import running_verdicts

RUNOUT, SQUARE = "runout_in_the_jaws", "squareness_in_the_jaws"


def judged(
    shares: dict[str, float],
    *,
    roundness: float = 0.0,
    off: tuple[int, ...] = (0, 0, 0),
    unlike: tuple[float, ...] = (0.0, 0.0, 0.0),
    limit: float = 0.05,
    chip: float = 0.0,
    tilt: float = 1e-4,
    by_seats: bool = True,
) -> dict[str, Verdict]:
    """Shares in micrometres off the axis, by their names."""
    found = RunningFigures(
        state="at rest", rho=0.5, shares=tuple(Share(name, um / 1e3, um / 2e3, "") for name, um in shares.items()),
        tilt_worst=tilt, tilt_root=0.5 * tilt, by_seats=by_seats, face=120.0, roundness=roundness, chip=chip,
        chip_shift=0.004, chip_tilt=2e-4,
    )  # fmt: skip
    operation = SimpleNamespace(name="first side", runout_limit=limit, squareness_limit=limit)
    figures: Any = SimpleNamespace(running=found, operation=operation)
    jaw = SimpleNamespace(serrations_off=off, mass_differences=unlike)
    parts: Any = SimpleNamespace(scenario=SimpleNamespace(soft_jaw=jaw))
    return {v.key: v for v in running_verdicts(parts, figures)}


@pytest.mark.parametrize(("off_axis", "status"), [(24.9, "pass"), (25.1, "fail")])
def test_an_indicator_shows_twice_what_the_axis_stands_off(off_axis: float, status: str) -> None:
    """Limit 0.05 mm."""
    found = judged({LOBES: 0.75 * off_axis, SPINDLE: 0.25 * off_axis})[RUNOUT]
    assert (found.status, found.value, found.limit) == (status, pytest.approx(2.0 * off_axis), 50.0)


def test_what_the_turned_surface_is_out_of_round_counts_and_is_told() -> None:
    found = judged({LOBES: 20.0}, roundness=11.0)[RUNOUT]
    assert (found.status, found.value) == ("fail", pytest.approx(51.0))
    assert "11.0 µm of it by what the turned surface is out of round" in found.message
    assert "Squeeze the part less out of round" in judged({LOBES: 20.0}, roundness=13.0)[RUNOUT].advice
    # 10 of 70 um are less than a fifth
    assert "queeze" not in judged({LOBES: 30.0}, roundness=10.0)[RUNOUT].advice
    assert "out of round" not in judged({LOBES: 30.0})[RUNOUT].message


def test_advice_goes_to_the_three_largest_shares_of_over_a_fifth() -> None:
    found = judged({SPINDLE: 25.0, LOBES: 30.0, RUBBING: 5.0, UNLIKE: 40.0, "nought": 0.0}, roundness=0.0)[
        RUNOUT
    ]
    assert f"most of it: {UNLIKE} 80.0 µm, {LOBES} 60.0 µm, {SPINDLE} 50.0 µm." in found.message
    assert RUBBING not in found.message
    assert found.advice.startswith(
        "Bore the jaws with the force that grips; turn the gripped surface rounder"
    )
    # just over a fifth
    assert f"{RUBBING} 20.2 µm" in judged({UNLIKE: 40.0, RUBBING: 10.1})[RUNOUT].message
    assert "nought" not in judged({"nought": 0.0}, roundness=60.0)[RUNOUT].message


def test_unlike_jaws_are_put_back_or_brought_to_one_mass() -> None:
    assert (
        judged({JAWS: 30.0}, off=(0, 1, 0))[RUNOUT].advice
        == "Put every jaw on the serration it was bored on."
    )
    assert judged({JAWS: 30.0}, unlike=(0.0, 0.1, 0.0))[RUNOUT].advice == "Bring the jaws to one mass."
    assert judged({JAWS: 30.0}, unlike=(0.1, 0.1, 0.1))[RUNOUT].advice.startswith("State a limit")


def test_a_face_out_of_square_over_the_largest_diameter() -> None:
    """0.4 mrad over 120 mm are 48 um."""
    for tilt, status in ((4e-4, "pass"), (4.3e-4, "fail")):
        found = judged({LOBES: 1.0}, tilt=tilt)[SQUARE]
        assert (found.status, found.value, found.limit) == (status, pytest.approx(120e3 * tilt), 50.0)
    assert "back faces of the jaws lean" in judged({LOBES: 1.0})[SQUARE].message
    assert "walls of the jaws lean" in judged({LOBES: 1.0}, by_seats=False)[SQUARE].message


def test_a_chip_is_told_and_moves_no_figure() -> None:
    """4 um of the axis are 8 um indicated, 0.2 mrad over 120 mm 24 um."""
    clean, dirty = judged({LOBES: 10.0}), judged({LOBES: 10.0}, chip=0.05)
    assert [clean[k].value for k in (RUNOUT, SQUARE)] == [dirty[k].value for k in (RUNOUT, SQUARE)]
    assert "A chip of 50 µm behind the part in one jaw would add 8.0 µm." in dirty[RUNOUT].message
    assert "A chip of 50 µm under the part in one jaw would add 24.0 µm." in dirty[SQUARE].message
    assert "chip" not in clean[RUNOUT].message + clean[SQUARE].message
