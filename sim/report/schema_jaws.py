"""Keys of the jaws in the schema of the report: screws, boring fixture, pockets."""

from __future__ import annotations

from sim.report.schema_nodes import Node, count, flag, number, table, word


def screws() -> dict[str, Node]:
    """Return keys of the jaws' screws."""
    return {
        "thread": word("designation"),
        "property_class": word("ISO 898-1"),
        "torque_Nm": number("tightening torque of a screw"),
        "preload_least_N": number("least preload of a screw by the scatter of tightening"),
        "preload_largest_N": number("largest preload of a screw"),
        "utilisation": number("equivalent stress over the yield strength"),
    }


def fixture() -> dict[str, Node]:
    """Return keys of the boring fixture."""
    return {
        "kind": word("'ring', 'plug', 'outer ring' or 'none'"),
        "pressure_MPa": number("while boring"),
        "speed_rpm": number("highest while boring"),
        "travel_mm": number("of the jaws while boring"),
        "advice": word("what to do about the fixture; empty if nothing"),
        "material": word("of the fixture", null=True),
        "load_height_mm": number("of the jaws' load above the serrated plane"),
        "load_at_rest_N": number("load of the three jaws at rest"),
        "load_at_speed_N": number("load of the three jaws at the highest boring speed"),
        "largest_guide_moment_Nm": number("load of a jaw times its height above the guideway's middle"),
        "give_mm": number("how far each jaw moves under the load"),
        "strength": _strains("What the fixture bears; null without one."),
        "seat": _strains("What its seat in the jaws bears; null without a fixture."),
        "room_for_ring": table("What ring the boring path leaves room for; null where none is asked for.", {
            "fits": flag("some ring clears the path and holds its pins"),
            "least_inner_diameter_mm": number("hole that the tool passes through with its clearance"),
            "most_inner_diameter_mm": number("hole that still leaves the ring round its pins"),
            "keeps_its_pressure": flag("the boring pressure is within the limit for a ring"),
            "keeps_its_speed": flag("the boring speed is within the limit for a ring"),
        }, null=True),
        "room_for_plug": table("What plug the boring path leaves room for; null where none is asked for.", {
            "fits": flag("a plug fits below the path"),
            "reason": word("why not; empty if it does"),
            "diameter_mm": number("of the plug and its seat"),
            "top_mm": number("highest place of its upper face above the serrated plane"),
            "seat_depth_mm": number("of the seat below the jaws' top faces"),
            "pre_bore_diameter_mm": number("to which the jaws must be bored to get the plug in"),
        }, null=True),
        "outer_ring_top_mm": number("highest place of an outer ring's upper face above the serrated plane"),
    }  # fmt: skip


def _strains(text: str) -> Node:
    shown = {
        "what": word("that is loaded"),
        "state": word("its worst", "at rest", "at the highest speed"),
        "utilisation": number("load over what is allowed"),
        "basis": word("formula and limit"),
    }
    of = {
        unit: table(
            f"A {kind} and what is allowed.",
            {
                **shown,
                f"{kind}_{unit}": number(f"the {kind}"),
                f"allowed_{unit}": number("the most allowed"),
            },
        )
        for kind, unit in (("stress", "MPa"), ("load", "N"))
    }
    return {"type": ["array", "null"], "description": text, "items": {"oneOf": list(of.values())}}


def pockets() -> dict[str, Node]:
    """Return keys of what is left in the jaws."""
    return {
        "name": word("of the pocket"),
        "diameter_mm": number("to which it is turned"),
        "depth_mm": number("of its back face below the jaws' top faces"),
        "radial_metal_left_mm": number("by which its radius may still change"),
        "radial_metal_ends_at": word("what stands there"),
        "rebores": count("how often it can be bored again"),
        "may_go_deeper_mm": number("by which its back face may still go down"),
        "depth_ends_at": word("what stands there"),
    }
