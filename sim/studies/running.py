"""Keep workers busy with blocks: a bounded number at a time, each solution once, lost work handed out again.

A block is first asked whether it can be judged with what its process knows. If not it says which solutions it wants;
those that nobody has are solved side by side, and the block is handed in again with all of its own.
"""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable, Iterable, Iterator, Sequence
from concurrent.futures import FIRST_COMPLETED, Future, wait
from dataclasses import dataclass, field
from typing import Any, TypeVar

from sim.base.arrays import Floats
from sim.base.errors import NotAvailableError
from sim.studies.judging import Finished, Geometry, Solutions, Solved, Wanting, judge_block, solve_nodes
from sim.studies.plan import Block, Case
from sim.studies.workers import Workers
from sim.variants.nodes import Node

AHEAD = 2  # blocks in flight for each worker
CHUNK = 16  # solutions of one task at most
GEOMETRIES = 16  # whose solutions are kept here
LOSSES = 4  # of processes, one after the other without any result between, after which to give up
LOST = (
    "processes of this study end before their work is done, as when memory runs out; take fewer --processes"
)
Made = TypeVar("Made")
Place = tuple[int, Geometry]  # case and geometry


@dataclass(frozen=True, slots=True, eq=False)
class Task:
    """A task that was handed in: a block to judge, or solutions of a geometry that it has."""

    block: Block
    given: Solutions | None = None
    geometry: Geometry = ()
    nodes: tuple[Node, ...] = ()


@dataclass(slots=True, eq=False)
class _Run:
    """What is under way."""

    cases: tuple[Case, ...]
    workers: Workers
    pending: dict[Future[Any], Task] = field(default_factory=dict)
    active: int = 0
    known: OrderedDict[Place, dict[Node, Floats]] = field(default_factory=OrderedDict)
    solving: set[tuple[Place, Node]] = field(default_factory=set)
    waiting: dict[int, tuple[Block, dict[Geometry, list[Node]]]] = field(default_factory=dict)
    wanted: int = 0
    solved: int = 0

    def submit(self, task: Task) -> None:
        """Hand in a task."""
        case = self.cases[task.block.case]
        try:
            if task.nodes:
                future = self.workers.submit(solve_nodes, case, task.block, task.geometry, list(task.nodes))
            else:
                future = self.workers.submit(judge_block, case, task.block, task.given)
        except self.workers.losses as error:  # seen now, dealt with where results are
            future = Future()
            future.set_exception(error)
        self.pending[future] = task

    def filled(self, left: Iterator[Block]) -> bool:
        """Hand in blocks as far as they may be in flight; tell whether anything is under way."""
        while self.active < AHEAD * max(1, self.workers.count):
            block = next(left, None)
            if block is None:
                break
            self.active += 1
            self.submit(Task(block))
        return bool(self.pending)

    def take(self, task: Task, result: Wanting | Solved) -> None:
        """Take what a block wants, or solutions."""
        if isinstance(result, Wanting):
            self.want(task, result)
        else:
            self.learn(task, result)

    def start_again(self, lost: list[Task]) -> None:
        """Hand in to new processes what the lost ones had, done or not."""
        lost += self.pending.values()
        self.pending.clear()
        self.workers.renewed()
        for task in lost:
            self.submit(task)

    def want(self, task: Task, wanting: Wanting) -> None:
        """Let solutions be found that a block wants and nobody looks for yet."""
        self.waiting[task.block.number] = (task.block, wanting.nodes)
        for geometry, nodes in wanting.nodes.items():
            place = (task.block.case, geometry)
            known = self.known.setdefault(place, {})
            self.known.move_to_end(place)
            fresh = [n for n in nodes if n not in known and (place, n) not in self.solving]
            self.wanted += len(fresh)
            self.solving.update((place, n) for n in fresh)
            size = max(1, min(CHUNK, len(fresh) // (4 * max(1, self.workers.count))))
            for first in range(0, len(fresh), size):
                chunk = tuple(fresh[first : first + size])
                self.submit(Task(task.block, geometry=geometry, nodes=chunk))

    def learn(self, task: Task, solved: Solved) -> None:
        """Keep solutions."""
        place = (task.block.case, solved.geometry)
        self.known.setdefault(place, {}).update(solved.values)
        self.solving.difference_update((place, node) for node in solved.values)
        self.solved += len(solved.values)

    def hand_in_again(self) -> None:
        """Hand in the blocks whose solutions are all known."""
        for number, (block, nodes) in list(self.waiting.items()):
            given: Solutions = {}
            for geometry, wanted in nodes.items():
                known = self.known.get((block.case, geometry), {})
                if all(node in known for node in wanted):
                    given[geometry] = {node: known[node] for node in wanted}
            if len(given) == len(nodes):
                del self.waiting[number]
                self.submit(Task(block, given))
        if not self.waiting and not self.solving:
            while len(self.known) > GEOMETRIES:
                self.known.popitem(last=False)


def _result(future: Future[Any]) -> Any:
    """Return a task's result.

    Raises
    ------
    NotAvailableError
        If a worker elsewhere lacks a library.
    """
    try:
        return future.result()
    except ImportError as error:
        raise NotAvailableError(
            f"a worker cannot import {error.name}; install this version of chuckscene with its extra 'study' there"
        ) from None


def each(function: Callable[[Case], Made], cases: Sequence[Case], workers: Workers) -> list[Made]:
    """Return the results of a function for all cases, in their order.

    Raises
    ------
    NotAvailableError
        If processes are lost.
    """
    pending = [workers.submit(function, case) for case in cases]
    try:
        return [_result(future) for future in pending]
    except workers.losses:
        raise NotAvailableError(LOST) from None


def run(
    cases: tuple[Case, ...],
    todo: Iterable[Block],
    workers: Workers,
    tell: Callable[[int, int], None] = lambda _solved, _wanted: None,
) -> Iterator[Finished]:
    """Yield judged blocks as they are finished, in any order, each once.

    Parameters
    ----------
    cases, todo :
        Blocks to judge, of these cases.
    workers : Workers
    tell : callable
        Told how many solutions are found and how many were asked for.

    Raises
    ------
    NotAvailableError
        If processes are lost again and again, or the cluster is.
    """
    going, left = _Run(cases, workers), iter(todo)
    losses = 0
    while going.filled(left):
        done, _ = wait(going.pending, return_when=FIRST_COMPLETED)
        lost: list[Task] = []
        for future in done:
            task = going.pending.pop(future)
            try:
                result = _result(future)
            except workers.losses:
                lost.append(task)
                continue
            losses = 0
            if isinstance(result, Finished):
                going.active -= 1
                yield result
            else:
                going.take(task, result)
        going.hand_in_again()
        tell(going.solved, going.wanted)
        if lost:
            losses += 1
            if losses > LOSSES:
                raise NotAvailableError(LOST)
            going.start_again(lost)
