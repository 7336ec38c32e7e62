"""JSON schema of the report of `check --json`, for those whose programs read it.

One table of words a level; the unit of a number is read from the end of its key, and said in its description. Every
key is required but those named `optional`, and no other key is allowed.
"""

from __future__ import annotations

from sim.assessment.verdicts.rules import RULES
from sim.report.schema_jaws import fixture, pockets, screws
from sim.report.schema_nodes import Node, flag, number, rows, table, word, words
from sim.report.schema_operation import contact, distortion, grip, hold, stroke
from sim.report.schema_path import clearance, program_grip
from sim.report.schema_running import running
from sim.report.typical import typical_schema

SIDE = {True: "at least", False: "at most"}


def report_schema() -> Node:
    """Return the schema (draft 2020-12) of what `sim.report.assessment.as_object` makes of an assessment."""
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "Report of chuckscene check --json",
        **table(
            "A judged setup. A figure that is not to be had, or has no limit, is null.", _whole(), "typical"
        ),
    }


def _whole() -> dict[str, Node]:
    return {
        "title": word("of the scenario"),
        "revision": word("of the scenario as the shop writes it, empty where none is stated"),
        "status": word("the worst of all verdicts", "pass", "warn", "fail"),
        "not_judged": rows("Questions that were not asked.", _not_judged()),
        "included": rows("Files that the scenario takes tables from.", _included()),
        "stroke": rows("Where the jaws meet the part, an operation each.", stroke()),
        "grip": rows("Grip of the chuck, an operation each.", grip()),
        "contact": rows("Contact of jaws and part, an operation each.", contact()),
        "hold": rows("How the cuts are held, an operation each.", hold()),
        "distortion": rows(
            "Shape and stress of the clamped part, an operation each.", distortion(), "surfaces"
        ),
        "running": rows("Whether the part runs true, an operation each.", running()),
        "screws": table("The screws of the soft jaws.", screws()),
        "fixture": table("What the jaws press while they are bored.", fixture()),
        "clearance": table("The boring path.", clearance(), "move_table"),
        "machining": rows(
            "Programs that machine the part.",
            {"operation": word("name of the operation"), **clearance(), "grip": program_grip()},
            "move_table",
        ),
        "pockets": rows("What is left in the jaws for later.", pockets()),
        "verdicts": _verdicts(),
        "cautions": words("what no figure replaces"),
        "typical": typical_schema(),
    }


def _verdicts() -> Node:
    """Return the rows of the verdicts, each of one rule with its own name, unit and side of the limit."""
    found = rows("All verdicts, the worst first.", _verdict())
    found["items"]["oneOf"] = [
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
    return found


def _verdict() -> dict[str, Node]:
    return {
        "key": word("of the verdict's rule: it stays when the words of the name change"),
        "name": word("what is judged"),
        "stage": word("'boring', 'jaws' or the operation's name"),
        "status": word("the answer", "pass", "warn", "fail"),
        "value": number("what was found, in the unit of the key 'unit'"),
        "limit": number("what is allowed, in the unit of the key 'unit'"),
        "unit": word("of value and limit; empty for a factor or a share"),
        "limit_is": word("on which side of the limit the value must be", *SIDE.values()),
        "basis": word("where the limit comes from"),
        "message": word("what was found, a sentence"),
        "advice": word("what to change, a sentence; empty for a pass"),
    }


def _not_judged() -> dict[str, Node]:
    return {
        "question": word("what stays open"),
        "stage": word("as of a verdict, or 'chuck' or 'machine'"),
        "why": word("what is not stated, or what was done in its place"),
        "needs": word("what to state or do so that it is asked"),
        "matters": flag(
            "the answer could throw the part or a jaw, break the chuck, or bring a tool into what turns"
        ),
        "verdicts": words("names of the verdicts that would answer it"),
        "verdict_keys": words("keys of these verdicts, in the same order"),
    }


def _included() -> dict[str, Node]:
    return {
        "file": word("as the scenario names it"),
        "values": {
            "type": "object",
            "additionalProperties": {"type": "string"},
            "description": "fields taken, each with its value and unit as text",
        },
        "gauge_readings": word(
            "how they were judged", "accepted", "accepted with findings", "rejected", null=True
        ),
        "findings": words("what the readings contradict"),
        "stated_here": {
            "type": "object",
            "additionalProperties": {"type": "string"},
            "description": "fields of a shop file that the scenario states itself, which counts; each with the file's "
            "value",
        },
    }
