"""The moments of a film: in their order, and never a jaw that moves while the spindle turns."""

from __future__ import annotations

import pytest

from sim.views.moments import MOMENTS, shot, shots


@pytest.mark.parametrize("count", [12, 30, 211])
@pytest.mark.parametrize("program", [True, False])
def test_all_moments_come_once_and_in_order(count: int, program: bool) -> None:
    found = shots(count, 3.01, program=program)
    assert len(found) == count
    assert list(dict.fromkeys(one.moment for one in found)) == list(MOMENTS)
    cutting = sum(one.cutting for one in found) / count
    assert cutting == pytest.approx(6.0 / 16.0 if program else 3.0 / 13.0, abs=1.5 / count)
    along = [one.along for one in found if one.cutting]
    assert along == sorted(along)
    assert along[-1] == 1.0


def test_while_the_jaws_move_nothing_turns_and_nothing_presses() -> None:
    for moment in MOMENTS:
        for number in range(101):
            one = shot(moment, number / 100.0, 3.01)
            assert one.travel is None or (one.speed == 0.0 and one.pressure == 0.0)
            assert one.travel is None or 0.0 <= one.travel <= 3.01
            assert 0.0 <= one.pressure <= 1.0
            assert 0.0 <= one.speed <= 1.0


def test_the_spindle_stands_before_the_pressure_goes() -> None:
    released = [shot("release", number / 100.0, 3.01) for number in range(101)]
    assert released[0].speed == 1.0
    assert all(one.pressure == 1.0 for one in released if one.speed > 0.0)
    assert released[-1].travel == pytest.approx(0.0)
