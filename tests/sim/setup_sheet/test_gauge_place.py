"""A grip gauge at a height and diameter of its own: no reading in its band leaves the part with less than must be.

The oracle is the free body of one jaw (drawbar pull on a wedge, guideway pressure linear along the guideway), written
down here once more.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from sim.assessment.results import Assessment
from sim.assessment.stages import assess
from sim.drawing.primitives import Corners, Words
from sim.readings import fitted, gauged, read_readings
from sim.scenario import Scenario
from sim.setup.jaw_place import jaw_place
from sim.setup_sheet.entries import Scale
from sim.setup_sheet.form import Form
from sim.setup_sheet.gauge import Gauge, GaugeBand, at_gauge, gauge_band, gauge_fits
from sim.setup_sheet.readings_table import blank_csv, blank_rows
from sim.setup_sheet.scale import scale_drawn

NAME = "valve_bonnet_second_side"


@pytest.fixture(scope="module")
def judged(quickly_judged: Callable[[str], Assessment]) -> Assessment:
    return quickly_judged(NAME)


def force(judged: Assessment, height: float, friction: float, efficiency: float) -> float:
    """Total grip at rest (N): drawbar pull on the wedge, less what friction takes at wedge and guideway."""
    chuck, pressure = judged.scenario.chuck, judged.operations[0].operation.gripping.pressure
    assert chuck.piston_area is not None
    pull = efficiency * pressure * chuck.piston_area / 3.0
    angle, length = chuck.wedge_angle, chuck.guideway_length
    below, lever = chuck.wedge_depth, height + chuck.guideway_depth
    radial = pull / math.tan(angle + math.atan(friction))
    radial *= 1.0 - friction * math.tan(angle + math.atan(friction)) - 3.0 * friction * below / length
    return 3.0 * radial / (1.0 + 3.0 * friction * lever / length)


def test_reads_the_parts_own_grip_where_the_part_is(judged: Assessment) -> None:
    grip, bore = judged.operations[0].grip, judged.scenario.pockets[0].diameter
    band = gauge_band(judged, judged.operations[0])
    same = at_gauge(judged, 0, band, Gauge(grip.height, bore))
    for one, other in ((same.expected, band.expected), (same.stop, band.stop), (same.low, band.low)):
        assert one == pytest.approx(other, rel=1e-9)


def test_nearer_to_the_chuck_it_reads_more(judged: Assessment) -> None:
    height, bore = judged.operations[0].grip.height, judged.scenario.pockets[0].diameter
    band = gauge_band(judged, judged.operations[0])
    read = [
        at_gauge(judged, 0, band, Gauge(h, bore)).expected for h in (height - 15.0, height, height + 10.0)
    ]
    assert read[0] > read[1] > read[2]


@pytest.mark.parametrize("off", [-20.0, -8.0, 6.0])
def test_no_friction_makes_a_good_reading_of_a_bad_grip(judged: Assessment, off: float) -> None:
    """At every friction from greased to dry guideways (0.04 to 0.25, see sim.readings.findings).

    Whoever reads within the band has the band's grip on the part.
    """
    part, bore = judged.operations[0].grip.height, judged.scenario.pockets[0].diameter
    rest = judged.operations[0].grip.rest_total
    band = GaugeBand(rest, 0.6 * rest, 0.9 * rest, 1.1 * rest)
    found = at_gauge(judged, 0, band, Gauge(part + off, bore))
    stated = judged.scenario.chuck.guideway_friction
    own = judged.scenario.chuck.efficiency
    assert force(judged, part, stated, own) == pytest.approx(band.expected, rel=1e-6)
    assert found.expected == pytest.approx(force(judged, part + off, stated, own), rel=1e-6)
    assert found.low < found.expected < found.high
    for friction in np.linspace(0.04, 0.25, 11):
        share = force(judged, part, friction, 1.0) / force(judged, part + off, friction, 1.0)
        assert share * found.stop >= band.stop * (1.0 - 1e-6)
        assert share * found.low >= band.low * (1.0 - 1e-6)
        assert share * found.high <= band.high * (1.0 + 1e-6)


def test_no_band_where_friction_leaves_no_room(judged: Assessment) -> None:
    height, bore = judged.operations[0].grip.height, judged.scenario.pockets[0].diameter
    band = gauge_band(judged, judged.operations[0])
    tight = replace(band, low=band.expected * 0.999, high=band.expected * 1.001)
    found = at_gauge(judged, 0, tight, Gauge(height - 20.0, bore))
    assert math.isnan(found.low)
    assert math.isfinite(found.stop)
    none = replace(band, low=math.nan, high=math.nan)
    assert math.isnan(at_gauge(judged, 0, none, Gauge(height, bore)).low)


@pytest.mark.parametrize(("name", "sign"), [(NAME, 1.0), ("housing_gripped_inside", -1.0)])
def test_a_gauge_that_the_jaws_do_not_meet_gives_no_figure(
    varied: Callable[..., Scenario], name: str, sign: float
) -> None:
    """From the boring travel, off the middle, jaws close by what is left of the stroke and open by what is behind.

    Outside gripping, closing takes the smaller gauges; inside, the larger ones. In the middle of a face, it meets the
    gauge where the radii differ by as much as the jaw has moved.
    """
    scenario = varied(name, {"boring.travel": "2.5 mm"})
    judged: Any = SimpleNamespace(scenario=scenario, parts=SimpleNamespace(place=jaw_place(scenario)))
    bore = scenario.pocket_of(scenario.operations[0]).diameter
    closed = bore - sign * 2.0 * (scenario.chuck.stroke - 2.5)
    height = 0.5 * scenario.soft_jaw.height
    assert gauge_fits(judged, 0, Gauge(height, bore))
    assert gauge_fits(judged, 0, Gauge(height, closed + sign * 0.01))
    assert not gauge_fits(judged, 0, Gauge(height, closed - sign * 0.01))
    # The other way it meets the edges first, which takes more travel than the radii differ.
    assert gauge_fits(judged, 0, Gauge(height, bore + sign * 2.5))
    assert not gauge_fits(judged, 0, Gauge(height, bore + sign * 2.0 * 2.5))
    assert not gauge_fits(judged, 0, Gauge(scenario.soft_jaw.height + 1.0, bore))
    assert not gauge_fits(judged, 0, Gauge(height, 0.1))


def test_readings_on_the_sheet_go_back_into_fit(judged: Assessment, tmp_path: Path) -> None:
    """The blank table, filled in with what a weaker chuck gives, is read, and a chuck is found that gives just that."""
    rows = blank_rows(judged, Gauge(30.0, 100.0))
    assert {row.height for row in rows} == {30.0}
    for form in (Form(), Form("inch"), Form("mm", "de")):
        header, *lines = blank_csv(rows, form).splitlines()
        filled = []
        for line, row in zip(lines, rows, strict=True):
            cells = line.split(", ")
            assert cells[3] == ""
            share = row.pressure / judged.operations[0].operation.gripping.pressure
            cells[3] = f"{force(judged, row.height, 0.08, 0.7) * share / 3000.0:.6f}"
            filled.append(", ".join(cells))
        path = tmp_path / "readings.csv"
        path.write_text("\n".join([header, *filled]) + "\n", encoding="utf-8")
        read = read_readings(path, 10.0)
        assert not read.bad
        assert read.count == len(rows)
        assert read.height == pytest.approx([30.0] * len(rows), abs=0.001)
        assert read.falls is not None
        assert read.falls.any()
        found = fitted(gauged(judged.parts, read))
        assert found.predicted == pytest.approx(read.force, rel=1e-3)


def test_rows_stand_where_the_gauge_can(varied: Callable[..., object]) -> None:
    judged = assess(varied("valve_bonnet_two_steps"), contact_model="foundation")
    second = judged.scenario.pocket_of(judged.operations[1].operation).diameter
    rows = blank_rows(judged, Gauge(30.0, second))
    assert {row.height for row in rows} == {judged.operations[0].grip.height, 30.0}
    assert len({row.pressure for row in rows}) == 4


def test_no_row_asks_for_a_pressure_that_the_sheet_forbids(judged: Assessment) -> None:
    assert blank_rows(judged)
    for key in ("largest_grip", "guideway_moment", "steady_pressure"):
        verdicts = tuple(replace(v, status="fail") if v.key == key else v for v in judged.verdicts)
        assert blank_rows(replace(judged, verdicts=verdicts)) == ()


def test_scale_is_in_proportion() -> None:
    """From nought on: black ends where the stop ends, the frame is the band, the mark stands at what is expected."""
    words = ("STOP", "go on", "40.0", "50.0 kN", "expected 45.0 kN")
    items = scale_drawn(Scale(20.0, 40.0, 50.0, 45.0, words), 100.0, 90.0)
    boxes = [item for item in items if isinstance(item, Corners) and len(item.points) == 4]
    mark = next(item for item in items if isinstance(item, Corners) and len(item.points) == 3)
    black = next(box for box in boxes if box.filled)
    ends = [sorted({x for x, _ in box.points}) for box in boxes]
    assert max(x for x, _ in black.points) - 100.0 == pytest.approx(ends[0][1] - ends[0][0])
    per = (ends[0][1] - 100.0) / 20.0
    assert [ends[1][0], ends[1][1]] == pytest.approx([100.0 + 40.0 * per, 100.0 + 50.0 * per])
    assert ends[2] == pytest.approx([100.0 + 20.0 * per, 100.0 + 40.0 * per])
    assert min(mark.points, key=lambda p: p[1])[0] == pytest.approx(100.0 + 45.0 * per)
    assert {i.words for i in items if isinstance(i, Words)} >= {*words} - {"go on"}
