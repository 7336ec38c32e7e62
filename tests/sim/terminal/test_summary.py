"""One screen: 80 columns, what is wrong in full, figures as in the report, what passes counted."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from rich.console import Console

from sim.assessment.results import CAUTIONS, Assessment
from sim.report.assessment import as_object
from sim.terminal.assessment import headline, table
from sim.terminal.summary import WIDTH, summary

SCREEN = 50  # lines: a setup of which four verdicts do not pass, with what was found and what to change


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
    assert len(lines) <= SCREEN


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
        assert text.count(one.question) == 1
        before, _, after = text.partition(f": {one.question} Needs ")
        assert one.stage in before.rpartition("? ")[2].split(", ")
        assert one.needs in after.partition(" ? ")[0]
    for caution in CAUTIONS:
        assert caution in text


def test_grip_and_travel_come_first_below_the_names_of_what_fails(
    scenario_name: str, assessment: Callable[[str], Assessment]
) -> None:
    found = assessment(scenario_name)
    text = shown(found)
    places = [text.index(head) for head in ("GRIP, kN", "JAWS", "PASSES", "Cautions")]
    assert places == sorted(places)
    if any(v.status != "pass" for v in found.verdicts):
        assert places[1] < text.index("DOES NOT PASS") < places[2]
    before = words(text[: places[0]])
    assert ("Do not run" in before) == (found.status == "fail")
    for verdict in found.verdicts:
        if verdict.status == "fail":
            assert verdict.name in before.split("FAIL", 1)[1]


def test_jaws_that_grip_unequally_say_why(
    scenario_name: str, assessment: Callable[[str], Assessment]
) -> None:
    """Unequal before any cut pushes: of the shipped ones only where the casting comes out of round."""
    found = assessment(scenario_name)
    text = words(shown(found))
    for one in found.operations:
        grip = one.contact.grip_n
        uneven = grip.max() - grip.min() > 0.01 * grip.mean()
        told = f"{one.operation.name}: {one.clamping.state}, with a part of middle size, jaw 1 grips with "
        told += f"{grip[0] / 1000.0:.1f}"
        assert (told in text) == uneven
        if uneven:
            micrometres = 1000.0 * one.operation.workpiece.out_of_round
            assert f"because the part comes {micrometres:.3g} µm out of round" in text


def test_passes_are_counted_and_the_nearest_is_named(
    scenario_name: str, assessment: Callable[[str], Assessment]
) -> None:
    found = assessment(scenario_name)
    passed = [v for v in found.verdicts if v.status == "pass"]
    text = shown(found, 200)
    stages = {v.stage for v in passed}
    *lines, last = rows(text, "PASSES")
    assert last.startswith("--all")
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
    lines = rows(text, "GRIP, kN")[: len(found.operations)]  # below them stands what is meant
    held = {one["operation"]: one["cuts"] for one in report["hold"]}
    machining = [path for path in found.machining if path is not None and path.least_held is not None]
    for line, grip, contact in zip(lines, report["grip"], report["contact"], strict=True):
        assert line.startswith(grip["operation"])
        rest, _, left, _, times, *each = line.removeprefix(grip["operation"]).split()
        factors = [cut["holding_factor"] for cut in held[grip["operation"]]]
        factors += [p.least_held.holding.factor for p in machining if p.least_held is not None]
        assert float(times) == pytest.approx(min(factors), abs=0.051)
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


def test_all_has_every_verdict_and_basis_every_source(assessment: Callable[[str], Assessment]) -> None:
    found = assessment("valve_bonnet_two_steps")
    for basis in (False, True):
        console = Console(width=WIDTH, color_system=None, highlight=False)
        with console.capture() as capture:
            console.print(table(found, basis=basis))
        text = words(capture.get())
        assert all(v.name in text for v in found.verdicts)
        assert all((words(v.basis) in text) == basis for v in found.verdicts if len(v.basis) > 40)
        assert all(f"{demand.name}" in text for one in found.operations for demand in one.demands)
