"""States of a setup computed beforehand, for the page that is handed round without the program behind it.

Travel and speed are computed at the scenario's pressure for the middle part; the page stops only at what was computed.
"""

from __future__ import annotations

import json
from collections.abc import Sequence
from typing import Any

import numpy as np

from sim.assessment.figures.operation import OperationFigures
from sim.assessment.state import BORING, States, asked_at, at, bodies_of, places_on_path, solved_at
from sim.base.plain import text_of, value_of
from sim.base.share import counted
from sim.clearance.standing import Standing
from sim.contact import ContactSetup
from sim.views.kept_pieces import kept_piece
from sim.views.web.figures import contact_figures, grip_figures, path_places, state_figures

SPEED_STEP = 100.0  # rev/min
TRAVEL_STEP = 0.1  # mm
PLACES = 260  # on a path, beside the ends of its moves
_OF_POCKETS = frozenset({"bore_mm", "depth_mm"})  # moved only on the page that a program answers
_TOOL_AWAY = 0.0  # place on the path of an operation at which no tool is shown


def with_stops(scene: dict[str, Any], states: States) -> dict[str, Any]:
    """Return the data of a page whose sliders stop at what `written_states` computes."""
    return {**scene, "stages": [_stopped(stage, scene, states) for stage in scene["stages"]]}


def words(states: States) -> str:
    """Say what was computed."""
    pressures = ", ".join(
        f"{10.0 * f.operation.gripping.pressure:.1f} bar ({f.operation.name})"
        for f in states.assessment.operations
    )
    return (
        f"This file holds states computed beforehand: spindle speed in steps of {SPEED_STEP:g} rev/min, jaw travel in "
        f"steps of {TRAVEL_STEP:g} mm, at {pressures}, for the part in the middle of its tolerance. Sliders stop at "
        "these; between them nothing is interpolated. The verdicts are those of the scenario as stated."
    )


def written_states(scene: dict[str, Any], states: States) -> dict[str, Any]:
    """Return the figures of every state that the page of a scene can show."""
    found: dict[str, Any] = {}
    if BORING in states.tracks:
        found[BORING] = {"path": _places(scene, states, BORING)}
    for figures in states.assessment.operations:
        found[str(figures.index)] = _operation(scene, states, figures)
    return found


def _stopped(stage: dict[str, Any], scene: dict[str, Any], states: States) -> dict[str, Any]:
    key = stage["key"]
    stops: dict[str, list[float]] = {}
    if key in states.tracks:
        first = [] if key == BORING else [_TOOL_AWAY]
        stops["position_mm"] = [
            *first,
            *(p for p in _positions(scene, states, key) if p > 0.0 or key == BORING),
        ]
    if key != BORING:
        figures = states.assessment.operations[int(key)]
        stops["speed_rpm"] = _speeds(states, figures)
        stops["travel_mm"] = _travels(states, figures)
    ranges = {
        name: value for name, value in stage["ranges"].items() if name not in {"pressure_bar", *_OF_POCKETS}
    }
    fixed = {**stage.get("fixed", {}), "pressure_bar": "as stated"}
    values = {name: value for name, value in stage["values"].items() if name not in _OF_POCKETS}
    if "position_mm" in values:
        values["position_mm"] = min(stops["position_mm"], key=lambda at: abs(at - values["position_mm"]))
    tops = {**stage.get("tops", {}), "pressure_bar": stage["ranges"].get("pressure_bar", [0.0, 1.0])[1]}
    if key == BORING:
        tops = stage["tops"]
    own = {name: value for name, value in stage.items() if name != "bored_touches"}
    return {**own, "ranges": ranges, "fixed": fixed, "tops": tops, "stops": stops, "values": values}


def _operation(scene: dict[str, Any], states: States, figures: OperationFigures) -> dict[str, Any]:
    index = figures.index
    held = at(states, index)
    speeds = _speeds(states, figures)
    travels = _travels(states, figures)
    bodies = bodies_of(states, index)
    opened = []
    for travel in travels:
        if travel < held.touch_travel - 1e-9:
            state = grip_figures(at(states, index, travel=travel))
            opened.append({k: state[k] for k in ("travel_mm", "jaw_travel_mm", "gap_mm", "closest")})
        else:
            opened.append({})
    found = {
        "touch_travel_mm": held.touch_travel,
        "travels_mm": travels,
        "speeds_rpm": speeds,
        "at_speed": [_at_speed(states, index, speed, bodies) for speed in counted(speeds)],
        "open": opened,
    }
    if str(index) in states.tracks:
        found["path"] = _places(scene, states, str(index))
    return found


def _at_speed(states: States, index: int, speed: float, bodies: ContactSetup) -> dict[str, Any]:
    """Return the figures at a speed; its contact follows from its setup and from that of its bodies."""
    asked = asked_at(states, index, speed=speed)
    text = kept_piece(
        "contact of a state",
        bodies,
        asked.setup,
        make=lambda: json.dumps(contact_figures(solved_at(states, asked, per_um=True))),
    )
    return state_figures(asked, json.loads(text))


def _places(scene: dict[str, Any], states: States, stage: str) -> dict[str, Any]:
    positions = _positions(scene, states, stage)
    return {"positions_mm": positions, "at": path_places(states, stage, positions, _kept_places)}


def _kept_places(states: States, stage: str, positions: Sequence[float]) -> tuple[Standing, ...]:
    """Return `places_on_path`; no pressure or speed moves what stands where on a path."""

    def made() -> str:
        return text_of(places_on_path(states, stage, positions))

    text = kept_piece("places on a path", states.tracks[stage], tuple(positions), make=made)
    found: tuple[Standing, ...] = value_of(text)
    return found


def _positions(scene: dict[str, Any], states: States, stage: str) -> list[float]:
    """Places on a path: evenly, at the ends of the moves, and where a touch begins or the clearance is least."""
    track = states.tracks[stage]
    even = np.linspace(0.0, track.length, PLACES)
    ends = track.ends if len(track.ends) <= PLACES else track.ends[:0]
    return [round(float(p), 3) for p in np.unique(np.concatenate([even, ends, _telling(scene, stage)]))]


def _telling(scene: dict[str, Any], stage: str) -> list[float]:
    """Places to which the verdicts on the path turn."""
    looks = [row["look"] for row in scene["verdicts"]]
    return [w["values"]["position_mm"] for w in looks if w["stage"] == stage and "position_mm" in w["values"]]


def _speeds(states: States, figures: OperationFigures) -> list[float]:
    grip = figures.operation.gripping
    top = max(states.assessment.scenario.chuck.marked_speed, grip.speed_high)
    told = [grip.speed_low, grip.speed_high, *(d.speed for d in figures.demands)]
    return [round(float(n), 3) for n in np.unique([*np.arange(0.0, top + 1.0, SPEED_STEP), *told])]


def _travels(states: States, figures: OperationFigures) -> list[float]:
    stroke = states.assessment.scenario.chuck.stroke
    touch = at(states, figures.index).touch_travel
    return [float(s) for s in np.unique([*np.arange(0.0, stroke, TRAVEL_STEP), touch, stroke])]
