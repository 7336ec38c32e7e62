"""Many variants' cuts beside the jaws, with room that is made up: no solid is asked."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any, cast

import numpy as np
import pytest

from sim.base.arrays import Floats
from sim.variants.places import _cut_lines
from sim.variants.result import FAIL, PASS, WARN


@pytest.mark.parametrize(
    ("rooms", "status", "least"),
    [
        # (gap, beside the jaws) of each cut, 1.5 mm wanted
        ([(0.8, 0.0), (1.0, 1.0)], FAIL, 0.8),
        ([(1.0, 1.0), (0.8, 0.0)], FAIL, 0.8),
        ([(0.8, 0.0), (2.0, 1.0)], WARN, 0.8),
        ([(0.8, 0.0), (1.0, 0.0)], WARN, 0.8),
        ([(1.6, 0.0), (2.0, 1.0)], PASS, 1.6),
        ([(1.6, 0.0), (0.0, 0.0)], FAIL, 0.0),
    ],
)
def test_a_cut_that_only_warns_hides_none_that_fails(
    rooms: list[tuple[float, float]], status: int, least: float
) -> None:
    def told(row: tuple[float, ...]) -> Any:
        return lambda at: np.tile(np.array(row), (len(at), 1))

    travel: Floats = np.array([3.0, 3.1])
    operation = SimpleNamespace(name="first side", cuts=[None] * len(rooms))
    own = SimpleNamespace(
        figures=SimpleNamespace(operation=operation, index=0),
        parts=SimpleNamespace(scenario=SimpleNamespace(limits=SimpleNamespace(clearance=1.5))),
        missed=[told((0.0,)) for _ in rooms],
        room=[told(one) for one in rooms],
    )

    class Values:
        count = 2

        def __call__(self, _key: str) -> Floats:
            return np.full(2, 2.0)

    where = SimpleNamespace(first=travel, last=travel + 0.2)
    *_, found = _cut_lines(cast("Any", own), cast("Any", Values()), cast("Any", where))
    assert found.status.tolist() == [status, status]
    assert np.broadcast_to(found.value, 2).tolist() == [least, least]
