"""Layouts side by side as one offline page: pictures of a row from one camera, drawings to one scale, figures."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import jinja2

from sim.assessment.results import CAUTIONS, Assessment
from sim.assessment.said import ASKED, unasked
from sim.assessment.state import BORING
from sim.assessment.verdict import ORDER, Verdict
from sim.base.counted import compared
from sim.base.errors import NotAvailableError
from sim.base.files import write_whole
from sim.base.rounding import margin_text
from sim.base.share import Tell
from sim.base.unit_words import unit_word
from sim.layouts.comparison import Comparison, Row, operation_name
from sim.layouts.layout import Layout, closest
from sim.layouts.weighed import unlike, weighed
from sim.setup import pose
from sim.setup.pose import Solid
from sim.terminal.layouts import cell
from sim.views import silent
from sim.views.colours import STATUS_SYMBOL, STATUS_WORD
from sim.views.cutaway import opened, towards_tailstock
from sim.views.drawn_on import DrawnOn, drawn_on
from sim.views.embed import Embedded, embedded_picture, embedded_plot
from sim.views.margins import LIMIT_AT, bar
from sim.views.pockets import Cutout, pocket_figure, window
from sim.views.render import one_window, render
from sim.views.scene import Size
from sim.views.wording import counts

SIZE: Size = (720, 450)
SHOWN = 6  # verdicts of a layout that are named at its head
APART = 7  # verdicts that are drawn side by side on the first screen
BORED = "Jaws as they are bored"


@dataclass(frozen=True, slots=True)
class PictureRow:
    """Pictures of one kind, one for each layout; None where a layout has no such set-up."""

    title: str
    kind: str
    cells: tuple[Embedded | None, ...]


def write_comparison(found: Comparison, path: Path, progress: Tell = silent) -> Path:
    """Write layouts side by side as one page; without a driver for rendering it has no 3D pictures and says so.

    Raises
    ------
    OutputError
        If the file cannot be written; nothing half-written is left.
    """
    return write_whole(path, comparison_page(found, progress).encode("utf-8"))


def comparison_page(found: Comparison, progress: Tell = silent) -> str:
    """Return the page as HTML."""
    missing, scenes = "", list[PictureRow]()
    progress("pictures")
    try:
        with one_window():
            scenes = _scenes(found, progress)
    except NotAvailableError as error:
        missing = str(error)
    pictures = [*scenes, *_drawings(found)]
    first = _first(found, pictures)
    loader = jinja2.PackageLoader("sim.views", "templates")
    environment = jinja2.Environment(
        loader=loader, autoescape=True, undefined=jinja2.StrictUndefined, trim_blocks=True, lstrip_blocks=True
    )
    return environment.get_template("compare.html").render(
        layouts=[_layout(layout) for layout in found.layouts],
        answer=_answer(found),
        apart=_apart(found),
        limit_at=LIMIT_AT,
        reasons=found.decision.reasons,
        missing=missing,
        first=first,
        pictures=[row for row in pictures if row is not first],
        figures=_figures(found.rows),
        verdicts=[
            {"name": row.name, "stage": row.stage, "cells": [v and _verdict(v) for v in row.cells]}
            for row in found.verdicts
        ],
        cautions=CAUTIONS,
        symbol=STATUS_SYMBOL,
        word=STATUS_WORD,
    )


def _scenes(found: Comparison, progress: Tell) -> list[PictureRow]:
    layouts = found.layouts
    rows = []
    for number in range(max(len(layout.operations) for layout in layouts)):
        name = operation_name(layouts, number)
        scenes: list[tuple[tuple[Solid, ...], DrawnOn] | None] = []
        captions = []
        for layout in layouts:
            there = number < len(layout.operations)
            one, figures = layout.operations[min(number, len(layout.operations) - 1)]
            index, travel = figures.index, figures.grip_travel
            scenes.append(
                (pose.gripping_scene(one.parts, index, travel), drawn_on(one, str(index), travel))
                if there
                else None
            )
            captions.append(f"{layout.name}: gripped at {figures.grip_travel:.2f} mm travel.")
        progress(f"pictures, {name}")
        rows.append(PictureRow(f"{name.capitalize()}, gripped", "", _same_camera(scenes, captions)))
    for number in range(max(len(layout.sets) for layout in layouts)):
        sets = [layout.sets[number] if number < len(layout.sets) else None for layout in layouts]
        progress("pictures, boring")
        captions = [_boring_caption(x.name, one) for x, one in zip(layouts, sets, strict=True)]
        scenes = [
            None
            if one is None
            else (pose.boring_scene(one.parts), drawn_on(one, BORING, one.scenario.boring.travel))
            for one in sets
        ]
        which = "" if max(len(layout.sets) for layout in layouts) == 1 else f", set {number + 1}"
        rows.append(PictureRow(f"{BORED}{which}", "", _same_camera(scenes, captions)))
    return rows


def _boring_caption(name: str, one: Assessment | None) -> str:
    if one is None:
        return name
    boring = one.scenario.boring
    fixture = "without a fixture" if boring.fixture.kind == "none" else f"on a {boring.fixture.kind}"
    return f"{name}: bored {fixture} at {boring.travel:.2f} mm travel and {10.0 * boring.pressure:.1f} bar."


def _same_camera(
    scenes: Sequence[tuple[tuple[Solid, ...], DrawnOn] | None], captions: Sequence[str]
) -> tuple[Embedded | None, ...]:
    """Return pictures of scenes taken by the one camera that sees them all."""
    camera = towards_tailstock((s.mesh for scene in scenes if scene for s in scene[0]), SIZE)
    return tuple(
        None if scene is None else embedded_picture(render(opened(*scene), camera, SIZE), caption)
        for scene, caption in zip(scenes, captions, strict=True)
    )


def _drawings(found: Comparison) -> list[PictureRow]:
    shown = window(tuple(one for layout in found.layouts for one in layout.sets))
    count = max(len(layout.operations) for layout in found.layouts)
    return [
        PictureRow(
            f"{operation_name(found.layouts, number).capitalize()}, half section",
            "plot",
            tuple(_drawing(layout, place, number, shown) for place, layout in enumerate(found.layouts)),
        )
        for number in range(count)
    ]


def _drawing(layout: Layout, place: int, number: int, shown: Cutout) -> Embedded | None:
    if number >= len(layout.operations):
        return None
    one, figures = layout.operations[number]
    caption = (
        f"{layout.name}: the part in its pocket; dashed, how far each pocket may be turned over in its place "
        "(mm in radius)."
    )
    return embedded_plot(pocket_figure(one, figures.index, shown), f"pocket{place}-{number}", caption)


def _first(found: Comparison, pictures: list[PictureRow]) -> PictureRow:
    """Return the pictures of the first screen: of what the layouts do differently, the boring or the gripping."""
    fixtures = {one.scenario.boring.fixture for layout in found.layouts for one in layout.sets}
    boring = next((row for row in pictures if row.kind == "" and row.title.startswith(BORED)), None)
    return boring if boring is not None and len(fixtures) > 1 else pictures[0]


def _answer(found: Comparison) -> dict[str, Any]:
    """Return the answer in one sentence, with the sign of the layout that it names, else of the best."""
    first = next((x for x in found.layouts if x.name == found.decision.first), None)
    statuses = [x.status for x in found.layouts]
    if first is not None:
        return {
            "status": first.status,
            "symbol": STATUS_SYMBOL[first.status],
            "says": f"{first.name} stands first",
        }
    best = max(statuses, key=ORDER.index)
    says = "None can be run as it is" if best == "fail" else weighed(found)
    return {"status": best, "symbol": STATUS_SYMBOL[best], "says": says}


def _apart(found: Comparison) -> list[dict[str, Any]]:
    """Return the verdicts that tell the layouts apart, as rows of the first screen."""
    return [
        {"name": line.name, "stage": line.stage, "cells": [v and _verdict(v) for v in line.cells]}
        for line in unlike(found)[:APART]
    ]


def _layout(layout: Layout) -> dict[str, Any]:
    bad = [v for v in sorted(layout.verdicts, key=lambda v: (v.status, v.margin)) if v.status != "pass"]
    near = closest(layout.verdicts)
    open_ = unasked(layout.unasked)
    return {
        "name": layout.name,
        "status": layout.status,
        "word": ASKED.lower() if layout.status == "warn" and not bad else STATUS_WORD[layout.status],
        "counts": ", ".join(
            [*(f"{n} {status}" for status, n in counts(layout.verdicts).items()), *([open_] if open_ else [])]
        ),
        "titles": [line for one in layout.sets for line in (one.scenario.title, *one.scenario.origin)],
        "bad": bad[:SHOWN],
        "nearest": f"{near.name}, {near.stage}, margin {margin_text(near.margin, missed=near.missed)}.",
    }


def _figures(rows: Sequence[Row]) -> list[dict[str, Any]]:
    found, group = [], ""
    for row in rows:
        best = _best(row)
        unit = f", {unit_word(row.unit)}" if row.unit else ""
        found.append(
            {
                "head": row.group if row.group != group else "",
                "what": row.what + unit,
                "cells": [{"text": cell(v), "best": cell(v) == best} for v in row.values],
            }
        )
        group = row.group
    return found


def _best(row: Row) -> str | None:
    """Return the better figure of a row as it is shown; None where the layouts do not differ so far."""
    numbers = [v for v in row.values if isinstance(v, int | float)]
    if not row.better or len({cell(v) for v in numbers}) < 2:
        return None
    return cell(max(numbers) if row.better == "more" else min(numbers))


def _verdict(verdict: Verdict) -> dict[str, Any]:
    sign = "at least" if verdict.at_least else "at most"
    unit = unit_word(verdict.unit)
    value, limit = compared(verdict.value, verdict.limit, verdict.unit)
    return {
        "status": verdict.status,
        "value": value,
        "limit": f"{sign} {limit} {unit}".strip(),
        "margin": margin_text(verdict.margin, missed=verdict.missed, most=10.0),
        "bar": bar(verdict),
    }
