"""What a plot answers to the pointer: where its axes lie in the picture, and the values of its curves and maps.

Read from the finished figure, so that every plot answers without saying so: curves with a name in the legend (their
label), and pictures on axes as a grid of values. Draw the figure first: its layout is then settled.
"""

from __future__ import annotations

import json
import math
from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure

MOST_POINTS = 400  # of a curve; a longer one is thinned
MOST_CELLS = (24, 40)  # of a map, up and across


def readout(figure: Figure) -> str:
    """Return what a figure answers, as JSON; empty if no axes of it hold a named curve or a map."""
    found = [answer for axes in figure.axes if (answer := _axes(axes)) is not None]
    return json.dumps(found, ensure_ascii=False, separators=(",", ":"), allow_nan=False) if found else ""


def _axes(axes: Axes) -> dict[str, Any] | None:
    curves = [_curve(line) for line in axes.lines if not str(line.get_label()).startswith("_")]
    curves = [curve for curve in curves if curve is not None]
    image = axes.images[0] if axes.images else None
    if axes.name != "rectilinear" or not (curves or image is not None):
        return None
    place = axes.get_position()
    answer: dict[str, Any] = {
        "title": axes.get_title(loc="left"),
        "across": axes.get_xlabel(),
        "left": round(place.x0, 5),
        "right": round(place.x1, 5),
        "top": round(1.0 - place.y1, 5),
        "bottom": round(1.0 - place.y0, 5),
        "x": [float(v) for v in axes.get_xlim()],
        "y": [float(v) for v in axes.get_ylim()],
        "series": curves,
    }
    if image is not None:
        values = np.asarray(image.get_array(), dtype=np.float64)
        rows = np.linspace(0, values.shape[0] - 1, min(values.shape[0], MOST_CELLS[0])).round().astype(int)
        columns = np.linspace(0, values.shape[1] - 1, min(values.shape[1], MOST_CELLS[1])).round().astype(int)
        low, high, bottom, top = (float(v) for v in image.get_extent())
        answer["map"] = {
            "x": [low, high],
            "y": [bottom, top],
            "values": [[round(float(v), 3) for v in row] for row in values[np.ix_(rows, columns)]],
            "up": axes.get_ylabel() or "z, mm",
            "unit": _unit(axes),
        }
    return answer


def _unit(axes: Axes) -> str:
    """Return the unit of the figure's colour bar: after the comma of its label, up to a semicolon."""
    figure = axes.get_figure()
    bars = [] if figure is None else [a for a in figure.axes if a.get_label() == "<colorbar>"]
    return bars[0].get_ylabel().partition("\n")[0].partition(";")[0].rpartition(", ")[2] if bars else ""


def _curve(line: Any) -> dict[str, Any] | None:
    xs, ys = (np.asarray(v, dtype=np.float64) for v in line.get_data())
    if len(xs) < 2 or not (np.diff(xs) >= 0.0).all():
        return None  # a line that is no function of what runs across has no value at a pointer
    chosen = np.unique(np.linspace(0, len(xs) - 1, min(len(xs), MOST_POINTS)).round().astype(int))
    return {
        "name": " ".join(str(line.get_label()).split()),
        "xs": [round(float(v), 4) for v in xs[chosen]],
        "ys": [round(float(v), 4) if math.isfinite(v) else None for v in ys[chosen]],
    }
