"""Dimensions of soft jaw, pocket, chuck body, master jaw and T-nut, from the scenario, mm."""

from __future__ import annotations

from meshes import chuck_body, master_jaw, soft_jaw, t_nut
from meshes.pocket import Pocket
from sim.base.errors import in_field
from sim.base.tables import thread
from sim.scenario import Pocket as PocketTable
from sim.scenario import Scenario


def blank_dimensions(scenario: Scenario) -> soft_jaw.SoftJawBlank:
    """Return the soft jaw blank's dimensions."""
    jaw = scenario.soft_jaw
    with in_field("soft_jaw"):
        return soft_jaw.SoftJawBlank(
            length=jaw.length,
            width=jaw.width,
            height=jaw.height,
            tip_width=jaw.width if jaw.tip_width is None else jaw.tip_width,
            screws=jaw.screws.positions,
            hole_diameter=jaw.screws.hole_diameter,
            counterbore_diameter=jaw.screws.counterbore_diameter,
            counterbore_depth=jaw.screws.counterbore_depth,
            sector_angle=jaw.sector_angle,
            tip_angle=jaw.tip_angle,
        )


def pocket_dimensions(stated: PocketTable) -> Pocket:
    """Return a stated pocket's dimensions."""
    return Pocket(stated.diameter, stated.depth, stated.groove_width, stated.groove_depth, stated.chamfer)


def body_dimensions(scenario: Scenario) -> chuck_body.ChuckBody:
    """Return the chuck body's dimensions."""
    chuck = scenario.chuck
    with in_field("chuck"):
        return chuck_body.ChuckBody(
            diameter=chuck.body_diameter,
            bore=chuck.bore_diameter,
            height=chuck.body_height,
            slot_width=chuck.slot_width,
            slot_depth=chuck.slot_depth,
            face_drop=chuck.face_drop,
        )


def master_dimensions(scenario: Scenario, *, serration_teeth: bool = False) -> master_jaw.MasterJaw:
    """Return the master jaw's dimensions."""
    jaw = scenario.master_jaw
    with in_field("master_jaw"):
        return master_jaw.MasterJaw(
            length=jaw.length,
            width=jaw.width,
            height=jaw.height,
            serration_pitch=scenario.chuck.serration_pitch,
            t_slot_neck_width=jaw.slot_neck_width,
            t_slot_width=jaw.slot_width,
            t_slot_neck_depth=jaw.slot_neck_depth,
            t_slot_height=jaw.slot_height,
            serration_teeth=serration_teeth,
        )


def nut_dimensions(scenario: Scenario) -> t_nut.TNut:
    """Return a T-nut's dimensions; its neck fills the slot's neck but for 0.3 mm."""
    jaw, nut = scenario.master_jaw, scenario.master_jaw.t_nut
    with in_field("master_jaw.t_nut"):
        return t_nut.TNut(
            length=nut.length,
            neck_width=jaw.slot_neck_width - 0.3,
            neck_height=nut.neck_height,
            width=nut.width,
            height=nut.height,
            thread_diameter=thread(scenario.soft_jaw.screws.thread).diameter,
        )
