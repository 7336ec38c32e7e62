"""What a window names, the full check confirms with the values as printed; what it does not is not named."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import cache
from typing import Any

import numpy as np
import pytest

from sim.assessment.results import Assessment
from sim.assessment.stages import assess
from sim.assessment.verdicts.grip import LEAST_GRIP_OF_A_JAW
from sim.layouts.boring_window import boring_window
from sim.layouts.confirmed_window import confirmed_boring_window, confirmed_window
from sim.layouts.criteria import Criterion
from sim.layouts.window import Window, WindowPoint, border, margin_at, window
from sim.report.layouts import window_object
from sim.scenario import Scenario
from sim.terminal.layouts import _said

Varied = Callable[..., Scenario]
QuicklyJudged = Callable[[str], Assessment]
QuickWindow = Callable[[str, int], Window]
Confirmed = Callable[[str], Window]
HUB, BY_PROGRAM, BLOCKED = "cast_hub_on_ring", "cast_hub_by_program", "cast_hub_ring_blocks"
HOUSING, BONNET, THIN = "housing_gripped_inside", "valve_bonnet_first_side", "thin_ring_distorts"
MODEL = "foundation"


@pytest.fixture(scope="module")
def confirmed(quickly_judged: QuicklyJudged, quick_window: QuickWindow) -> Confirmed:
    """The first operation's window of a scenario file with confirmed points, each made only once."""
    return cache(lambda name: confirmed_window(quickly_judged(name), 0, quick_window(name, 0)))


def named(point: WindowPoint) -> list[tuple[str, str]]:
    """Pressure and speed of a point and of the ends around it, as the table prints them."""
    bar, rpm = f"{10.0 * point.pressure:.1f}", f"{point.speed:.0f}"
    found = [(bar, rpm)]
    found += [(f"{10.0 * side.at:.1f}", rpm) for side in (point.low, point.high) if side is not None]
    found += [] if point.fast is None else [(bar, f"{point.fast.at:.0f}")]
    return found


def changes(bar: str, rpm: str, operation: int = 0) -> dict[str, Any]:
    gripping = f"operations.{operation}.gripping"
    return {f"{gripping}.pressure": f"{bar} bar", f"{gripping}.speed_high": f"{rpm} rpm"}


def fails(found: Assessment) -> set[str]:
    return {v.name for v in found.verdicts if v.status == "fail"}


@pytest.mark.parametrize("name", [HUB, HOUSING, BONNET])
def test_check_passes_at_what_is_named(
    name: str, varied: Varied, quick_window: QuickWindow, confirmed: Confirmed
) -> None:
    """The file with the printed values in it; the corner of the interpolated window itself fails in each of them."""
    raw, shown = quick_window(name, 0), confirmed(name)
    assert raw.fastest is not None
    assert shown.recommended is not None
    assert shown.fastest is not None
    corner = changes(f"{10.0 * raw.fastest.pressure:.1f}", f"{raw.fastest.speed:.0f}")
    assert fails(assess(varied(name, corner), contact_model=MODEL))
    assert 0.95 * raw.fastest.speed < shown.fastest.speed < raw.fastest.speed
    assert shown.fastest.speed % 10.0 == 0.0
    for point in (shown.recommended, shown.fastest):
        for bar, rpm in named(point):
            found = assess(varied(name, changes(bar, rpm)), contact_model=MODEL)
            assert not fails(found), (bar, rpm)
    bar, rpm = named(shown.fastest)[0]
    found = assess(varied(name, changes(bar, rpm)), contact_model=MODEL)
    told = shown.fastest.check
    assert told is not None
    assert told.worst is not None
    assert told.status == found.status
    assert [(v.name, v.stage, v.value) for v in told.verdicts] == [
        (v.name, v.stage, v.value) for v in found.verdicts
    ]
    of_it = [v.margin for v in found.verdicts if v.name == shown.fastest.least and v.stage == raw.operation]
    # A second limit of a verdict (a jaw near to lifting) has a name of its own, which no verdict has.
    assert shown.fastest.margin == pytest.approx(min(of_it)) if of_it else shown.fastest.margin >= 1.0 - 1e-9


def test_the_corner_of_boring_keeps_its_own_limits(varied: Varied, quickly_judged: QuicklyJudged) -> None:
    """At 900 rev/min and 4.5 bar less than half of the load stays on the ring: over the window's own limit."""
    judged = quickly_judged(BONNET)
    raw = boring_window(judged)
    assert raw is not None
    assert raw.fastest is not None

    def missed(bar: str, rpm: str) -> set[str]:
        stated = {"boring.pressure": f"{bar} bar", "boring.speed": f"{rpm} rpm"}
        found = assess(varied(BONNET, stated), contact_model=MODEL)
        return {v.name for v in found.verdicts if v.missed}

    assert missed(f"{10.0 * raw.fastest.pressure:.1f}", f"{raw.fastest.speed:.0f}") == {"load on the fixture"}
    shown = confirmed_boring_window(judged, raw)
    for point in (shown.recommended, shown.fastest):
        assert point is not None
        for bar, rpm in named(point):
            assert not missed(bar, rpm), (bar, rpm)


@pytest.mark.usefixtures("coarse")
def test_nothing_is_named_where_the_tool_touches(quickly_judged: QuicklyJudged) -> None:
    """The ring blocks the bar at any gripping pressure: the window is open, and no point of it is good."""
    judged = quickly_judged(BLOCKED)
    raw = window(judged, 0)
    assert raw.recommended is not None
    shown = confirmed_window(judged, 0, raw)
    assert shown.recommended is None
    assert shown.fastest is None
    assert len(shown.dropped) == 2
    assert all("not confirmed" in words and "tool contact" in words for words in shown.dropped)
    assert (shown.stated.low, shown.stated.high, shown.stated.fast) == (None, None, None)
    assert "check fails, worst" in _said(shown.stated, "fails")


def test_a_program_that_runs_faster_is_not_confirmed(
    quickly_judged: QuicklyJudged, quick_window: QuickWindow
) -> None:
    """A speed under the program's own is none that the setup runs at: neither the window nor the full check has it."""
    judged = quickly_judged(BY_PROGRAM)
    raw = quick_window(BY_PROGRAM, 0)
    assert raw.recommended is not None
    slower = replace(raw, recommended=_moved(raw.recommended, 800.0), fastest=None)
    assert margin_at(raw, _of_program(raw), raw.recommended.pressure, 800.0) < 1.0
    assert confirmed_window(judged, 0, slower).recommended is None

    blind = replace(slower, criteria=tuple(c for c in raw.criteria if c != _of_program(raw)))
    shown = confirmed_window(judged, 0, blind)
    assert shown.recommended is None
    assert len(shown.dropped) == 1
    assert "not confirmed by the full check" in shown.dropped[0]
    assert "program speed" in shown.dropped[0]


def _of_program(shown: Window) -> Criterion:
    return next(c for c in shown.criteria if c.verdict == "program_speed")


def _moved(point: WindowPoint, speed: float) -> WindowPoint:
    return WindowPoint(point.pressure, speed, point.margin, point.least, None, None, None, ())


def test_a_boring_speed_that_the_program_sets(quickly_judged: QuicklyJudged) -> None:
    """The shop's program bores at 400 rev/min whatever the table says: no other speed is confirmed."""
    judged = quickly_judged(BY_PROGRAM)
    raw = boring_window(judged)
    assert raw is not None
    shown = confirmed_boring_window(judged, raw)
    assert shown.recommended is not None
    assert shown.recommended.speed == 400.0
    assert shown.fastest is None or shown.fastest.speed == 400.0


def test_a_setup_that_fails_otherwise_says_so(varied: Callable[..., Scenario]) -> None:
    """The thin ring fails by its roundness at any boring speed: no boring point is named as good."""
    judged = assess(varied(THIN, {"operations.0.runout_limit": "1 mm"}), contact_model="foundation")
    raw = boring_window(judged)
    assert raw is not None
    shown = confirmed_boring_window(judged, raw)
    assert shown.recommended is None
    assert "roundness after release" in shown.dropped[0]


def test_json_holds_the_confirmed_values(confirmed: Confirmed) -> None:
    shown = confirmed(HUB)
    (found,) = window_object([(shown, None)])["windows"]
    fastest = found["fastest"]
    assert fastest["speed_rpm"] % 10.0 == 0.0
    assert round(100.0 * fastest["pressure_MPa"], 9) % 1.0 == 0.0  # a tenth of a bar
    assert fastest["check"]["status"] == "warn"  # columns, and no programs
    assert fastest["check"]["worst"]["status"] != "fail"
    assert fastest["margin"] >= 1.0 - 1e-9  # of what fails; the check's own counts what warns, too
    assert found["not_confirmed"] == []


@pytest.mark.parametrize("speed", ["1000 rpm", "600 rpm"])
def test_the_pressure_that_just_closes_a_jaw_is_where_check_turns(varied: Varied, speed: str) -> None:
    """Below it nothing is left on a jaw, and the least that must be left is a floor.

    Read straight between nodes the table named 3.9 bar, where check finds a third of what must be left: 4.2 are needed.
    """
    at_speed = {"operations.0.gripping.speed_high": speed}
    judged = assess(varied(HUB, at_speed), contact_model=MODEL)
    shown = window(judged, 0)
    told = border(shown, LEAST_GRIP_OF_A_JAW.name)
    bar = 10.0 * float(np.interp(float(speed.split()[0]), shown.speeds, told))

    def left(pressure: float) -> float:
        stated = at_speed | {"operations.0.gripping.pressure": f"{pressure:.3f} bar"}
        found = assess(varied(HUB, stated), contact_model=MODEL).verdicts
        return next(v.margin for v in found if v.key == LEAST_GRIP_OF_A_JAW.key)

    assert left(1.03 * bar) > 1.0 > left(0.9 * bar)
