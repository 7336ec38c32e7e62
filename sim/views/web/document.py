"""The page as one HTML text: template, style and scripts of `assets`, and the data of a setup."""

from __future__ import annotations

import base64
import hashlib
import json
from functools import cache
from importlib import resources
from typing import Any

import jinja2
from markupsafe import Markup

from sim.assessment.results import CAUTIONS, SHORT_CAUTIONS, Assessment
from sim.assessment.said import ASKED, SAYS
from sim.assessment.state import States
from sim.scenario import View
from sim.views import bodies
from sim.views.colours import ENOUGH, OVERLAP, SCARCE, STATUS_SYMBOL, STATUS_WORD, TOO_LITTLE
from sim.views.pressure_scale import STEPS, colours
from sim.views.staging import stage_key
from sim.views.web import stages
from sim.views.web.figures import judged_row
from sim.views.wording import counts, open_question

SCRIPTS = (
    "linear.js",
    "camera.js",
    "shaders.js",
    "lights.js",
    "coarse.js",
    "painter.js",
    "units.js",
    "range.js",
    "scene.js",
    "picking.js",
    "overlay.js",
    "marks.js",
    "pointer.js",
    "source.js",
    "readout.js",
    "controls.js",
    "panels.js",
    "setting.js",
    "validity.js",
    "grip.js",
    "shape.js",
    "faces.js",
    "materials.js",
    "changed.js",
    "opening.js",
    "frame.js",
    "asking.js",
    "player.js",
    "summary.js",
    "cube.js",
    "sectionhandle.js",
    "pointed.js",
    "keys.js",
    "saving.js",
    "address.js",
    "moments.js",
    "tools.js",
    "sheet.js",
    "probe.js",
    "app.js",
)
# What only a page with the program behind it has.
EDITING = (
    "drafting.js",
    "outline.js",
    "section.js",
    "fields.js",
    "outlinebox.js",
    "making.js",
    "weighing.js",
    "editing.js",
)
BEGINNING = ("controls.js", "drafting.js")
FORMS = ("controls.js", *EDITING)


def scene_data(states: States, version: int = 0) -> dict[str, Any]:
    """Return everything that the page shows of a setup but the figures of its states.

    `version` tells one judged text of the file from the next, so that no answer is shown beside another scene.
    """
    assessment = states.assessment
    solids = bodies.as_objects(assessment)
    solids["shapes"].update(stages.face_shapes(assessment))
    return {
        "version": version,
        "title": assessment.scenario.named,
        "description": assessment.scenario.description.strip(),
        "origin": list(assessment.scenario.origin),
        "status": assessment.status,
        "counts": counts(assessment.verdicts),
        "not_judged": [open_question(one) for one in assessment.not_judged],
        **solids,
        "stages": stages.as_objects(states),
        "verdicts": [judged_row(states, verdict) for verdict in assessment.verdicts],
        "views": [_named(assessment, view) for view in assessment.scenario.views],
        "advice": assessment.boring.advice,
        "cautions": list(CAUTIONS),
        "map": colour_map(),
        "colours": {"enough": ENOUGH, "scarce": SCARCE, "too little": TOO_LITTLE, "overlap": OVERLAP},
        "words": {"symbol": STATUS_SYMBOL, "word": STATUS_WORD, "says": {**SAYS, "asked": ASKED}},
    }


def _named(assessment: Assessment, view: View) -> dict[str, Any]:
    """Return a named view of the scenario as the page reads it."""
    return {
        "name": view.name,
        "stage": stage_key(assessment, view),
        "yaw": view.turn,
        "pitch": view.rise,
        "zoom": view.zoom,
        "section": "" if view.section == "none" else view.section,
        "section_at": view.section_at,
        "hide": list(view.hide),
        "glass": list(view.see_through),
        "apart": view.apart,
    }


def live_page(data: dict[str, Any]) -> str:
    """Return the page that asks the program behind it."""
    return filled(
        "open.html",
        title=data["title"],
        cautions=CAUTIONS,
        short_cautions=SHORT_CAUTIONS,
        style=style("form.css"),
        script=script("live.js"),
        data=Markup(as_json(data)),  # noqa: S704  (no tag can begin in it)
        sources="connect-src 'self'",
    )


def filled(template: str, **values: Any) -> str:
    """Return a template filled in, with the policy that lets only its own script run and nothing be loaded."""
    policy = (
        f"default-src 'none'; img-src data:; style-src 'unsafe-inline'; "
        f"script-src {fingerprint(values['script'])}; base-uri 'none'; form-action 'none'; {values['sources']}"
    )
    loader = jinja2.ChoiceLoader(
        [jinja2.PackageLoader("sim.views.web", "assets"), jinja2.PackageLoader("sim.views", "templates")]
    )
    environment = jinja2.Environment(
        loader=loader, autoescape=True, undefined=jinja2.StrictUndefined, trim_blocks=True, lstrip_blocks=True
    )
    return environment.get_template(template).render(policy=Markup(policy), **values)  # noqa: S704


def colour_map() -> str:
    """Return the 256 colours of pressures, base64 of RGB bytes."""
    return base64.b64encode(colours().tobytes()).decode("ascii")


def as_json(data: Any) -> str:
    """Return data as JSON that may stand in a page: no tag can begin in it."""
    text = json.dumps(data, ensure_ascii=False, allow_nan=False, separators=(",", ":"))
    return text.replace("&", "\\u0026").replace("<", "\\u003c").replace(">", "\\u003e")


@cache
def script(start: str) -> Markup:
    """Return the scripts of the page in their order, the one that starts it last, as one text."""
    more = EDITING if start == "live.js" else ()
    return Markup("\n".join(asset(name) for name in (*SCRIPTS, *more, start)))  # noqa: S704  (our own files)


@cache
def start_script(start: str) -> Markup:
    """Return the scripts of the page before there is a setup."""
    return Markup("\n".join(asset(name) for name in (*BEGINNING, start)))  # noqa: S704  (our own files)


@cache
def forms_script(start: str) -> Markup:
    """Return the scripts of a page that has forms and no scene."""
    return Markup("\n".join(asset(name) for name in (*FORMS, start)))  # noqa: S704  (our own files)


@cache
def style(more: str = "") -> Markup:
    """Return the style of the page with the colours of its pressure bar, and of a further file of style."""
    stops = ", ".join("#" + bytes(colours()[number]).hex() for number in range(0, STEPS, 15))
    bar = f":root {{ --pressure: {stops}; }}"
    files = [asset(name) for name in ("page.css", more) if name]
    return Markup("\n".join([bar, *files]))  # noqa: S704  (our own files)


@cache
def asset(name: str) -> str:
    """Return a text file of `assets`, or of the templates of the other pages."""
    own = resources.files("sim.views.web").joinpath("assets", name)
    file = own if own.is_file() else resources.files("sim.views").joinpath("templates", name)
    return file.read_text(encoding="utf-8")


def fingerprint(text: str) -> str:
    """Return the hash by which a content security policy knows an inline script or style."""
    digest = hashlib.sha256(text.encode("utf-8")).digest()
    return "'sha256-" + base64.b64encode(digest).decode("ascii") + "'"
