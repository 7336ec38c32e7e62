"""The setup sheet: its figures are the report's, its words have their place, what fails stands first."""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Iterator
from dataclasses import replace
from html.parser import HTMLParser
from typing import Any

import pytest
import shapely

from sim.assessment.results import CAUTIONS, Assessment
from sim.assessment.stages import assess
from sim.assessment.verdicts.rules import rule_of
from sim.drawing.asked import Asked
from sim.drawing.digest import scenario_digest
from sim.drawing.primitives import Sheet, Words, flat
from sim.report.assessment import as_object
from sim.setup_sheet import boring, document, gauge, gripping, mounting
from sim.setup_sheet.document import MARGIN, pages
from sim.setup_sheet.written import as_html

ASKED = (Asked(), Asked("Letter", "inch"))
NUMBER = r"(-?\d+(?:\.\d+)?)"
# With their drawings: two columns of pockets, gripped inside, jaws that are sectors; they take most of the time.
DRAWN = "valve_bonnet_two_steps", "housing_gripped_inside", "thin_ring_in_sector_jaws"
INCH = 25.4  # mm, ISO 31
NAME = '<b> & "it\'s" </section> %%c \u202egnp'


def words_of(sheets: tuple[Sheet, ...]) -> list[Words]:
    return [
        item for one in sheets for item in flat(list(one.items)) if isinstance(item, Words) and item.words
    ]


def same(text: str, value: float) -> bool:
    """Whether a printed number is this value, but for the half of its last digit."""
    decimals = len(text.partition(".")[2])
    return abs(float(text) - value) <= 0.5 * 10.0**-decimals + 1e-9 * abs(value)


def expected(report: dict[str, Any], length: float, unit: str) -> Iterator[tuple[str, str, str, list[float]]]:
    """Yield title and label of a row, a pattern of its figures, and what the report says they are."""
    fixture, screws = report["fixture"], report["screws"]
    yield (
        "Jaws on the serrations",
        "torque",
        rf"^{NUMBER} N m each(?: – FAILS, do not set it)?; tightened",
        [screws["torque_Nm"]],
    )
    yield "Bore the jaws", "travel", rf"^{NUMBER} {unit} of", [fixture["travel_mm"] / length]
    yield "Bore the jaws", "pressure", rf"^{NUMBER} bar\b", [10.0 * fixture["pressure_MPa"]]
    yield "Bore the jaws", "speed", rf"^at most {NUMBER} rev/min\b", [fixture["speed_rpm"]]
    if (least := report["clearance"]["least_mm"]) is not None and report["clearance"][
        "least_move"
    ] is not None:
        move = report["clearance"]["least_move"]
        pattern = rf"nearest {NUMBER} {unit} \(.* move {NUMBER}\), wanted {NUMBER} {unit}"
        wanted = report["clearance"]["required_mm"]
        yield "Bore the jaws", "path", pattern, [least / length, move, wanted / length]
    for number, grip in enumerate(report["grip"]):
        title = f"Hold the part: {grip['operation']}"
        stroke, hold = report["stroke"][number], report["hold"][number]
        load = rf"^room to load {NUMBER} {unit}; grips at travel {NUMBER} {unit} to {NUMBER} {unit}\b"
        keys = "loading_clearance_mm", "grip_travel_first_mm", "grip_travel_last_mm"
        travels = [stroke[key] / length for key in keys]
        yield title, "load", load, travels
        gauge = rf"^a gauge {NUMBER} {unit} above .* reads {NUMBER} kN in all, {NUMBER} kN a jaw"
        forces = [grip["rest_total_N"] / 1e3, grip["rest_per_jaw_N"] / 1e3]
        yield title, "grip at rest", gauge, [grip["height_mm"] / length, *forces]
        yield title, "speed limit", rf"grip there {NUMBER} kN", [grip["high_speed_total_N"] / 1e3]
        yield title, "speed limit", rf"permits {NUMBER} rev/min", [math.floor(grip["permissible_rpm"] + 1e-9)]
        for cut in hold["cuts"]:
            pattern = rf"{NUMBER} rev/min;? grip there {NUMBER} kN; held {NUMBER} times"
            if cut["holding_factor"] is not None:
                figures = [
                    cut["speed_rpm"],
                    cut["grip_left_N"] / 1e3,
                    cut["holding_factor"],
                ]
                yield title, f"cut: {cut['name']}", pattern, figures
        running, round_ = report["running"][number], report["distortion"][number]["roundness_um"]
        dial, small = ("µm", 1.0) if unit == "mm" else (unit, 1e-3 / length)
        pattern = rf"^{NUMBER} {dial}, at most .* out of square {NUMBER} {dial}, at most"
        figures = [small * running[key] for key in ("run_out_um", "out_of_square_um")]
        yield title, "run-out", pattern, figures
        yield title, "roundness", rf"^{NUMBER} {dial}, at most", [small * round_]


def test_every_figure_is_the_reports(
    pages_of: Callable[..., tuple[Sheet, ...]],
    read_rows: Callable[..., dict[tuple[str, str], str]],
    quickly_judged: Callable[[str], Assessment],
    scenario_name: str,
) -> None:
    report = as_object(quickly_judged(scenario_name))
    for asked in ASKED:
        rows = read_rows(pages_of(scenario_name, asked), asked)
        length, unit = (1.0, "mm") if asked.units == "mm" else (INCH, "in")
        for title, label, pattern, values in expected(report, length, unit):
            found = re.search(pattern, rows[title, label])
            assert found, (pattern, rows[title, label])
            assert len(found.groups()) == len(values)
            for text, value in zip(found.groups(), values, strict=True):
                assert same(text, value), (title, label, text, value)


def test_stop_is_never_below_what_the_grip_at_rest_must_be(
    pages_of: Callable[..., tuple[Sheet, ...]],
    read_rows: Callable[..., dict[tuple[str, str], str]],
    quickly_judged: Callable[[str], Assessment],
    scenario_name: str,
) -> None:
    judged = quickly_judged(scenario_name)
    rows = read_rows(pages_of(scenario_name, ASKED[0]), ASKED[0])
    for figures in judged.operations:
        name = figures.operation.name
        told = rows[f"Hold the part: {name}", "grip at rest"]
        limit = next(v.limit for v in judged.verdicts if v.key == "grip_at_rest" and v.stage == name)
        stop = re.search(rf"STOP below {NUMBER} kN", told)
        assert stop
        assert limit <= float(stop[1]) + 1e-9 < limit + 0.1 + 1e-9
        band = re.search(rf"go on: {NUMBER} to {NUMBER} kN", told)
        assert (band is None) >= (judged.status == "fail")
        if band is not None:
            assert float(stop[1]) - 0.1 <= float(band[1]) <= float(band[2])


def test_words_neither_meet_nor_leave_the_paper(
    pages_of: Callable[..., tuple[Sheet, ...]], scenario_name: str
) -> None:
    drawn = scenario_name in DRAWN
    for asked in ASKED[: 2 - drawn]:
        for page in pages_of(scenario_name, asked, drawn=drawn):
            words = words_of((page,))
            boxes = [one.box() for one in words]
            for one, box in zip(words, boxes, strict=True):
                left, low, right, high = box.bounds
                assert left >= 20.0 - 1e-9, one
                assert right <= page.width - 10.0 + 1e-9, one
                assert MARGIN - 1.0 < low < high <= page.height - MARGIN + 1e-9, one
            tree = shapely.STRtree(boxes)
            for a, b in zip(*tree.query(boxes, predicate="overlaps"), strict=True):
                assert boxes[a].intersection(boxes[b]).area < 1e-9, (words[a], words[b])


def test_what_fails_stands_first_and_largest(
    pages_of: Callable[..., tuple[Sheet, ...]],
    quickly_judged: Callable[[str], Assessment],
    scenario_name: str,
) -> None:
    judged, sheets = quickly_judged(scenario_name), pages_of(scenario_name)
    first = words_of(sheets[:1])
    failing = [v for v in judged.verdicts if v.status == "fail"]
    heads = [w for w in first if w.words.startswith("DO NOT USE")]
    assert bool(heads) == bool(failing)
    told = " ".join(w.words for w in first)
    if failing:
        assert heads[0].height == max(w.height for w in words_of(sheets) if len(w.words) > 1)
        under = [w for w in first if w.at[1] < heads[0].at[1]]
        assert under
        assert heads[0].words.startswith(f"DO NOT USE: {len(failing)} of {len(judged.verdicts)}")
        assert not [w for w in first if w.words.startswith("Machine") and w.at[1] > heads[0].at[1]]
        assert all(any("DO NOT USE" in w.words for w in words_of((page,))) for page in sheets)
    everywhere = " ".join(w.words for w in words_of(sheets))
    for one in judged.verdicts:
        if one.status != "pass":
            assert one.name in everywhere
    for question in judged.unasked:
        assert question.question in everywhere
    assert ("verdicts pass" in told) is (judged.status == "pass")
    for page in sheets:
        on_it = " ".join(w.words for w in words_of((page,)))
        assert all(caution in on_it for caution in CAUTIONS)
        assert "NOT RELEASED" in on_it
        assert scenario_digest(judged.scenario) in on_it


@pytest.mark.parametrize(
    ("key", "label"),
    [("spindle_speed", "speed limit"), ("largest_grip", "pressure"), ("marking", "pressure")],
)
def test_setting_that_a_verdict_forbids_says_so(
    quickly_judged: Callable[[str], Assessment],
    read_rows: Callable[..., dict[tuple[str, str], str]],
    monkeypatch: pytest.MonkeyPatch,
    key: str,
    label: str,
) -> None:
    monkeypatch.setattr(document, "drawing_blocks", lambda *_: [])
    judged = quickly_judged("valve_bonnet_two_steps")
    verdicts = tuple(
        replace(v, status="fail") if v.key == key and v.stage == "second side" else v for v in judged.verdicts
    )
    rows = read_rows(pages([replace(judged, verdicts=verdicts)], ASKED[0]), ASKED[0])
    assert "FAILS" in rows["Hold the part: second side", label]
    assert "FAILS" not in rows["Hold the part: first side", label]


def test_forbidding_verdicts_are_there() -> None:
    keys = (
        *mounting.TORQUE,
        *boring.TRAVEL,
        *boring.PRESSURE,
        *boring.SPEED,
        *gripping.PRESSURE,
        *gripping.SPEED,
        *gauge.HOLDS,
    )
    assert all(rule_of(key).key == key for key in keys)


class Texts(HTMLParser):
    """The words of SVG text, and every element there is."""

    def __init__(self) -> None:
        super().__init__()
        self.inside, self.texts, self.tags = False, [], set()

    def handle_starttag(self, tag: str, _: list[tuple[str, str | None]]) -> None:
        self.inside = tag == "text"
        self.tags.add(tag)
        if self.inside:
            self.texts.append("")

    def handle_endtag(self, _: str) -> None:
        self.inside = False

    def handle_data(self, data: str) -> None:
        if self.inside:
            self.texts[-1] += data


def test_a_sector_jaw_is_told_by_its_angle_and_a_width_that_can_be_measured(
    pages_of: Callable[..., tuple[Sheet, ...]], read_rows: Callable[..., dict[tuple[str, str], str]]
) -> None:
    (told,) = (
        row for (_, label), row in read_rows(pages_of("thin_ring_in_sector_jaws", ASKED[0]), ASKED[0]).items()
        if label == "jaws"
    )  # fmt: skip
    assert "81 × 185.26 × 45 mm (length, width, height)" in told
    assert "sector of 119°, width over its outer corners" in told


def test_names_are_escaped(varied: Callable[..., object]) -> None:
    changes = {
        "title": NAME,
        "pockets.0.name": NAME,
        "operations.0.name": NAME,
        "operations.0.pocket": NAME,
        "operations.0.cuts.0.name": NAME,
        "chuck.name": NAME,
    }
    sheets = pages([assess(varied("thin_ring_distorts", changes), contact_model="foundation")], Asked())
    words = [w.words for w in words_of(sheets)]
    assert "\u202e" not in "".join(words)
    assert sum("</section>" in line for line in words) > 4
    read = Texts()
    read.feed(as_html(sheets).decode("utf-8"))
    assert read.texts == words
    assert "b" not in read.tags
    assert "script" not in read.tags


def test_job_of_two_sets_is_one_document(
    quickly_judged: Callable[[str], Assessment],
    pages_of: Callable[..., tuple[Sheet, ...]],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(document, "drawing_blocks", lambda *_: [])
    names = "valve_bonnet_first_side", "valve_bonnet_second_side"
    judged = [quickly_judged(name) for name in names]
    sheets = pages(judged, Asked())
    alone = [len(pages_of(name)) for name in names]
    assert len(sheets) == sum(alone)
    for number, page in enumerate(sheets, start=1):
        on_it = " ".join(w.words for w in words_of((page,)))
        assert f"page {number} of {len(sheets)}" in on_it
        assert scenario_digest(judged[number > alone[0]].scenario) in on_it
