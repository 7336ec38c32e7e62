"""Where in the stroke variants grip and whether they load, mm."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, fields

import numpy as np
from numpy.typing import NDArray

from sim.assessment.verdicts.boring import BORING_TRAVEL, boring_travel_and_limit
from sim.assessment.verdicts.part import (
    GRIP_TRAVEL,
    LOADING_CLEARANCE,
    grip_travel_and_limit,
    loading_clearance_and_limit,
)
from sim.assessment.verdicts.pockets import ONE_BORING_TRAVEL_FOR_ALL, one_boring_travel_for_all_and_limit
from sim.base.arrays import Floats
from sim.mechanics import stroke
from sim.scenario import Scenario
from sim.setup.grip_travel import ends, serving_travels
from sim.setup.jaw_place import JawPlace
from sim.variants.keys import Values
from sim.variants.line import Line


@dataclass(frozen=True, slots=True, eq=False)
class Sizes:
    """Limits of the gripped diameter and what they give, (n,) arrays, mm.

    Attributes
    ----------
    low, high : array
        Gripped diameters.
    out_of_round : array
        Peak to peak in radius.
    first, last : array
        Least and largest grip travel.
    grip_travel : array
        At which the middle of the tolerance is gripped, within the stroke.
    loading_clearance : array
        Least of both limits, less the out-of-round.
    """

    low: Floats
    high: Floats
    out_of_round: Floats
    first: Floats
    last: Floats
    grip_travel: Floats
    loading_clearance: Floats

    @property
    def middle(self) -> Floats:
        """Middle of the tolerance, diameter."""
        return 0.5 * (self.low + self.high)

    def only(self, rows: NDArray[np.intp]) -> Sizes:
        """Return the sizes of some rows."""
        return Sizes(**{field.name: getattr(self, field.name)[rows] for field in fields(self)})


def sizes(scenario: Scenario, place: JawPlace, index: int, values: Values) -> Sizes:
    """Return where an operation's variants grip."""
    low, high, lobe = (
        values(f"operations.{index}.workpiece.{name}")
        for name in ("gripped_diameter_low", "gripped_diameter_high", "out_of_round")
    )
    found = ends(scenario, place, index, low, high, lobe)
    return Sizes(
        low=low,
        high=high,
        out_of_round=lobe,
        first=found.first,
        last=found.last,
        grip_travel=stroke.middle_travel(found.first, found.last, scenario.chuck.stroke),
        loading_clearance=found.loading_clearance,
    )


def travel_lines(scenario: Scenario, stage: str, where: Sizes, values: Values) -> Iterator[Line]:
    """Yield the verdicts on loading and on the stroke that is left."""
    length = scenario.chuck.stroke
    pair = loading_clearance_and_limit(where.loading_clearance, values("limits.loading_clearance"))
    yield Line(LOADING_CLEARANCE, stage, *pair)
    pair = grip_travel_and_limit(where.first, where.last, length, values("limits.stroke_reserve"))
    yield Line(GRIP_TRAVEL, stage, *pair)


def boring_travel_lines(
    scenario: Scenario, place: JawPlace, stage: str, where: tuple[Sizes, ...], values: Values
) -> Iterator[Line]:
    """Yield the verdicts on the boring travel, alone and for all operations."""
    length, travel = scenario.chuck.stroke, np.full(values.count, scenario.boring.travel)
    spare, reserve = boring_travel_and_limit(travel, length, values("limits.stroke_reserve"))
    yield Line(BORING_TRAVEL, stage, spare, reserve)
    if len(where) == 1:
        return
    wanted = values("limits.loading_clearance")
    ranges = [
        serving_travels(scenario, place, index, (size.low, size.high, size.out_of_round), reserve, wanted)
        for index, size in enumerate(where)
    ]
    lows, highs = zip(*ranges, strict=True)
    yield Line(ONE_BORING_TRAVEL_FOR_ALL, stage, *one_boring_travel_for_all_and_limit(lows, highs))
