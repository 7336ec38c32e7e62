"""Tasks that are lost are done again, each block once, each solution once; processes that end are replaced."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from concurrent.futures import BrokenExecutor, Future
from dataclasses import dataclass, field
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
        self.handed: list[int] = []

    def submit(self, function: Callable[..., Any], *arguments: Any) -> Future[Any]:
        self.tasks += 1
        if function.__name__ == "judge_block":
            self.handed.append(arguments[1].number)
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


@dataclass
class Whole:
    """A study that ran without a loss: its blocks, which had been handed in when each came, and what was told."""

    content: dict[int, bytes] = field(default_factory=dict)
    handed: list[int] = field(default_factory=list)  # the highest number so far, for each block that came
    told: list[tuple[int, int]] = field(default_factory=list)
    nodes: Counter[Any] = field(default_factory=Counter)


@pytest.fixture
def whole(ready: Callable[[str], Prepared], small: str, kept_whole: list[Whole]) -> Whole:
    if not kept_whole:
        found, workers, study = Whole(), Here(lambda _: False), ready(small)
        for one in run(study.cases, blocks(study.cases), workers, lambda *told: found.told.append(told)):
            found.content[one.block] = one.content
            found.handed.append(max(workers.handed))
        found.nodes = workers.nodes
        kept_whole.append(found)
    return kept_whole[0]


@pytest.fixture(scope="module")
def kept_whole() -> list[Whole]:
    """The study above once it has run, so that it runs only once."""
    return []


@pytest.fixture
def small(small: str) -> str:
    """A study of its own: what another file has run would be known."""
    return small.replace("seed = 5", "seed = 6")


def test_nothing_lost_nothing_double(ready: Callable[[str], Prepared], small: str, whole: Whole) -> None:
    study = ready(small)
    cut = blocks(study.cases)
    lossy = Here(lambda number: number % 3 == 0)
    found = list(run(study.cases, cut, lossy))
    assert lossy.renewals
    assert sorted(one.block for one in found) == [block.number for block in cut]
    assert {one.block: one.content for one in found} == whole.content


def test_each_solution_is_found_once(whole: Whole) -> None:
    assert set(whole.nodes.values()) == {1}
    assert whole.told[-1] == (len(whole.nodes), len(whole.nodes))


def test_few_blocks_are_in_flight(whole: Whole) -> None:
    """Memory is bounded: blocks are handed in as others are taken away."""
    for taken, handed in enumerate(whole.handed, start=1):
        assert handed < taken + AHEAD * Here.count


def test_processes_that_always_end_are_told(ready: Callable[[str], Prepared], small: str) -> None:
    study = ready(small)
    with pytest.raises(NotAvailableError, match="end before their work is done"):
        list(run(study.cases, blocks(study.cases), Here(lambda _: True)))
