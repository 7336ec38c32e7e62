"""Keys of how true an operation's part runs, in the schema of the report."""

from __future__ import annotations

from sim.report.schema_nodes import Node, flag, number, rows, word


def running() -> dict[str, Node]:
    """Return keys of the budget of run-out and squareness."""
    return {
        "operation": word("its name"),
        "state": word("in which the run-out is largest", "at rest", "at the highest speed"),
        "rho": number("share of a jaw's stiffness, with its contact, along the jaw"),
        "run_out_um": number("reading of an indicator where all errors add up"),
        "run_out_root_um": number("the same by the root of the errors' squares"),
        "turned_out_of_round_um": number(
            "what the turned surface is out of round, part of both; 0 if not known"
        ),
        "shares": rows(
            "What keeps the part's axis off the spindle's; an indicator shows twice their sum.",
            {
                "share": word("its name"),
                "axis_off_um": number("distance of the axes at its worst"),
                "axis_off_root_um": number("root of its squares"),
                "basis": word("how it is found, and from what"),
            },
        ),
        "out_of_square_um": number("run-out of a face square to the axis where all errors add up"),
        "out_of_square_root_um": number("the same by the root of the errors' squares"),
        "over_diameter_mm": number("largest diameter of the part, over which its faces are judged"),
        "tilt_rad": number("of the part's axis where all errors add up"),
        "tilt_root_rad": number("the same by the root of the errors' squares"),
        "by_seats": flag("the jaws' back faces tilt it more than their walls"),
        "chip_um": number("thickness of the chip of which is told what it would add; no verdict counts it"),
        "chip_adds_run_out_um": number("what it adds to the run-out behind the part in one jaw"),
        "chip_adds_out_of_square_um": number("what it adds to the squareness under the part in one jaw"),
    }
