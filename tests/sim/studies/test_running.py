"""Tasks that are lost are done again, each block once, each solution once; processes that end are replaced."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from concurrent.futures import BrokenExecutor, Future
from typing import Any

import pytest

from sim.base.errors import NotAvailableError
from sim.studies.plan import blocks
from sim.studies.preparing import Prepared
from sim.studies.running import AHEAD, run


class Here:
    """Workers that do each task at once in this process, and lose some."""

    losses = (BrokenExecutor,)
    count = 2

    def __init__(self, lose: Callable[[int], bool]) -> None:
        self.lose, self.tasks, self.renewals = lose, 0, 0
        self.nodes: Counter[Any] = Counter()
        self.open = 0

    def submit(self, function: Callable[..., Any], *arguments: Any) -> Future[Any]:
        self.tasks += 1
        found: Future[Any] = Future()
        if self.lose(self.tasks):
            found.set_exception(BrokenExecutor())
            return found
        result = function(*arguments)
        if function.__name__ == "solve_nodes":
            self.nodes.update(result.values.keys())
        found.set_result(result)
        return found

    def renewed(self) -> None:
        self.renewals += 1


def test_nothing_lost_nothing_double(ready: Callable[[str], Prepared], small: str) -> None:
    study = ready(small)
    cut = blocks(study.cases)
    whole = {one.block: one.content for one in run(study.cases, cut, Here(lambda _: False))}
    lossy = Here(lambda number: number % 3 == 0)
    found = list(run(study.cases, cut, lossy))
    assert lossy.renewals
    assert sorted(one.block for one in found) == [block.number for block in cut]
    assert {one.block: one.content for one in found} == whole


def test_each_solution_is_found_once(ready: Callable[[str], Prepared], small: str) -> None:
    study = ready(small.replace("seed = 5", "seed = 6"))
    workers = Here(lambda _: False)
    told: list[tuple[int, int]] = []
    list(run(study.cases, blocks(study.cases), workers, lambda *found: told.append(found)))
    assert set(workers.nodes.values()) == {1}
    assert told[-1] == (len(workers.nodes), len(workers.nodes))


def test_few_blocks_are_in_flight(ready: Callable[[str], Prepared], small: str) -> None:
    """Memory is bounded: blocks are handed in as others are taken away."""
    study = ready(small)
    handed: list[int] = []

    class Watched(Here):
        def submit(self, function: Callable[..., Any], *arguments: Any) -> Future[Any]:
            if function.__name__ == "judge_block":
                handed.append(arguments[1].number)
            return super().submit(function, *arguments)

    for taken, _ in enumerate(run(study.cases, blocks(study.cases), Watched(lambda _: False)), start=1):
        assert max(handed) < taken + AHEAD * Here.count


def test_processes_that_always_end_are_told(ready: Callable[[str], Prepared], small: str) -> None:
    study = ready(small)
    with pytest.raises(NotAvailableError, match="end before their work is done"):
        list(run(study.cases, blocks(study.cases), Here(lambda _: True)))
