"""What terminal, JSON and plot say of a sample: every figure with its sampling error, units, cautions."""

from __future__ import annotations

import json

import pytest
from matplotlib.backends.backend_agg import FigureCanvasAgg
from rich.console import Console

from sim.assessment.results import CAUTIONS
from sim.report.uncertainty import uncertainty_object
from sim.terminal.uncertainty import uncertainty_table
from sim.uncertainty import Analysis
from sim.views.uncertainty import uncertainty_figure


def test_terminal(invented: Analysis) -> None:
    console = Console(width=160, record=True, highlight=False)
    with console.capture() as said:
        console.print(uncertainty_table(invented))
    text = said.get()
    for words in (
        "71.3\u00a0%",
        "[67.0 to 75.0]",
        "pressure, finish the bore",
        "bar",
        "the pressure gauge",
        "0.75 [0.70 to 0.80]",
        "seed 9",
        "3.1\u00a0% of the variants cannot be built",
        "24000  [21600 to 26400]",
        *CAUTIONS,
    ):
        assert words in text


def test_json(invented: Analysis) -> None:
    made = uncertainty_object(invented)
    assert json.loads(json.dumps(made)) == made
    first = made["verdicts"][0]
    assert first["probability"] == {"value": 0.713, "low": 0.67, "high": 0.75}
    assert first["margin"]["50 %"]["value"] == 1.09
    assert [one["total"] for one in first["indices"]] == [0.75, 0.33]
    pressure = made["inputs"][0]
    assert (pressure["unit"], pressure["low"], pressure["high"]) == (
        "bar",
        pytest.approx(4),
        pytest.approx(6),
    )
    assert pressure["field"] == "uncertainty.operations 'finish the bore'.pressure"
    assert made["seed"] == 9
    assert made["cautions"] == list(CAUTIONS)


def test_plot(invented: Analysis) -> None:
    figure = uncertainty_figure(invented)
    FigureCanvasAgg(figure).draw()
    above, below = figure.axes
    words = " ".join(t.get_text() for t in above.texts)
    for part in ("71.3\u00a0% [67.0 to 75.0\u00a0%]", "all [99.2 to 100.0\u00a0%]", "missed", "kept"):
        assert part in words
    assert [t.get_text() for t in below.get_yticklabels()] == [
        "pressure, finish the bore",
        "error of the grip gauge",
    ]
    assert sorted(bar.get_width() for bar in below.patches) == pytest.approx([0.21, 0.33, 0.62, 0.75])
    cautions = " ".join(t.get_text() for t in figure.texts).replace("\n", " ")
    assert all(line in cautions for line in CAUTIONS)
    # No writing is cut off at the figure's edge.
    width, height = figure.bbox.width, figure.bbox.height
    for text in (*above.texts, *above.get_yticklabels(), *below.get_yticklabels(), *figure.texts):
        box = text.get_window_extent()
        assert box.x0 >= 0.0
        assert box.y0 >= 0.0
        assert box.x1 <= width
        assert box.y1 <= height
