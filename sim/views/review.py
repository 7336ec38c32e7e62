"""The review page: one HTML file with everything of a setup, to hand round; no network.

The verdicts stand before any picture. The scene is drawn by the page itself, with states computed beforehand; where
the browser cannot draw it, and on paper, pictures stand for it. Plots are SVG that follows light and dark.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from markupsafe import Markup

from sim.assessment.by_stage import by_stage
from sim.assessment.figures.path import PathFigures
from sim.assessment.results import CAUTIONS, Assessment
from sim.assessment.said import unasked
from sim.assessment.state import States, states
from sim.assessment.verdict import Verdict
from sim.base.errors import NotAvailableError
from sim.base.files import write_whole
from sim.base.rounding import against
from sim.base.share import Tell
from sim.views import silent
from sim.views.answer import answer
from sim.views.assumptions import Stated, stated
from sim.views.colours import STATUS_SYMBOL
from sim.views.embed import Embedded, embedded_picture, embedded_plot
from sim.views.margins import LIMIT_AT, TICKS, dots, place
from sim.views.moment import moment_picture, moment_section
from sim.views.operation_page import SIZE, operation_page
from sim.views.path_plot import clearance_by_distance
from sim.views.plots import clearance_along_path, travel_band
from sim.views.render import one_window
from sim.views.section import section_figure
from sim.views.web.document import as_json, filled, scene_data, script, style
from sim.views.web.written import with_stops, words, written_states
from sim.views.why import why
from sim.views.wording import counts, open_question, row

LARGEST_PAGE = 8_000_000  # bytes
HEAD_ROWS = 6  # verdicts in the list at the head


@dataclass(frozen=True, slots=True)
class PathPage:
    """What the page holds of one cutting path."""

    heading: str
    notes: tuple[str, ...]
    plot: Embedded | None
    section: Embedded | None
    picture: Embedded | None


def write_review(
    assessment: Assessment, path: Path, progress: Tell = silent, typical: dict[str, Any] | None = None
) -> Path:
    """Write the review page of a setup, with the `typical_table` of what nobody has read off where it is given.

    Where no driver for rendering is installed the page is written without the 3D pictures and says so.

    Raises
    ------
    OutputError
        If the file cannot be written; nothing half-written is left.
    """
    return write_whole(path, page(assessment, progress, typical).encode("utf-8"))


def page(assessment: Assessment, progress: Tell = silent, typical: dict[str, Any] | None = None) -> str:
    """Return the review page as HTML; whether this computer can render is known when a picture has to be drawn."""
    ready = states(assessment)
    with one_window():
        try:
            return _page(ready, progress, typical, missing="")
        except NotAvailableError as error:
            return _page(ready, progress, typical, missing=str(error))


def _page(ready: States, progress: Tell, typical: dict[str, Any] | None, *, missing: str) -> str:
    assessment, rendered = ready.assessment, not missing
    progress("section through the spindle axis")
    section = embedded_plot(
        section_figure(assessment),
        "section",
        "Half section through the spindle axis: all that a tool at rest can meet of each body at any angle of "
        "the spindle, and the boring path.",
    )
    reason = why(assessment)
    paths = [
        _path(assessment, stage, path, progress, rendered=rendered)
        for stage, path in assessment.paths
        if path.file or path.clearance.touches
    ]
    operations = [operation_page(ready, f, progress, rendered=rendered) for f in assessment.operations]
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
        answer=answer(assessment),
        unasked=unasked(len(assessment.unasked)),
        lines=_lines(assessment),
        limit_at=LIMIT_AT,
        ticks=[(f"{t:g}", place(t, missed=False)) for t in TICKS],
        cuts=_cuts(assessment),
        wanted=assessment.scenario.limits.holding_factor,
        nearest=[row(v) for v in _nearest(assessment.verdicts)],
        chuck=f"chuck {assessment.scenario.chuck.body_diameter:g} mm",
        mattering=[open_question(one) for one in assessment.unasked],
        lesser=[open_question(one) for one in assessment.not_judged if not one.matters],
        passed=sum(v.status == "pass" for v in assessment.verdicts),
        more_bad=max(0, sum(v.status != "pass" for v in assessment.verdicts) - HEAD_ROWS),
        reason=reason,
        bad=[row(v) for v in assessment.verdicts if v.status != "pass"],
        passing=[
            (stage, [row(v) for v in found])
            for stage, found in by_stage(assessment, [v for v in assessment.verdicts if v.status == "pass"])
        ],
        symbol=STATUS_SYMBOL,
        cautions=CAUTIONS,
        missing=missing,
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
        typical=typical,
        given=_by_table([v for v in values if not v.default]),
        largest=LARGEST_PAGE,
    )


def _path(
    assessment: Assessment, stage: str, path: PathFigures, progress: Tell, *, rendered: bool
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


def _nearest(verdicts: tuple[Verdict, ...]) -> list[Verdict]:
    """Return all that do not pass, as many as a page has room for, and what is nearest to its limit, one of a kind."""
    bad = [v for v in verdicts if v.status != "pass"][:HEAD_ROWS]
    nearest: dict[str, Verdict] = {}
    for verdict in sorted((v for v in verdicts if v.status == "pass"), key=lambda v: v.margin):
        nearest.setdefault(verdict.key, verdict)
    return [*bad, *list(nearest.values())[: max(3, HEAD_ROWS - len(bad))]]


def _lines(assessment: Assessment) -> list[dict[str, Any]]:
    """Return every verdict as a dot by its margin, a line for each stage."""
    found = []
    for stage, verdicts in by_stage(assessment, assessment.verdicts):
        shown = dots(verdicts)
        count = counts(verdicts)
        words = ", ".join(f"{n} {status}" for status, n in count.items() if n)
        rows = max((abs(dot.row) for dot in shown), default=0)
        found.append({"stage": stage, "words": words, "dots": shown, "rows": rows})
    return found


def _cuts(assessment: Assessment) -> list[dict[str, str]]:
    """Return every cut: its speed, the grip that is left there, and how many times the grip holds its forces."""
    wanted, found = assessment.scenario.limits.holding_factor, []
    for one in assessment.operations:
        for demand, held in zip(one.demands, one.holdings, strict=True):
            times = "not held" if math.isnan(held.factor) else against(held.factor, wanted, (1, 1))[0]
            grip = "–" if not math.isfinite(held.grip) else f"{held.grip / 1000.0:.1f}"
            speed = f"{demand.speed:.0f}"
            told = {
                "name": demand.name,
                "stage": one.operation.name,
                "speed": speed,
                "grip": grip,
                "times": times,
            }
            found.append(told)
    return found


def _by_table(values: list[Stated]) -> list[tuple[str, list[Stated]]]:
    tables: dict[str, list[Stated]] = {}
    for value in values:
        tables.setdefault(value.field.partition(".")[0], []).append(value)
    return list(tables.items())
