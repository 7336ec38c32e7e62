"""Gauge readings and the chuck that explains them: force against pressure and against speed, residuals."""

from __future__ import annotations

from pathlib import Path

import numpy as np
from matplotlib.artist import Artist
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.patches import Patch
from numpy.typing import NDArray

from sim.assessment.results import CAUTIONS
from sim.base.arrays import Flags, Floats
from sim.base.files import write_whole
from sim.readings import LEAST_SPAN, Fitted
from sim.views.colours import FAINT, INK, NEED, PATH
from sim.views.figure import BODY, as_png, dress, new_figure

_MARKERS = "osD^vPX"
_KILO = 1000.0


def write_fit(found: Fitted, path: Path) -> Path:
    """Write the plot as PNG.

    Raises
    ------
    OutputError
        If the place cannot be written.
    """
    return write_whole(path, as_png(fit_figure(found)))


def fit_figure(found: Fitted) -> Figure:
    """Return readings over the fit, and what is left."""
    setup = found.gauged
    turned = setup.readings.speed > 0.0
    figure = new_figure(10.5, 5.2 if turned.any() else 4.2)
    panels = figure.subplots(1, 3 if turned.any() else 2)
    _over_pressure(panels[0], found)
    if turned.any():
        _over_speed(panels[1], found)
    _residuals(panels[-1], found)
    groups = _groups(setup.readings.height)
    handles: list[Artist] = [_dot(k, f"reading at {name} height") for k, (name, _) in enumerate(groups)]
    handles.append(Line2D([], [], color=PATH, lw=2.0, label="fit"))
    handles.append(
        Line2D(
            [],
            [],
            color=NEED,
            lw=1.4,
            ls=(0, (4, 3)),
            label="expected: the scenario's chuck; the whole centrifugal force",
        )
    )
    handles.append(
        Patch(
            fc=PATH,
            alpha=0.15,
            label="95\u00a0% bounds of the loss by speed; two standard deviations of a reading",
        )
    )
    figure.legend(
        handles=handles, loc="outside lower center", ncols=2, frameon=False, fontsize=BODY, labelcolor=INK
    )
    cautions = f"{' '.join(CAUTIONS[:2])}\n{CAUTIONS[2]}\n{' '.join(CAUTIONS[3:])}"
    figure.suptitle(cautions, fontsize=BODY, color=INK, x=0.01, ha="left")
    return figure


def _dot(k: int, label: str = "") -> Line2D:
    return Line2D(
        [], [], ls="", marker=_MARKERS[k % len(_MARKERS)], ms=6, mfc="none", mec=INK, mew=1.2, label=label
    )


def _groups(height: Floats) -> list[tuple[str, NDArray[np.intp]]]:
    """Return readings at about one height together, at most as many groups as there are marks, heights in words."""
    order = np.argsort(height, kind="stable")
    width = max(LEAST_SPAN, 1.001 * float(np.ptp(height)) / len(_MARKERS))
    found: list[list[int]] = []
    for row in order:
        if not found or height[row] - height[found[-1][0]] >= width:
            found.append([])
        found[-1].append(int(row))
    return [(_heights(height[rows]), np.array(rows)) for rows in found]


def _heights(height: Floats) -> str:
    low, high = f"{height.min():.3g}", f"{height.max():.3g}"
    return f"{low} mm" if low == high else f"{low} to {high} mm"


def _marks(axes: Axes, found: Fitted, x: Floats, y: Floats, shown: Flags) -> None:
    for k, (_, rows) in enumerate(_groups(found.gauged.readings.height)):
        chosen = rows[shown[rows]]
        axes.plot(
            x[chosen],
            y[chosen],
            ls="",
            marker=_MARKERS[k % len(_MARKERS)],
            ms=6,
            mfc="none",
            mec=INK,
            mew=1.2,
        )


def _over_pressure(axes: Axes, found: Fitted) -> None:
    """Draw force at rest: readings at speed are set back by what the fit says that speed has changed."""
    setup, readings = found.gauged, found.gauged.readings
    dress(axes, "At rest", "pressure, bar", "force per jaw, kN")
    bar = 10.0 * readings.pressure
    at_rest = readings.force - found.loss.value * setup.centrifugal
    _marks(axes, found, bar, at_rest / _KILO, readings.speed == readings.speed.min())
    fit = setup.shares(found.friction.value)[setup.place] * found.scale.value
    stated = setup.shares(setup.stated_friction)[setup.place] * setup.stated_scale
    for _, rows in _groups(readings.height):
        middle = rows[len(rows) // 2]  # a group may be of several heights: its middle one stands for it
        order = rows[np.argsort(bar[rows])]
        across, pull = [0.0, *bar[order]], setup.pull[order] / _KILO
        axes.plot(across, [0.0, *(pull * fit[middle])], color=PATH, lw=2.0)
        axes.plot(across, [0.0, *(pull * stated[middle])], color=NEED, lw=1.4, ls=(0, (4, 3)))
    axes.set_xlim(0.0, None)
    axes.set_ylim(0.0, None)


def _over_speed(axes: Axes, found: Fitted) -> None:
    """Draw what speed changes: each reading less the fit's force at rest."""
    setup, readings = found.gauged, found.gauged.readings
    dress(axes, "By speed", "spindle speed, rev/min", "change of force per jaw, kN")
    rest = found.predicted - found.loss.value * setup.centrifugal
    _marks(axes, found, readings.speed, (readings.force - rest) / _KILO, np.ones(readings.count, dtype=bool))
    top = int(np.argmax(readings.speed))
    speeds = np.linspace(0.0, readings.speed[top], 60)
    full = setup.centrifugal[top] * (speeds / readings.speed[top]) ** 2 / _KILO
    axes.fill_between(speeds, found.loss.low * full, found.loss.high * full, color=PATH, alpha=0.15, lw=0)
    axes.plot(speeds, found.loss.value * full, color=PATH, lw=2.0)
    axes.plot(speeds, full, color=NEED, lw=1.4, ls=(0, (4, 3)))


def _residuals(axes: Axes, found: Fitted) -> None:
    readings = found.gauged.readings
    dress(
        axes,
        "What is left",
        "force per jaw by the fit, kN",
        "reading less fit, kN",
    )
    band = 2.0 * found.scatter / _KILO
    axes.axhspan(-band, band, color=PATH, alpha=0.12, lw=0)
    axes.axhline(0.0, color=FAINT, lw=1.0)
    _marks(axes, found, found.predicted / _KILO, found.residual / _KILO, np.ones(readings.count, dtype=bool))
    far = np.abs(found.residual) / _KILO > 1.5 * band
    for row in np.flatnonzero(far):
        axes.annotate(
            f"line {readings.line[row]}", (found.predicted[row] / _KILO, found.residual[row] / _KILO),
            xytext=(6, 0), textcoords="offset points", fontsize=BODY - 1.0, color=INK, va="center",
        )  # fmt: skip
