"""Soft jaws on their master jaws: screws, washers and T-nuts in holes and slots. Lengths in mm."""

from __future__ import annotations

import itertools

from meshes.jaw_screw import HEADS
from sim.base import tables
from sim.base.rounding import at_least_text
from sim.mechanics.screws import bearing_diameter
from sim.scenario import Scenario
from sim.setup.jaw_place import JawPlace
from sim.setup.refusal import refuse
from sim.setup.seat import seats


def require_fits(scenario: Scenario) -> None:
    """Refuse screws, washers and master jaws that do not fit what they go into."""
    screws, master, chuck = scenario.soft_jaw.screws, scenario.master_jaw, scenario.chuck
    size = tables.thread(screws.thread).diameter
    head = HEADS[size].diameter
    if screws.hole_diameter <= size:
        refuse(
            "soft_jaw.screws.hole_diameter",
            f"must be over {size:g} mm to pass an {screws.thread} screw, found {screws.hole_diameter:g} mm",
        )
    washer = screws.washer_diameter
    if washer is not None and not screws.hole_diameter < washer <= screws.counterbore_diameter:
        refuse(
            "soft_jaw.screws.washer_diameter",
            f"must be over the hole, {screws.hole_diameter:g} mm, and at most the counterbore that it lies in, "
            f"{screws.counterbore_diameter:g} mm, found {washer:g} mm",
        )
    rests = bearing_diameter(tables.thread(screws.thread), screws.washer_diameter)
    if screws.hole_diameter >= rests:
        what = f"the head of an {screws.thread} screw" if screws.washer_diameter is None else "the washer"
        refuse(
            "soft_jaw.screws.hole_diameter",
            f"must be under {rests:g} mm, the diameter on which {what} presses the jaw, found "
            f"{screws.hole_diameter:g} mm",
        )
    if screws.counterbore_diameter <= head:
        refuse(
            "soft_jaw.screws.counterbore_diameter",
            f"must be over {head:g} mm, the head of an {screws.thread} screw, found "
            f"{screws.counterbore_diameter:g} mm",
        )
    if min(scenario.soft_jaw.width, master.width) <= master.slot_neck_width:
        refuse(
            "master_jaw.slot_neck_width",
            f"must leave serrations beside the T-slot: under {min(scenario.soft_jaw.width, master.width):g} mm, what "
            f"soft jaw and master jaw have of width in common, found {master.slot_neck_width:g} mm",
        )
    if master.width >= chuck.slot_width:
        refuse(
            "chuck.slot_width",
            f"must be over master_jaw.width, {master.width:g} mm, found {chuck.slot_width:g} mm",
        )
    if master.height >= chuck.slot_depth:
        refuse(
            "chuck.slot_depth",
            f"must be over master_jaw.height, {master.height:g} mm, found {chuck.slot_depth:g} mm",
        )


def require_nuts(scenario: Scenario, place: JawPlace) -> None:
    """Refuse T-nuts that stand out of the chuck body, meet each other, or do not fit their slot."""
    nut, body = scenario.master_jaw.t_nut, 0.5 * scenario.chuck.body_diameter
    positions = sorted(scenario.soft_jaw.screws.positions)
    outermost = place.opened + positions[-1] + 0.5 * nut.length
    if outermost > body:
        refuse(
            "soft_jaw.screws.positions",
            f"must keep the T-nut within the chuck body, radius {body:g} mm, with the jaws open; the outer "
            f"one reaches {outermost:g} mm",
        )
    for near, far in itertools.pairwise(positions):
        if far - near < nut.length:
            refuse(
                "master_jaw.t_nut.length",
                f"must be at most the distance of two screws, {far - near:g} mm, found {nut.length:g} mm",
            )
    if nut.width >= scenario.master_jaw.slot_width or nut.height >= scenario.master_jaw.slot_height:
        refuse(
            "master_jaw.t_nut.width",
            f"must fit the T-slot, {scenario.master_jaw.slot_width:g} mm wide and "
            f"{scenario.master_jaw.slot_height:g} mm high, found {nut.width:g} mm by {nut.height:g} mm",
        )


def _require_width(scenario: Scenario, place: JawPlace) -> None:
    """Refuse a narrowed jaw that is still narrower than its master jaw, and than itself, under one of its screws."""
    wide, screws = place.as_wide_as(scenario.master_jaw.width), scenario.soft_jaw.screws
    kind, width = "pointed" if place.round_end is None else "sector", scenario.master_jaw.width
    as_wide = (
        f"as wide as its master jaw, {width:g} mm,"
        if width <= 2.0 * place.side
        else f"at its full width, {2.0 * place.side:g} mm,"
    )
    for position in screws.positions:
        if position - 0.5 * screws.hole_diameter < wide:
            refuse(
                "soft_jaw.screws.positions",
                f"must lie {at_least_text(wide + 0.5 * screws.hole_diameter, 1)} mm or more from the inner end, so "
                f"that a {kind} jaw is {as_wide} under all of each hole; found {position:g} mm",
            )


def require_seats(scenario: Scenario, place: JawPlace) -> None:
    """Refuse screws whose T-nuts do not stand wholly in the master jaws, and a jaw on one screw without a reason."""
    stated, nut = scenario.soft_jaw.screws, scenario.master_jaw.t_nut
    _require_width(scenario, place)
    if len(stated.positions) < 2 and stated.single_screw_reason is None:
        refuse(
            "soft_jaw.screws.positions",
            "must give two screws a jaw at least, found 1; if one is meant, state why it is enough in "
            "soft_jaw.screws.single_screw_reason",
        )
    for number, rest in enumerate(seats(scenario)):
        off = scenario.soft_jaw.serrations_off[number]
        which = f"jaw {number + 1}, {off:+d} serrations off," if off else "the jaws"
        # A jaw that stands off takes its screws along; the master jaw stays.
        moved = place.opened + off * scenario.chuck.serration_pitch
        low, high = moved + rest.master_inner, moved + rest.master_outer
        for position in rest.screws:
            axis = moved + position
            near, far = axis - 0.5 * nut.length, axis + 0.5 * nut.length
            if near < low - 1e-9 or far > high + 1e-9:
                refuse(
                    "soft_jaw.screws.positions",
                    f"must keep each screw with its T-nut, {nut.length:g} mm long, wholly in the master jaw, which "
                    f"reaches from radius {low:g} mm to {high:g} mm with {which} open; found a screw at radius "
                    f"{axis:g} mm, its T-nut from {near:g} mm to {far:g} mm",
                )
