"""A name says one figure: under the same words the review, `compare` and the verdicts have the same number."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from itertools import pairwise

from sim.assessment.results import Assessment
from sim.layouts.comparison import compare
from sim.layouts.layout import Layout
from sim.views.operation_page import operation_rows

# A number that a row begins with, its decimals, and its unit.
NUMBER = re.compile(r"(-?\d+)(?:\.(\d+))? (mm|µm|kN|bar|MPa|rev/min)\b")
UNITS = {"um": "µm", "rpm": "rev/min"}

Figure = tuple[
    str, str, str, float, float
]  # where it stands, stage and name, unit, value, what rounding may hide


def of_review(assessment: Assessment) -> Iterator[Figure]:
    for figures in assessment.operations:
        for name, text in operation_rows(figures):
            if found := NUMBER.match(text):
                whole, decimals, unit = found.groups()
                value = float(f"{whole}.{decimals or 0}")
                yield (
                    "review",
                    f"{figures.operation.name}: {name}",
                    unit,
                    value,
                    0.5 * 10.0 ** -len(decimals or ""),
                )


def of_compare(assessment: Assessment) -> Iterator[Figure]:
    for row in compare([Layout("a", (assessment,)), Layout("b", (assessment,))]).rows:
        if isinstance(row.values[0], float):
            yield "compare", f"{row.group}: {row.what}", UNITS.get(row.unit, row.unit), row.values[0], 0.0


def of_verdicts(assessment: Assessment) -> Iterator[Figure]:
    for one in assessment.verdicts:
        yield "verdict", f"{one.stage}: {one.name}", UNITS.get(one.unit, one.unit), one.value, 0.0


def unlike(figures: Iterator[Figure]) -> list[str]:
    """Return names under which one unit has two numbers that rounding does not explain."""
    found: dict[tuple[str, str], list[tuple[str, float, float]]] = {}
    for where, name, unit, value, hidden in figures:
        found.setdefault((name, unit), []).append((where, value, hidden))
    return [
        f"{name}: {where} {value:g}, {other} {another:g} {unit}"
        for (name, unit), told in found.items()
        for (where, value, hidden), (other, another, more) in pairwise(told)
        if abs(value - another) > max(hidden, more) * 1.0001 + 1e-9 * abs(value)
    ]


def every(assessment: Assessment) -> Iterator[Figure]:
    yield from of_review(assessment)
    yield from of_compare(assessment)
    yield from of_verdicts(assessment)


def test_like_names_have_like_numbers(scenario_name: str, assessment: Callable[[str], Assessment]) -> None:
    judged = assessment(scenario_name)
    told = list(every(judged))
    names = [name for _, name, _, _, _ in told]
    assert sum(names.count(name) > 1 for name in set(names)) >= 4  # it compares something
    assert unlike(iter(told)) == []


def test_two_numbers_under_one_name_are_found() -> None:
    one = ("review", "first side: permissible speed", "rev/min", 1472.0, 0.5)
    assert unlike(iter([one, ("compare", one[1], one[2], 1472.4, 0.0)])) == []
    assert unlike(iter([one, ("compare", one[1], one[2], 1473.0, 0.0)])) != []
    assert unlike(iter([one, ("compare", one[1], "mm", 1473.0, 0.0)])) == []
