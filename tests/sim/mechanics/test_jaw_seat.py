"""A jaw's seat against free bodies worked out by hand and a tension-only bed on springs."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from sim.mechanics.jaw_seat import flank_lift, joint, seat_reach, serrations, tipping_moment
from sim.mechanics.screws import shear_yield

jaw_screws = st.tuples(
    st.floats(15.0, 45.0), st.floats(25.0, 50.0), st.floats(25.0, 50.0), st.integers(2, 3)
).map(lambda t: [t[0], t[0] + t[1], t[0] + t[1] + t[2]][: t[3]])


def test_joint_by_hand() -> None:
    """20 kN at 30 and 60 mm of a 100 mm seat: 40 kN at 45 mm, 55 mm from the outer edge."""
    found = joint(tipping_moment(20e3, 40.0, 2e3, 25.0), [20e3, 20e3], [30.0, 60.0], 100.0)
    assert found.moment == pytest.approx(850e3)
    assert found.clamping == 40e3
    assert found.lifting_factor == pytest.approx(40e3 * 55.0 / 850e3)
    assert found.gaping_factor == pytest.approx(40e3 * (55.0 - 100.0 / 3.0) / 850e3)


def test_joint_leaning_inward_tips_about_the_inner_edge() -> None:
    """Inside gripping: the mirrored screws under the mirrored moment are the same joint."""
    outward = joint(900e3, [15e3, 20e3], [30.0, 60.0], 100.0)
    inward = joint(tipping_moment(-22.5e3, 40.0), [15e3, 20e3], [70.0, 40.0], 100.0)
    assert inward.moment == -outward.moment
    assert inward.lifting_factor == pytest.approx(outward.lifting_factor)
    assert inward.gaping_factor == pytest.approx(outward.gaping_factor)


@pytest.mark.parametrize("share", [0.97, 1.03])
def test_seat_gapes_where_a_rigid_plate_on_a_bed_of_springs_does(share: float) -> None:
    """Linear pressure from force and moment equilibrium: its least value changes sign at the gaping factor."""
    length, preloads, positions = 90.0, [18e3, 25e3], [28.0, 55.0]
    moment = share * joint(1.0, preloads, positions, length).gaping_factor
    x = (np.arange(4000) + 0.5) / 4000 * length
    width = length / 4000
    pressing = sum(preloads)
    resultant = sum(f * p for f, p in zip(preloads, positions, strict=True)) + moment
    matrix = np.array([[np.sum(x**0), np.sum(x)], [np.sum(x), np.sum(x**2)]]) * width
    level, slope = np.linalg.solve(matrix, [pressing, resultant])
    assert (level + slope * x[0] > 0.0) == (share < 1.0)


def test_a_free_end_gives_no_credit() -> None:
    """20 mm of a 100 mm jaw hang past the seat's inner end: the third is still one of 100 mm."""
    whole = joint(1e6, [20e3, 20e3], [50.0, 80.0], 100.0)
    free = joint(1e6, [20e3, 20e3], [30.0, 60.0], 80.0, free_ends=(20.0, 0.0))
    assert free.gaping_factor == pytest.approx(whole.gaping_factor)
    assert joint(1e6, [20e3, 20e3], [50.0, 80.0], 90.0).gaping_factor < whole.gaping_factor


def test_the_seat_bears_no_farther_than_the_screws_press_it() -> None:
    """A head of 18 mm on 20 mm of metal spreads by 45 deg to 29 mm beside the screw: the jaw tips there."""
    assert seat_reach(18.0, 20.0) == 29.0
    found = joint(1e6, [20e3, 20e3], [20.0, 40.0], 100.0, seat_reach(18.0, 20.0))
    assert found.lifting_factor == pytest.approx(20e3 * (49.0 + 29.0) / 1e6)
    assert found.gaping_factor == pytest.approx(20e3 * (49.0 + 29.0 - 2.0 * 69.0 / 3.0) / 1e6)


@given(
    positions=jaw_screws, spare=st.floats(12.0, 40.0), lean=st.sampled_from([1.0, -1.0]), at=st.integers(0, 2)
)
def test_no_screw_lost_keeps_a_seat_from_lifting_for_longer(
    positions: list[float], spare: float, lean: float, at: int
) -> None:
    """Jaws as they are made: nuts of 25 mm side by side, the first one 15 mm or more from the end, 22 mm reach.

    Gaping, which warns, is no such measure: a rigid block that is pressed near its outer end alone stands off at the
    inner one by its preload, and without that screw it does not.
    """
    length, kept = positions[-1] + spare, [p for n, p in enumerate(positions) if n != at % len(positions)]
    before, after = (joint(lean, [1.0] * len(p), p, length, 22.0).lifting_factor for p in (positions, kept))
    assert after <= before + 1e-9


@given(
    positions=jaw_screws,
    spare=st.floats(20.0, 40.0),
    lean=st.sampled_from([1.0, -1.0]),
    cut=st.floats(0.0, 10.0),
)
def test_no_shorter_overlap_keeps_a_seat_closed_for_longer(
    positions: list[float], spare: float, lean: float, cut: float
) -> None:
    length, preloads = positions[-1] + spare, [1.0] * len(positions)
    whole = joint(lean, preloads, positions, length).gaping_factor
    outer = joint(lean, preloads, positions, length - cut, free_ends=(0.0, cut)).gaping_factor
    inner = joint(
        lean, preloads, [p - cut for p in positions], length - cut, free_ends=(cut, 0.0)
    ).gaping_factor
    assert max(outer, inner) <= whole + 1e-9


def test_wedging_flanks_take_of_the_same_preload() -> None:
    """By hand: 8 kN of lift at the middle of a 100 mm seat, 50 mm from the edge, 50 - 100/3 mm from its third."""
    found = joint(850e3, [20e3, 20e3], [30.0, 60.0], 100.0, wedging=8e3)
    assert found.lifting_factor == pytest.approx(40e3 * 55.0 / (850e3 + 8e3 * 50.0))
    third = 100.0 / 3.0
    assert found.gaping_factor == pytest.approx(40e3 * (55.0 - third) / (850e3 + 8e3 * (50.0 - third)))
    alone = joint(0.0, [20e3, 20e3], [40.0, 60.0], 100.0, wedging=8e3)
    assert alone.lifting_factor == pytest.approx(5.0)  # the jaw as a whole: 40 kN over 8 kN


@pytest.mark.parametrize("share", [0.97, 1.03])
def test_a_wedged_seat_gapes_where_the_plate_on_springs_does(share: float) -> None:
    """As above, the plate relieved by the flanks' lift at its middle: everything that loads it grows alike."""
    length, preloads, positions = 90.0, [18e3, 25e3], [28.0, 55.0]
    more = share * joint(500e3, preloads, positions, length, wedging=6e3).gaping_factor
    x = (np.arange(4000) + 0.5) / 4000 * length
    pressing = sum(preloads) - more * 6e3
    resultant = sum(f * p for f, p in zip(preloads, positions, strict=True)) + more * (500e3 - 6e3 * 45.0)
    matrix = np.array([[np.sum(x**0), np.sum(x)], [np.sum(x), np.sum(x**2)]]) * length / 4000
    level, slope = np.linalg.solve(matrix, [pressing, resultant])
    assert (level + slope * x[0] > 0.0) == (share < 1.0)


@given(
    positions=jaw_screws,
    spare=st.floats(12.0, 40.0),
    moment=st.floats(-2e6, 2e6),
    lifts=st.tuples(st.floats(0.0, 3e4), st.floats(0.0, 3e4)),
    ends=st.tuples(st.floats(0.0, 30.0), st.floats(0.0, 30.0)),
)
def test_more_wedging_never_helps(
    positions: list[float], spare: float, moment: float, lifts: tuple[float, float], ends: tuple[float, float]
) -> None:
    length, preloads = positions[-1] + spare, [1e4] * len(positions)
    less, more = (joint(moment, preloads, positions, length, 22.0, ends, w) for w in sorted(lifts))
    assert more.gaping_factor <= less.gaping_factor
    assert more.lifting_factor <= less.lifting_factor


def test_flanks_lift_by_their_angle_less_that_of_friction() -> None:
    assert flank_lift(0.0) == pytest.approx(math.tan(math.pi / 6.0))
    assert flank_lift(0.12) == pytest.approx(math.tan(math.pi / 6.0 - math.atan(0.12)))
    assert flank_lift(0.0, math.pi / 2.0) == pytest.approx(1.0)
    assert flank_lift(0.6) == 0.0


def test_no_moment_never_lifts() -> None:
    assert joint(0.0, [1e3], [40.0], 100.0).lifting_factor == math.inf


@pytest.mark.parametrize(
    ("preloads", "positions"), [([], []), ([1.0], [1.0, 2.0]), ([1.0], [100.0]), ([1.0], [math.nan])]
)
def test_joint_refuses(preloads: list[float], positions: list[float]) -> None:
    with pytest.raises(ValueError, match="screw"):
        joint(1.0, preloads, positions, 100.0)


def test_serrations_by_hand() -> None:
    """20 kN on 100 mm x 30 mm: a quarter of the area shears, 26.7 MPa; 60 deg flanks climb by tan(30 - phi)."""
    found = serrations(-20e3, 40e3, 100.0, 30.0, shear_yield(235.0), 0.15)
    assert found.shear_stress == pytest.approx(20e3 / 750.0)
    assert found.shear_factor == pytest.approx(235.0 / math.sqrt(3.0) / (20e3 / 750.0))
    assert found.climbing_factor == pytest.approx(2.0 / math.tan(math.pi / 6.0 - math.atan(0.15)))
    assert found.friction_share == pytest.approx(0.3)


def test_self_locking_flanks_do_not_climb() -> None:
    assert serrations(1e3, 0.0, 100.0, 30.0, 100.0, 0.3, math.radians(30.0)).climbing_factor == math.inf
