"""The table in the terminal: worst first, nothing cut that a setter needs, cautions below."""

from __future__ import annotations

import re
from collections.abc import Callable

import pytest
from rich.console import Console

from sim.assessment.results import CAUTIONS, Assessment
from sim.terminal.assessment import headline, move_table, table
from sim.terminal.figures import MARKS


def shown(found: Assessment, width: int) -> str:
    console = Console(width=width, color_system=None, highlight=False)
    with console.capture() as capture:
        console.print(table(found))
    return capture.get()


@pytest.mark.parametrize(
    ("name", "words"),
    [
        ("cast_hub_on_ring", "Passes what was asked: 0 fail, 0 warn"),
        ("cast_hub_by_program", "All verdicts pass: 0 fail, 0 warn"),
        ("cast_hub_ring_blocks", "Do not run this setup as it is: 2 fail"),
        ("thin_ring_distorts", "Do not run this setup as it is: 1 fail"),
    ],
)
def test_headline(assessment: Callable[[str], Assessment], name: str, words: str) -> None:
    assert headline(assessment(name)).startswith(words)


def test_headline_counts_every_verdict(scenario_name: str, assessment: Callable[[str], Assessment]) -> None:
    found = assessment(scenario_name)
    told = {word: int(count) for count, word in re.findall(r"(\d+) ([a-z ]+)", headline(found))}
    assert sum(told.pop(word) for word in ("fail", "warn", "pass")) == len(found.verdicts)
    assert told == ({"not asked": len(found.unasked)} if found.unasked else {})


def test_what_was_not_asked_stands_over_the_table(
    scenario_name: str, assessment: Callable[[str], Assessment]
) -> None:
    """Each question once, before the first verdict; of those that matter also what to state."""
    found = assessment(scenario_name)
    head = " ".join(shown(found, 150).partition("\nverdict ")[0].split())
    for one in found.not_judged:
        assert head.count(f"{one.stage}: {one.question}") == 1
        assert (one.needs in head) == one.matters


def test_rows_in_full_where_the_output_is_wide(
    scenario_name: str, assessment: Callable[[str], Assessment]
) -> None:
    """At 150 columns (a pipe, a file) every mark and name stands in full, in the order of the verdicts."""
    found = assessment(scenario_name)
    lines = shown(found, 150).splitlines()
    start = next(i for i, line in enumerate(lines) if line.startswith("verdict"))
    for verdict, line in zip(found.verdicts, lines[start + 1 :], strict=False):
        assert line.startswith(MARKS[verdict.status])
        assert f" {verdict.name} " in line


@pytest.mark.parametrize("width", [80, 100, 120])
def test_narrow_terminals_keep_mark_name_value_and_limit(
    assessment: Callable[[str], Assessment], width: int
) -> None:
    """What may be cut is the basis, never whether it passed, what was judged, or the limit."""
    found = assessment("thin_ring_distorts")
    lines = shown(found, width).splitlines()
    for verdict in found.verdicts:
        none = verdict.limit == 0.0 and verdict.unit in ("touches", "moves")
        sign = "none allowed" if none else "≥" if verdict.at_least else "≤"
        assert any(
            MARKS[verdict.status] in line and verdict.name in line and sign in line for line in lines
        ), verdict.name


def test_state_is_told_without_colour(assessment: Callable[[str], Assessment]) -> None:
    text = shown(assessment("cast_hub_ring_blocks"), 150)
    assert "x FAIL" in text
    assert "\x1b" not in text


def test_each_failure_says_what_to_change(
    scenario_name: str, assessment: Callable[[str], Assessment]
) -> None:
    found = assessment(scenario_name)
    text = " ".join(shown(found, 150).split())
    wrong = [v for v in found.verdicts if v.status != "pass"]
    assert ("What to change" in text) == bool(wrong)
    for verdict in wrong:
        assert verdict.advice in text


def test_cautions_are_always_shown(scenario_name: str, assessment: Callable[[str], Assessment]) -> None:
    text = " ".join(shown(assessment(scenario_name), 150).split())
    for caution in CAUTIONS:
        assert caution in text


def test_every_move_of_a_program_is_a_row(assessment: Callable[[str], Assessment]) -> None:
    """Block, line, the program's own coordinates, and in words what touches."""
    console = Console(width=150, color_system=None, highlight=False)
    path = assessment("cast_hub_program_touches").machining[0]
    assert path is not None
    with console.capture() as capture:
        console.print(move_table(path))
    head, *rows = [line for line in capture.get().splitlines() if line.strip()]
    assert head.split()[:3] == ["move", "block", "line"]
    numbered = [row for row in rows if row.split()[0].isdigit()]
    assert [int(row.split()[0]) for row in numbered] == list(range(1, len(path.moves) + 1))
    touching = next(row for row in numbered if "TOUCH" in row)
    assert touching.split()[1:3] == ["N235", "27"]
    assert "118.000" in touching
    assert "0.00" in touching
    assert "insert contact" in touching
