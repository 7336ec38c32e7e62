"""Plots of the clamped part: its shape around the turn; grip and holding factor over one turn."""

from __future__ import annotations

import math
from typing import cast

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.projections.polar import PolarAxes

from sim.assessment.figures.operation import OperationFigures
from sim.base.arrays import Floats
from sim.contact.face import JAW_ANGLES_RAD
from sim.contact.shape import without_position
from sim.views.colours import FAINT, INK, NEED, PATH, body_colour
from sim.views.figure import BODY, HALF, dress, named, new_figure
from sim.views.line_names import Curve, write_beside

_CIRCLES = {"bore": 2.0, "outside": 4.0}  # radii at which the round circles are drawn
_LARGEST = 0.8  # at which the largest deviation is drawn
_RIM = 5.2
_MOST = 20.0  # largest holding factor drawn
_LINES = ("-", (0, (6, 2)), (0, (1.5, 1.5)))


def roundness_polar(figures: OperationFigures) -> Figure | None:
    """Return the deviation from round of bore and outside as a polar plot; None without finite elements.

    Each about its own round circle: as clamped, a thin broken line; as it springs back when it was cut true while
    clamped, a bold one, its mirror image about the circle. Position and size are taken out (harmonics 0 and 1).
    """
    shape = figures.clamping.shape
    if shape is None:
        return None
    named = {name.split(" at ")[0]: k for k, name in enumerate(figures.clamping.surfaces) if " at " in name}
    deviation = {name: 1e3 * without_position(shape.moved_mm[k, 0]) for name, k in named.items()}
    largest = max(*(float(np.abs(d).max()) for d in deviation.values()), 0.1)
    figure = new_figure(HALF, 5.4)
    axes = cast("PolarAxes", figure.add_subplot(projection="polar"))
    axes.set_theta_zero_location("N")
    for angle in JAW_ANGLES_RAD:
        axes.bar(angle, 0.9, width=0.5, bottom=_RIM - 0.25, color=body_colour("soft jaw"), zorder=0)
    turn = np.append(shape.angles_rad, 2.0 * math.pi)
    for name, along in deviation.items():
        circle, wave = _CIRCLES[name], np.append(along, along[0]) * _LARGEST / largest
        axes.plot(turn, np.full(turn.size, circle), color=FAINT, lw=1.0)
        axes.plot(turn, circle - wave, color=PATH, lw=2.6, label=f"{name} after release")
        axes.plot(turn, circle + wave, color=PATH, lw=1.1, ls=(0, (4, 3)), label=f"{name} while clamped")
    for jaw, angle in enumerate(JAW_ANGLES_RAD):
        axes.annotate(
            f"jaw {jaw + 1}", (angle, _RIM + 0.2), ha="center", va="center", fontsize=BODY, color=INK
        )
    _scale(axes, largest)
    axes.set_rlim(0.0, _RIM + 0.7)
    axes.set_xticks([])
    axes.set_yticks([])
    axes.spines["polar"].set_visible(False)
    axes.set_facecolor("none")
    judged = figures.clamping.surfaces[0].split(" at ")[0]
    # Below the plot: on it they would lie on the curves.
    rings = {name: f"{name} {np.ptp(along):.1f} µm" for name, along in deviation.items()}
    places = {"outside": "outer", "bore": "inner"} if len(rings) > 1 else {}
    told = "; ".join(f"{places[name]} ring: {rings[name]}" for name in places) or next(iter(rings.values()))
    handles = [
        Line2D([], [], color=PATH, lw=2.6, label="after release"),
        Line2D([], [], color=PATH, lw=1.1, ls=(0, (4, 3)), label="while clamped"),
    ]
    figure.legend(
        handles=handles, loc="outside lower center", frameon=False, fontsize=BODY, labelcolor=INK, ncols=2,
        title=f"{told}\npart of middle size; {judged} of the worst size: {figures.roundness:.1f} µm",
        title_fontsize=BODY,
    )  # fmt: skip
    return figure


def _scale(axes: PolarAxes, largest: float) -> None:
    """Draw the length that stands for the largest deviation, in the middle of the part."""
    half = 0.5 * _LARGEST
    for angle in (-0.5 * math.pi, 0.5 * math.pi):
        axes.plot([angle, angle], [0.0, half], color=INK, lw=2.0, solid_capstyle="butt")
    axes.annotate(f"{largest:.3g} µm", (math.pi, 0.45), ha="center", va="center", fontsize=BODY, color=INK)


def over_turn(figures: OperationFigures, required: float) -> Figure:
    """Return what one turn of the spindle does: grip of each jaw under the worst cut, holding factor of every cut.

    Parameters
    ----------
    required : float
        Holding factor wanted.
    """
    turn = figures.clamping.revolution
    figure = new_figure(HALF, 5.4 if turn is not None else 3.0)
    panels: list[Axes] = list(figure.subplots(2 if turn is not None else 1, squeeze=False)[:, 0])
    if turn is not None:
        dress(panels[0], "", "spindle angle, deg (0: the load pushes straight off jaw 1)", "grip, kN")
        for jaw in range(3):
            _round(panels[0], turn.angles_rad, turn.grip_n[:, jaw] / 1000.0, jaw, f"jaw {jaw + 1}")
            _name_jaw(panels[0], np.degrees(turn.angles_rad), turn.grip_n / 1000.0, jaw)
    dress(panels[-1], "", "spindle angle, deg (0: jaw 1 at the tool)", "holding factor")
    for number, held in enumerate(figures.holdings):
        factors = np.minimum(held.turn.factors, _MOST)
        _round(panels[-1], held.turn.angles, factors, number, named(figures.demands[number].name, 36, 1))
    panels[-1].axhline(required, color=NEED, lw=1.8, label=f"required, {required:g}")
    for axes in panels:
        axes.set_xlim(0.0, 360.0)
        axes.set_xticks(np.arange(0, 361, 60))
        axes.set_ylim(0.0, 1.25 * max(float(np.max(np.asarray(line.get_ydata()))) for line in axes.lines))
    curves = [
        Curve(np.asarray(line.get_xydata(), dtype=np.float64), str(line.get_label()), str(line.get_color()))
        for line in panels[-1].lines[:-1]
    ]
    across = np.array([0.0, 360.0])
    curves.append(Curve(np.column_stack([across, np.full(2, required)]), f"required, {required:g}", NEED))
    write_beside(panels[-1], curves, panels[-1].get_ylim()[1])
    return figure


def _name_jaw(axes: Axes, degrees: Floats, grip: Floats, jaw: int) -> None:
    """Write a jaw's name where the load takes most of its grip (kN): under its curve, over the highest."""
    at = int(grip[:, jaw].argmin())
    angle, over = float(degrees[at]) % 360.0, grip[at, jaw] >= 1.02 * np.delete(grip[at], jaw).max()
    axes.annotate(
        f"jaw {jaw + 1}", (angle, float(grip[at, jaw])), xytext=(4 if angle < 20.0 else 0, 6 if over else -8),
        textcoords="offset points", va="bottom" if over else "top", fontsize=BODY, color=INK,
        ha="left" if angle < 20.0 else "right" if angle > 340.0 else "center",
    )  # fmt: skip


def _round(axes: Axes, angles: Floats, values: Floats, number: int, name: str) -> None:
    """Draw values over a turn, closed, in the line of a number."""
    across, up = np.append(np.degrees(angles), 360.0), np.append(values, values[0])
    look = number % len(_LINES)
    axes.plot(across, up, color=PATH, ls=_LINES[look], lw=2.2, label=name)
