"""A program with optional blocks, judged in every way that it may run: each verdict at the worst of them."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import replace
from typing import TypeVar

from sim.assessment.figures.path import PathFigures
from sim.assessment.verdict import Verdict

Path = TypeVar("Path", bound=PathFigures)


def worst_way(path: Path, verdicts: Callable[[Path], Iterable[Verdict]]) -> Iterator[Verdict]:
    """Yield each verdict on a path at the worst of its readings; its message says which, where they differ.

    Parameters
    ----------
    path : PathFigures
    verdicts : callable
        Gives the verdicts on one reading.
    """
    if not path.others:
        yield from verdicts(path)
        return
    found: dict[str, list[tuple[str, Verdict]]] = {}
    for way in path.readings:
        for verdict in verdicts(way):
            found.setdefault(verdict.key, []).append((way.reading, verdict))
    for judged in found.values():
        reading, worst = min(judged, key=lambda one: one[1].rank)
        alike = len(judged) == len(path.readings) and len({verdict.message for _, verdict in judged}) == 1
        yield worst if alike else replace(worst, message=f"with {reading}: {worst.message}")
