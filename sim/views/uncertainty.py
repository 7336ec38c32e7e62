"""How sure the verdicts are: margins of the verdicts with the probability that each holds, and what matters most."""

from __future__ import annotations

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.patches import Patch
from matplotlib.transforms import ScaledTranslation, Transform

from sim.terminal.uncertainty import hundredths, label
from sim.uncertainty import Analysis, VerdictFound
from sim.views.colours import FAINT, INK, NEED, PAPER, PATH
from sim.views.figure import BODY, WHOLE, cautions_below, dress, new_figure

ROW, HEAD = 0.32, 3.4  # in, height of a line and of all that is no line
SHOWN = 14  # verdicts at most, the least sure first
SURE = 0.9995
ENDS = (0.1, 50.0)  # margins drawn


def uncertainty_figure(found: Analysis) -> Figure:
    """Return the margins with their probabilities above, and the indices of the verdict that matters below."""
    shown = found.verdicts[:SHOWN]
    rows = (max(len(shown), 2), max(len(found.inputs), 2))
    figure = new_figure(WHOLE, HEAD + ROW * sum(rows))
    above, below = figure.subplots(2, 1, height_ratios=rows)
    _margins(figure, above, shown, found)
    leading = found.leading
    if leading is not None:
        _indices(figure, below, leading, found)
    else:
        below.set_axis_off()
    cautions_below(figure)
    return figure


def _margins(figure: Figure, axes: Axes, shown: tuple[VerdictFound, ...], found: Analysis) -> None:
    more = len(found.verdicts) - len(shown)
    note = f"; surer ones left out: {more}" if more else ""
    dress(
        axes, f"Margin of each verdict, and the probability that it holds{note}", "margin, 1 is just enough"
    )
    axes.set_xscale("log")
    axes.set_xlim(*ENDS)
    axes.axvline(1.0, color=NEED, lw=1.8, zorder=2)
    for place, words in ((0.96, "missed"), (1.04, "kept")):
        side = "right" if place < 1.0 else "left"
        axes.text(place, -0.9, words, ha=side, va="center", fontsize=BODY, color=NEED)
    for y, one in enumerate(shown):
        low, middle, high = (float(np.clip(e.value, *ENDS)) for e in one.margin)
        axes.plot([low, high], [y, y], color=PATH, lw=3.0, solid_capstyle="butt", zorder=3)
        axes.plot([middle], [y], "o", ms=7, mfc=PAPER, mec=PATH, mew=1.8, zorder=4)
        for edge, marker in ((ENDS[0], "<"), (ENDS[1], ">")):
            if edge in (low, high):
                axes.plot([edge], [y], marker, ms=7, color=PATH, clip_on=False, zorder=4)
        axes.text(
            1.03, y, _probability(one), transform=axes.get_yaxis_transform(), va="center",
            fontsize=BODY, color=INK,
        )  # fmt: skip
    axes.set_yticks(range(len(shown)), [f"{one.name}, {one.stage}" for one in shown], fontsize=BODY)
    axes.set_ylim(max(len(shown), 2) - 0.5, -1.3)
    axes.text(
        1.03, -0.9, "holds [95\u00a0%]", transform=axes.get_yaxis_transform(), va="center",
        fontsize=BODY, color=INK, weight="bold",
    )  # fmt: skip
    axes.xaxis.set_major_formatter(lambda value, _: f"{value:g}")
    axes.xaxis.set_minor_formatter(lambda _value, _place: "")
    handles = [
        Line2D([], [], color=PATH, lw=3.0, label="5\u00a0% to 95\u00a0% of the variants"),
        Line2D([], [], color=PATH, marker="o", ls="none", ms=7, mfc=PAPER, mew=1.8, label="median"),
    ]
    axes.legend(
        handles=handles, loc="upper right", bbox_to_anchor=(1.0, 0.0), bbox_transform=_under(figure, axes, 0.4),
        ncols=2, frameon=False, fontsize=BODY, labelcolor=INK,
    )  # fmt: skip


def _under(figure: Figure, axes: Axes, inches: float) -> Transform:
    """Return the place below an axis, its numbers and words between, however high the axes are."""
    return axes.transAxes + ScaledTranslation(0.0, -inches, figure.dpi_scale_trans)


def _probability(one: VerdictFound) -> str:
    value = one.holds.value
    words = "all" if value == 1.0 else "none" if value == 0.0 else f"{hundredths(value)}\u00a0%"
    return f"{words} [{hundredths(one.holds.low)} to {hundredths(one.holds.high)}\u00a0%]"


def _indices(figure: Figure, axes: Axes, one: VerdictFound, found: Analysis) -> None:
    dress(
        axes,
        f"What matters most for '{one.name}', {one.stage}",
        f"share of the variance of its margin (Sobol index); 2 x {found.samples} variants drawn, "
        f"{found.runs} judged, seed {found.seed}",
    )
    order = np.argsort(-one.total)
    for y, k in enumerate(order):
        axes.barh(y - 0.17, one.total[k], 0.3, fc=PAPER, ec=PATH, lw=1.3, hatch="////", zorder=2)
        axes.barh(y + 0.17, one.first[k], 0.3, color=PATH, zorder=2)
        for place, ends in ((y - 0.17, one.total_interval[k]), (y + 0.17, one.first_interval[k])):
            axes.plot(ends, [place, place], color=INK, lw=1.2, marker="|", ms=7, zorder=3)
    axes.set_yticks(range(len(order)), [label(found.inputs[k]) for k in order], fontsize=BODY)
    axes.set_ylim(max(len(order), 2) - 0.5, -0.5)
    most = max(1.0, float(one.total_interval.max()), float(one.first_interval.max()))
    axes.set_xlim(min(0.0, float(one.first_interval.min())), 1.02 * most)
    axes.axvline(0.0, color=FAINT, lw=1.0)
    handles = [
        Patch(fc=PATH, ec=PATH, label="alone (first order)"),
        Patch(fc=PAPER, ec=PATH, hatch="////", label="with all that it does together with others (total)"),
        Line2D([], [], color=INK, lw=1.2, marker="|", ms=7, label="95\u00a0% of the bootstrap"),
    ]
    # Below the bars: each of them may reach to the right edge.
    axes.legend(
        handles=handles, loc="upper right", bbox_to_anchor=(1.0, 0.0), bbox_transform=_under(figure, axes, 0.58),
        ncols=3, frameon=False, fontsize=BODY, labelcolor=INK,
    )  # fmt: skip
