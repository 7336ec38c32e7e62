"""Figures of one state as the page reads them: plain numbers with their unit in the key."""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from sim.assess.state import BORING, GripState, JudgedState, States, at, judged, on_path
from sim.contact import ContactNotConverged
from sim.errors import ChuckSceneError
from sim.report import finite
from sim.views.packing import base64_of
from sim.views.wording import row

MPA_PER_BAR = 0.1


class StateError(ChuckSceneError):
    """A state that was asked for cannot be; the message says why."""


def grip_figures(state: GripState) -> dict[str, Any]:
    """Return the figures of an operation at a state."""
    grip, contact = state.figures, state.contact
    found: dict[str, Any] = {
        "stage": str(state.operation),
        "gripped": state.gripped,
        "held": contact is not None,
        "travel_mm": state.travel,
        "jaw_travel_mm": state.jaw_travel,
        "touch_travel_mm": state.touch_travel,
        "gap_mm": state.gap,
        "closest": None if state.closest is None else [list(p) for p in state.closest],
        "pressure_bar": state.pressure / MPA_PER_BAR,
        "speed_rpm": state.speed,
        "spindle_angle_rad": state.spindle_angle,
        "side_force_N": state.side_force,
        "gripped_diameter_mm": state.gripped_diameter,
        "rest_total_N": grip.rest_total,
        "total_N": state.total,
        "grip_N": [float(g) for g in state.grip],
        "centrifugal_per_jaw_N": grip.centrifugal_per_jaw,
        "needed_N": grip.needed_total,
        "permissible_rpm": grip.permissible.least,
        "governing": grip.permissible.governing,
        "peak_MPa": state.band_peak,
        "pattern": None if contact is None else contact.pattern,
        "closed_share": None if contact is None else contact.closed_fraction,
        "bands": _bands(state),
    }
    cleaned: dict[str, Any] = finite(found)
    return cleaned


def judged_figures(judged: JudgedState) -> dict[str, Any]:
    """Return the verdicts of an operation at another pressure and speed."""
    figures = judged.figures
    found: dict[str, Any] = finite(
        {
            "stage": str(figures.index),
            "pressure_bar": figures.operation.gripping.pressure / MPA_PER_BAR,
            "speed_rpm": figures.operation.gripping.speed_high,
            "roundness_um": figures.roundness,
            "verdicts": [row(v) for v in judged.verdicts],
        }
    )
    return found


def path_figures(states: States, stage: str, position: float) -> dict[str, Any]:
    """Return where the tool stands on a path and what it is nearest to; of a program that cuts the part, the grip too.

    Raises
    ------
    ValueError
        If the stage has no path.
    """
    found = on_path(states, stage, position)
    track = states.tracks[stage]
    move, grip = track.moves[found.move], None
    if stage != BORING:
        machining = states.assessment.machining[int(stage)]
        grip = None if machining is None else machining.grip
    factor = math.inf if grip is None else float(grip.factor[found.move])
    cleaned: dict[str, Any] = finite(
        {
            "position_mm": found.position,
            "step_mm": 0.0,
            "move": found.move + 1,
            "moves": len(track.moves),
            "purpose": ", ".join(word for word in (move.kind, move.stage) if word),
            "block": move.block,
            "tool": track.tools[found.move].name,
            "tip_mm": list(found.tip),
            "distance_mm": found.distance,
            "part": found.part,
            "body": found.body,
            "ends_mm": None if found.ends is None else [list(p) for p in found.ends],
            "speed_rpm": None if grip is None else float(grip.speed[found.move]),
            "factor": factor,
        }
    )
    return cleaned


def answer(states: States, asked: dict[str, Any]) -> dict[str, Any]:
    """Return the figures of a state that a page asked for.

    Parameters
    ----------
    asked : dict
        'stage' ('boring' or the operation's number as text), the values of the sliders, and 'verdicts' = true where
        verdicts are asked for instead of figures.

    Raises
    ------
    StateError
        If a value is missing, is no number, or lies outside of what the setup allows.
    """
    stage = asked.get("stage")
    try:
        if stage == BORING:
            position = _number(asked, "position_mm")
            found = path_figures(states, BORING, position) if BORING in states.tracks else None
            return {"stage": BORING, "path": found}
        names = [str(n) for n in range(len(states.assessment.operations))]
        if stage not in names:
            raise StateError(f"stage must be one of boring, {', '.join(names)}, found {str(stage)[:20]!r}")
        pressure, speed = MPA_PER_BAR * _number(asked, "pressure_bar"), _number(asked, "speed_rpm")
        if asked.get("verdicts"):
            return judged_figures(judged(states, int(str(stage)), pressure, speed))
        path = None
        if stage in states.tracks and asked.get("position_mm"):
            path = path_figures(states, str(stage), _number(asked, "position_mm"))
        found = grip_figures(
            at(
                states,
                int(str(stage)),
                travel=_number(asked, "travel_mm"),
                pressure=pressure,
                speed=speed,
                spindle_angle=_number(asked, "spindle_angle_rad"),
                gripped_diameter=_number(asked, "gripped_diameter_mm"),
                side_force=_number(asked, "side_force_N"),
            )
        )
        return {**found, "path": path}
    except (ValueError, ContactNotConverged) as error:
        raise StateError(str(error)) from None


def _bands(state: GripState) -> dict[str, Any] | None:
    if state.bands is None:
        return None
    _, rows, columns = state.bands.shape
    return {"rows": rows, "columns": columns, "MPa": base64_of(state.bands.astype(np.dtype("<f4")))}


def _number(asked: dict[str, Any], name: str) -> float:
    value = asked.get(name)
    if isinstance(value, bool) or not isinstance(value, int | float) or not math.isfinite(value):
        raise StateError(f"{name} must be a finite number, found {str(value)[:20]!r}")
    return float(value)
