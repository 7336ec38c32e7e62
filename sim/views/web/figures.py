"""Figures of one state as the page reads them: plain numbers with their unit in the key."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from typing import Any

import numpy as np

from sim.assessment.bored import bored, foreseen, is_worked_out, judged_with_bores
from sim.assessment.deformed import deformed
from sim.assessment.figures.machining import MoveGrip
from sim.assessment.gripped_again import with_gripping
from sim.assessment.state import BORING, AskedState, GripState, States, at, places_on_path
from sim.assessment.verdict import Verdict
from sim.base.errors import ChuckSceneError, ScenarioError
from sim.clearance.standing import Standing, Track
from sim.contact import ContactNotConverged
from sim.report.verdicts import finite
from sim.views.packing import base64_of
from sim.views.web.deformation import as_object
from sim.views.web.look import look
from sim.views.wording import counts, row

MPA_PER_BAR = 0.1
Look = Callable[[States, str, Sequence[float]], Sequence[Standing]]
_OF_PRESSURE = ("peak_MPa", "peak_change_for_1_um_MPa", "pattern", "closed_share", "bands")


class StateError(ChuckSceneError):
    """A state that was asked for cannot be; the message says why."""


def grip_figures(state: GripState) -> dict[str, Any]:
    """Return the figures of an operation at a state."""
    return state_figures(state, contact_figures(state))


def state_figures(state: AskedState, contact: Mapping[str, Any]) -> dict[str, Any]:
    """Return the figures of an operation at a state whose `contact_figures` are known."""
    grip = state.figures
    found: dict[str, Any] = {
        "stage": str(state.operation),
        "gripped": state.gripped,
        "held": contact["held"],
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
        "total_N": contact["total_N"],
        "grip_N": contact["grip_N"],
        "centrifugal_per_jaw_N": grip.centrifugal_per_jaw,
        "needed_N": grip.needed_total,
        "permissible_rpm": grip.permissible.least,
        "governing": grip.permissible.governing,
        **{name: contact[name] for name in _OF_PRESSURE},
    }
    cleaned: dict[str, Any] = finite(found)
    return cleaned


def contact_figures(state: GripState) -> dict[str, Any]:
    """Return the figures of the contact alone at a state."""
    contact = state.contact
    cleaned: dict[str, Any] = finite(
        {
            "held": contact is not None,
            "total_N": state.total,
            "grip_N": [float(g) for g in state.grip],
            "peak_MPa": state.band_peak,
            "peak_change_for_1_um_MPa": state.band_peak_per_um,
            "pattern": None if contact is None else contact.pattern,
            "closed_share": None if contact is None else contact.closed_fraction,
            "bands": _bands(state),
        }
    )
    return cleaned


def judged_row(states: States, verdict: Verdict) -> dict[str, Any]:
    """Return a verdict in words, with what the page turns to when it is chosen."""
    return {**row(verdict), "look": look(states, verdict).as_object()}


def judged_setup(
    states: States,
    gripping: Mapping[int, tuple[float, float]],
    bores: Mapping[int, float] | None = None,
    depths: Mapping[int, float] | None = None,
) -> dict[str, Any]:
    """Return every verdict of the setup at other (pressure, highest speed) of some operations, MPa and rev/min.

    All of them, so that none is left that belongs to another state. What such a change leaves as it was turns the page
    to what the scenario's own verdict does; its 'look' is null. So does every verdict of pockets that are bored
    otherwise or deeper (mm, by their numbers): the paths that the page shows are those of the scenario.
    """
    if bores or depths:
        found = judged_with_bores(states, bores or {}, gripping, depths or {})
        rows = [{**row(v), "look": None} for v in found.verdicts]
        return {"status": found.status, "counts": counts(found.verdicts), "verdicts": rows}
    found = with_gripping(states, gripping)
    moved = replace(states, assessment=found)
    names = {states.assessment.operations[index].operation.name for index in gripping}
    stated = {(v.stage, v.key): row(v) for v in states.assessment.verdicts if v.stage not in names}
    same = {key for v in found.verdicts if stated.get(key := (v.stage, v.key)) == row(v)}
    return {
        "status": found.status,
        "counts": counts(found.verdicts),
        "verdicts": [
            {**row(v), "look": None} if (v.stage, v.key) in same else judged_row(moved, v)
            for v in found.verdicts
        ],
    }


def path_figures(states: States, stage: str, position: float) -> dict[str, Any]:
    """Return where the tool stands on a path and what it is nearest to; of a program that cuts the part, the grip too.

    Raises
    ------
    ValueError
        If the stage has no path.
    """
    return path_places(states, stage, (position,))[0]


def path_places(
    states: States, stage: str, positions: Sequence[float], look: Look = places_on_path
) -> list[dict[str, Any]]:
    """Return `path_figures` at many places (mm along the path), by what `look` finds as `places_on_path` does."""
    track = states.tracks[stage]
    grip = None
    if stage != BORING and (machining := states.assessment.machining[int(stage)]) is not None:
        grip = machining.grip
    return [_place(track, grip, one) for one in look(states, stage, positions)]


def _place(track: Track, grip: MoveGrip | None, found: Standing) -> dict[str, Any]:
    move = track.moves[found.move]
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
    """Return the figures of a state that a page asked for, or the verdicts of one.

    Parameters
    ----------
    asked : dict
        Either 'stage' ('boring' or the operation's number as text) and the values of the sliders, for figures; or
        'gripping', for verdicts: by the operations' numbers as text 'pressure_bar' and 'speed_rpm', where they are not
        those of the scenario. Both may have 'bores' and 'depths': by the pockets' numbers as text other diameters and
        depths in mm. Figures of such are foreseen where they can be, and say so ('preview'), unless 'exact' is true.
        What 1 um of bore radius does is asked with 'exact' alone: no slider that moves waits for it.

    Raises
    ------
    StateError
        If a value is missing, is no number, or lies outside of what the setup allows.
    """
    try:
        if "gripping" in asked:
            pockets = (_bores(states, asked), _depths(states, asked))
            return judged_setup(states, _gripping(states, asked["gripping"]), *pockets)
        return _figures(states, asked)
    except (ValueError, ContactNotConverged, ScenarioError) as error:
        raise StateError(str(error)) from None


def _figures(states: States, asked: dict[str, Any]) -> dict[str, Any]:
    stage, bores, depths = asked.get("stage"), _bores(states, asked), _depths(states, asked)
    if stage == BORING:
        if bores or depths:
            what = "bore" if bores else "depth"
            raise StateError(
                f"the boring path is that of the pockets as the file states them; take the {what} back"
            )
        position = _number(asked, "position_mm")
        found = path_figures(states, BORING, position) if BORING in states.tracks else None
        return {"stage": BORING, "path": found}
    index = _operation(states, stage, BORING)
    pressure, speed = MPA_PER_BAR * _number(asked, "pressure_bar"), _number(asked, "speed_rpm")
    path, shown, rests = None, states, asked.get("exact") is True
    if bores or depths:
        known = None
        if not rests and not is_worked_out(states, index, bores, depths):
            known = foreseen(states, index, bores, depths)
        shown = bored(states, index, bores, depths) if known is None else known
    elif stage in states.tracks and asked.get("position_mm"):
        path = path_figures(states, str(stage), _number(asked, "position_mm"))
    state = at(
        shown,
        index,
        travel=_number(asked, "travel_mm"),
        pressure=pressure,
        speed=speed,
        spindle_angle=_number(asked, "spindle_angle_rad"),
        gripped_diameter=_number(asked, "gripped_diameter_mm"),
        side_force=_number(asked, "side_force_N"),
        per_um=rests,
    )
    found = grip_figures(state)
    if not rests:
        del found["peak_change_for_1_um_MPa"]  # not asked, which is not the same as not found
    if asked.get("shape") is True:
        # Of another pocket the part alone would have to be computed anew, for which no slider waits.
        shape = None if bores or depths else deformed(states, state)
        found["shape"] = None if shape is None else as_object(shape)
    return {**found, "path": path, **({"preview": known is not None} if bores or depths else {})}


def _gripping(states: States, asked: Any) -> dict[int, tuple[float, float]]:
    if not isinstance(asked, dict) or not all(isinstance(one, dict) for one in asked.values()):
        raise StateError("gripping must name pressure_bar and speed_rpm for each operation's number")
    return {
        _operation(states, stage): (MPA_PER_BAR * _number(one, "pressure_bar"), _number(one, "speed_rpm"))
        for stage, one in asked.items()
    }


def _bores(states: States, asked: dict[str, Any]) -> dict[int, float]:
    """Return the diameters (mm) of pockets, by their numbers, that are not those of the scenario."""
    return _of_pockets(states, asked, "bores", "diameter")


def _depths(states: States, asked: dict[str, Any]) -> dict[int, float]:
    """Return the depths (mm) of pockets, by their numbers, that are not those of the scenario."""
    return _of_pockets(states, asked, "depths", "depth")


def _of_pockets(states: States, asked: dict[str, Any], name: str, size: str) -> dict[int, float]:
    wanted = asked.get(name, {})
    pockets = states.assessment.scenario.pockets
    if not isinstance(wanted, dict) or not all(one in map(str, range(len(pockets))) for one in wanted):
        raise StateError(f"{name} must name {size}s in mm by the pockets' numbers")
    return {
        int(one): _number(wanted, one) for one in wanted if wanted[one] != getattr(pockets[int(one)], size)
    }


def _operation(states: States, stage: Any, *others: str) -> int:
    """Return the number of an operation that is asked for as text."""
    names = [str(n) for n in range(len(states.assessment.operations))]
    if stage not in names:
        raise StateError(f"stage must be one of {', '.join([*others, *names])}, found {str(stage)[:20]!r}")
    return int(stage)


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
