"""Least clearance along a path, over the way of the tip; for a part's program also the grip over that needed."""

from __future__ import annotations

import math

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.lines import Line2D

from sim.assessment.figures.machining import MachiningFigures
from sim.assessment.figures.path import PathFigures
from sim.assessment.verdicts.path import place
from sim.clearance.limits import distance_along
from sim.views.colours import FAINT, INK, NEED, PAPER, PATH
from sim.views.figure import BODY, WHOLE, dress, named, new_figure

SHOWN = 12.0  # mm; farther is not drawn to scale
HOLDS = 10.0  # grip over that needed; more is not drawn to scale
LABELS = 40  # moves up to which each has its block number below


def clearance_by_distance(path: PathFigures, holding_factor: float) -> Figure | None:
    """Return the plot; None for a path without moves.

    Parameters
    ----------
    path : PathFigures
    holding_factor : float
        That the scenario asks for.
    """
    if not path.moves:
        return None
    machines = isinstance(path, MachiningFigures)
    figure = new_figure(WHOLE, 5.4 if machines else 3.9)
    panels = figure.subplots(2 if machines else 1, 1, sharex=True, squeeze=False)[:, 0]
    ends = distance_along(path.moves)
    starts = np.concatenate([[0.0], ends[:-1]])
    handles = _clearance(panels[0], path, starts, ends)
    if isinstance(path, MachiningFigures):
        _grip(panels[1], path, starts, ends, holding_factor)
    panels[-1].set_xlabel("way of the tip, mm", fontsize=BODY, color=INK)
    panels[0].set_xlim(0.0, max(float(ends[-1]), 1e-3))
    _blocks(panels[0], path, ends)
    figure.legend(
        handles=handles, loc="outside lower center", ncols=3, frameon=False, fontsize=BODY, labelcolor=INK
    )
    return figure


def _steps(values: np.ndarray, starts: np.ndarray, ends: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Points of a line that is level over each move."""
    return np.column_stack([starts, ends]).ravel(), np.repeat(values, 2)


def _clearance(axes: Axes, path: PathFigures, starts: np.ndarray, ends: np.ndarray) -> list[Line2D]:
    """Draw the clearance, and return what a legend needs."""
    result = path.clearance
    dress(axes, "", "", "clearance, mm")
    shown = np.minimum(result.clearance, SHOWN)
    rapid = np.array([move.kind == "rapid" for move in path.moves])
    for number in np.flatnonzero(rapid):
        axes.axvspan(starts[number], ends[number], color=FAINT, alpha=0.13, lw=0)
    axes.plot(*_steps(shown, starts, ends), color=PATH, lw=1.8, label="clearance, mm")
    approach = np.where(np.isfinite(result.approach), np.minimum(result.approach, SHOWN), np.nan)
    if np.isfinite(approach).any():
        axes.plot(*_steps(approach, starts, ends), color=PATH, lw=1.2, ls=(0, (2, 2)), label="insert, mm")
    axes.axhline(result.required, color=NEED, lw=1.6)
    at_rapid = named(f"insert to {path.stock_name}, at rapid", 60, 1)
    handles = [
        Line2D([], [], color=PATH, lw=1.8, label="to what must not be touched"),
        Line2D([], [], color=PATH, lw=1.2, ls=(0, (2, 2)), label=at_rapid),
        Line2D([], [], color=NEED, lw=1.6, label=f"required, {result.required:g} mm"),
        Line2D([], [], color=FAINT, lw=8.0, alpha=0.25, label="rapid moves"),
    ]
    middle = 0.5 * (starts + ends)
    first = result.first_touch
    touched = sorted({touch.move for touch in result.touches})
    if first is not None:
        axes.plot(
            middle[touched], np.zeros(len(touched)), ls="none", marker="x", ms=9, mec=NEED, mew=2.2, zorder=5
        )
        handles.append(Line2D([], [], ls="none", marker="x", ms=9, mec=NEED, mew=2.2, label="touch begins"))
        words, at = f"{first.kind}: {first.part} on {first.body}\n{place(path, first.move)}", first.move
    elif math.isfinite(result.least_clearance):
        at = result.least_move
        words = f"least {result.least_clearance:.2f} mm: {result.part[at]} to {result.body[at]}\n{place(path, at)}"
    else:
        at, words = 0, "nothing comes near"
    left = middle[at] < 0.5 * ends[-1]  # the box on the side of what it points at: its line crosses least
    axes.annotate(
        words, (middle[at], shown[at]), xytext=(0.03 if left else 0.97, 0.95), textcoords="axes fraction",
        ha="left" if left else "right", va="top", fontsize=BODY, color=INK, linespacing=1.35, zorder=6,
        bbox={"boxstyle": "round,pad=0.4", "fc": PAPER, "ec": NEED, "lw": 1.0},
        arrowprops={"arrowstyle": "-", "color": NEED, "lw": 1.0},
    )  # fmt: skip
    axes.set_ylim(-0.6, 1.45 * SHOWN)
    ticks = np.arange(0.0, SHOWN + 0.1, 2.0)
    axes.set_yticks(ticks, [*(f"{t:g}" for t in ticks[:-1]), f"{SHOWN:g} or more"])
    return handles


def _grip(
    axes: Axes, path: MachiningFigures, starts: np.ndarray, ends: np.ndarray, holding_factor: float
) -> None:
    dress(axes, "", "", "grip left over needed")
    factor = path.grip.factor
    cuts = np.isfinite(factor)
    shown = np.where(cuts, np.minimum(factor, HOLDS), np.nan)
    axes.plot(*_steps(shown, starts, ends), color=PATH, lw=1.8, label="grip left over needed")
    axes.axhline(holding_factor, color=NEED, lw=1.6)
    axes.set_ylim(0.0, 1.35 * HOLDS)
    ticks = np.arange(0.0, HOLDS + 0.1, 2.0)
    axes.set_yticks(ticks, [*(f"{t:g}" for t in ticks[:-1]), f"{HOLDS:g} or more"])
    if cuts.any():
        at = int(np.where(cuts, factor, np.inf).argmin())
        left = starts[at] + ends[at] < ends[-1]
        axes.annotate(
            f"{factor[at]:.2f} at up to {path.grip.speed[at]:.0f} rev/min, by closed forms, {place(path, at)}",
            (0.5 * (starts[at] + ends[at]), shown[at]), xytext=(0.03 if left else 0.97, 0.93),
            textcoords="axes fraction", ha="left" if left else "right", va="top", fontsize=BODY, color=INK, zorder=6,
            bbox={"boxstyle": "round,pad=0.4", "fc": PAPER, "ec": NEED, "lw": 1.0},
            arrowprops={"arrowstyle": "-", "color": NEED, "lw": 1.0},
        )  # fmt: skip


def _blocks(axes: Axes, path: PathFigures, ends: np.ndarray) -> None:
    """Write block numbers above the plot, as many as have room."""
    if not path.file:
        return
    top = axes.secondary_xaxis("top")
    room = float(ends[-1]) / LABELS
    places, words, last = [], [], -math.inf
    for move, end in zip(path.moves, ends, strict=True):
        if move.block is not None and end - last >= room:
            places.append(float(end))
            words.append(f"N{move.block}")
            last = float(end)
    top.set_xticks(places, words, rotation=90, fontsize=BODY - 2.5, color=INK)
    top.tick_params(color=FAINT, length=2)
    top.spines["top"].set_visible(False)
