"""States of a judged setup: exactly what `check` gives for the file with the state's values written into it."""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable

import numpy as np
import pytest

from sim.assessment.face_gap import gap_at
from sim.assessment.gripped_again import judged_at
from sim.assessment.results import Assessment
from sim.assessment.stages import assess
from sim.assessment.state import States, at, on_path, states
from sim.contact import band_means, side_load_change
from sim.scenario import Scenario

MAIN = "valve_bonnet_two_steps"


@pytest.fixture(scope="module")
def main_states(assessment: Callable[[str], Assessment]) -> States:
    return states(assessment(MAIN))


def test_the_scenarios_own_state_is_the_assessment(
    scenario_name: str, assessment: Callable[[str], Assessment]
) -> None:
    """Where the jaws press hardest, and at the highest speed under the worst side force off jaw 1."""
    stated = assessment(scenario_name)
    ready = states(stated)
    for index, figures in enumerate(stated.operations):
        grip = figures.operation.gripping
        hardest = at(ready, index)
        assert hardest.contact is not None
        shown = figures.clamping.pressure
        assert hardest.contact.pressure_mpa == pytest.approx(shown.pressure_mpa, rel=1e-12)
        assert hardest.band_peak == float(band_means(shown).max())
        assert hardest.total == pytest.approx(figures.grip.largest_total, rel=1e-9)
        assert hardest.figures.needed_total == figures.grip.needed_total
        slow = at(ready, index, speed=grip.speed_low)
        assert slow.total == pytest.approx(figures.grip.low_speed_total, rel=1e-9)
        turn = figures.clamping.revolution
        assert turn is not None
        worst = turn.worst_rad
        # What jaws gain that grip inside does not count there.
        held = grip.speed_high if grip.direction == "outside" else 0.0
        fast = at(ready, index, speed=held, side_force=figures.clamping.side, spindle_angle=worst)
        assert figures.contact_at_speed is not None
        assert fast.grip == pytest.approx(figures.contact_at_speed.grip_n, rel=1e-9)
        assert fast.figures.permissible.by_cutting == pytest.approx(
            figures.grip.permissible.by_cutting, rel=1e-9
        )
        verdicts = judged_at(ready, index, grip.pressure, grip.speed_high).verdicts
        mine = {v.name: (v.value, v.status) for v in verdicts}
        theirs = {v.name: (v.value, v.status) for v in stated.verdicts if v.stage == figures.operation.name}
        assert mine.items() <= theirs.items()
        assert {"holding factor", "marking", "jaw seat stays closed", "wall behind the face"} <= set(mine)


@pytest.mark.parametrize(
    ("pressure", "speed"), [(12.0, 500.0), (25.0, 1500.0), (18.0, 150.0)], ids=["low", "high", "slow"]
)
def test_another_state_is_what_check_gives_for_the_edited_file(
    main_states: States, varied: Callable[..., Scenario], pressure: float, speed: float
) -> None:
    changes = {
        "operations.1.gripping.pressure": f"{pressure} bar",
        "operations.1.gripping.speed_high": f"{speed} rpm",
    }
    if speed < 200.0:
        changes["operations.1.gripping.speed_low"] = f"{speed} rpm"
    edited = assess(varied(MAIN, changes), None, main_states.assessment.operations[1].clamping.model)
    found = at(main_states, 1, pressure=pressure / 10.0, speed=speed)
    theirs = edited.operations[1]
    assert found.figures.high_speed_total == pytest.approx(theirs.grip.high_speed_total, rel=1e-9)
    assert found.total == pytest.approx(theirs.grip.high_speed_total, rel=1e-6)
    state = judged_at(main_states, 1, pressure / 10.0, speed)
    assert state.figures.roundness == pytest.approx(theirs.roundness, rel=1e-9)
    mine = {v.name: v.value for v in state.verdicts}
    for verdict in edited.verdicts:
        if verdict.stage == "second side" and verdict.name in mine:
            assert mine[verdict.name] == pytest.approx(verdict.value, rel=1e-9), verdict.name


def test_open_jaws_grip_nothing_and_leave_the_loading_clearance(main_states: States) -> None:
    for index, figures in enumerate(main_states.assessment.operations):
        work = figures.operation.workpiece
        found = at(main_states, index, travel=0.0, gripped_diameter=work.gripped_diameter_high)
        assert not found.gripped
        assert found.contact is None
        assert found.total == 0.0
        expected = figures.travel.high.loading_clearance
        assert found.gap == pytest.approx(expected, rel=1e-9)
        assert found.jaw_travel == 0.0
        assert found.closest is not None
        assert math.dist(*found.closest) == pytest.approx(found.gap, rel=1e-9)


def test_the_part_stops_the_jaws(main_states: States) -> None:
    """The gap closes with the travel and is gone at the first touch; beyond it nothing moves."""
    touch = at(main_states, 0).touch_travel
    parts = main_states.assessment.parts
    diameter = at(main_states, 0).gripped_diameter
    assert gap_at(parts, 0, touch, diameter) == pytest.approx(0.0, abs=1e-3)
    gaps = [at(main_states, 0, travel=s).gap for s in np.linspace(0.0, touch, 5)]
    assert all(b < a for a, b in itertools.pairwise(gaps))
    beyond = at(main_states, 0, travel=main_states.assessment.scenario.chuck.stroke)
    assert beyond.jaw_travel == pytest.approx(touch)
    assert beyond.total == pytest.approx(at(main_states, 0).total)


@pytest.mark.parametrize(
    ("name", "face"), [(MAIN, 75.0), ("housing_gripped_inside", 90.0)], ids=["outside", "inside"]
)
def test_where_jaw_and_part_are_nearest(
    name: str, face: float, quickly_judged: Callable[[str], Assessment]
) -> None:
    """Against every place of a face 48 mm wide between its chamfers: edges of open jaws, middles just before a touch.

    The face is an arc about a point that stands off the spindle by what the jaw has moved since it was bored.
    """
    ready = states(quickly_judged(name))
    outside = face == 75.0
    work = ready.assessment.operations[0].operation.workpiece
    size = work.gripped_diameter_low if outside else work.gripped_diameter_high
    nearly = at(ready, 0, gripped_diameter=size).touch_travel - 0.004
    bored = ready.assessment.scenario.boring.travel
    y = np.linspace(-24.0, 24.0, 4801)
    for travel in (0.0, nearly):
        found = at(ready, 0, travel=travel, gripped_diameter=size)
        moved = bored - travel if outside else travel - bored
        radius = np.hypot(moved + np.sqrt(face**2 - y**2), y)
        between = radius - 0.5 * size if outside else 0.5 * size - radius
        least = int(np.argmin(between))
        assert found.gap == pytest.approx(between[least], abs=1e-9)
        assert found.closest is not None
        on_jaw, on_part = found.closest
        assert math.hypot(*on_jaw[:2]) == pytest.approx(radius[least], abs=1e-9)
        assert abs(on_jaw[1]) == pytest.approx(abs(y[least]), abs=1e-9)
        assert math.hypot(*on_part[:2]) == pytest.approx(0.5 * size)
        assert on_jaw[2] == on_part[2] == ready.assessment.operations[0].zone.middle
        assert math.atan2(*on_jaw[:2]) == pytest.approx(math.atan2(*on_part[:2]))


def test_sizes_of_the_part_touch_at_the_ends_of_the_travel_band(main_states: States) -> None:
    figures = main_states.assessment.operations[0]
    work = figures.operation.workpiece
    for size in (figures.travel.low, figures.travel.high):
        found = at(main_states, 0, gripped_diameter=2.0 * size.part_radius)
        assert found.touch_travel == pytest.approx(size.grip_travel)
    with pytest.raises(ValueError, match=r"gripped_diameter must lie between 149.2 and 150.4 mm"):
        at(main_states, 0, gripped_diameter=work.gripped_diameter_high + 1.0)


def test_a_side_force_goes_round_with_the_spindle(main_states: States) -> None:
    """A third of a turn hands each jaw's load to the one behind it.

    Three radial springs change by (2/3) Q cos; faces of some width carry a part of the force on
    their flanks, across their own travel, so that the grips change in the same sense and by less.
    """
    force = 1500.0
    still = at(main_states, 1).grip
    at_zero = at(main_states, 1, side_force=force).grip
    third = at(main_states, 1, side_force=force, spindle_angle=2.0 * math.pi / 3.0).grip
    assert third == pytest.approx(np.roll(at_zero, -1), rel=1e-6)
    assert at_zero.sum() == pytest.approx(still.sum(), rel=1e-6)
    rule = side_load_change(force, math.pi)
    assert np.sign(at_zero - still).tolist() == np.sign(rule).tolist()
    assert (np.abs(at_zero - still) < np.abs(rule)).all()


def test_where_no_grip_is_left_there_is_no_contact(main_states: States) -> None:
    found = at(main_states, 1, pressure=0.2, speed=4000.0)
    assert found.gripped
    assert found.contact is None
    assert found.total == 0.0
    assert {v.name for v in judged_at(main_states, 1, 0.2, 4000.0).verdicts if v.status == "fail"} >= {
        "holding factor",
        "spindle speed",
    }


@pytest.mark.parametrize(
    "wrong",
    [
        {"travel": -1.0},
        {"travel": 7.0},
        {"pressure": 0.0},
        {"pressure": math.nan},
        {"speed": -1.0},
        {"speed": math.inf},
        {"side_force": -1.0},
        {"side_force": math.inf},
        {"spindle_angle": math.nan},
    ],
)
def test_what_cannot_be_set_is_refused(main_states: States, wrong: dict[str, float]) -> None:
    with pytest.raises(ValueError, match=next(iter(wrong))):
        at(main_states, 0, **wrong)


def test_the_tool_is_found_on_its_path(main_states: States) -> None:
    found = on_path(main_states, "boring", 0.5 * main_states.tracks["boring"].length)
    assert 0 < found.move < len(main_states.assessment.boring.moves)
    assert found.distance > 0.0
    with pytest.raises(ValueError, match="one with a cutting path, found 0"):
        on_path(main_states, "0", 1.0)


def test_what_a_micrometre_of_bore_does_is_told_where_it_is_asked(main_states: States) -> None:
    """As much as a part that is so much smaller or larger: the larger of both changes, in states solved apart."""
    found = at(main_states, 1, per_um=True)
    middle, peak = found.gripped_diameter, found.band_peak
    changes = [
        abs(at(main_states, 1, gripped_diameter=middle + 2.0 * off).band_peak - peak) for off in (-1e-3, 1e-3)
    ]
    assert found.band_peak_per_um == pytest.approx(max(changes), rel=0.2)
    assert math.isnan(at(main_states, 1).band_peak_per_um)
    assert math.isnan(at(main_states, 1, pressure=0.2, speed=4000.0, per_um=True).band_peak_per_um)


def test_half_a_bar_is_a_pressure(main_states: States) -> None:
    assert 0.0 < at(main_states, 0, pressure=0.05).total < at(main_states, 0, pressure=0.1).total
