"""What the trade knows, common practice with no source, as checks on the formulas.

13,000 lbf total grip on three jaws is usually said to be 19.3 to 19.6 kN per jaw. By the pound-force it is
19.28 kN: the lower figure is that rounded, the upper one (as 6 kN per 1360 lbf or 2 t per jaw) is 1.7 % more
and is not met. Grease and speed: tests/reference/test_grip.py and test_vdi3106.py.
"""

from __future__ import annotations

import math

import pytest

from sim.base.units import factor
from sim.mechanics.cutting import turning_forces
from sim.mechanics.hold import LEAST_HELD_SHARE, held_share
from sim.mechanics.stroke import first_touch
from sim.scenario import Limits


def test_13000_lbf_is_19_3_kn_per_jaw() -> None:
    per_jaw = 13_000.0 * factor("force", "lbf") / 3.0
    assert per_jaw == pytest.approx(19_276.0, abs=1.0)
    assert round(per_jaw, -2) == 19_300.0
    assert 1.0 - per_jaw / 19_600.0 < 0.02


def test_limits_of_practice_are_the_defaults() -> None:
    """Hold at least a third of the length; a boring ring at most 7 bar and 900 rev/min; a sixth at both stroke ends."""
    limits = Limits()
    assert limits.held_share == pytest.approx(1.0 / 3.0)
    assert held_share(20.0, 60.0) == pytest.approx(LEAST_HELD_SHARE) == pytest.approx(1.0 / 3.0)
    assert limits.ring_pressure == pytest.approx(0.7)
    assert limits.ring_speed == pytest.approx(900.0)
    assert limits.stroke_reserve == pytest.approx(1.0 / 6.0)


@pytest.mark.parametrize(("bore", "pattern"), [(100.0, "full"), (99.8, "edges"), (100.2, "middle")])
def test_a_bore_of_the_nominal_diameter_touches_the_full_face(bore: float, pattern: str) -> None:
    """A smaller bore touches six edges, a larger one three middles (outside gripping)."""
    assert first_touch(50.0, bore / 2.0, 50.0, "outside").pattern == pattern


def test_a_usual_roughing_cut_takes_a_few_kilonewtons() -> None:
    """2 mm at 0.25 mm/rev in plain steel: between 1 and 2 kN."""
    cut = turning_forces(0.25, 2.0, math.radians(95.0), 1780.0, 0.17, 100.0, 30.0, "chuck")
    assert 1000.0 < cut.tangential < 2000.0
