"""Forces of single-point threads, against Kienzle's law summed along the profile that a pass takes.

Profiles: ISO 68-1 (60 deg, sqrt(3)/2 P sharp: a public encyclopedia on metric threads), ISO 228-1 (55 deg, from
memory), ISO 2901 (30 deg, w = 0.366 P, H2 = 0.5 P: a public extract of its edition of 2016); the square thread has no
standard. Kienzle: O. Kienzle, 1952.
"""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sim.mechanics.cutting import CutForces, cutting_speed, part_load
from sim.mechanics.kienzle import correction, own_metal
from sim.mechanics.threading import FEED_RATIO, PASSIVE_RATIO, thread_forces

KC11, MC = 1500.0, 0.25
METAL = own_metal(KC11, MC, 0.0)
FACTOR = correction(0.0, 1.3, cutting_speed(30.0, 300.0), "threading", 0.0)


def forces(infeed: float, width: float, pitch: float, **fields: object) -> CutForces[float]:
    numbers: dict[str, object] = {
        "rake_angle": 0.0, "wear_factor": 1.3, "diameter": 30.0, "height": 20.0, "feed_towards": "chuck",
        "inside": False,
    }  # fmt: skip
    speed = cutting_speed(30.0, 300.0)
    return thread_forces(METAL, speed, pitch=pitch, infeed=infeed, width=width, **{**numbers, **fields})  # type: ignore[arg-type]


def along_the_profile(depth: float, step: float, crest: float, half: float) -> float:
    """Kienzle's force on a flat crest and two flanks: width times thickness^(1 - mc) of each.

    The chip on a flank reaches from the crest up to where the groove of the pass before was at its widest: (2 depth -
    step) / 2 / cos(half) on the mean, step x sin(half) thick.
    """
    flank = (depth - 0.5 * step) / math.cos(half)
    thickness = step * math.sin(half)
    flanks = 2.0 * flank * thickness ** (1.0 - MC) if half > 0.0 else 0.0
    return KC11 * (crest * step ** (1.0 - MC) + flanks) * FACTOR


def test_by_hand() -> None:
    """0.1 mm deeper, 1 mm wide: 0.1 mm2, chip 0.1 sin(27.5 deg) = 0.04617 mm, kc = 1500 / 0.04617^0.25 = 3235.8 MPa."""
    found = forces(0.1, 1.0, 1.5)
    assert found.tangential == pytest.approx(323.58 * FACTOR, rel=1e-4)
    assert pytest.approx(1.3 * 1.3 * 2.023 / (math.pi * 0.03 * 300.0) ** 0.153) == FACTOR
    load = part_load(found)
    assert load.torque == pytest.approx(15.0 * found.tangential)
    assert load.towards_chuck == 0.0
    assert load.away_from_chuck == pytest.approx(math.hypot(FEED_RATIO, PASSIVE_RATIO) * found.tangential)


def test_a_groove_is_no_wider_than_the_pitch() -> None:
    assert forces(0.1, 9.0, 1.5).tangential == forces(0.1, 1.5, 1.5).tangential


def test_inside_the_tool_presses_into_the_wall() -> None:
    assert (forces(0.1, 1.0, 1.5).kind, forces(0.1, 1.0, 1.5, inside=True).kind) == ("threading", "boring")
    assert forces(0.1, 1.0, 1.5, inside=True).tangential == forces(0.1, 1.0, 1.5).tangential
    assert forces(0.1, 1.0, 1.5, feed_towards="axis").feed_towards == "axis"


PROFILES = {
    "metric": (0.0, 30.0, 0.5 * math.sqrt(3.0)),
    "metric, flat of P/8": (0.125, 30.0, 0.65),
    "pipe": (0.0, 27.5, 0.64),
    "trapezoidal": (0.366, 15.0, 0.5),
    "square": (0.5, 0.0, 0.5),
}


@settings(max_examples=200, deadline=None)
@given(st.sampled_from(sorted(PROFILES)), st.floats(0.3, 12.0), st.floats(0.02, 1.0), st.floats(0.02, 1.0))
def test_no_profile_asks_for_more(name: str, pitch: float, reached: float, share: float) -> None:
    """Any depth, any step down to it: the force is at least that along the profile."""
    crest, half, height = PROFILES[name]
    depth = reached * height * pitch
    step, angle = share * depth, math.radians(half)
    width = crest * pitch + 2.0 * depth * math.tan(angle)
    found = forces(step, width, pitch).tangential
    assert found >= along_the_profile(depth, step, crest * pitch, angle) - 1e-9


@settings(max_examples=100, deadline=None)
@given(st.floats(0.02, 1.0), st.floats(0.1, 3.0), st.floats(0.2, 6.0), st.floats(1.0, 2.0))
def test_worse_is_more(infeed: float, width: float, pitch: float, more: float) -> None:
    least = forces(infeed, width, pitch).tangential
    assert forces(infeed * more, width, pitch).tangential >= least - 1e-9
    assert forces(infeed, width * more, pitch).tangential >= least
    assert forces(infeed, width, pitch * more).tangential >= least
