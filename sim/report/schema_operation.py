"""Keys of an operation in the schema of the report: stroke, grip, contact, hold, distortion."""

from __future__ import annotations

from sim.report.schema_nodes import Node, flag, grid, number, numbers, pattern, rows, suffixed, table, word


def stroke() -> dict[str, Node]:
    """Return keys of the stroke."""
    return {
        "operation": word("its name"),
        "grip_travel_first_mm": number("least travel at which the jaws touch a part within its tolerance"),
        "grip_travel_last_mm": number("largest travel at which they do"),
        "loading_clearance_mm": number(
            "least radial play of the part in the open jaws, negative if it does not fit"
        ),
        "touch_smallest": pattern("where jaws and smallest part touch first"),
        "touch_largest": pattern("where jaws and largest part touch first"),
        "keeps_reserve": flag("the stroke's reserve is free at both ends"),
    }


def grip() -> dict[str, Node]:
    """Return keys of the grip."""
    return {
        "operation": word("its name"),
        "rest_total_N": number("force of the three jaws together at rest"),
        "rest_per_jaw_N": number("force of one jaw at rest"),
        "low_speed_total_N": number("force of the three jaws at the operation's lowest speed"),
        "high_speed_total_N": number("force of the three jaws at the operation's highest speed"),
        "largest_total_N": number("the most that the three jaws press in any state"),
        "centrifugal_per_jaw_N": number("centrifugal force of one jaw at the highest speed"),
        "needed_total_N": number("grip that cuts and moves of a program need while they cut, without safety"),
        "height_mm": number("grip height above the serrated plane"),
        "basis": word("'chuck data' or 'free body'"),
        "permissible_vdi3106_rpm": number("permissible speed by VDI 3106; null if speed takes no grip"),
        "permissible_two_thirds_rpm": number("speed at which two thirds of the grip are lost"),
        "marked_rpm": number("speed marked on the chuck"),
        "permissible_rpm": number("the least of the three"),
    }


def contact() -> dict[str, Node]:
    """Return keys of the contact."""
    return {
        "operation": word("its name"),
        "model": word("bodies as columns or as finite elements", "foundation", "elastic"),
        "state": word("what is shown", "at rest", "at the highest speed"),
        "pattern": pattern("where the faces carry"),
        "closed_fraction": number("area under pressure over the area of the faces"),
        "band_mean_peak_MPa": number(
            "largest mean pressure of a band of the face, the worst size of the part"
        ),
        "band_mean_peak_change_for_1_um_MPa": number(
            "by how much that changes where the bore's radius is 1 um larger or smaller"
        ),
        "edge_force_N": grid(
            "force on the last millimetre along both vertical edges, three jaws, lower angle first"
        ),
        "grip_per_jaw_N": numbers("force of each jaw"),
        "approach_mm": number("travel of the jaws from the first touch to full force"),
        "residual_relative": number("what is left of the equations over the load"),
        "side_force_N": number("worst force across the spindle, the part's weight included"),
        "grip_per_jaw_at_speed_under_side_force_N": numbers(
            "force of each jaw at the highest speed at the worst spindle angle; null if not held", null=True
        ),
        "grip_over_a_turn": table(
            "Grip while a load fixed in space acts on the turning part; null if not held.",
            {
                "spindle_angle_deg": numbers("angles of the spindle"),
                "per_jaw_N": grid("force of each jaw at each angle"),
            },
            null=True,
        ),
        "least_grip_N": number("least force of a jaw over the turn"),
        "least_grip_by_jaw_pressure_alone_N": number(
            "the same if nothing but the jaws' pressure resisted tipping"
        ),
        "axis_shift_um": numbers("of the part's axis, x and y"),
        "axis_shift_under_side_force_um": numbers("the same at the worst spindle angle at speed", null=True),
        "jaw_tilt_rad": numbers("of each master jaw in its guideway"),
        "jaw_opening_um": number("bell-mouth of the jaws over the gripped height, on the radius"),
        "taper_to_bore_um": number("taper to turn into the jaws over the gripped height, on the diameter"),
        "loss_share_by_stiffness": number("share of the centrifugal force that is lost as grip"),
        "loss_share_by_stiffness_range": numbers(
            "least and largest of it where the chuck's radial stiffness is not stated; null where it is",
            null=True,
        ),
        "run_out_um": number(
            "reading of an indicator where all errors add up, as in `running`, which has its shares"
        ),
        "run_out": rows("What the contact says of the part's axis, by state.", _run_out()),
    }


def _run_out() -> dict[str, Node]:
    return {
        "state": word("of these", "at rest", "at the highest speed"),
        "rho": number("share of a jaw's stiffness, with its contact, along the jaw"),
        "by_lobes": {
            "type": "object",
            "patternProperties": {
                "^lobes_[0-9]+_um$": suffixed("a_um", number("by so many lobes of the part"))
            },
            "additionalProperties": False,
            "description": "by the part's lobes alone",
        },
        "by_stated_lobes_um": numbers("distance of the axes by each lobe that is stated"),
        "by_jaws_um": number(
            "by jaws that stand off and masses that differ; null where a jaw leaves the part"
        ),
        "by_lobes_free_jaws_um": number("by the worst lobe where the jaws yield freely along their faces"),
        "by_jaws_free_jaws_um": number("by the jaws where they yield freely along their faces"),
    }


def hold() -> dict[str, Node]:
    """Return keys of how cuts are held."""
    return {
        "operation": word("its name"),
        "friction": number("coefficient of the part in the jaws"),
        "held_length_mm": number("height over which jaws and part meet"),
        "part_length_mm": number("length of the part"),
        "weight_N": number("weight of a part that hangs in the jaws or that more than they bear; else null"),
        "weight_held_factor": number("how many times the jaws alone hold that weight; else null"),
        "cuts": rows(
            "Every cut at its own speed.",
            {
                "name": word("of the cut"),
                "speed_rpm": number("of the spindle"),
                "tangential_N": number("cutting force"),
                "feed_N": number("force along the feed"),
                "passive_N": number("force square to both"),
                "impact_factor": number(
                    "by how many times an interrupted cut raises these forces, in them; else 1"
                ),
                "needed_total_N": number(
                    "grip of the three jaws that the closed forms ask for, without safety"
                ),
                "governing": word("what asks for it"),
                "grip_left_N": number("grip of the three jaws left at that speed"),
                "holding_factor": number("multiple of the cut that is held, the least over one turn"),
                "begins_with": word("how the part begins to move"),
                "spindle_angle_deg": number("where it is held least"),
                "factor_without_shift": number("the multiple if pressure did not shift along the jaws"),
                "factor_without_back_face": number("the multiple if the part did not stand on the back face"),
                "factor_by_closed_forms": number("the multiple by the handbooks' closed forms"),
                "bend_mm": number("how far the part gives way"),
                "around": rows(
                    "Over one turn.",
                    {
                        "angle_deg": number("of the spindle"),
                        "factor": number("multiple of the cut that is held"),
                    },
                ),
            },
        ),
    }


def distortion() -> dict[str, Node]:
    """Return keys of shape and stress."""
    return {
        "operation": word("its name"),
        "roundness_um": number("out-of-roundness after release, peak to peak"),
        "basis": word("where it comes from"),
        "flatness_um": number("of the free face after release"),
        "stress_around_wall_MPa": number("largest stress around the part in its wall at the gripped height"),
        "stress_of_bending_MPa": number("its largest half difference between the two sides of the wall"),
        "stress_decisive_MPa": number("what is held against the part's yield strength"),
        "stress_decisive_is": word(
            "equivalent stress (von Mises), tension of a brittle part; around the wall without finite elements",
            "equivalent",
            "tension",
            "around the wall",
        ),
        "stress_decisive_radius_mm": number("of the band of the outline where that is"),
        "stress_decisive_z_mm": number("of that band"),
        "stress_share_of_yield": number("largest share of a yield strength"),
        "displacement_mm": number("largest radial displacement at the gripped height"),
        "wall_mm": number("wall at the gripped height; of a solid part its radius"),
        "surfaces": rows(
            "Surfaces of the part; only with finite elements.",
            {
                "name": word("of the surface"),
                "radius_mm": number("its place"),
                "z_mm": number("its height above the serrated plane"),
                "roundness_um": number("out-of-roundness, peak to peak"),
                "three_lobe_amplitude_um": number("amplitude of its three lobes"),
                "centre_um": numbers("x and y of its circle's centre"),
            },
        ),
    }
