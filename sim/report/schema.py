"""JSON schema of the report of `check --json`, for those whose programs read it.

One table of words a level; the unit of a number is read from the end of its key, and said in its description. Every
key is required but those named `optional`, and no other key is allowed.
"""

from __future__ import annotations

from typing import Any

from sim.assessment.verdicts.rules import RULES

Node = dict[str, Any]

UNITS = {
    "mm": "mm",
    "um": "micrometres",
    "N": "N",
    "Nm": "N m",
    "MPa": "MPa",
    "rpm": "rev/min",
    "deg": "degrees",
    "rad": "rad",
}
SIDE = {True: "at least", False: "at most"}


def report_schema() -> Node:
    """Return the schema (draft 2020-12) of what `sim.report.assessment.as_object` makes of an assessment."""
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "Report of chuckscene check --json",
        **_table("A judged setup. A figure that is not to be had, or has no limit, is null.", _whole()),
    }


def _whole() -> dict[str, Node]:
    return {
        "title": _word("of the scenario"),
        "status": _word("the worst of all verdicts", "pass", "warn", "fail"),
        "not_judged": _rows("Questions that were not asked.", _not_judged()),
        "included": _rows("Files that the scenario takes tables from.", _included()),
        "stroke": _rows("Where the jaws meet the part, an operation each.", _stroke()),
        "grip": _rows("Grip of the chuck, an operation each.", _grip()),
        "contact": _rows("Contact of jaws and part, an operation each.", _contact()),
        "hold": _rows("How the cuts are held, an operation each.", _hold()),
        "distortion": _rows(
            "Shape and stress of the clamped part, an operation each.", _distortion(), "surfaces"
        ),
        "screws": _table("The screws of the soft jaws.", _screws()),
        "fixture": _table("What the jaws press while they are bored.", _fixture()),
        "clearance": _table("The boring path.", _clearance(), "move_table"),
        "machining": _rows(
            "Programs that machine the part.",
            {"operation": _word("name of the operation"), **_clearance(), "grip": _program_grip()},
            "move_table",
        ),
        "pockets": _rows("What is left in the jaws for later.", _pockets()),
        "verdicts": _verdicts(),
        "cautions": _words("what no figure replaces"),
    }


def _verdicts() -> Node:
    """Return the rows of the verdicts, each of one rule with its own name, unit and side of the limit."""
    rows = _rows("All verdicts, the worst first.", _verdict())
    rows["items"]["oneOf"] = [
        {
            "description": rule.asks,
            "properties": {
                "key": {"const": rule.key},
                "name": {"const": rule.name},
                "unit": {"const": rule.unit},
                "limit_is": {"const": SIDE[rule.at_least]},
            },
        }
        for rule in RULES
    ]
    return rows


def _verdict() -> dict[str, Node]:
    return {
        "key": _word("of the verdict's rule: it stays when the words of the name change"),
        "name": _word("what is judged"),
        "stage": _word("'boring', 'jaws' or the operation's name"),
        "status": _word("the answer", "pass", "warn", "fail"),
        "value": _number("what was found, in the unit of the key 'unit'"),
        "limit": _number("what is allowed, in the unit of the key 'unit'"),
        "unit": _word("of value and limit; empty for a factor or a share"),
        "limit_is": _word("on which side of the limit the value must be", *SIDE.values()),
        "basis": _word("where the limit comes from"),
        "message": _word("what was found, a sentence"),
        "advice": _word("what to change, a sentence; empty for a pass"),
    }


def _not_judged() -> dict[str, Node]:
    return {
        "question": _word("what stays open"),
        "stage": _word("as of a verdict, or 'chuck' or 'machine'"),
        "why": _word("what is not stated, or what was done in its place"),
        "needs": _word("what to state or do so that it is asked"),
        "matters": _flag(
            "the answer could throw the part or a jaw, break the chuck, or bring a tool into what turns"
        ),
        "verdicts": _words("names of the verdicts that would answer it"),
        "verdict_keys": _words("keys of these verdicts, in the same order"),
    }


def _included() -> dict[str, Node]:
    return {
        "file": _word("as the scenario names it"),
        "values": {
            "type": "object",
            "additionalProperties": {"type": "string"},
            "description": "fields taken, each with its value and unit as text",
        },
        "gauge_readings": _word(
            "how they were judged", "accepted", "accepted with findings", "rejected", null=True
        ),
        "findings": _words("what the readings contradict"),
    }


def _stroke() -> dict[str, Node]:
    return {
        "operation": _word("its name"),
        "grip_travel_first_mm": _number("least travel at which the jaws touch a part within its tolerance"),
        "grip_travel_last_mm": _number("largest travel at which they do"),
        "loading_clearance_mm": _number(
            "least radial play of the part in the open jaws, negative if it does not fit"
        ),
        "touch_smallest": _pattern("where jaws and smallest part touch first"),
        "touch_largest": _pattern("where jaws and largest part touch first"),
        "keeps_reserve": _flag("the stroke's reserve is free at both ends"),
    }


def _grip() -> dict[str, Node]:
    return {
        "operation": _word("its name"),
        "rest_total_N": _number("force of the three jaws together at rest"),
        "rest_per_jaw_N": _number("force of one jaw at rest"),
        "low_speed_total_N": _number("force of the three jaws at the operation's lowest speed"),
        "high_speed_total_N": _number("force of the three jaws at the operation's highest speed"),
        "largest_total_N": _number("the most that the three jaws press in any state"),
        "centrifugal_per_jaw_N": _number("centrifugal force of one jaw at the highest speed"),
        "needed_total_N": _number("grip that the cuts need while they cut, without safety"),
        "height_mm": _number("grip height above the serrated plane"),
        "basis": _word("'chuck data' or 'free body'"),
        "permissible_vdi3106_rpm": _number("permissible speed by VDI 3106; null if speed takes no grip"),
        "permissible_two_thirds_rpm": _number("speed at which two thirds of the grip are lost"),
        "marked_rpm": _number("speed marked on the chuck"),
        "permissible_rpm": _number("the least of the three"),
    }


def _contact() -> dict[str, Node]:
    return {
        "operation": _word("its name"),
        "model": _word("bodies as columns or as finite elements", "foundation", "elastic"),
        "state": _word("what is shown", "at rest", "at the highest speed"),
        "pattern": _pattern("where the faces carry"),
        "closed_fraction": _number("area under pressure over the area of the faces"),
        "band_mean_peak_MPa": _number(
            "largest mean pressure of a band of the face, the worst size of the part"
        ),
        "edge_force_N": _grid(
            "force on the last millimetre along both vertical edges, three jaws, lower angle first"
        ),
        "grip_per_jaw_N": _numbers("force of each jaw"),
        "approach_mm": _number("travel of the jaws from the first touch to full force"),
        "residual_relative": _number("what is left of the equations over the load"),
        "side_force_N": _number("worst force across the spindle, the part's weight included"),
        "grip_per_jaw_at_speed_under_side_force_N": _numbers(
            "force of each jaw at the highest speed at the worst spindle angle; null if not held", null=True
        ),
        "grip_over_a_turn": _table(
            "Grip while a load fixed in space acts on the turning part; null if not held.",
            {
                "spindle_angle_deg": _numbers("angles of the spindle"),
                "per_jaw_N": _grid("force of each jaw at each angle"),
            },
            null=True,
        ),
        "least_grip_N": _number("least force of a jaw over the turn"),
        "least_grip_by_jaw_pressure_alone_N": _number(
            "the same if nothing but the jaws' pressure resisted tipping"
        ),
        "axis_shift_um": _numbers("of the part's axis, x and y"),
        "axis_shift_under_side_force_um": _numbers("the same at the worst spindle angle at speed", null=True),
        "jaw_tilt_rad": _numbers("of each master jaw in its guideway"),
        "jaw_opening_um": _number("bell-mouth of the jaws over the gripped height, on the radius"),
        "taper_to_bore_um": _number("taper to turn into the jaws over the gripped height, on the diameter"),
        "loss_share_by_stiffness": _number("share of the centrifugal force that is lost as grip"),
        "run_out_um": _number(
            "total reading of an indicator in the worst state, twice the distance of the axes"
        ),
        "run_out": _rows("How far the part's axis stands off the spindle's, by state.", _run_out()),
    }


def _run_out() -> dict[str, Node]:
    return {
        "state": _word("of these", "at rest", "at the highest speed"),
        "axis_off_um": _number("distance of the axes"),
        "by_lobes": {
            "type": "object",
            "patternProperties": {
                "^lobes_[0-9]+_um$": _suffixed("a_um", _number("by so many lobes of the part"))
            },
            "additionalProperties": False,
            "description": "by the part's lobes alone",
        },
        "by_jaws_um": _number(
            "by jaws that stand off and masses that differ; null where a jaw leaves the part"
        ),
        "by_lobes_free_jaws_um": _number("by the worst lobe where the jaws yield freely along their faces"),
        "by_jaws_free_jaws_um": _number("by the jaws where they yield freely along their faces"),
    }


def _hold() -> dict[str, Node]:
    return {
        "operation": _word("its name"),
        "friction": _number("coefficient of the part in the jaws"),
        "held_length_mm": _number("height over which jaws and part meet"),
        "part_length_mm": _number("length of the part"),
        "cuts": _rows(
            "Every cut at its own speed.",
            {
                "name": _word("of the cut"),
                "speed_rpm": _number("of the spindle"),
                "tangential_N": _number("cutting force"),
                "feed_N": _number("force along the feed"),
                "passive_N": _number("force square to both"),
                "needed_total_N": _number(
                    "grip of the three jaws that the closed forms ask for, without safety"
                ),
                "governing": _word("what asks for it"),
                "grip_left_N": _number("grip of the three jaws left at that speed"),
                "holding_factor": _number("multiple of the cut that is held, the least over one turn"),
                "begins_with": _word("how the part begins to move"),
                "spindle_angle_deg": _number("where it is held least"),
                "factor_without_shift": _number("the multiple if pressure did not shift along the jaws"),
                "factor_without_back_face": _number(
                    "the multiple if the part did not stand on the back face"
                ),
                "factor_by_closed_forms": _number("the multiple by the handbooks' closed forms"),
                "around": _rows(
                    "Over one turn.",
                    {
                        "angle_deg": _number("of the spindle"),
                        "factor": _number("multiple of the cut that is held"),
                    },
                ),
            },
        ),
    }


def _distortion() -> dict[str, Node]:
    return {
        "operation": _word("its name"),
        "roundness_um": _number("out-of-roundness after release, peak to peak"),
        "basis": _word("where it comes from"),
        "flatness_um": _number("of the free face after release"),
        "stress_around_wall_MPa": _number("largest stress around the part in its wall"),
        "stress_share_of_yield": _number("largest share of a yield strength"),
        "displacement_mm": _number("largest radial displacement at the gripped height"),
        "wall_mm": _number("wall at the gripped height; of a solid part its radius"),
        "surfaces": _rows(
            "Surfaces of the part; only with finite elements.",
            {
                "name": _word("of the surface"),
                "radius_mm": _number("its place"),
                "z_mm": _number("its height above the serrated plane"),
                "roundness_um": _number("out-of-roundness, peak to peak"),
                "three_lobe_amplitude_um": _number("amplitude of its three lobes"),
                "centre_um": _numbers("x and y of its circle's centre"),
            },
        ),
    }


def _screws() -> dict[str, Node]:
    return {
        "thread": _word("designation"),
        "property_class": _word("ISO 898-1"),
        "torque_Nm": _number("tightening torque of a screw"),
        "preload_least_N": _number("least preload of a screw by the scatter of tightening"),
        "preload_largest_N": _number("largest preload of a screw"),
        "utilisation": _number("equivalent stress over the yield strength"),
    }


def _fixture() -> dict[str, Node]:
    return {
        "kind": _word("'ring', 'plug', 'outer ring' or 'none'"),
        "pressure_MPa": _number("while boring"),
        "speed_rpm": _number("highest while boring"),
        "travel_mm": _number("of the jaws while boring"),
        "advice": _word("what to do about the fixture; empty if nothing"),
        "material": _word("of the fixture", null=True),
        "load_height_mm": _number("of the jaws' load above the serrated plane"),
        "load_at_rest_N": _number("load of the three jaws at rest"),
        "load_at_speed_N": _number("load of the three jaws at the highest boring speed"),
        "largest_guide_moment_Nm": _number("load of a jaw times its height above the guideway's middle"),
        "give_mm": _number("how far each jaw moves under the load"),
        "strength": _strains("What the fixture bears; null without one."),
        "seat": _strains("What its seat in the jaws bears; null without a fixture."),
        "room_for_ring": _table("What ring the boring path leaves room for; null where none is asked for.", {
            "fits": _flag("some ring clears the path and holds its pins"),
            "least_inner_diameter_mm": _number("hole that the tool passes through with its clearance"),
            "most_inner_diameter_mm": _number("hole that still leaves the ring round its pins"),
            "keeps_its_pressure": _flag("the boring pressure is within the limit for a ring"),
            "keeps_its_speed": _flag("the boring speed is within the limit for a ring"),
        }, null=True),
        "room_for_plug": _table("What plug the boring path leaves room for; null where none is asked for.", {
            "fits": _flag("a plug fits below the path"),
            "reason": _word("why not; empty if it does"),
            "diameter_mm": _number("of the plug and its seat"),
            "top_mm": _number("highest place of its upper face above the serrated plane"),
            "seat_depth_mm": _number("of the seat below the jaws' top faces"),
            "pre_bore_diameter_mm": _number("to which the jaws must be bored to get the plug in"),
        }, null=True),
        "outer_ring_top_mm": _number("highest place of an outer ring's upper face above the serrated plane"),
    }  # fmt: skip


def _strains(text: str) -> Node:
    shown = {
        "what": _word("that is loaded"),
        "state": _word("its worst", "at rest", "at the highest speed"),
        "utilisation": _number("load over what is allowed"),
        "basis": _word("formula and limit"),
    }
    of = {
        unit: _table(
            f"A {kind} and what is allowed.",
            {
                **shown,
                f"{kind}_{unit}": _number(f"the {kind}"),
                f"allowed_{unit}": _number("the most allowed"),
            },
        )
        for kind, unit in (("stress", "MPa"), ("load", "N"))
    }
    return {"type": ["array", "null"], "description": text, "items": {"oneOf": list(of.values())}}


def _clearance() -> dict[str, Node]:
    return {
        "program": _word("file of the program; null for a path made from the pockets", null=True),
        "tools": _words("tools in their order"),
        "notes": _words("what was assumed in reading the program"),
        "optional_blocks": _word("which were run and which skipped", null=True),
        "other_readings": _rows("The program with other optional blocks run.", {
            "optional_blocks": _word("which were run and which skipped", null=True),
            "moves": _count("number of moves"),
            "least_mm": _number("least distance of the tool to what it must not touch"),
            "gouge_mm": _number("how far below the wanted surface it cuts"),
            "leftover_mm": _number("how much it leaves above the wanted surface"),
            "touches": _count("number of touches"),
        }),
        "ended_by": _word("the word that ends the program", null=True),
        "swing_mm": _number("largest diameter that turns"),
        "safe_plane_mm": _number("height above which a tip may run across at rapid, from the serrated plane"),
        "zero_mm": _number("height of the program's zero point above the serrated plane"),
        "moves": _count("number of moves"),
        "least_mm": _number("least distance of the tool to what it must not touch; null where nothing is near"),
        "least_move": _count("number of that move, from 1", null=True),
        "least_between": _words("the two that are that near", null=True),
        "least_off_the_line": _flag("only if the control runs each axis at its own rate", null=True),
        "required_mm": _number("distance required"),
        "gouge_mm": _number("how far below the wanted surface the path cuts"),
        "leftover_mm": _number("how much it leaves above the wanted surface"),
        "bars": _rows("Boring bars in the cut that bends them most.", {
            "tool": _word("its name"),
            "shank": _word("what it is made of"),
            "diameter_mm": _number("of the shank"),
            "reach_mm": _number("out of its holder"),
            "slenderness": _number("reach over diameter"),
            "move": _count("number of the move, from 1; null if it cuts nothing", null=True),
            "tangential_N": _number("cutting force"),
            "radial_N": _number("larger of feed and passive force"),
            "bend_mm": _number("of the tip under both"),
            "push_mm": _number("of the tip under the radial force alone"),
        }),
        "touches": _rows("What touches, in the order of the path.", {
            "kind": _word("of touch"),
            "move": _count("number of the move, from 1"),
            "block": _count("sequence number in the program", null=True),
            "line": _count("line of the program", null=True),
            "part": _word("of the tool"),
            "body": _word("that it meets"),
            "radius_mm": _number("where they meet, from the spindle axis"),
            "z_mm": _number("where they meet, from the serrated plane"),
            "depth_mm": _number("of the overlap, or of cut"),
            "off_the_line": _flag("only if the control runs each axis at its own rate"),
        }),
        "move_table": _rows("Every move; only with --moves.", {
            "move": _count("its number, from 1"),
            "block": _count("sequence number in the program", null=True),
            "line": _count("line of the program", null=True),
            "tool": _word("its name"),
            "kind": _word("of move"),
            "x_diameter_mm": _number("diameter at its end"),
            "program_z_mm": _number("z at its end from the program's zero point"),
            "clearance_mm": _number("least distance of the tool to what it must not touch"),
            "between": _word("the two that are that near"),
            "off_the_line": _flag("only if the control runs each axis at its own rate"),
            "touches": _word("kinds of touch that begin in it"),
            "depth_of_cut_mm": _number("square to the move"),
            "speed_rpm": _number("highest of the spindle"),
            "holding_factor": _number("grip left over grip needed; null where nothing is cut, and for boring"),
        }),
    }  # fmt: skip


def _program_grip() -> Node:
    return _table("Grip along the program.", {
        "highest_speed_rpm": _number("of the spindle"),
        "least_factor": _number("multiple of a cut that is held, the least over one turn"),
        "least_factor_move": _count("number of that move, from 1", null=True),
        "least_factor_by_closed_forms": _number("grip left over grip needed, the least of all moves"),
        "least_factor_by_closed_forms_move": _count("number of that move, from 1", null=True),
        "left_N": _number("grip of the three jaws left there"),
        "needed_N": _number("grip of the three jaws needed there, without safety"),
    })  # fmt: skip


def _pockets() -> dict[str, Node]:
    return {
        "name": _word("of the pocket"),
        "diameter_mm": _number("to which it is turned"),
        "depth_mm": _number("of its back face below the jaws' top faces"),
        "radial_metal_left_mm": _number("by which its radius may still change"),
        "radial_metal_ends_at": _word("what stands there"),
        "rebores": _count("how often it can be bored again"),
        "may_go_deeper_mm": _number("by which its back face may still go down"),
        "depth_ends_at": _word("what stands there"),
    }


def _table(text: str, properties: dict[str, Node], *optional: str, null: bool = False) -> Node:
    """Return an object with these properties and no other; the unit that ends a key is said in its description."""
    return {
        "type": ["object", "null"] if null else "object",
        "description": text,
        "properties": {key: _suffixed(key, node) for key, node in properties.items()},
        "required": [key for key in properties if key not in optional],
        "additionalProperties": False,
    }


def _suffixed(key: str, node: Node) -> Node:
    numeric = "number" in str(node.get("type")) or "number" in str(node.get("items"))
    if node.get("additionalProperties") is False or not numeric or "'unit'" in node["description"]:
        return node
    unit = UNITS.get(key.rpartition("_")[2])
    return {**node, "description": f"{node['description']}, {'no unit' if unit is None else f'in {unit}'}"}


def _rows(text: str, properties: dict[str, Node], *optional: str) -> Node:
    return {"type": "array", "description": text, "items": _table("One of them.", properties, *optional)}


def _or_null(kind: str, text: str, *, null: bool) -> Node:
    return {"type": [kind, "null"] if null else kind, "description": text}


def _number(text: str) -> Node:
    """Return a figure; what is not finite is null."""
    return _or_null("number", text, null=True)


def _count(text: str, *, null: bool = False) -> Node:
    return _or_null("integer", text, null=null)


def _flag(text: str, *, null: bool = False) -> Node:
    return _or_null("boolean", text, null=null)


def _word(text: str, *allowed: str, null: bool = False) -> Node:
    choice = {"enum": [*allowed, *([None] if null else [])]} if allowed else {}
    return {**_or_null("string", text, null=null), **choice}


def _pattern(text: str) -> Node:
    return _word(text, "middle", "edges", "full")


def _words(text: str, *, null: bool = False) -> Node:
    return {**_or_null("array", text, null=null), "items": {"type": "string"}}


def _numbers(text: str, *, null: bool = False) -> Node:
    return {**_or_null("array", text, null=null), "items": {"type": ["number", "null"]}}


def _grid(text: str) -> Node:
    return {
        **_or_null("array", text, null=False),
        "items": {"type": "array", "items": {"type": ["number", "null"]}},
    }
