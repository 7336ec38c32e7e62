"""Drawn scenarios: read or refused in one sentence; judged, nothing passes beyond its limit, and worse is no better."""

from __future__ import annotations

import json
import math
import random
from functools import cache
from typing import Any

from drawn_scenarios import FOLDER, drawn
from schema_fields import Place, stated
from trials import FindingError, Kind, one_sentence
from which_way import WHOLE, improved, rows

from sim.assessment.results import Assessment
from sim.assessment.stages import assess
from sim.base import units
from sim.base.errors import ChuckSceneError, ScenarioError
from sim.report.assessment import as_object
from sim.scenario import Scenario
from sim.scenario.fields import field_of
from sim.scenario.scenario import checked
from sim.setup.loading import refuse_impossible

FILE = FOLDER / "drawn.toml"  # which is not there: the tables are the drawn ones
ROUNDING = 1e-6  # relative, of a value that meets its limit
JUDGED = 0.004  # of those that can be built: each takes as long as hundreds that are only read
_ROWS = rows()


def remembered() -> None:
    """Let the text of a quantity be read once: most of a drawn scenario is as it was shipped, and most of the time."""
    plain = units.read
    known = cache(plain)

    def read(text: object, kind: str, sign: units.Sign = "any") -> float:
        return (
            known(text, kind, sign) if isinstance(text, str) and len(text) < 40 else plain(text, kind, sign)
        )

    units.read = read


def built(tables: dict[str, Any]) -> Scenario | ScenarioError:
    """Return a scenario that can be built, or its refusal."""
    try:
        scenario = checked(tables, FILE)
        refuse_impossible(scenario)
    except ScenarioError as error:
        return error
    return scenario


def judged(scenario: Scenario, tables: Any) -> Assessment | None:
    """Return the assessment by columns, held to what each must keep; None where it is refused in a sentence."""
    try:
        found = assess(scenario, contact_model="foundation")
    except ChuckSceneError as error:
        one_sentence(str(error), repr(tables))
        return None
    try:
        json.dumps(as_object(found, moves=False), allow_nan=False)
    except ValueError as error:
        raise FindingError(f"report with a number that is none: {error}", repr(tables)) from error
    for one in found.verdicts:
        numbers = math.isfinite(one.value) and not math.isnan(one.limit)
        slack = ROUNDING * max(abs(one.limit), 1e-9)
        kept = one.value >= one.limit - slack if one.at_least else one.value <= one.limit + slack
        if one.status == "pass" and not (numbers and kept):
            raise FindingError(
                f"passes beyond its limit: {one.key} of {one.stage}, {one.value} against {one.limit}",
                repr(tables),
            )
    worst = "fail" if any(one.status == "fail" for one in found.verdicts) else ""
    if (found.status == "fail") != bool(worst):
        raise FindingError(f"{found.status} though a verdict says otherwise", repr(tables))
    return found


def worse(draw: random.Random, scenario: Scenario, tables: dict[str, Any], before: Assessment) -> str:
    """Move one field and see that no margin got better where it got worse."""
    fields = [p for p in stated(scenario) if _movable(p)]
    place = draw.choice(fields)
    share = draw.choice((-0.1, -0.02, 0.02, 0.1))
    value = field_of(scenario, place.key)
    if isinstance(place.value, int) and not value.kind:
        moved: Any = place.value + (1 if share > 0.0 else -1)
    else:
        moved = value.text(place.value + share * (abs(place.value) or 0.1))
    changed = put(tables, place.key, moved)
    if isinstance(changed, str):
        return changed
    other = built(changed)
    after = None if isinstance(other, ScenarioError) else judged(other, changed)
    if after is None:
        return "refused when moved"
    row = _ROWS[place.row].where(points=bool(tables["chuck"].get("grip_points")))
    wrong = improved(row, share > 0.0, before.verdicts, after.verdicts)
    if wrong:
        raise FindingError(f"{place.key} moved by {share:+.0%}: " + "; ".join(wrong), repr(tables))
    return "judged and moved"


def _movable(place: Place) -> bool:
    number = isinstance(place.value, int | float) and not isinstance(place.value, bool)
    return (
        number
        and math.isfinite(place.value)
        and not f"{place.row}.".startswith(WHOLE)
        and _ROWS[place.row].told
    )


def put(tables: dict[str, Any], key: str, value: Any) -> dict[str, Any] | str:
    """Return a copy of the tables with a field stated, or a word where it stands in no table of them."""
    copied: Any = dict(tables)
    place = copied
    *steps, last = (int(step) if step.isdigit() else step for step in key.split("."))
    for step in steps:
        try:
            inner = place[step]
        except (KeyError, IndexError):
            inner = {}
        if not isinstance(inner, dict | list):
            return "not moved"
        place[step] = dict(inner) if isinstance(inner, dict) else list(inner)
        place = place[step]
    place[last] = value
    return copied


def tried(draw: random.Random, share: float = JUDGED) -> str:
    """Draw a scenario, read it, and judge some of those that can be built."""
    _, tables = drawn(draw)
    scenario = built(tables)
    if isinstance(scenario, ScenarioError):
        one_sentence(str(scenario), repr(tables))
        if not str(scenario).startswith(str(FILE)) and "[" not in str(scenario) and "." not in str(scenario):
            raise FindingError(f"names no field: {scenario}", repr(tables))
        return "refused"
    if draw.random() >= share:
        return "can be built"
    found = judged(scenario, tables)
    return "refused when judged" if found is None else worse(draw, scenario, tables, found)


SCENARIO = Kind(
    "scenario", tried, frozenset({"refused", "can be built", "refused when judged", "judged and moved"})
)
