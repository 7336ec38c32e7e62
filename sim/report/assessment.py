"""The assessment as figures: one JSON object, keys with unit suffixes, as other tools may rely on it."""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from sim.assessment.figures.boring import FixtureFigures, FixtureStrain
from sim.assessment.figures.clamping import RunOut
from sim.assessment.figures.machining import MachiningFigures
from sim.assessment.figures.operation import OperationFigures
from sim.assessment.jaws import screwed_as_stated
from sim.assessment.results import CAUTIONS, Assessment
from sim.contact import edge_force, lobe_amplitude
from sim.report.path import path_object, program_grip_object
from sim.report.running import running_object
from sim.report.verdicts import finite, not_judged_object, verdict_object
from sim.setup.rebore import pocket_stock, rebores


def as_object(assessment: Assessment, *, moves: bool = False) -> dict[str, Any]:
    """Return the assessment as plain dictionaries and numbers; not finite numbers become None.

    With `moves` every cutting path also lists its moves.
    """
    operations = assessment.operations
    found: dict[str, Any] = {
        "title": assessment.scenario.title,
        "revision": assessment.scenario.revision,
        "status": assessment.status,
        "not_judged": [not_judged_object(one) for one in assessment.not_judged],
        "included": [
            {
                "file": o.file,
                "values": {v.field: v.value for v in o.values},
                "gauge_readings": None if o.judgement is None else o.judgement.word,
                "findings": [] if o.judgement is None else list(o.judgement.findings),
                "stated_here": {v.field: v.value for v in o.instead},
            }
            for o in assessment.scenario.included
        ],
        "stroke": _each(operations, _stroke),
        "grip": _each(operations, _grip),
        "contact": _each(operations, _contact),
        "hold": _each(operations, _hold),
        "distortion": _each(operations, _distortion),
        "running": _each(operations, lambda f: running_object(f.running)),
        "screws": _screws(assessment),
        "fixture": _fixture(assessment),
        "clearance": path_object(assessment.boring, moves=moves),
        "machining": [
            {"operation": stage, **path_object(path, moves=moves), "grip": program_grip_object(path)}
            for stage, path in assessment.paths
            if isinstance(path, MachiningFigures)
        ],
        "pockets": _pockets(assessment),
        "verdicts": [verdict_object(v) for v in assessment.verdicts],
        "cautions": list(CAUTIONS),
    }
    cleaned: dict[str, Any] = finite(found)
    return cleaned


def _each(operations: tuple[OperationFigures, ...], figures: Any) -> list[dict[str, Any]]:
    return [{"operation": f.operation.name, **figures(f)} for f in operations]


def _stroke(f: OperationFigures) -> dict[str, Any]:
    return {
        "grip_travel_first_mm": f.travel.first,
        "grip_travel_last_mm": f.travel.last,
        "loading_clearance_mm": f.travel.loading_clearance,
        "touch_smallest": f.travel.low.touch.pattern,
        "touch_largest": f.travel.high.touch.pattern,
        "keeps_reserve": f.travel.keeps_reserve,
    }


def _grip(f: OperationFigures) -> dict[str, Any]:
    grip = f.grip
    return {
        "rest_total_N": grip.rest_total,
        "rest_per_jaw_N": grip.rest_per_jaw,
        "low_speed_total_N": grip.low_speed_total,
        "high_speed_total_N": grip.high_speed_total,
        "largest_total_N": grip.largest_total,
        "centrifugal_per_jaw_N": grip.centrifugal_per_jaw,
        "needed_total_N": grip.needed_total,
        "height_mm": grip.height,
        "basis": grip.basis,
        "permissible_vdi3106_rpm": grip.permissible.by_cutting,
        "permissible_two_thirds_rpm": grip.permissible.by_loss,
        "marked_rpm": grip.permissible.marked,
        "permissible_rpm": grip.permissible.least,
    }


def _contact(f: OperationFigures) -> dict[str, Any]:
    c = f.clamping
    turn, at_speed = c.revolution, f.contact_at_speed
    return {
        "model": c.model,
        "state": c.state,
        "pattern": c.contact.pattern,
        "closed_fraction": c.contact.closed_fraction,
        "band_mean_peak_MPa": f.clamping.band_peak,
        "band_mean_peak_change_for_1_um_MPa": f.clamping.band_peak_per_um,
        "edge_force_N": edge_force(c.contact).tolist(),
        "grip_per_jaw_N": c.contact.grip_n.tolist(),
        "approach_mm": c.contact.approach_mm,
        "residual_relative": c.contact.residuals.relative,
        "side_force_N": c.side,
        "grip_per_jaw_at_speed_under_side_force_N": None if at_speed is None else at_speed.grip_n.tolist(),
        "grip_over_a_turn": None
        if turn is None
        else {"spindle_angle_deg": np.degrees(turn.angles_rad).tolist(), "per_jaw_N": turn.grip_n.tolist()},
        "least_grip_N": None if turn is None else turn.least_n,
        "least_grip_by_jaw_pressure_alone_N": c.unsupported_least,
        "axis_shift_um": [1e3 * float(v) for v in c.contact.part_shift_mm],
        "axis_shift_under_side_force_um": None
        if at_speed is None
        else [1e3 * float(v) for v in at_speed.part_shift_mm],
        "jaw_tilt_rad": c.contact.jaw_tilt_rad.tolist(),
        "jaw_opening_um": c.opening.over_height_um,
        "taper_to_bore_um": c.taper.diameter_um,
        "loss_share_by_stiffness": c.loss_share_by_stiffness,
        "loss_share_by_stiffness_range": None if c.loss_share_range is None else list(c.loss_share_range),
        "run_out_um": f.running.run_out,
        "run_out": [_run_out(one) for one in c.run_outs],
    }


def _run_out(one: RunOut) -> dict[str, Any]:
    return {
        "state": one.state,
        "rho": one.rho,
        "by_lobes": {f"lobes_{n}_um": 1e3 * float(e) for n, e in zip(one.orders, one.by_lobes, strict=True)},
        "by_stated_lobes_um": [1e3 * shift for shift in one.by_stated_lobes],
        "by_jaws_um": 1e3 * one.by_jaws,
        "by_lobes_free_jaws_um": 1e3 * one.free_lobes,
        "by_jaws_free_jaws_um": 1e3 * one.free_jaws,
    }


def _distortion(f: OperationFigures) -> dict[str, Any]:
    c = f.clamping
    found: dict[str, Any] = {
        "roundness_um": c.roundness,
        "basis": c.roundness_basis,
        "flatness_um": c.flatness,
        "stress_around_wall_MPa": c.hoop_stress if c.hoop_stress > 0.0 else None,
        "stress_of_bending_MPa": c.bending_stress,
        "stress_decisive_MPa": c.decisive_stress,
        "stress_decisive_is": c.decisive_kind,
        "stress_decisive_radius_mm": None if c.decisive_place is None else c.decisive_place[0],
        "stress_decisive_z_mm": None if c.decisive_place is None else c.decisive_place[1],
        "stress_share_of_yield": c.stress_share,
        "displacement_mm": c.displacement,
        "wall_mm": c.wall,
    }
    if c.shape is not None:
        found["surfaces"] = [
            {
                "name": name,
                "radius_mm": float(place[0]),
                "z_mm": float(place[1]),
                "roundness_um": float(value),
                "three_lobe_amplitude_um": 1e3 * float(lobe),
                "centre_um": [1e3 * float(v) for v in centre],
            }
            for name, place, value, lobe, centre in zip(
                c.surfaces,
                c.shape.places_mm,
                c.shape.roundness_um,
                lobe_amplitude(c.shape.moved_mm[:, 0], 3),
                c.shape.centre_mm,
                strict=True,
            )
        ]
    return found


def _hold(f: OperationFigures) -> dict[str, Any]:
    return {
        "friction": f.grip.friction,
        "held_length_mm": f.zone.length,
        "part_length_mm": f.zone.part_length,
        "weight_N": None if f.alone is None else f.alone.weight,
        "weight_held_factor": None if f.alone is None else f.alone.factor,
        "cuts": [
            {
                "name": d.name,
                "speed_rpm": d.speed,
                "tangential_N": d.forces.tangential,
                "feed_N": d.forces.feed,
                "passive_N": d.forces.passive,
                "impact_factor": d.forces.impact,
                "needed_total_N": d.needed,
                "governing": d.governing,
                "grip_left_N": h.grip,
                "holding_factor": h.factor,
                "begins_with": h.turn.mode,
                "spindle_angle_deg": math.degrees(h.turn.spindle_angle),
                "factor_without_shift": h.without_shift,
                "factor_without_back_face": h.without_back_face,
                "factor_by_closed_forms": h.handbook,
                "bend_mm": gives * d.side_force,
                "around": [
                    {"angle_deg": math.degrees(angle), "factor": float(factor)}
                    for angle, factor in zip(h.turn.angles, h.turn.factors, strict=True)
                ],
            }
            for d, h, gives in zip(f.demands, f.holdings, f.gives, strict=True)
        ],
    }


def _screws(assessment: Assessment) -> dict[str, Any]:
    stated, force = assessment.scenario.soft_jaw.screws, screwed_as_stated(assessment.scenario).preload
    return {
        "thread": stated.thread,
        "property_class": stated.property_class,
        "torque_Nm": stated.torque / 1000.0,
        "preload_least_N": force.least,
        "preload_largest_N": force.largest,
        "utilisation": force.utilisation,
    }


def _fixture(assessment: Assessment) -> dict[str, Any]:
    boring, found = assessment.scenario.boring, assessment.boring
    advice = found.fixture
    return {
        "kind": boring.fixture.kind,
        "pressure_MPa": boring.pressure,
        "speed_rpm": found.highest_speed,
        "travel_mm": boring.travel,
        "advice": found.advice,
        **_bearing(found.bearing),
        "room_for_ring": None
        if advice is None
        else {
            "fits": advice.ring.fits,
            "least_inner_diameter_mm": advice.ring.least_inner_diameter,
            "most_inner_diameter_mm": advice.ring.most_inner_diameter,
            "keeps_its_pressure": boring.pressure <= assessment.scenario.limits.ring_pressure,
            "keeps_its_speed": found.highest_speed <= assessment.scenario.limits.ring_speed,
        },
        "room_for_plug": None
        if advice is None
        else {
            "fits": advice.plug.fits,
            "reason": advice.plug.reason,
            "diameter_mm": advice.plug.diameter,
            "top_mm": advice.plug.top,
            "seat_depth_mm": advice.plug.seat_depth,
            "pre_bore_diameter_mm": advice.plug.pre_bore_diameter,
        },
        "outer_ring_top_mm": found.outer_ring_top,
    }


def _bearing(found: FixtureFigures | None) -> dict[str, Any]:
    """Return how the fixture bears the jaws; None for everything without one."""
    return {
        "material": None if found is None else found.material,
        "load_height_mm": None if found is None else found.height,
        "load_at_rest_N": None if found is None else found.rest,
        "load_at_speed_N": None if found is None else found.at_speed,
        "largest_guide_moment_Nm": None if found is None else found.guide_moment / 1000.0,
        "give_mm": None if found is None else found.give,
        "strength": None if found is None else [_strain(s) for s in found.strength],
        "seat": None if found is None else [_strain(s) for s in found.seat],
    }


def _strain(strain: FixtureStrain) -> dict[str, Any]:
    kind = "stress" if strain.unit == "MPa" else "load"
    return {
        "what": strain.what,
        "state": strain.state,
        f"{kind}_{strain.unit}": strain.value,
        f"allowed_{strain.unit}": strain.allowed,
        "utilisation": strain.share,
        "basis": strain.basis,
    }


def _pockets(assessment: Assessment) -> list[dict[str, Any]]:
    scenario = assessment.scenario
    return [
        {
            "name": p.name,
            "diameter_mm": p.diameter,
            "depth_mm": p.depth,
            "radial_metal_left_mm": stock.radial,
            "radial_metal_ends_at": stock.radial_end,
            "rebores": rebores(stock.radial, scenario.limits.rebore),
            "may_go_deeper_mm": stock.deeper,
            "depth_ends_at": stock.deeper_end,
        }
        for p, stock in zip(scenario.pockets, pocket_stock(assessment.parts), strict=True)
    ]
