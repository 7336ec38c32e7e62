"""The review page: one HTML file with everything of a setup, to hand round; no network.

The verdicts stand before any picture. The scene is drawn by the page itself, with states computed beforehand; where
the browser cannot draw it, and on paper, pictures stand for it. Plots are SVG that follows light and dark.
"""

from __future__ import annotations

import io
import math
from dataclasses import dataclass
from pathlib import Path

from markupsafe import Markup
from PIL import Image

from sim.assessment.figures.operation import OperationFigures
from sim.assessment.figures.path import PathFigures
from sim.assessment.results import CAUTIONS, Assessment
from sim.assessment.state import States, states
from sim.assessment.verdict import Verdict
from sim.base.errors import NotAvailableError
from sim.base.files import write_whole
from sim.base.rounding import against
from sim.report.running import RunningRow, running_rows
from sim.views import Progress, silent
from sim.views.assumptions import Stated, stated
from sim.views.colours import STATUS_SYMBOL
from sim.views.embed import Embedded, embedded_picture, embedded_plot
from sim.views.figure import as_png
from sim.views.moment import moment_picture, moment_section
from sim.views.path_plot import clearance_by_distance
from sim.views.picture import PRESSURE_DOTS
from sim.views.plots import clearance_along_path, grip_against_speed, pressure_faces, travel_band
from sim.views.render import require_rendering
from sim.views.scene import assembly_picture, boring_picture, pressure_picture
from sim.views.section import section_figure
from sim.views.shape import over_turn, roundness_polar
from sim.views.web.document import as_json, filled, scene_data, script, style
from sim.views.web.written import with_stops, words, written_states
from sim.views.wording import open_question, row, unasked

LARGEST_PAGE = 8_000_000  # bytes
SIZE = (1120, 750)  # pixels of a picture: sharp at the width it has in the page


@dataclass(frozen=True, slots=True)
class PathPage:
    """What the page holds of one cutting path."""

    heading: str
    notes: tuple[str, ...]
    plot: Embedded | None
    section: Embedded | None
    picture: Embedded | None


@dataclass(frozen=True, slots=True)
class OperationPage:
    """What the page holds of one operation; pictures are None where this computer cannot render."""

    name: str
    anchor: str
    assembly: Embedded | None
    pressure: Embedded | None
    faces: Embedded
    grip: Embedded
    shape: Embedded | None
    turn: Embedded
    figures: tuple[tuple[str, str], ...]
    running: tuple[RunningRow, ...]


def write_review(assessment: Assessment, path: Path, progress: Progress = silent) -> Path:
    """Write the review page of a setup.

    Where no driver for rendering is installed the page is written without the 3D pictures and says so.

    Raises
    ------
    OutputError
        If the file cannot be written; nothing half-written is left.
    """
    return write_whole(path, page(assessment, progress).encode("utf-8"))


def page(assessment: Assessment, progress: Progress = silent) -> str:
    """Return the review page as HTML."""
    ready: States = states(assessment)
    missing = ""
    try:
        require_rendering()
    except NotAvailableError as error:
        missing = str(error)
    rendered = not missing
    progress("jaws as they are bored")
    boring = (
        embedded_picture(
            boring_picture(assessment, SIZE),
            f"The jaws as they are bored at {assessment.scenario.boring.travel:.2f} mm travel, seen from the "
            "tailstock.",
        )
        if rendered
        else None
    )
    progress("section through the spindle axis")
    section = embedded_plot(
        section_figure(assessment),
        "section",
        "Half section through the spindle axis: all that a tool at rest can meet of each body at any angle of "
        "the spindle, and the boring path.",
    )
    paths = [
        _path(assessment, stage, path, progress, rendered=rendered)
        for stage, path in assessment.paths
        if path.file or path.clearance.touches
    ]
    operations = [_operation(assessment, f, progress, rendered=rendered) for f in assessment.operations]
    progress("page")
    clearance = clearance_along_path(assessment)
    values = stated(assessment.scenario)
    data = scene_data(ready)
    progress("states of the sliders")
    return filled(
        "review.html",
        style=style("review.css"),
        script=script("written.js"),
        data=Markup(as_json(with_stops(data, ready))),  # noqa: S704  (no tag can begin in it)
        states=Markup(as_json(written_states(data, ready))),  # noqa: S704
        sources="connect-src 'none'",
        written=words(ready),
        scenario=assessment.scenario,
        status=assessment.status,
        counts=_counts(assessment.verdicts),
        headline=_headline(assessment),
        wrong=any(v.status != "pass" for v in assessment.verdicts),
        unasked=unasked(len(assessment.unasked)),
        mattering=[open_question(one) for one in assessment.unasked],
        lesser=[open_question(one) for one in assessment.not_judged if not one.matters],
        verdicts=[row(v) for v in assessment.verdicts],
        symbol=STATUS_SYMBOL,
        cautions=CAUTIONS,
        urgent=[row(v) for v in _urgent(assessment.verdicts)],
        missing=missing,
        boring=boring,
        boring_advice=assessment.boring.advice,
        section=section,
        travel=embedded_plot(
            travel_band(assessment),
            "travel",
            "Where in the stroke the jaws are bored and where they grip the smallest and the largest part.",
        ),
        clearance=None
        if clearance is None
        else embedded_plot(
            clearance,
            "clearance",
            "Clearance of the tool in every move of the boring path, and what it is nearest to.",
        ),
        operations=operations,
        paths=paths,
        defaults=[v for v in values if v.default],
        given=_by_table([v for v in values if not v.default]),
        largest=LARGEST_PAGE,
    )


def _path(
    assessment: Assessment, stage: str, path: PathFigures, progress: Progress, *, rendered: bool
) -> PathPage:
    progress(f"tool on its path, {stage}")
    name = stage.replace(" ", "-")
    plot = clearance_by_distance(path, assessment.scenario.limits.holding_factor)
    section = moment_section(path)
    picture = moment_picture(assessment, path, SIZE) if rendered else None
    when = "at its first touch" if path.clearance.touches else "where its clearance is least"
    return PathPage(
        heading=f"Tool on its path, {stage}" + (f": program {path.file}" if path.file else ""),
        notes=path.notes,
        plot=None
        if plot is None
        else embedded_plot(
            plot,
            f"path-{name}",
            "Least clearance of every move along the way of the tip"
            + (", and the grip left at its speed over the grip its cut needs." if stage != "boring" else "."),
        ),
        section=None
        if section is None
        else embedded_plot(
            section,
            f"moment-{name}",
            f"The tool {when}, with the {path.stock_name} as they are then.",
        ),
        picture=None
        if picture is None
        else embedded_picture(picture, f"The same moment in 3D, the tool {when}."),
    )


def _operation(
    assessment: Assessment, figures: OperationFigures, progress: Progress, *, rendered: bool
) -> OperationPage:
    name, index = figures.operation.name, figures.index
    assembly = pressure = None
    if rendered:
        progress(f"assembly, {name}")
        assembly = embedded_picture(
            assembly_picture(assessment, index, SIZE),
            f"Gripped at {figures.grip_travel:.2f} mm travel, seen from the tailstock.",
        )
        progress(f"contact pressure, {name}")
        where = (
            "Looking along the spindle into the bore"
            if assessment.parts.direction == "outside"
            else "The outer face of each jaw"
        )
        pressure = embedded_picture(
            _pixels(as_png(pressure_picture(assessment, index, SIZE), PRESSURE_DOTS)),
            f"{where}, the part left out: contact pressure (means over bands of 3 deg by 2 mm) and grip of each "
            f"jaw {figures.clamping.state}.",
        )
    else:
        progress(f"plots, {name}")
    polar = roundness_polar(figures)
    peak, least_yield = against(figures.clamping.band_peak, figures.yield_strength, (0, 0))
    per_um = figures.clamping.band_peak_per_um
    changed = f", {per_um:.2g} MPa more or less for 1 um of bore radius" if math.isfinite(per_um) else ""
    return OperationPage(
        name=name,
        anchor=f"operation-{index + 1}",
        assembly=assembly,
        pressure=pressure,
        faces=embedded_plot(
            pressure_faces(figures),
            f"faces{index}",
            "The same pressure with the three faces unrolled, for a part of middle size. The largest band mean of all "
            f"sizes is {peak} MPa{changed}; yield of the softer of part and jaw {least_yield} MPa.",
        ),
        grip=embedded_plot(
            grip_against_speed(figures, assessment.scenario),
            f"grip{index}",
            "Total grip against speed, with what the cuts need; the tinted band is the operation's speed range.",
        ),
        shape=None
        if polar is None
        else embedded_plot(
            polar,
            f"shape{index}",
            "Shape of the gripped section, far enlarged: as clamped, and as it springs back when it was turned true.",
        ),
        turn=embedded_plot(
            over_turn(figures, assessment.scenario.limits.holding_factor),
            f"turn{index}",
            "One turn of the spindle: grip of each jaw at the highest speed under the largest side force and the "
            "part's weight; holding factor of each cut at its own speed.",
        ),
        figures=operation_rows(figures),
        running=running_rows(figures.running),
    )


def operation_rows(figures: OperationFigures) -> tuple[tuple[str, str], ...]:
    """Return the figures of an operation as rows of (what, value with unit)."""
    grip, band, zone, contact = figures.grip, figures.travel, figures.zone, figures.contact
    gripping = figures.operation.gripping
    loss = 1.0 - grip.high_speed_total / grip.rest_total
    change = f"{loss:.0%} lost" if loss >= 0.0 else f"{-loss:.0%} gained"
    roundness = "no formula holds" if math.isnan(figures.roundness) else f"{figures.roundness:.1f} µm"
    rows = [
        ("grip travel", f"{band.first:.2f} to {band.last:.2f} mm"),
        ("loading clearance", f"{band.loading_clearance:.2f} mm"),
        ("held length", f"{zone.length:.1f} mm of {zone.part_length:.1f} mm"),
        ("first touch, smallest part", _touch(band.low.touch.pattern)),
        ("first touch, largest part", _touch(band.high.touch.pattern)),
        ("actuating pressure", f"{10.0 * gripping.pressure:.1f} bar"),
        ("grip at rest", f"{_kn(grip.rest_total)} in all, {_kn(grip.rest_per_jaw)} per jaw"),
        ("from", f"{grip.basis}, at {grip.height:.1f} mm above the serrated plane"),
        (f"grip at {gripping.speed_high:.0f} rev/min", f"{_kn(grip.high_speed_total)} in all, {change}"),
        ("centrifugal force per jaw", f"{_kn(grip.centrifugal_per_jaw)} at the highest speed"),
        ("needed while cutting", f"{_kn(grip.needed_total)} in all, friction {grip.friction:.2f}"),
        ("permissible speed", f"{_speed(grip.permissible.least)} ({grip.permissible.governing})"),
        ("contact", f"{contact.pattern}, {contact.closed_fraction:.0%} of the faces closed"),
        ("out-of-round after release", f"{roundness} {figures.clamping.roundness_basis}".strip()),
    ]
    rows.extend(
        (
            f"cut: {demand.name}",
            f"{demand.forces.tangential:.0f} N main, {demand.forces.feed:.0f} N feed, "
            f"{demand.forces.passive:.0f} N passive at {demand.speed:.0f} rev/min; needs "
            f"{_kn(demand.needed)} ({demand.governing}); holds {held.factor:.2g} times that cut, "
            f"limit: {held.turn.mode}",
        )
        for demand, held in zip(figures.demands, figures.holdings, strict=True)
    )
    return tuple(rows)


def _headline(assessment: Assessment) -> str:
    """Say in few words what the setup is."""
    if assessment.status == "warn" and all(v.status == "pass" for v in assessment.verdicts):
        return "Passes what was asked"
    return {"fail": "Not fit to run", "warn": "To be looked at", "pass": "All verdicts pass"}[
        assessment.status
    ]


def _urgent(verdicts: tuple[Verdict, ...]) -> list[Verdict]:
    """Return all that fail or warn; where nothing does, the four nearest to their limits."""
    bad = [v for v in verdicts if v.status != "pass"]
    if bad:
        return bad
    nearest: dict[str, Verdict] = {}
    for verdict in sorted(verdicts, key=lambda v: v.margin):
        nearest.setdefault(verdict.key, verdict)
    return list(nearest.values())[:4]


def _counts(verdicts: tuple[Verdict, ...]) -> list[tuple[str, str]]:
    """How many fail, warn and pass: (status, words)."""
    found = []
    for status, one, more in (
        ("fail", "fails", "fail"),
        ("warn", "warns", "warn"),
        ("pass", "passes", "pass"),
    ):
        count = sum(v.status == status for v in verdicts)
        if count:
            found.append((status, f"{count} {one if count == 1 else more}"))
    return found


def _by_table(values: list[Stated]) -> list[tuple[str, list[Stated]]]:
    tables: dict[str, list[Stated]] = {}
    for value in values:
        tables.setdefault(value.field.partition(".")[0], []).append(value)
    return list(tables.items())


def _touch(pattern: str) -> str:
    return {"middle": "middles of the three faces", "edges": "six edges", "full": "full faces"}[pattern]


def _kn(force: float) -> str:
    return f"{force / 1000.0:.1f} kN"


def _speed(speed: float) -> str:
    return f"{speed:.0f} rev/min" if math.isfinite(speed) else "no limit"


def _pixels(png: bytes) -> Image.Image:
    return Image.open(io.BytesIO(png)).convert("RGB")
