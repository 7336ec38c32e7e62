"""Half section of the bored jaws with the part of an operation in its pocket, and the metal left for a re-bore."""

from __future__ import annotations

from dataclasses import dataclass

import shapely
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.patches import Patch
from shapely import affinity

from sim.assessment.figures.operation import OperationFigures, half_section
from sim.assessment.results import Assessment
from sim.setup.jaw_screws import head_seat
from sim.setup.rebore import pocket_stock
from sim.views.colours import INK, NEED, PAPER, PATH, body_colour
from sim.views.figure import BODY, HALF, in_diameters, new_figure, plain_axes
from sim.views.section import fill

FIXTURE = "fixture"  # stands only while boring
LEGEND_ROOM = 1.25  # in


@dataclass(frozen=True, slots=True)
class Cutout:
    """What a drawing shows of the half-plane, mm."""

    low: float
    high: float
    radius: float


def window(assessments: tuple[Assessment, ...]) -> Cutout:
    """Return the window that shows jaws and parts of several set-ups to one scale."""
    tops, radii = [], []
    for one in assessments:
        tops.append(one.scenario.soft_jaw.height)
        radii.append(float(one.boring.wanted.bounds[2]))
        for figures in one.operations:
            bounds = half_section(figures, one.parts).bounds
            tops.append(float(bounds[3]))
            radii.append(float(bounds[2]))
    return Cutout(-12.0, max(tops) + 6.0, max(radii) + 8.0)


def pocket_figure(assessment: Assessment, operation: int, shown: Cutout) -> Figure:
    """Return the section of jaw and part as gripped; what may be turned away later is dashed."""
    figures, parts = assessment.operations[operation], assessment.parts
    moved = figures.grip_travel - parts.scenario.boring.travel
    shift = -moved if parts.direction == "outside" else moved
    figure = new_figure(HALF, HALF * shown.radius / (shown.high - shown.low) * 0.86 + LEGEND_ROOM)
    axes = plain_axes(figure, across="z along the spindle, mm", up="diameter, mm")
    in_diameters(axes)
    for body in assessment.boring.bodies:
        if body.kind != FIXTURE:
            still = body.kind == "chuck" and body.name == "chuck body"
            image = body.image if still else affinity.translate(body.image, xoff=shift)
            fill(axes, image, body_colour(body.name), 0 if still else 2)
    fill(axes, affinity.translate(assessment.boring.wanted, xoff=shift), body_colour("soft jaw"), 1)
    fill(axes, half_section(figures, parts), body_colour("workpiece"), 3)
    _counterbores(axes, assessment, shift)
    _held(axes, assessment, figures, shift)
    _re_bores(axes, assessment, shift)
    axes.axhline(0.0, color=INK, lw=1.2, ls=(0, (12, 3, 2, 3)), zorder=7, clip_on=False)
    axes.set_xlim(shown.low, shown.high)
    axes.set_ylim(0.0, shown.radius)
    axes.set_aspect("equal")
    handles = [
        Patch(fc=body_colour("soft jaw"), ec=INK, lw=0.6, label="soft jaw as bored"),
        Patch(fc=body_colour("workpiece"), ec=INK, lw=0.6, label="part as gripped"),
        Line2D([], [], color=INK, lw=0.8, ls=(0, (1, 2)), label="counterbore"),
        Line2D([], [], color=PATH, lw=4.0, label=f"gripped, {figures.zone.length:.1f} mm"),
        Line2D([], [], color=NEED, lw=1.6, ls=(0, (4, 2)), label="a pocket may be turned to here"),
    ]
    figure.legend(
        handles=handles, loc="outside lower left", frameon=False, fontsize=BODY, labelcolor=INK, ncols=2
    )
    return figure


def _counterbores(axes: Axes, assessment: Assessment, shift: float) -> None:
    """Outline the counterbores, which the jaws' image does not show: between them there is metal at other angles."""
    scenario = assessment.scenario
    jaw = affinity.translate(assessment.boring.wanted, xoff=shift)
    screws, inner = scenario.soft_jaw.screws, assessment.parts.place.bored + shift
    ends = [head_seat(scenario), scenario.soft_jaw.height]
    for position in screws.positions:
        for side in (-0.5, 0.5):
            radius = inner + position + side * screws.counterbore_diameter
            line = shapely.LineString([(radius, z) for z in ends]).intersection(jaw)
            for piece in shapely.get_parts(line):
                rho, z = shapely.get_coordinates(piece).T
                axes.plot(z, rho, color=INK, lw=0.8, ls=(0, (1, 2)), zorder=2.8)


def _held(axes: Axes, assessment: Assessment, figures: OperationFigures, shift: float) -> None:
    radius = 0.5 * assessment.scenario.pocket_of(figures.operation).diameter + shift
    axes.plot([figures.zone.low, figures.zone.high], [radius, radius], color=PATH, lw=4.0, zorder=6)


def _re_bores(axes: Axes, assessment: Assessment, shift: float) -> None:
    scenario = assessment.scenario
    sign = 1.0 if assessment.parts.direction == "outside" else -1.0
    top = scenario.soft_jaw.height
    mouths = {}
    mouth = top
    for pocket in sorted(scenario.pockets, key=lambda p: p.depth):
        mouths[pocket.name] = mouth
        mouth = top - pocket.depth
    for pocket, stock in zip(scenario.pockets, pocket_stock(assessment.parts), strict=True):
        radius = 0.5 * pocket.diameter + shift + sign * stock.radial
        ends = [top - pocket.depth, mouths[pocket.name]]
        axes.plot(ends, [radius, radius], color=NEED, lw=1.6, ls=(0, (4, 2)), zorder=7)
        axes.annotate(
            f"{stock.radial:.1f}", (sum(ends) / 2.0, radius), xytext=(0, 4 * sign), textcoords="offset points",
            ha="center", va="bottom" if sign > 0 else "top", fontsize=BODY, color=NEED, zorder=8,
            bbox={"fc": PAPER, "ec": "none", "pad": 0.8, "alpha": 0.85},
        )  # fmt: skip
