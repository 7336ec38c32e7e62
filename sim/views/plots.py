"""Plots of one assessment: grip against speed, travel, clearance along the path, pressure on the faces."""

from __future__ import annotations

import math

import numpy as np
from matplotlib.axes import Axes
from matplotlib.cm import ScalarMappable
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.patches import Rectangle

from sim.assessment.figures.grip import SpeedCurve
from sim.assessment.figures.operation import OperationFigures
from sim.assessment.results import Assessment
from sim.base.arrays import Floats
from sim.base.rounding import at_most_text
from sim.base.unit_words import percent
from sim.contact import band_means
from sim.mechanics.spin import centrifugal_force
from sim.scenario import Scenario
from sim.views.colours import FAINT, INK, NEED, PAPER, PATH, body_colour
from sim.views.face_patches import smooth_pressure
from sim.views.figure import BODY, HALF, WHOLE, dress, named, new_figure, plain_axes
from sim.views.line_names import Curve, write_beside
from sim.views.pressure_scale import colour_map, norm, top_of

CLEARANCE_SHOWN = 12.0  # mm; farther is not drawn to scale
FALLEN = 0.25  # of the highest: lower down the curves of a falling grip run together
_MARKERS = "osD^vPX*<>"
_ROW = 0.1  # of the plot's height, a row of words over the curves


def grip_against_speed(figures: OperationFigures, scenario: Scenario) -> Figure:
    """Return total grip and what the cuts need, over speed, with the speeds that bound it."""
    curve, grip = figures.grip.curve, figures.grip
    factor = scenario.limits.holding_factor
    figure = new_figure(HALF, 3.8)
    axes = plain_axes(figure, across="spindle speed, rev/min", up="total grip, kN")
    axes.plot(curve.speeds, curve.grip / 1000.0, color=PATH, lw=2.4, label="grip left, as judged")
    stiff = grip_by_stiffness(figures)
    if stiff is not None:
        words = "by the stiffnesses"
        axes.plot(curve.speeds, stiff / 1000.0, color=PATH, lw=1.4, ls=(0, (6, 2)), label=words)
    asked, once = factor * curve.needed / 1000.0, curve.needed / 1000.0
    axes.plot(curve.speeds, asked, color=NEED, lw=2.0, label=f"needed, {factor:g} times")
    axes.plot(curve.speeds, once, color=NEED, lw=1.2, ls=(0, (4, 3)), label="needed, once")
    low, high = figures.operation.gripping.speed_low, figures.operation.gripping.speed_high
    axes.axvspan(low, high, color=PATH, alpha=0.10, lw=0)
    highest = max(curve.grip.max(), factor * curve.needed.max(), 0.0 if stiff is None else stiff.max())
    top = 1.06 * float(highest) / 1000.0
    far = float(curve.speeds.max())
    limits = grip.permissible
    lines = [
        (limits.by_cutting, "permissible, VDI 3106"),
        (limits.by_loss, "two thirds of grip lost"),
        (limits.marked, "marked on the chuck"),
        (high, "highest of the operation"),
    ]
    _speed_lines(axes, [(x, text) for x, text in lines if math.isfinite(x)], far, top)
    _name_curves(axes, curve, stiff, factor, top, [x for x, _ in lines if math.isfinite(x)])
    if stiff is not None:
        figure.supxlabel(_share_text(figures), x=0.01, ha="left", fontsize=BODY - 1.5, color=INK)
    return figure


def _name_curves(
    axes: Axes, curve: SpeedCurve, stiff: Floats | None, factor: float, top: float, upright: list[float]
) -> None:
    """Write each curve's name beside it; `top` (kN) is that of all curves, `upright` the speeds of upright lines."""
    once = curve.needed / 1000.0
    far = float(curve.speeds.max())
    low = float(once[-1]) < 0.08 * top  # no room under it
    words = f"needed, {factor:g} times" + ("\n(broken: once)" if low else "")
    curves = [
        Curve(np.column_stack([curve.speeds, factor * once]), words, NEED),
        Curve(np.column_stack([curve.speeds, once]), "" if low else "needed, once", NEED),
        Curve(np.column_stack([curve.speeds, curve.grip / 1000.0]), "grip left", PATH, FALLEN * top),
        *(Curve(np.array([[x, 0.0], [x, top]])) for x in upright if x <= far),
    ]
    if stiff is not None:
        words = "by the stiffnesses"
        curves.append(Curve(np.column_stack([curve.speeds, stiff / 1000.0]), words, PATH, FALLEN * top))
    write_beside(axes, curves, top)


def _share_text(figures: OperationFigures) -> str:
    """Say which share of the centrifugal force the stiffnesses give."""
    span, share = figures.clamping.loss_share_range, figures.clamping.loss_share_by_stiffness
    unstated = (
        ""
        if span is None
        else f";\n{percent(span[0])} to {percent(span[1])} as the drive, not stated, may be stiff"
    )
    return f"by the stiffnesses, not counted: {percent(share)} of the centrifugal force{unstated}"


def grip_by_stiffness(figures: OperationFigures) -> Floats | None:
    """Return the total grip (N) over the curve's speeds with the share lost, or gained inside, that stiffnesses give.

    None where that share was not found.
    """
    share, grip = figures.clamping.loss_share_by_stiffness, figures.grip
    if not math.isfinite(share):
        return None
    sign = -1.0 if figures.operation.gripping.direction == "outside" else 1.0
    pulls = np.array([3.0 * centrifugal_force(grip.centrifugal_moment, float(n)) for n in grip.curve.speeds])
    return np.maximum(grip.rest_total + sign * share * pulls, 0.0)


def _speed_lines(axes: Axes, lines: list[tuple[float, str]], far: float, top: float) -> None:
    """Draw vertical lines up to rows of words over the curves, one row for each, so that none cross."""
    shown = [(speed, text) for speed, text in sorted(lines) if speed <= far]
    row = _ROW * top
    for number, (speed, name) in enumerate(shown):
        text = f"{name}, {at_most_text(speed, 0)}"
        height = top + row * (len(shown) - number - 0.5)
        axes.plot([speed, speed], [0.0, height], color=INK, lw=1.0, ls=(0, (1, 2)), zorder=1)
        left = speed > 0.55 * far
        axes.annotate(
            text, (speed, height), xytext=(-5 if left else 5, 0), textcoords="offset points",
            ha="right" if left else "left", va="center", fontsize=BODY - 0.5, color=INK, zorder=5,
        )  # fmt: skip
    axes.set_xlim(0.0, far)
    axes.set_ylim(0.0, top + row * len(shown))


def travel_band(assessment: Assessment) -> Figure:
    """Return the stroke with its reserves, where the jaws are bored and where each operation grips."""
    scenario = assessment.scenario
    stroke, reserve = scenario.chuck.stroke, scenario.limits.stroke_reserve * scenario.chuck.stroke
    operations = assessment.operations
    figure = new_figure(WHOLE, 1.35 + 0.42 * len(operations))
    axes = plain_axes(figure, across="travel of the jaws, mm (0: loading position)")
    rows = len(operations) + 1
    axes.add_patch(Rectangle((0.0, 0.0), stroke, rows, fc=body_colour("soft jaw"), ec="none", alpha=0.35))
    for start in (0.0, stroke - reserve):
        axes.add_patch(
            Rectangle((start, 0.0), reserve, rows, fc="none", ec=FAINT, hatch="////", lw=0.0, alpha=0.9)
        )
    travel = scenario.boring.travel
    axes.plot([travel, travel], [0.0, rows], color=INK, lw=1.2, ls=(0, (4, 3)))
    _bar(axes, rows - 0.5, travel, travel, f"{travel:.2f}", stroke)
    for number, figures in enumerate(operations):
        band = figures.travel
        words = f"{band.first:.2f} to {band.last:.2f}"
        _bar(axes, rows - 1.5 - number, band.first, band.last, words, stroke)
    axes.set_yticks(
        [rows - 0.5 - k for k in range(rows)],
        ["bored at", *(named(f"{f.operation.name}: grips at") for f in operations)],
    )
    axes.tick_params(axis="y", length=0)
    axes.spines["left"].set_visible(False)
    low = min(0.0, *(f.travel.first for f in operations))
    high = max(stroke, *(f.travel.last for f in operations))
    axes.set_xlim(low - 0.03 * stroke, high + 0.03 * stroke)
    axes.set_ylim(0.0, rows)
    axes.text(0.5 * reserve, rows + 0.06, "reserve", ha="center", va="bottom", fontsize=BODY - 1.0, color=INK)
    axes.text(
        stroke - 0.5 * reserve,
        rows + 0.06,
        "reserve",
        ha="center",
        va="bottom",
        fontsize=BODY - 1.0,
        color=INK,
    )
    return figure


def _bar(axes: Axes, row: float, low: float, high: float, words: str, stroke: float) -> None:
    """Draw a band from low to high with round ends, so that a narrow one is seen, and its figures beside it."""
    axes.plot([low, high], [row, row], color=PATH, lw=9.0, solid_capstyle="round", zorder=4)
    right = high < 0.62 * stroke
    axes.annotate(
        words, (high if right else low, row), xytext=(11 if right else -11, 0), textcoords="offset points",
        ha="left" if right else "right", va="center", fontsize=BODY, color=INK, zorder=5,
        bbox={"fc": PAPER, "ec": "none", "pad": 1.2, "alpha": 0.85},
    )  # fmt: skip


def clearance_along_path(assessment: Assessment) -> Figure | None:
    """Return the clearance of every move, what it is nearest to, and the required line; None without moves."""
    result = assessment.boring.clearance
    count = len(result.clearance)
    if count == 0:
        return None
    figure = new_figure(WHOLE, 3.9)
    axes = plain_axes(figure, across="move of the boring path", up="least clearance, mm")
    moves = np.arange(1, count + 1)
    shown = np.minimum(result.clearance, CLEARANCE_SHOWN)
    rapid = np.array([move.kind == "rapid" for move in assessment.boring.moves])
    axes.plot(moves, shown, color=FAINT, lw=0.9, zorder=1, label="least clearance, mm")
    bodies = list(dict.fromkeys(body for body in result.body if body))
    handles = []
    for number, body in enumerate(bodies):
        marker, colour = _MARKERS[number % len(_MARKERS)], body_colour(body)
        here = np.array([name == body for name in result.body])
        for kind, face in ((~rapid, colour), (rapid, PAPER)):
            at = here & kind
            axes.plot(
                moves[at], shown[at], ls="none", marker=marker, ms=6.5, mfc=face, mec=INK, mew=0.9, zorder=3
            )
        handles.append(
            Line2D(
                [], [], ls="none", marker=marker, ms=7, mfc=colour, mec=INK, mew=0.9, label=f"nearest: {body}"
            )
        )
    touched = result.clearance <= 0.0
    if touched.any():
        axes.plot(moves[touched], shown[touched], ls="none", marker="x", ms=10, mec=NEED, mew=2.2, zorder=4)
        handles.append(Line2D([], [], ls="none", marker="x", ms=9, mec=NEED, mew=2.2, label="touch"))
    handles.append(
        Line2D([], [], ls="none", marker="o", ms=7, mfc=PAPER, mec=INK, label="open symbol: rapid")
    )
    required = Line2D([], [], color=NEED, lw=1.8, label=f"required, {result.required:g} mm")
    axes.axhline(result.required, color=NEED, lw=1.8, zorder=2)
    axes.set_ylim(-0.4, CLEARANCE_SHOWN + 0.4)
    axes.set_xlim(0.0, count + 1.0)
    ticks = np.arange(0.0, CLEARANCE_SHOWN + 0.1, 2.0)
    axes.set_yticks(ticks, [*(f"{t:g}" for t in ticks[:-1]), f"{CLEARANCE_SHOWN:g} or more"])
    figure.legend(
        handles=[required, *handles], loc="outside right upper", frameon=False, fontsize=BODY, labelcolor=INK
    )
    return figure


def pressure_faces(figures: OperationFigures) -> Figure:
    """Return the contact pressure on the three faces, unrolled: width across, height up, to one scale."""
    contact = figures.clamping.pressure
    grid = contact.grid
    angles = np.linspace(grid.angle_edges_rad[0], grid.angle_edges_rad[-1], 81)
    heights = np.linspace(grid.height_edges_mm[0], grid.height_edges_mm[-1], 49)
    pressures = smooth_pressure(contact, angles, heights)
    means = band_means(contact)
    top = top_of(means)
    figure = new_figure(WHOLE, 2.9)
    panels = figure.subplots(1, 3, sharey=True)
    degrees = np.degrees(angles)
    for jaw, axes in enumerate(panels):
        title = f"jaw {jaw + 1}, {contact.grip_n[jaw] / 1000.0:.1f} kN"
        dress(axes, title, "deg off the jaw's middle", "z, mm" if jaw == 0 else "")
        axes.set_facecolor(body_colour("soft jaw"))  # as the page's faces where nothing touches
        axes.imshow(
            np.ma.masked_less_equal(pressures[jaw], 1e-6 * top), origin="lower", aspect="auto", cmap=colour_map(),
            norm=norm(top),
            extent=(degrees[0], degrees[-1], heights[0], heights[-1]), interpolation="bilinear",
        )  # fmt: skip
    bar = figure.colorbar(
        ScalarMappable(norm(top), colour_map()),
        ax=list(panels),
        pad=0.015,
        aspect=14,
        extend="max" if means.max() > top else "neither",
    )
    bar.outline.set_visible(False)
    bar.ax.tick_params(labelsize=BODY, colors=INK)
    sizes = f"largest {float(means.max()):.0f} of the middle size,\n{figures.clamping.band_peak:.0f} of the worst size"
    bare = "; grey: no contact" if (pressures <= 1e-6 * top).any() else ""
    bar.set_label(f"contact pressure, MPa{bare};\n{sizes}", fontsize=BODY - 1.0, color=INK)
    return figure
