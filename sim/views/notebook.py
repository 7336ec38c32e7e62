"""A judged setup in a notebook: the page in a frame, figures as a small table, plots as matplotlib axes."""

from __future__ import annotations

from dataclasses import dataclass

from markupsafe import Markup, escape
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from sim.assessment.results import CAUTIONS, Assessment
from sim.assessment.said import said
from sim.views.operation_page import operation_rows
from sim.views.plots import clearance_along_path, grip_against_speed, pressure_faces, travel_band
from sim.views.review import page
from sim.views.shape import over_turn, roundness_polar

TALL = 820  # pixels of the frame: the first screen of the page


def frame(assessment: Assessment) -> str:
    """Return the page that is handed round, in a frame of its own: its style and its script touch nothing else."""
    held = Markup(
        '<iframe srcdoc="{}" title="{}" sandbox="allow-scripts" '
        'style="width: 100%; height: {}px; border: 1px solid #999"></iframe>'
    )
    return str(held.format(page(assessment), assessment.scenario.title, TALL))


@dataclass(frozen=True, slots=True)
class FigureTable:
    """Figures of a setup as rows of (operation, what, value with unit), with its state and the cautions."""

    title: str
    said: str
    rows: tuple[tuple[str, str, str], ...]

    def _repr_html_(self) -> str:
        lines = "".join(
            f'<tr><td style="white-space: nowrap">{escape(stage)}</td>'
            f"<td>{escape(what)}</td><td>{escape(value)}</td></tr>"
            for stage, what, value in self.rows
        )
        return (
            f"<p><strong>{escape(self.title)}</strong>: {escape(self.said)}</p><table>{lines}</table>"
            f"<p><small>{escape(' '.join(CAUTIONS))}</small></p>"
        )

    def __str__(self) -> str:
        """Return the table as plain text."""
        lines = [f"{stage}: {what}: {value}" for stage, what, value in self.rows]
        return "\n".join([self.title, self.said, *lines, *CAUTIONS])


def figures(assessment: Assessment) -> FigureTable:
    """Return the figures of every operation as a table that a notebook shows."""
    rows = [(one.operation.name, *row) for one in assessment.operations for row in operation_rows(one)]
    return FigureTable(assessment.scenario.title, said(assessment), tuple(rows))


def axes(assessment: Assessment) -> dict[str, tuple[Axes, ...]]:
    """Return the axes of every plot by what it shows, as in 'grip against speed, first side'; to be added to."""
    found: dict[str, Figure | None] = {
        "travel": travel_band(assessment),
        "clearance along the boring path": clearance_along_path(assessment),
    }
    factor = assessment.scenario.limits.holding_factor
    for one in assessment.operations:
        name = one.operation.name
        found[f"grip against speed, {name}"] = grip_against_speed(one, assessment.scenario)
        found[f"pressure on the faces, {name}"] = pressure_faces(one)
        found[f"one turn, {name}"] = over_turn(one, factor)
        found[f"shape, {name}"] = roundness_polar(one)
    return {name: tuple(figure.axes) for name, figure in found.items() if figure is not None}
