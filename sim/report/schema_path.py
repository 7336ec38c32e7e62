"""Keys of a cutting path in the schema of the report."""

from __future__ import annotations

from sim.report.schema_nodes import Node, count, flag, number, rows, table, word, words


def clearance() -> dict[str, Node]:
    """Return keys of a cutting path."""
    return {
        "program": word("file of the program; null for a path made from the pockets", null=True),
        "tools": words("tools in their order"),
        "notes": words("what was assumed in reading the program"),
        "optional_blocks": word("which were run and which skipped, and how outer corners were run", null=True),
        "other_readings": rows("The program with other optional blocks run, or outer corners run otherwise.", {
            "optional_blocks": word("which were run and which skipped, and how outer corners were run", null=True),
            "moves": count("number of moves"),
            "least_mm": number("least distance of the tool to what it must not touch"),
            "gouge_mm": number("how far below the wanted surface it cuts"),
            "leftover_mm": number("how much it leaves above the wanted surface"),
            "touches": count("number of touches"),
        }),
        "ended_by": word("the word that ends the program", null=True),
        "swing_mm": number("largest diameter that turns"),
        "safe_plane_mm": number("height above which a tip may run across at rapid, from the serrated plane"),
        "zero_mm": number("height of the program's zero point above the serrated plane"),
        "moves": count("number of moves"),
        "least_mm": number("least distance of the tool to what it must not touch; null where nothing is near"),
        "least_move": count("number of that move, from 1", null=True),
        "least_between": words("the two that are that near", null=True),
        "least_off_the_line": flag("only if the control runs each axis at its own rate", null=True),
        "required_mm": number("distance required"),
        "gouge_mm": number("how far below the wanted surface the path cuts"),
        "leftover_mm": number("how much it leaves above the wanted surface"),
        "bars": rows("Boring bars in the cut that bends them most.", {
            "tool": word("its name"),
            "shank": word("what it is made of"),
            "diameter_mm": number("of the shank"),
            "reach_mm": number("out of its holder"),
            "slenderness": number("reach over diameter"),
            "move": count("number of the move, from 1; null if it cuts nothing", null=True),
            "tangential_N": number("cutting force"),
            "radial_N": number("larger of feed and passive force"),
            "bend_mm": number("of the tip under both"),
            "push_mm": number("of the tip under the radial force alone"),
        }),
        "touches": rows("What touches, in the order of the path.", {
            "kind": word("of touch"),
            "move": count("number of the move, from 1"),
            "block": count("sequence number in the program", null=True),
            "line": count("line of the program", null=True),
            "part": word("of the tool"),
            "body": word("that it meets"),
            "radius_mm": number("where they meet, from the spindle axis"),
            "z_mm": number("where they meet, from the serrated plane"),
            "depth_mm": number("of the overlap, or of cut"),
            "off_the_line": flag("only if the control runs each axis at its own rate"),
        }),
        "move_table": rows("Every move; only with --moves.", {
            "move": count("its number, from 1"),
            "block": count("sequence number in the program", null=True),
            "line": count("line of the program", null=True),
            "tool": word("its name"),
            "kind": word("of move"),
            "stage": word("what it is for, as in 'rough pass 2 (G71)'; empty where nothing says so"),
            "x_diameter_mm": number("diameter at its end"),
            "program_z_mm": number("z at its end from the program's zero point"),
            "clearance_mm": number("least distance of the tool to what it must not touch"),
            "between": word("the two that are that near"),
            "off_the_line": flag("only if the control runs each axis at its own rate"),
            "touches": word("kinds of touch that begin in it"),
            "depth_of_cut_mm": number("square to the move"),
            "speed_rpm": number("highest of the spindle"),
            "holding_factor": number("grip left over grip needed; null where nothing is cut, and for boring"),
        }),
    }  # fmt: skip


def program_grip() -> Node:
    """Return the table of the grip along a program."""
    return table("Grip along the program.", {
        "highest_speed_rpm": number("of the spindle"),
        "least_factor": number("multiple of a cut that is held, the least over one turn"),
        "least_factor_move": count("number of that move, from 1", null=True),
        "least_factor_by_closed_forms": number("grip left over grip needed, the least of all moves"),
        "least_factor_by_closed_forms_move": count("number of that move, from 1", null=True),
        "left_N": number("grip of the three jaws left there"),
        "needed_N": number("grip of the three jaws needed there, without safety"),
    })  # fmt: skip
