"""Every key of `check --json`, the attribute that it shows, and by how much the unit in its name is smaller.

The table is written out here a second time, from the meaning of the keys and the units of `sim.assessment.figures` (mm,
N, MPa, rev/min, N mm, rad); the code under test is not asked. Figures are made up and all unlike, so that a key which
shows its neighbour, or a neighbour's unit, is found.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import fields, replace
from typing import Any

import numpy as np
import pytest
from made_up import at, together, unlike

from sim.assessment.figures.boring import FixtureStrain
from sim.assessment.figures.machining import MachiningFigures, MoveGrip
from sim.assessment.figures.operation import OperationFigures
from sim.assessment.figures.path import BarFigures, PathFigures
from sim.assessment.figures.supports import HeldAlone
from sim.assessment.jaws import screwed_as_stated
from sim.assessment.results import CAUTIONS, Assessment
from sim.assessment.verdicts.rules import RULES
from sim.clearance.result import Touch
from sim.contact import ClampedShape, edge_force
from sim.report.assessment import as_object
from sim.report.path import program_grip_object
from sim.setup.rebore import pocket_stock

DEG = 180.0 / math.pi
Row = tuple[str, float]  # attribute, and its factor to the unit that the key names

PATH: dict[str, Row] = {
    "swing_mm": ("path.swing", 1.0),
    "safe_plane_mm": ("path.safe_plane", 1.0),
    "zero_mm": ("path.zero", 1.0),
    "required_mm": ("path.clearance.required", 1.0),
    "gouge_mm": ("path.clearance.gouge_depth", 1.0),
    "leftover_mm": ("path.clearance.leftover_depth", 1.0),
    "program": ("path.file", 1.0),
    "optional_blocks": ("path.reading", 1.0),
    "notes": ("path.notes", 1.0),
    "ended_by": ("path.at_work.ended.text", 1.0),
    "tools": ("tools", 1.0),
    "moves": ("moves", 1.0),
    "least_mm": ("least", 1.0),
    "least_move": ("least_move", 1.0),
    "least_between": ("between", 1.0),
    "least_off_the_line": ("astray", 1.0),
}
BAR: dict[str, Row] = {
    "tool": ("tool", 1.0),
    "shank": ("shank", 1.0),
    "diameter_mm": ("diameter", 1.0),
    "reach_mm": ("reach", 1.0),
    "slenderness": ("slenderness", 1.0),
    "move": ("number", 1.0),
    "tangential_N": ("tangential", 1.0),
    "radial_N": ("radial", 1.0),
    "bend_mm": ("bend", 1.0),
    "push_mm": ("push", 1.0),
}
TOUCH: dict[str, Row] = {
    "kind": ("kind", 1.0),
    "move": ("number", 1.0),
    "block": ("block", 1.0),
    "line": ("line", 1.0),
    "part": ("part", 1.0),
    "body": ("body", 1.0),
    "radius_mm": ("place.0", 1.0),
    "z_mm": ("place.1", 1.0),
    "depth_mm": ("depth", 1.0),
    "off_the_line": ("astray", 1.0),
}
READING: dict[str, Row] = {
    "optional_blocks": ("path.reading", 1.0),
    "moves": ("moves", 1.0),
    "least_mm": ("least", 1.0),
    "gouge_mm": ("path.clearance.gouge_depth", 1.0),
    "leftover_mm": ("path.clearance.leftover_depth", 1.0),
    "touches": ("touches", 1.0),
}
STRAIN: dict[str, Row] = {
    "what": ("what", 1.0),
    "state": ("state", 1.0),
    "utilisation": ("share", 1.0),
    "basis": ("basis", 1.0),
}
MOVE: dict[str, Row] = {
    "move": ("number", 1.0),
    "block": ("move.block", 1.0),
    "line": ("move.line", 1.0),
    "tool": ("tool", 1.0),
    "kind": ("kind", 1.0),
    "stage": ("move.stage", 1.0),
    "x_diameter_mm": ("move.end.0", 2.0),
    "program_z_mm": ("z", 1.0),
    "clearance_mm": ("clearance", 1.0),
    "between": ("between", 1.0),
    "off_the_line": ("astray", 1.0),
    "touches": ("touches", 1.0),
    "depth_of_cut_mm": ("depth", 1.0),
    "speed_rpm": ("speed", 1.0),
    "holding_factor": ("factor", 1.0),
}
KEYS: dict[str, dict[str, Row]] = {
    "": {
        "title": ("scenario.title", 1.0),
        "revision": ("scenario.revision", 1.0),
        "status": ("status", 1.0),
    },
    "not_judged": {
        **{name: (name, 1.0) for name in ("question", "stage", "why", "needs", "matters")},
        "verdicts": ("names", 1.0),
        "verdict_keys": ("verdicts", 1.0),
    },
    "included": {
        "file": ("file", 1.0),
        "gauge_readings": ("judgement.word", 1.0),
        "findings": ("findings", 1.0),
        "values": ("by_field", 1.0),
        "stated_here": ("own", 1.0),
    },
    "stroke": {
        "operation": ("operation.name", 1.0),
        "grip_travel_first_mm": ("travel.first", 1.0),
        "grip_travel_last_mm": ("travel.last", 1.0),
        "loading_clearance_mm": ("travel.loading_clearance", 1.0),
        "touch_smallest": ("travel.low.touch.pattern", 1.0),
        "touch_largest": ("travel.high.touch.pattern", 1.0),
        "keeps_reserve": ("travel.keeps_reserve", 1.0),
    },
    "grip": {
        "operation": ("operation.name", 1.0),
        "rest_total_N": ("grip.rest_total", 1.0),
        "rest_per_jaw_N": ("grip.rest_per_jaw", 1.0),
        "low_speed_total_N": ("grip.low_speed_total", 1.0),
        "high_speed_total_N": ("grip.high_speed_total", 1.0),
        "largest_total_N": ("grip.largest_total", 1.0),
        "centrifugal_per_jaw_N": ("grip.centrifugal_per_jaw", 1.0),
        "needed_total_N": ("grip.needed_total", 1.0),
        "height_mm": ("grip.height", 1.0),
        "basis": ("grip.basis", 1.0),
        "permissible_vdi3106_rpm": ("grip.permissible.by_cutting", 1.0),
        "permissible_two_thirds_rpm": ("grip.permissible.by_loss", 1.0),
        "marked_rpm": ("grip.permissible.marked", 1.0),
        "permissible_rpm": ("grip.permissible.least", 1.0),
    },
    "contact": {
        "operation": ("operation.name", 1.0),
        "model": ("clamping.model", 1.0),
        "state": ("clamping.state", 1.0),
        "pattern": ("clamping.contact.pattern", 1.0),
        "closed_fraction": ("clamping.contact.closed_fraction", 1.0),
        "band_mean_peak_MPa": ("clamping.band_peak", 1.0),
        "band_mean_peak_change_for_1_um_MPa": ("clamping.band_peak_per_um", 1.0),
        "grip_per_jaw_N": ("clamping.contact.grip_n", 1.0),
        "approach_mm": ("clamping.contact.approach_mm", 1.0),
        "residual_relative": ("clamping.contact.residuals.relative", 1.0),
        "side_force_N": ("clamping.side", 1.0),
        "grip_per_jaw_at_speed_under_side_force_N": ("clamping.revolution.worst.grip_n", 1.0),
        "least_grip_N": ("clamping.revolution.least_n", 1.0),
        "least_grip_by_jaw_pressure_alone_N": ("clamping.unsupported_least", 1.0),
        "axis_shift_um": ("clamping.contact.part_shift_mm", 1e3),
        "axis_shift_under_side_force_um": ("clamping.revolution.worst.part_shift_mm", 1e3),
        "jaw_tilt_rad": ("clamping.contact.jaw_tilt_rad", 1.0),
        "jaw_opening_um": ("clamping.opening.over_height_um", 1.0),
        "taper_to_bore_um": ("clamping.taper.diameter_um", 1.0),
        "loss_share_by_stiffness": ("clamping.loss_share_by_stiffness", 1.0),
        "loss_share_by_stiffness_range": ("clamping.loss_share_range", 1.0),
        "run_out_um": ("running.run_out", 1.0),
    },
    "contact.grip_over_a_turn": {"spindle_angle_deg": ("angles_rad", DEG), "per_jaw_N": ("grip_n", 1.0)},
    "contact.run_out": {
        "state": ("state", 1.0),
        "rho": ("rho", 1.0),
        "by_stated_lobes_um": ("by_stated_lobes", 1e3),
        "by_jaws_um": ("by_jaws", 1e3),
        "by_lobes_free_jaws_um": ("free_lobes", 1e3),
        "by_jaws_free_jaws_um": ("free_jaws", 1e3),
    },
    "contact.run_out.by_lobes": {
        f"lobes_{order}_um": (f"by_lobes.{k}", 1e3) for k, order in enumerate((2, 4, 5, 7))
    },
    "running": {
        "operation": ("stage", 1.0),
        "state": ("found.state", 1.0),
        "rho": ("found.rho", 1.0),
        # An indicator at the turning part shows twice what the axis stands off, and what is out of round.
        "run_out_um": ("run_out", 1.0),
        "run_out_root_um": ("root", 1.0),
        "turned_out_of_round_um": ("found.roundness", 1.0),
        "out_of_square_um": ("square", 1.0),
        "out_of_square_root_um": ("square_root", 1.0),
        "over_diameter_mm": ("found.face", 1.0),
        "tilt_rad": ("found.tilt_worst", 1.0),
        "tilt_root_rad": ("found.tilt_root", 1.0),
        "by_seats": ("found.by_seats", 1.0),
        "chip_um": ("found.chip", 1e3),
        "chip_adds_run_out_um": ("found.chip_shift", 2e3),
        "chip_adds_out_of_square_um": ("chip_square", 1.0),
    },
    "running.shares": {
        "share": ("name", 1.0),
        "axis_off_um": ("worst", 1e3),
        "axis_off_root_um": ("root", 1e3),
        "basis": ("basis", 1.0),
    },
    "hold": {
        "operation": ("operation.name", 1.0),
        "friction": ("grip.friction", 1.0),
        "held_length_mm": ("zone.length", 1.0),
        "part_length_mm": ("zone.part_length", 1.0),
        "weight_N": ("alone.weight", 1.0),
        "weight_held_factor": ("alone.turn.limit.factor", 1.0),
    },
    "hold.cuts": {
        "name": ("cut.name", 1.0),
        "speed_rpm": ("cut.speed", 1.0),
        "tangential_N": ("cut.forces.tangential", 1.0),
        "feed_N": ("cut.forces.feed", 1.0),
        "passive_N": ("cut.forces.passive", 1.0),
        "impact_factor": ("cut.forces.impact", 1.0),
        "needed_total_N": ("cut.needed", 1.0),
        "governing": ("cut.governing", 1.0),
        "grip_left_N": ("held.grip", 1.0),
        "holding_factor": ("held.turn.limit.factor", 1.0),
        "begins_with": ("held.turn.limit.mode", 1.0),
        "spindle_angle_deg": ("held.turn.spindle_angle", DEG),
        "factor_without_shift": ("held.without_shift", 1.0),
        "factor_without_back_face": ("held.without_back_face", 1.0),
        "factor_by_closed_forms": ("held.handbook", 1.0),
        "bend_mm": ("bend", 1.0),
    },
    "hold.cuts.around": {"angle_deg": ("angle", DEG), "factor": ("factor", 1.0)},
    "distortion": {
        "operation": ("operation.name", 1.0),
        "roundness_um": ("clamping.roundness", 1.0),
        "basis": ("clamping.roundness_basis", 1.0),
        "flatness_um": ("clamping.flatness", 1.0),
        "stress_around_wall_MPa": ("clamping.hoop_stress", 1.0),
        "stress_of_bending_MPa": ("clamping.bending_stress", 1.0),
        "stress_decisive_MPa": ("clamping.decisive_stress", 1.0),
        "stress_decisive_is": ("clamping.decisive_kind", 1.0),
        "stress_decisive_radius_mm": ("clamping.decisive_place.0", 1.0),
        "stress_decisive_z_mm": ("clamping.decisive_place.1", 1.0),
        "stress_share_of_yield": ("clamping.stress_share", 1.0),
        "displacement_mm": ("clamping.displacement", 1.0),
        "wall_mm": ("clamping.wall", 1.0),
    },
    "distortion.surfaces": {
        "name": ("name", 1.0),
        "radius_mm": ("place.0", 1.0),
        "z_mm": ("place.1", 1.0),
        "roundness_um": ("roundness", 1.0),
        "three_lobe_amplitude_um": ("lobe", 1e3),
        "centre_um": ("centre", 1e3),
    },
    "screws": {
        "thread": ("stated.thread", 1.0),
        "property_class": ("stated.property_class", 1.0),
        "torque_Nm": ("stated.torque", 1e-3),
        "preload_least_N": ("force.least", 1.0),
        "preload_largest_N": ("force.largest", 1.0),
        "utilisation": ("force.utilisation", 1.0),
    },
    "fixture": {
        "kind": ("stated.fixture.kind", 1.0),
        "pressure_MPa": ("stated.pressure", 1.0),
        "speed_rpm": ("found.highest_speed", 1.0),
        "travel_mm": ("stated.travel", 1.0),
        "advice": ("found.advice", 1.0),
        "outer_ring_top_mm": ("found.outer_ring_top", 1.0),
        "material": ("found.bearing.material", 1.0),
        "load_height_mm": ("found.bearing.height", 1.0),
        "load_at_rest_N": ("found.bearing.load.rest", 1.0),
        "load_at_speed_N": ("found.bearing.at_speed", 1.0),
        "largest_guide_moment_Nm": ("found.bearing.guide_moment", 1e-3),
        "give_mm": ("found.bearing.give", 1.0),
    },
    "fixture.room_for_ring": {
        "fits": ("ring.fits", 1.0),
        "least_inner_diameter_mm": ("ring.least_inner_diameter", 1.0),
        "most_inner_diameter_mm": ("ring.most_inner_diameter", 1.0),
        "keeps_its_pressure": ("pressure", 1.0),
        "keeps_its_speed": ("speed", 1.0),
    },
    "fixture.room_for_plug": {
        "fits": ("fits", 1.0),
        "reason": ("reason", 1.0),
        "diameter_mm": ("diameter", 1.0),
        "top_mm": ("top", 1.0),
        "seat_depth_mm": ("seat_depth", 1.0),
        "pre_bore_diameter_mm": ("pre_bore_diameter", 1.0),
    },
    **{
        f"fixture.{of}({unit})": {
            **STRAIN,
            f"{word}_{unit}": ("value", 1.0),
            f"allowed_{unit}": ("allowed", 1.0),
        }
        for of in ("strength", "seat")
        for word, unit in (("stress", "MPa"), ("load", "N"))
    },
    "clearance": PATH,
    "clearance.bars": BAR,
    "clearance.touches": TOUCH,
    "clearance.other_readings": READING,
    "clearance.move_table": MOVE,
    "machining": {"operation": ("stage", 1.0), **PATH},
    "machining.bars": BAR,
    "machining.touches": TOUCH,
    "machining.other_readings": READING,
    "machining.move_table": MOVE,
    "machining.grip": {
        "highest_speed_rpm": ("speed", 1.0),
        "least_factor": ("held.holding.turn.limit.factor", 1.0),
        "least_factor_move": ("held_number", 1.0),
        "least_factor_by_closed_forms": ("closed", 1.0),
        "least_factor_by_closed_forms_move": ("closed_number", 1.0),
        "left_N": ("left", 1.0),
        "needed_N": ("needed", 1.0),
    },
    "pockets": {
        "name": ("pocket.name", 1.0),
        "diameter_mm": ("pocket.diameter", 1.0),
        "depth_mm": ("pocket.depth", 1.0),
        "radial_metal_left_mm": ("stock.radial", 1.0),
        "radial_metal_ends_at": ("stock.radial_end", 1.0),
        "rebores": ("count", 1.0),
        "may_go_deeper_mm": ("stock.deeper", 1.0),
        "depth_ends_at": ("stock.deeper_end", 1.0),
    },
    "verdicts": {
        "name": ("name", 1.0),
        "stage": ("stage", 1.0),
        "status": ("status", 1.0),
        "value": ("value", 1.0),
        "limit": ("limit", 1.0),
        "unit": ("unit", 1.0),
        "limit_is": ("side", 1.0),
        "basis": ("basis", 1.0),
        "message": ("message", 1.0),
        "advice": ("advice", 1.0),
        "key": ("key", 1.0),
    },
}
# Arrays of the contact that are made from the cells, see `test_force_at_the_edges_and_cautions`.
APART = {"contact.edge_force_N", "cautions"}
ARC = {True: "arc clockwise", False: "arc counter-clockwise"}


def _numbered(source: Any) -> Any:
    return together(
        **{name: getattr(source, name) for name in (*source.__slots__,)}, number=_from_one(source.move)
    )


def _from_one(move: int | None) -> int | None:
    return None if move is None else move + 1


def path_sources(path: PathFigures, name: str, **more: Any) -> Iterator[tuple[str, Any]]:
    """A cutting path, its bars, touches, other readings and moves: every source with its place in the report."""
    result = path.clearance
    k = int(np.argmin(result.clearance))
    yield (
        name,
        together(
            path=path,
            tools=[run.tool.name for run in path.runs],
            moves=len(path.moves),
            least=float(result.clearance[k]),
            least_move=k + 1,
            between=[result.part[k], result.body[k]],
            astray=bool(result.astray[k]),
            **more,
        ),
    )
    for bar in path.bars:
        yield f"{name}.bars", together(
            **{n: getattr(bar, n) for n in bar.__slots__}, number=_from_one(bar.move),
            slenderness=bar.reach / bar.diameter,
        )  # fmt: skip
    for touch in result.touches:
        yield f"{name}.touches", _numbered(touch)
    for other in path.others:
        yield f"{name}.other_readings", together(
            path=other, moves=len(other.moves), least=float(other.clearance.clearance.min()),
            touches=len(other.clearance.touches),
        )  # fmt: skip
    tools = [run.tool.name for run in path.runs for _ in run.moves]
    grip = path.grip if isinstance(path, MachiningFigures) else None
    for n, move in enumerate(path.moves):
        yield (
            f"{name}.move_table",
            together(
                number=n + 1,
                move=move,
                tool=tools[n],
                kind=move.kind if move.centre is None else ARC[move.clockwise],
                z=move.end[1] - path.zero,
                clearance=float(result.clearance[n]),
                between=f"{result.part[n]} to {result.body[n]}",
                astray=bool(result.astray[n]),
                touches=", ".join(t.kind for t in result.touches if t.move == n),
                depth=float(result.depth_of_cut[n]),
                speed=move.speed if grip is None else float(grip.speed[n]),
                factor=None if grip is None else float(grip.left[n] / grip.needed[n]),
            ),
        )


def sources(a: Assessment) -> Iterator[tuple[str, Any]]:
    """Every source of the report with the place of the object that shows it, in the report's order."""
    yield "", a
    called = {rule.key: rule.name for rule in RULES}
    for one in a.not_judged:
        words = {field.name: getattr(one, field.name) for field in fields(one)}
        yield "not_judged", together(**words, names=[called[key] for key in one.verdicts])
    for taken in a.scenario.included:
        yield "included", together(
            file=taken.file, judgement=taken.judgement, by_field={v.field: v.value for v in taken.values},
            findings=[] if taken.judgement is None else taken.judgement.findings,
            own={v.field: v.value for v in taken.instead},
        )  # fmt: skip
    yield from (found for figures in a.operations for found in operation_sources(figures))
    yield (
        "screws",
        together(stated=a.scenario.soft_jaw.screws, force=screwed_as_stated(a.parts.scenario).preload),
    )
    yield from fixture_sources(a)
    yield from path_sources(a.boring, "clearance")
    for figures, path in zip(a.operations, a.machining, strict=True):
        if path is not None:
            yield from path_sources(path, "machining", stage=figures.operation.name)
            yield "machining.grip", program_grip(path)
    for pocket, stock in zip(a.scenario.pockets, pocket_stock(a.parts), strict=True):
        count = math.floor(stock.radial / a.scenario.limits.rebore + 1e-9)
        yield "pockets", together(pocket=pocket, stock=stock, count=count)
    for v in a.verdicts:
        words = {name: getattr(v, name) for name in KEYS["verdicts"] if name != "limit_is"}
        yield "verdicts", together(**words, side="at least" if v.at_least else "at most")


def operation_sources(f: OperationFigures) -> Iterator[tuple[str, Any]]:
    """What is shown of one operation."""
    yield from ((name, f) for name in ("stroke", "grip", "contact", "hold", "distortion"))
    if f.clamping.revolution is not None:
        yield "contact.grip_over_a_turn", f.clamping.revolution
    for one in f.clamping.run_outs:
        yield "contact.run_out", one
        yield "contact.run_out.by_lobes", one
    yield from running_sources(f)
    for k, (cut, held) in enumerate(zip(f.demands, f.holdings, strict=True)):
        bend = f.gives[k] * cut.side_force
        yield "hold.cuts", together(cut=cut, held=held, bend=bend)
        for angle, factor in zip(held.turn.angles, held.turn.factors, strict=True):
            yield "hold.cuts.around", together(angle=angle, factor=factor)
    shape = f.clamping.shape
    for k, name in enumerate(f.clamping.surfaces if shape is not None else ()):
        # Amplitude of the third harmonic by its Fourier sum over a turn.
        around = shape.moved_mm[k, 0]
        turn = np.exp(6j * np.pi * np.arange(around.size) / around.size)
        wave = around @ turn * 2.0 / around.size
        yield "distortion.surfaces", together(
            name=name, place=shape.places_mm[k], roundness=shape.roundness_um[k], lobe=abs(wave),
            centre=shape.centre_mm[k],
        )  # fmt: skip


def running_sources(f: OperationFigures) -> Iterator[tuple[str, Any]]:
    """What is shown of how true a part runs: a tilt in rad leans a face in mm by so many mm."""
    found = f.running
    worst, root = sum(s.worst for s in found.shares), math.sqrt(sum(s.root**2 for s in found.shares))
    yield "running", together(
        found=found,
        stage=f.operation.name,
        run_out=2e3 * worst + found.roundness,
        root=2e3 * root + found.roundness,
        square=1e3 * found.tilt_worst * found.face,
        square_root=1e3 * found.tilt_root * found.face,
        chip_square=1e3 * found.chip_tilt * found.face,
    )  # fmt: skip
    yield from (("running.shares", share) for share in found.shares)


def fixture_sources(a: Assessment) -> Iterator[tuple[str, Any]]:
    """What is shown of the boring fixture."""
    found, limits = a.boring, a.scenario.limits
    yield "fixture", together(stated=a.scenario.boring, found=found)
    if found.fixture is not None:
        pressure, speed = (
            a.scenario.boring.pressure <= limits.ring_pressure,
            found.highest_speed <= limits.ring_speed,
        )
        yield "fixture.room_for_ring", together(ring=found.fixture.ring, pressure=pressure, speed=speed)
        yield "fixture.room_for_plug", found.fixture.plug
    for of in ("strength", "seat") if found.bearing is not None else ():
        yield from ((f"fixture.{of}({one.unit})", one) for one in getattr(found.bearing, of))


def program_grip(path: MachiningFigures) -> Any:
    """Return what is shown of the grip along a program: the move that the closed forms find worst."""
    factors = path.grip.left / path.grip.needed
    k = int(np.argmin(factors))
    return together(
        speed=path.grip.speed.max(),
        held=path.held,
        closed=factors[k],
        closed_number=k + 1,
        held_number=None if path.held is None else path.held.move + 1,
        left=path.grip.left[k],
        needed=path.grip.needed[k],
    )


def objects(value: Any, place: str = "") -> Iterator[tuple[str, dict[str, Any]]]:
    """Every object of the report with its place; strains are told apart by their unit."""
    if isinstance(value, list):
        for one in value:
            yield from objects(one, place)
    elif isinstance(value, dict):
        if place in ("fixture.strength", "fixture.seat"):
            unit = next(key for key in value if key.startswith("allowed_")).removeprefix("allowed_")
            place = f"{place}({unit})"
        yield place, value
        for key, item in value.items():
            if key not in ("values", "stated_here"):
                yield from objects(item, f"{place}.{key}" if place else key)


def plain(value: Any, factor: float) -> Any:
    """What a key must show of an attribute, in the key's unit."""
    if isinstance(value, bool | np.bool_):
        return bool(value)
    if isinstance(value, tuple) and not all(isinstance(one, float) for one in value):
        return list(value)
    if isinstance(value, str | dict | list) or value is None:
        return value
    scaled = np.asarray(value, dtype=float) * factor
    listed = np.where(np.isfinite(scaled), scaled, np.nan).tolist()
    return None if isinstance(listed, float) and math.isnan(listed) else listed


def same(shown: Any, wanted: Any) -> bool:
    if wanted is None or isinstance(wanted, bool | str | dict):
        return bool(shown == wanted) and type(shown) is type(wanted)
    if isinstance(wanted, list) and any(isinstance(one, str) for one in wanted):
        return bool(shown == wanted)
    return shown is not None and np.allclose(
        # Figures are made up: an amplitude of such waves is good for a digit less than others.
        np.array(shown, dtype=float),
        np.array(wanted, dtype=float),
        rtol=1e-11,
        atol=0.0,
        equal_nan=True,
    )


def told(shown: dict[str, Any], rows: dict[str, Row], source: Any) -> Iterator[str]:
    for key, (attribute, factor) in rows.items():
        wanted = plain(at(source, attribute), factor)
        if key in ("program", "optional_blocks"):
            wanted = wanted or None
        if not same(shown[key], wanted):
            yield f"{key} shows {shown[key]!r}, {attribute} x {factor:g} is {wanted!r}"


TOUCHES = tuple(
    Touch("gouge", move, 40, 7, "insert", "jaws", (50.0, 20.0), (50.0, 20.0), 0.4, (1.0, 1.0), 2)
    for move in (1, 3)
)
BARS = (
    BarFigures("bar", "steel", 16.0, 60.0, 2, 500.0, 200.0, 0.03, 0.01),
    BarFigures("other bar", "carbide", 12.0, 50.0, None, 0.0, 0.0, 0.0, 0.0),
)
STRAINS = tuple(
    FixtureStrain("what", 10.0, 20.0, unit, "at rest", "basis", "remedy") for unit in ("MPa", "N")
)


def full(path: Any) -> Any:
    """A path with bars, touches and another reading, whatever its scenario has."""
    found = replace(path, clearance=replace(path.clearance, touches=TOUCHES), bars=BARS)
    return replace(found, others=(found,))


def made(judged: Assessment, seed: int) -> Assessment:
    """The assessment with unlike figures, and with all that a report can show of a path and a fixture."""
    boring, bearing = full(judged.boring), judged.boring.bearing
    if bearing is not None:
        boring = replace(boring, bearing=replace(bearing, strength=STRAINS, seat=STRAINS))
    return replace(
        judged,
        boring=unlike(boring, seed),
        operations=tuple(
            replace(unlike(f, seed + k), operation=f.operation) for k, f in enumerate(judged.operations)
        ),
        machining=tuple(
            None if path is None else unlike(full(path), seed + k) for k, path in enumerate(judged.machining)
        ),
        verdicts=unlike(judged.verdicts, seed),
        # Keys of rules stay: there are no others.
        not_judged=tuple(
            replace(one, verdicts=own.verdicts)
            for one, own in zip(unlike(judged.not_judged, seed), judged.not_judged, strict=True)
        ),
    )


def shaped(judged: Assessment) -> Assessment:
    """The assessment with shapes as finite elements give them, and parts that hang: made up anyhow, none is solved."""
    names, turn = ("bore at the gripped height", "outside at the gripped height", "free face"), 8
    shape = ClampedShape(
        np.zeros((3, 2)),
        np.zeros(turn),
        np.zeros((3, 3, turn)),
        np.zeros((3, turn)),
        np.zeros(3),
        np.zeros((3, 2)),
    )
    return replace(
        judged,
        operations=tuple(
            replace(
                f,
                clamping=replace(f.clamping, shape=shape, surfaces=names),
                alone=HeldAlone(1.0, 1.0, f.holdings[0].turn),
                gives=(1.0,) * len(f.demands),
            )
            for f in judged.operations
        ),
    )


@pytest.fixture(scope="module")
def judged_setups(quickly_judged: Callable[[str], Assessment]) -> list[Assessment]:
    """One of each kind: a ring with pins, shapes and a program; a plug; inside with a ring; gauged."""
    names = ("cast_hub_program_touches", "cast_hub_on_plug", "housing_gripped_inside", "cast_hub_gauged")
    first, *others = map(quickly_judged, names)
    return [shaped(first), *others]


def test_every_key_shows_its_attribute_in_its_unit(judged_setups: list[Assessment]) -> None:
    seen: set[tuple[str, str]] = set()
    wrong: list[str] = []
    for judged in judged_setups:
        for seed in range(2):
            built = made(judged, 10 * seed)
            report = as_object(built, moves=True)
            shown: dict[str, list[dict[str, Any]]] = {}
            for place, one in objects(report):
                shown.setdefault(place, []).append(one)
            wanted: dict[str, list[Any]] = {}
            for place, source in sources(built):
                wanted.setdefault(place, []).append(source)
            assert {k: len(v) for k, v in shown.items()} == {k: len(v) for k, v in wanted.items()}
            for place, ones in shown.items():
                for one, source in zip(ones, wanted[place], strict=True):
                    nested = {k for k, v in one.items() if k in {p.rpartition(".")[2].partition("(")[0] for p in KEYS}
                              and (f"{place}.{k}".lstrip(".") in KEYS or f"{place}.{k}(N)" in KEYS)}  # fmt: skip
                    keys = {k for k in one if k not in nested and f"{place}.{k}".lstrip(".") not in APART}
                    assert keys == set(KEYS[place]), place
                    wrong += [f"{place}: {text}" for text in told(one, KEYS[place], source)]
                    seen |= {(place, key) for key in keys if one[key] is not None}
    assert not wrong, "\n".join(wrong[:20])
    never = {(place, key) for place, rows in KEYS.items() for key in rows} - seen
    assert never <= NEVER, never


# Always null: boring cuts no part that has to be held.
NEVER = {
    ("clearance.move_table", "holding_factor"),
    # Of elastic columns no band of the outline is known; `test_stress.py` has the place that finite elements give.
    ("distortion", "stress_decisive_radius_mm"),
    ("distortion", "stress_decisive_z_mm"),
}


def test_force_at_the_edges_and_cautions(judged_setups: list[Assessment]) -> None:
    for judged in judged_setups:
        report = as_object(judged)
        assert report["cautions"] == list(CAUTIONS)
        for shown, figures in zip(report["contact"], judged.operations, strict=True):
            assert shown["edge_force_N"] == edge_force(figures.contact).tolist()
            assert np.shape(shown["edge_force_N"]) == (3, 2)


def test_a_program_that_cuts_nothing_names_no_move() -> None:
    """Every factor is infinite: the second of three moves is not the worst, nor is the last."""
    grip = MoveGrip(
        np.array([500.0, 800.0, 300.0]), np.full(3, 50e3), np.zeros(3), assumed_feed=None, assumed_speed=None
    )
    path: Any = together(grip=grip, held=None)
    shown = program_grip_object(path)
    assert shown["highest_speed_rpm"] == 800.0
    assert {key for key, value in shown.items() if value is not None} == {"highest_speed_rpm"}
