"""An assessment in a notebook: its page in a frame, a table, axes; and the example, cell by cell."""

from __future__ import annotations

import ast
import html
import json
import re
from pathlib import Path
from typing import Any

import matplotlib.axes
import numpy as np
import pytest

from sim.assessment.results import CAUTIONS, Assessment
from sim.views import render
from sim.views.notebook import axes, figures, frame

EXAMPLE = Path("scenarios") / "notebooks" / "hub.ipynb"


@pytest.fixture(autouse=True)
def without_driver(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(render, "_trial", lambda: "no driver here")


def test_the_frame_holds_the_page_and_nothing_of_it_leaks(blocked: Assessment) -> None:
    shown = blocked._repr_html_()
    frame_of = r'<iframe srcdoc="([^"]*)" title="[^"]*" sandbox="allow-scripts" style="[^"]*"></iframe>'
    found = re.fullmatch(frame_of, shown)
    assert found is not None
    page = html.unescape(found[1])
    assert page.startswith("<!doctype html>")
    assert page.rstrip().endswith("</html>")
    assert "Do not run" in page
    assert all(caution in page for caution in CAUTIONS)
    assert shown == frame(blocked)


def test_the_table_is_text_and_its_names_no_markup(blocked: Assessment) -> None:
    table = figures(blocked)
    grip = blocked.operations[0].grip
    assert (blocked.operations[0].operation.name, "grip at rest") in [row[:2] for row in table.rows]
    shown = table._repr_html_()
    assert f"{grip.rest_total / 1000.0:.1f} kN in all" in shown
    assert "Do not run" in shown
    assert all(html.escape(caution) in shown for caution in CAUTIONS)
    assert "<b>" not in type(table)("<b>", "", (("<b>", "<b>", "<b>"),))._repr_html_()
    assert "grip at rest" in str(table)


def test_plots_are_axes_with_the_figures_on_them(blocked: Assessment) -> None:
    found = axes(blocked)
    assert all(isinstance(one, matplotlib.axes.Axes) for several in found.values() for one in several)
    curve = blocked.operations[0].grip.curve
    name = blocked.operations[0].operation.name
    line = found[f"grip against speed, {name}"][0].lines[0]
    assert np.allclose(np.asarray(line.get_ydata()), curve.grip / 1000.0)


def _run(cells: list[dict[str, Any]]) -> dict[str, Any]:
    """Run the code of cells one after the other; what a cell ends with is shown as a notebook would."""
    names: dict[str, Any] = {}
    for cell in cells:
        if cell["cell_type"] != "code":
            continue
        body = ast.parse("".join(cell["source"])).body
        last = body.pop() if body and isinstance(body[-1], ast.Expr) else None
        exec(compile(ast.Module(body, []), "cell", "exec"), names)  # noqa: S102  (our own example)
        if isinstance(last, ast.Expr):
            shown = eval(compile(ast.Expression(last.value), "cell", "eval"), names)  # noqa: S307
            told = getattr(shown, "_repr_html_", lambda: None)()
            assert told is None or all(html.escape(caution) in told for caution in CAUTIONS)
    return names


def test_the_example_runs(root: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    book = json.loads((root / EXAMPLE).read_text(encoding="utf-8"))
    assert (book["nbformat"], {cell["cell_type"] for cell in book["cells"]}) == (4, {"markdown", "code"})
    assert all(
        cell["outputs"] == [] for cell in book["cells"] if cell["cell_type"] == "code"
    )  # nothing stale in it
    monkeypatch.chdir((root / EXAMPLE).parent)
    names = _run(book["cells"])
    assert names["lower"].operations[0].grip.rest_total < names["assessment"].operations[0].grip.rest_total
