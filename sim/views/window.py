"""Pressure against speed as a map with labelled borders, and grip height against pressure beside it."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
from matplotlib.artist import Artist
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.patches import Patch

from sim.assessment.verdicts.grip import GRIP_AT_REST
from sim.assessment.verdicts.rule import MET
from sim.base.arrays import Flags, Floats
from sim.base.rounding import margin_text
from sim.layouts.criteria import Criterion
from sim.layouts.grip_height import GripHeight
from sim.layouts.window import Window, WindowPoint, least_margin
from sim.views.colours import FAINT, INK, NEED, PAPER, PATH
from sim.views.figure import BODY, WHOLE, cautions_below, dress, new_figure
from sim.views.line_names import Labels

BAR = 10.0  # bar in one MPa
SIZE = (WHOLE, 6.4)
MARGINS = (1.0, 1.25, 1.5, 2.0, 3.0, 1e9)  # shades of the window
SHADES = ("#dbe7ef", "#c3d8e5", "#a9c7d9", "#8db4cb", "#6f9fbc")
ZOOM = 1.8  # times the highest pressure or speed of interest, where that lies far below the limit
_MORE = {GRIP_AT_REST.key: " (VDI 3106)"}  # said behind a criterion's name
_LINES = ("solid", (0, (6, 2)), (0, (2, 2)), (0, (6, 2, 1, 2)), (0, (1, 1)), (0, (8, 2, 2, 2, 2, 2)))


def window_figure(shown: Window, height: GripHeight | None) -> Figure:
    """Return the map of pressure against speed and, for an operation, the plot of pressure against grip height."""
    figure = new_figure(*SIZE)
    if height is None:
        _map(figure.subplots(), shown)
    else:
        left, right = figure.subplots(1, 2, width_ratios=(1.75, 1.0))
        _map(left, shown)
        _heights(right, height)
    cautions_below(figure)
    return figure


def _map(axes: Axes, shown: Window) -> None:
    dress(axes, f"{shown.operation}: pressure and speed", "highest spindle speed, rev/min", "pressure, bar")
    speeds, bars = shown.speeds, BAR * shown.pressures
    least = least_margin(shown.criteria)
    axes.contourf(speeds, bars, least, levels=MARGINS, colors=SHADES, zorder=1)
    axes.set_xlim(float(speeds[0]), _fastest(shown, least))
    axes.set_ylim(0.0, _top(shown, least))
    labels = Labels(axes)
    for point in (shown.stated, shown.recommended):
        if point is not None:
            labels.keep_clear(point.speed, BAR * point.pressure)
    drawn = [c for c in shown.criteria if c.margin.min() < MET < c.margin.max()]
    for number, criterion in enumerate(drawn):
        _border(axes, shown, criterion, _LINES[number % len(_LINES)], labels)
    axes.axhline(float(bars[-1]), color=NEED, lw=1.8, zorder=3)
    along, highest = np.linspace(speeds[0], speeds[-1], 50), np.full(50, bars[-1])
    labels.write(np.column_stack([along, highest]), "pressure limit")
    handles: list[Artist] = [_point_handle(axes, shown, shown.stated, "o", "as stated")]
    if shown.recommended is not None:
        handles.append(_point_handle(axes, shown, shown.recommended, "D", "recommended"))
    else:
        handles.append(Line2D([], [], ls="none", label=_closed(shown)))
    names = [f"{MARGINS[k]:g} to {MARGINS[k + 1]:g}" for k in range(len(SHADES) - 1)]
    words = [f"margin {name}" for name in [*names, f"over {MARGINS[-2]:g}"]]
    handles += [
        Patch(fc=colour, ec=FAINT, lw=0.4, label=text) for colour, text in zip(SHADES, words, strict=True)
    ]
    look: dict[str, Any] = {"loc": "upper left", "frameon": False, "fontsize": BODY, "labelcolor": INK}
    points = axes.legend(handles=handles[: -len(SHADES)], bbox_to_anchor=(-0.02, -0.13), **look)
    further = sum(str(one.get_label()).count("\n") for one in handles)
    below = (-0.02, -0.27 - 0.05 * further)
    axes.legend(handles=handles[-len(SHADES) :], bbox_to_anchor=below, ncols=3, **look)
    axes.add_artist(points)


def _closed(shown: Window) -> str:
    """Say why there is no window, or no point in it to be named."""
    if shown.dropped:
        return "recommended point not confirmed by the full check"
    nowhere = [c.name for c in shown.criteria if not c.soft and c.margin.max() < MET]
    return (
        f"no window: {', '.join(nowhere)} met nowhere" if nowhere else "no window: no place keeps all at once"
    )


def _top(shown: Window, least: Floats) -> float:
    """Return the highest pressure drawn, bar: the limit, or less where window and stated point lie far below."""
    open_ = BAR * shown.pressures[(least >= 1.0).any(axis=1)]
    wanted = ZOOM * max(float(open_.max(initial=0.0)), BAR * shown.stated.pressure)
    return min(1.06 * BAR * float(shown.pressures[-1]), wanted)


def _fastest(shown: Window, least: Floats) -> float:
    """Return the highest speed drawn, rev/min: the grid's, or less where window and stated point lie far below."""
    open_ = shown.speeds[(least >= 1.0).any(axis=0)]
    return min(float(shown.speeds[-1]), ZOOM * max(float(open_.max(initial=0.0)), shown.stated.speed))


def _border(axes: Axes, shown: Window, criterion: Criterion, style: object, labels: Labels) -> None:
    """Draw where a criterion is just met: heavy where it ends the window, thin elsewhere; and say its name."""
    others = [c for c in shown.criteria if c is not criterion and not c.soft]
    lines = axes.contour(
        shown.speeds, BAR * shown.pressures, criterion.margin, levels=[1.0],
        colors=[FAINT if criterion.soft else NEED], linewidths=1.1, linestyles=[style], zorder=3,
    )  # fmt: skip
    paths = [np.asarray(p, dtype=np.float64) for p in lines.get_paths()[0].to_polygons(closed_only=False)]
    points = np.vstack([_dense(path) for path in paths if len(path) > 1] or [np.zeros((0, 2))])
    if not len(points):
        return
    ends = _ends_window(points, shown, others) & (not criterion.soft)
    if ends.any():
        heavy = np.where(ends[:, None], points, np.nan)
        axes.plot(heavy[:, 0], heavy[:, 1], color=NEED, lw=3.0, zorder=4, solid_capstyle="butt")
    name = criterion.name + _MORE.get(criterion.verdict, "") + (" (warns)" if criterion.soft else "")
    labels.write(points[ends] if ends.sum() > 20 else points, name)


def _dense(line: Floats) -> Floats:
    """Return a line with many points, evenly along it."""
    steps = np.hypot(*(np.diff(line, axis=0) / np.ptp(line, axis=0).clip(1e-9)).T)
    along = np.concatenate([[0.0], np.cumsum(steps)])
    at = np.linspace(0.0, along[-1], 400)
    return np.column_stack([np.interp(at, along, line[:, k]) for k in (0, 1)])


def _ends_window(points: Floats, shown: Window, others: list[Criterion]) -> Flags:
    """Tell which points of a border lie where everything else holds."""
    from scipy.interpolate import RegularGridInterpolator

    least = least_margin(tuple(others)) if others else np.full((len(shown.pressures), len(shown.speeds)), 2.0)
    inside = RegularGridInterpolator(
        (BAR * shown.pressures, shown.speeds), least, bounds_error=False, fill_value=None
    )
    return np.asarray(inside(points[:, ::-1]) >= 1.0 - 1e-3, dtype=bool)


def _point_handle(axes: Axes, shown: Window, point: WindowPoint, marker: str, words: str) -> Line2D:
    """Mark a point and return its line for the legend."""
    look: dict[str, Any] = {"marker": marker, "ms": 8.0, "mfc": PAPER, "mec": INK, "mew": 1.6, "ls": "none"}
    axes.plot([point.speed], [BAR * point.pressure], zorder=8, **look)
    where = f"{words}: {BAR * point.pressure:.1f} bar, {point.speed:.0f} rev/min"
    missed = "outside" if shown.warns_only else "fails"
    if point.margin < MET:
        return Line2D(
            [],
            [],
            label=f"{where}: {missed}, {point.least} ({margin_text(point.margin, missed=True)})",
            **look,
        )
    warns = f"\nwarns: {', '.join(point.warns)}" if point.warns else ""  # beside it stands the other legend
    return Line2D([], [], label=f"{where}: margin {point.margin:.2f} ({point.least}){warns}", **look)


def _heights(axes: Axes, shown: GripHeight) -> None:
    dress(axes, "Grip height and pressure", "grip height above the serrated plane, mm", "pressure, bar")
    limit = BAR * shown.limit
    top = 1.15 * limit
    ceiling = np.nanmin(
        [np.full(shown.heights.shape, limit), _bars(shown.by_moment, top), _bars(shown.by_grip, top)], axis=0
    )
    needed = _bars(shown.needed, math.inf)
    axes.fill_between(
        shown.heights,
        needed,
        ceiling,
        where=needed <= ceiling,
        color=SHADES[1],
        lw=0,
        zorder=1,
        interpolate=True,
        label="grip and chuck keep theirs (part, jaw not asked)",
    )
    axes.plot(
        shown.heights, BAR * shown.needed, color=PATH, lw=2.2, label="needed at the highest speed (VDI 3106)"
    )
    axes.plot(shown.heights, BAR * shown.by_moment, color=NEED, lw=2.0, label="guideway moment")
    if np.isfinite(shown.by_grip).any():
        axes.plot(
            shown.heights,
            BAR * shown.by_grip,
            color=NEED,
            lw=1.4,
            ls=(0, (5, 2)),
            label="largest grip of the chuck",
        )
    axes.axhline(limit, color=NEED, lw=1.2, ls=(0, (1, 1.5)), label="pressure limit")
    axes.plot(
        [shown.height],
        [BAR * shown.pressure],
        "o",
        ms=8,
        mfc=PAPER,
        mec=INK,
        mew=1.6,
        zorder=5,
        label="as stated",
    )
    axes.set_xlim(float(shown.heights[0]), float(shown.heights[-1]))
    axes.set_ylim(0.0, top)
    axes.legend(
        loc="upper center",
        bbox_to_anchor=(0.45, -0.13),
        ncols=1,
        frameon=False,
        fontsize=BODY,
        labelcolor=INK,
    )


def _bars(pressures: Floats, missing: float) -> Floats:
    return np.where(np.isnan(pressures), missing, BAR * pressures)
