"""Formulas over arrays against themselves over floats: every row to the last bit, so that no second one is needed."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

from sim.base import tables
from sim.mechanics import cutting, drilling, grip, hold, kienzle, spin

ROWS = 200
RNG = np.random.default_rng(31)
FRICTION, SHARE = RNG.uniform(0.02, 0.3, ROWS), RNG.uniform(0.3, 1.0, ROWS)
PRESSURE, FORCE, OTHER = RNG.uniform(0.1, 3.0, ROWS), RNG.uniform(0.0, 6e4, ROWS), RNG.uniform(0.0, 6e4, ROWS)
MOMENT, SPEED = np.append(RNG.uniform(10.0, 900.0, ROWS - 1), 0.0), RNG.uniform(100.0, 5000.0, ROWS)
FEED, DEPTH, WEAR = RNG.uniform(0.03, 0.6, ROWS), RNG.uniform(0.2, 6.0, ROWS), RNG.uniform(1.0, 1.6, ROWS)
CURVE = grip.GripCurve(((1.0, 25_000.0), (2.0, 52_000.0), (3.0, 76_000.0)), 60.0)
KIENZLE = tables.kienzle(tables.material("cast iron GJL-250").kienzle)


def _at_rest(friction: Any, per_pressure: Any, pressure: Any, *, curve: bool) -> Any:
    wedge = grip.Wedge(math.radians(19.0), 15.0, 80.0, friction)
    found = grip.grip_at_rest(pressure, 71.0, grip.ChuckDrive(wedge, per_pressure, CURVE if curve else None))
    return found.total, found.per_jaw, found.guide_moment


def _turning(rest: Any, moment: Any, speed: Any, share: Any, direction: spin.Direction) -> Any:
    slow, fast = spin.centrifugal_force(moment, 0.3 * speed), spin.centrifugal_force(moment, speed)
    found = spin.turning_grip(rest, slow, fast, direction, share)
    return found.low_speed, found.high_speed, found.counted, found.largest, found.guide_moment(71.0)


def _permissible(rest: Any, needed: Any, moment: Any, marked: Any, direction: spin.Direction) -> Any:
    found = spin.permissible_speed(rest, 0.1 * needed, moment, marked, direction)
    wanted = spin.required_grip_at_rest(needed, spin.centrifugal_force(moment, marked), direction)
    return found.by_cutting, found.by_loss, found.least, found.within(0.5 * marked), wanted


def _cut(feed: Any, depth: Any, wear: Any, speed: Any, kind: kienzle.Kind) -> Any:
    factor = kienzle.correction(0.1, wear, cutting.cutting_speed(30.0, speed), kind)
    if kind == "drilling":
        kc11, mc = KIENZLE.unfavourable(0.5 * feed)
        forces = drilling.drilling_forces(feed, 12.0, kc11, mc, 40.0, factor)
    else:
        kc11, mc = KIENZLE.favourable(kienzle.chip_section(feed, depth, 1.3)[0])
        forces = cutting.turning_forces(feed, depth, 1.3, kc11, mc, 30.0, 40.0, "tailstock", kind, factor)
    load = cutting.part_load(forces)
    return (
        forces.tangential, forces.feed, forces.passive,
        load.torque, load.towards_chuck, load.away_from_chuck, load.radial,
    )  # fmt: skip


def _needed(main: Any, feed: Any, friction: Any, diameter: Any, drill: float | None) -> Any:
    found = hold.needed_grip(
        main, feed, 0.4 * feed, 30.0, diameter, friction, 25.0, 18.0, drill_off_axis=drill
    )
    return found.combined, found.overhang, found.total, found.superposed


@pytest.mark.parametrize(
    ("formula", "columns", "further"),
    [
        (_at_rest, (FRICTION, FORCE, PRESSURE), {"curve": False}),
        (_at_rest, (FRICTION, FORCE, PRESSURE), {"curve": True}),
        (_turning, (FORCE, MOMENT, SPEED, SHARE), {"direction": "outside"}),
        (_turning, (FORCE, MOMENT, SPEED, SHARE), {"direction": "inside"}),
        (_permissible, (FORCE, OTHER, MOMENT, SPEED), {"direction": "outside"}),
        (_permissible, (FORCE, OTHER, MOMENT, SPEED), {"direction": "inside"}),
        (_cut, (FEED, DEPTH, WEAR, SPEED), {"kind": "turning"}),
        (_cut, (FEED, DEPTH, WEAR, SPEED), {"kind": "boring"}),
        (_cut, (FEED, DEPTH, WEAR, SPEED), {"kind": "drilling"}),
        (_needed, (FORCE, OTHER, FRICTION, 30.0 + 0.02 * SPEED), {"drill": None}),
        (_needed, (FORCE, OTHER, FRICTION, 30.0 + 0.02 * SPEED), {"drill": 20.0}),
    ],
    ids=lambda given: getattr(given, "__name__", "-".join(map(str, given.values())) if isinstance(given, dict) else ""),
)  # fmt: skip
def test_a_batch_is_its_rows_to_the_last_bit(
    formula: Callable[..., tuple[Any, ...]], columns: tuple[Any, ...], further: dict[str, Any]
) -> None:
    many = formula(*columns, **further)
    rows = [formula(*row, **further) for row in zip(*(column.tolist() for column in columns), strict=True)]
    for number, found in enumerate(many):
        assert found.tolist() == [row[number] for row in rows]
    assert all(type(value) is float for value in rows[0])


def test_beyond_the_chucks_points_a_batch_has_no_number() -> None:
    found = grip.curve_grip(np.array([-0.1, 1.5, 3.1]), CURVE)
    assert np.isnan(found).tolist() == [True, False, True]
    assert found[1] == grip.curve_grip(1.5, CURVE)
