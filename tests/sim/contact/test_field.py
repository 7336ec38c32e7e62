import math
from dataclasses import replace

import numpy as np
import pytest

from sim.contact import (
    ContactSetup,
    GripGeometry,
    GripLoad,
    JawBlock,
    Lobe,
    TurnedPart,
    band_means,
    edge_force,
    field,
    marking_ratio,
    press,
    revolve,
    side_load_change,
    turned,
)
from sim.contact.further import turned_grips


@pytest.fixture(scope="module")
def setup():
    part = TurnedPart([(0.0, 10.0), (50.0, 10.0), (50.0, 40.0), (0.0, 40.0)], 210e3, 0.3)
    grip = GripGeometry(50.05, 50.0, 40.0, 10.0, 40.0)
    return ContactSetup(
        grip, part, JawBlock(100.0, 40.0, 70e3, 0.33), GripLoad(60e3, side_load_n=(3000.0, 0.0))
    )


def test_band_means_keep_the_force(setup):
    result = press(setup)
    means = band_means(result)
    assert means.shape[1:] == (15, round(2.0 * setup.grip.half_angle_rad / math.radians(3.0)))
    whole = np.average(result.pressure_mpa, axis=(1, 2), weights=result.grid.areas_mm2)
    assert means.mean(axis=(1, 2)) == pytest.approx(whole, rel=1e-12)


def test_marking_ratio_is_a_band_mean_over_yield(setup):
    result = press(setup)
    assert marking_ratio(result, 200.0) == pytest.approx(band_means(result).max() / 200.0)
    with pytest.raises(ValueError, match="yield_mpa"):
        marking_ratio(result, 0.0)


def test_side_load_change_balances_the_load():
    change = side_load_change(900.0, 0.3)
    angles = np.array([0.0, 2.0, 4.0]) * math.pi / 3.0
    assert change @ np.cos(angles) == pytest.approx(900.0 * math.cos(0.3))
    assert change @ np.sin(angles) == pytest.approx(900.0 * math.sin(0.3))
    assert change.sum() == pytest.approx(0.0, abs=1e-9)


def test_grip_over_one_revolution(setup):
    turn = revolve(setup, 12)
    assert turn.grip_n.sum(axis=1) == pytest.approx(60e3)
    # A third of a turn later the next jaw meets the load: turning the chuck forward hands the load backward.
    assert turn.grip_n[4] == pytest.approx(np.roll(turn.grip_n[0], -1), rel=1e-9)
    assert turn.least_n == turn.grip_n.min() < 20e3


@pytest.mark.parametrize("count", [12, 7])
@pytest.mark.parametrize(
    ("lobe", "side", "moment", "square", "mirrored"),
    [
        (Lobe(2, 0.02), (-3000.0, 0.0), (2e4, 3e4), True, True),
        (Lobe(3, 0.02), (3000.0, 0.0), (0.0, 3e4), False, True),
        (Lobe(2, 0.02), (-3000.0, 0.0), (2e4, 3e4), False, False),
        (Lobe(2, 0.02, 0.3), (-3000.0, 0.0), (0.0, 0.0), True, False),
        (Lobe(2, 0.02), (-3000.0, 10.0), (0.0, 0.0), True, False),
    ],
)
def test_a_turn_of_an_uneven_part_is_that_of_a_press_at_each_angle(
    setup, monkeypatch, count, lobe, side, moment, square, mirrored
):
    """Half of the angles tell all where part and load are mirrored in the plane of jaw 1."""
    own = replace(setup, grip=replace(setup.grip, lobes=(lobe,)), hold_square=square)
    own = replace(own, load=replace(setup.load, side_load_n=side, moment_nmm=moment))
    asked = []

    def seen(rest, loads):
        asked.append(len(loads))
        return turned_grips(rest, loads)

    monkeypatch.setattr(field, "turned_grips", seen)
    turn = revolve(own, count)
    assert asked == [count // 2 + 1 if mirrored else count]
    pressed = [press(replace(own, load=turned(own.load, float(a)))).grip_n for a in turn.angles_rad]
    assert turn.grip_n == pytest.approx(np.array(pressed), rel=1e-9)
    worst = int(np.flatnonzero(turn.angles_rad == turn.worst_rad)[0])
    assert turn.least_n == pytest.approx(turn.grip_n[worst].min(), rel=1e-9)
    assert turn.worst.grip_n == pytest.approx(pressed[worst], rel=1e-9)


def test_turned_load_keeps_its_size():
    load = turned(GripLoad(1.0, side_load_n=(3.0, 4.0), moment_nmm=(1.0, 0.0)), 0.5 * math.pi)
    assert load.side_load_n == pytest.approx((4.0, -3.0))
    assert load.moment_nmm == pytest.approx((0.0, -1.0))


def test_edge_force_is_what_the_last_millimetre_carries(setup):
    result = press(setup)
    force = edge_force(result, 5.0)
    assert force.shape == (3, 2)
    inside = result.pressure_mpa * result.grid.areas_mm2
    outer = np.abs(result.grid.angles_rad) * 50.0 > 50.0 * setup.grip.half_angle_rad - 5.0
    assert force.sum() == pytest.approx(inside[:, :, outer].sum(), rel=0.15)
    assert edge_force(result, 1e-6).max() < 1e-3
    with pytest.raises(ValueError, match="width_mm"):
        edge_force(result, 50.0)
