"""One screen: 80 columns, what is wrong in full, figures as in the report, what passes counted."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from rich.console import Console

from sim.assessment.results import CAUTIONS, Assessment
from sim.report.assessment import as_object
from sim.terminal.assessment import headline, table
from sim.terminal.summary import WIDTH, summary


def shown(found: Assessment, width: int = WIDTH) -> str:
    console = Console(width=width, color_system=None, highlight=False)
    with console.capture() as capture:
        for part in summary(found, headline(found)):
            console.print(part)
    return capture.get()


def words(text: str) -> str:
    return " ".join(text.split())


def rows(text: str, head: str) -> list[str]:
    """Return the lines under a heading, as far as an empty one."""
    lines = text.splitlines()
    start = next(n for n, line in enumerate(lines) if line.startswith(head))
    end = next(n for n in range(start, len(lines)) if not lines[n].strip())
    return lines[start + 1 : end]


def test_a_screen_of_80_columns(scenario_name: str, assessment: Callable[[str], Assessment]) -> None:
    found = assessment(scenario_name)
    lines = shown(found).splitlines()
    assert max(map(len, lines)) <= WIDTH
    wrong = sum(v.status != "pass" for v in found.verdicts)
    assert len(lines) <= 45 + 7 * wrong  # a failing one says what was found and what to change


def test_what_does_not_pass_stands_in_full(
    scenario_name: str, assessment: Callable[[str], Assessment]
) -> None:
    found = assessment(scenario_name)
    text = words(shown(found))
    wrong = [v for v in found.verdicts if v.status != "pass"]
    assert ("DOES NOT PASS" in text) == bool(wrong)
    for verdict in wrong:
        assert f"{verdict.name}, {verdict.stage}:" in text
        assert words(verdict.advice) in text
        assert words(verdict.message[1:]) in text
    for one in found.unasked:
        assert words(f"! {one.stage}: {one.question} Needs {one.needs}.") in text
    for caution in CAUTIONS:
        assert caution in text


def test_a_failing_setup_says_so_before_any_figure(assessment: Callable[[str], Assessment]) -> None:
    text = shown(assessment("cast_hub_ring_blocks"))
    assert text.index("Do not run") < text.index("DOES NOT PASS") < text.index("GRIP, kN")
    warned = shown(assessment("valve_bonnet_two_steps"))
    assert warned.index("GRIP, kN") < warned.index("DOES NOT PASS")


def test_passes_are_counted_and_the_nearest_is_named(
    scenario_name: str, assessment: Callable[[str], Assessment]
) -> None:
    found = assessment(scenario_name)
    passed = [v for v in found.verdicts if v.status == "pass"]
    text = shown(found, 200)
    stages = {v.stage for v in passed}
    lines = rows(text, "PASSES")
    assert len(lines) == len(stages)
    for line in lines:
        stage = next(s for s in stages if line.startswith(f"{s} "))
        mine = [v for v in passed if v.stage == stage]
        assert line.removeprefix(stage).split()[0] == str(len(mine))
        assert f" {min(mine, key=lambda v: v.margin).name} " in line


def test_figures_are_those_of_the_report(scenario_name: str, assessment: Callable[[str], Assessment]) -> None:
    """Grip in kN and cuts, read from the printed rows, beside the JSON in N."""
    found = assessment(scenario_name)
    text = shown(found, 200)
    report = as_object(found)
    lines = rows(text, "GRIP, kN")[:-1]  # the last says what is meant
    for line, grip, contact in zip(lines, report["grip"], report["contact"], strict=True):
        assert line.startswith(grip["operation"])
        rest, _, left, _, *each = line.removeprefix(grip["operation"]).split()
        assert float(rest) == pytest.approx(grip["rest_total_N"] / 1000.0, abs=0.051)
        assert float(left) == pytest.approx(grip["high_speed_total_N"] / 1000.0, abs=0.051)
        jaws = contact["grip_per_jaw_at_speed_under_side_force_N"]
        assert [float(n) for n in each] == pytest.approx([n / 1000.0 for n in jaws], abs=0.051)
    for line, travel in zip(rows(text, "JAWS")[1:], report["stroke"], strict=True):
        assert line.startswith(travel["operation"])
        first = float(line.removeprefix(travel["operation"]).split()[0])
        assert (
            0.0 <= first - travel["grip_travel_first_mm"] < 0.0101
        )  # no end of a range is named that lies outside
    held = {one["name"]: one for hold in report["hold"] for one in hold["cuts"]}
    for name, one in held.items():
        line = next(line for line in rows(text, "CUTS") if f": {name} " in line)
        assert float(line.split()[-1]) == pytest.approx(one["holding_factor"], abs=0.051)


def test_all_has_every_verdict_and_basis_every_source(assessment: Callable[[str], Assessment]) -> None:
    found = assessment("valve_bonnet_two_steps")
    for basis in (False, True):
        console = Console(width=WIDTH, color_system=None, highlight=False)
        with console.capture() as capture:
            console.print(table(found, basis=basis))
        text = words(capture.get())
        assert all(v.name in text for v in found.verdicts)
        assert all((words(v.basis) in text) == basis for v in found.verdicts if len(v.basis) > 40)
