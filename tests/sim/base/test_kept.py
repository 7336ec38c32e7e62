"""Answers kept in a process: given again for the very same values, and for nothing that differs anywhere."""

from __future__ import annotations

import math
import threading
from collections.abc import Callable, Iterator

import numpy as np
import pytest
import shapely

from sim.base.kept import forget, kept


@pytest.fixture(autouse=True)
def _nothing_known() -> Iterator[None]:
    forget()
    yield
    forget()


def counted(count: int) -> tuple[Callable[..., object], list[tuple[object, ...]]]:
    """A function that gives a new object each time it works, and the list of what it worked on."""
    worked: list[tuple[object, ...]] = []

    @kept(count)
    def work(*values: object, **named: object) -> object:
        worked.append((*values, *named.values()))
        return object()

    return work, worked


def test_the_same_values_are_worked_out_once() -> None:
    work, worked = counted(8)
    first = work(1.5, np.array([1.0, 2.0]), shapely.box(0.0, 0.0, 1.0, 1.0), name="jaw")
    assert work(1.5, np.array([1.0, 2.0]), shapely.box(0.0, 0.0, 1.0, 1.0), name="jaw") is first
    assert len(worked) == 1


@pytest.mark.parametrize(
    ("one", "other"),
    [
        (1.0, math.nextafter(1.0, 2.0)),
        (0.0, -0.0),
        (1.0, 1),
        (1, True),
        (None, math.nan),
        ("jaw 1", "jaw 2"),
        (np.array([1.0, 2.0]), np.array([1.0, math.nextafter(2.0, 3.0)])),
        (np.zeros(6), np.zeros((2, 3))),
        (np.array([1.0], dtype=np.float32), np.array([1.0], dtype=np.float64)),
        (shapely.box(0.0, 0.0, 1.0, 1.0), shapely.box(0.0, 0.0, 1.0, math.nextafter(1.0, 2.0))),
        ((1.0, 2.0), (2.0, 1.0)),
    ],
)
def test_what_differs_anywhere_is_another_question(one: object, other: object) -> None:
    work, worked = counted(8)
    assert work(one) is not work(other)
    assert len(worked) == 2


def test_the_oldest_answers_go_first() -> None:
    work, worked = counted(2)
    work("a")
    work("b")
    work("a")  # asked again: now b is the older
    work("c")
    work("a")
    assert worked == [("a",), ("b",), ("c",)]
    work("b")
    assert worked[-1] == ("b",)


def test_mistakes_are_not_kept() -> None:
    tried: list[int] = []

    @kept(4)
    def refuse(value: int) -> int:
        tried.append(value)
        raise ValueError("no")

    for _ in range(2):
        with pytest.raises(ValueError, match="no"):
            refuse(1)
    assert tried == [1, 1]


def test_what_is_forgotten_is_worked_out_again() -> None:
    work, worked = counted(4)
    first = work(1)
    forget()
    assert work(1) is not first
    assert len(worked) == 2


def test_two_functions_do_not_share() -> None:
    (one, _), (other, _) = counted(4), counted(4)
    assert one(1) is not other(1)


def test_from_several_threads() -> None:
    @kept(16)
    def square(value: int) -> int:
        return value * value

    wrong: list[int] = []

    def ask() -> None:
        wrong.extend(value for value in [k % 40 for k in range(400)] if square(value) != value * value)

    threads = [threading.Thread(target=ask) for _ in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert not wrong
