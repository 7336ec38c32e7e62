"""The questions of `new` as a form asks them: all answers at once, and what is wrong with each."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import typer

from sim.base import tables
from sim.base.beside import working_folder
from sim.base.errors import ScenarioError
from sim.commands.asking import KINDS, READERS, SURFACES, asked
from sim.first_setup.classes import class_tables
from sim.first_setup.known import CLASSES

NEEDED = (
    "chuck",
    "smallest",
    "largest",
    "length",
    "material",
    "surface",
    "cut",
    "depth-of-cut",
    "feed",
    "cutting-speed",
)
PLATE = (
    ("plate-pull", "largest drawbar pull", "largest_pull"),
    ("plate-grip", "largest grip of the three jaws", "largest_grip"),
    ("plate-stroke", "travel of a jaw", "stroke"),
    ("plate-speed", "highest speed", "marked_speed"),
    ("plate-pressure", "highest pressure", "pressure_limit"),
)


def questions() -> dict[str, Any]:
    """Return what is asked, group by group; JSON. `usual` says what is taken where nothing is answered."""
    return {
        "groups": [
            {"title": "Part", "questions": _part()},
            {"title": "Chuck", "questions": _chuck()},
            {"title": "Heaviest cut", "questions": _cut()},
        ],
        "plates": {
            str(size): {name: str(class_tables(size)["chuck"][key]) for name, _, key in PLATE}
            for size in CLASSES
        },
    }


def _asked(key: str, label: str, help_: str, *, usual: str = "", **more: Any) -> dict[str, Any]:
    return {"key": key, "label": label, "help": help_, "needed": key in NEEDED, "usual": usual, **more}


def _part() -> list[dict[str, Any]]:
    return [
        _asked("material", "material", "", options=[row.name for row in tables.materials()]),
        _asked(
            "surface", "what the jaws grip", "turned, or raw as cast, forged, rolled", options=list(SURFACES)
        ),
        _asked("smallest", "gripped Ø, smallest", "within its tolerance, over all parts", example="89.9 mm"),
        _asked("largest", "gripped Ø, largest", "within its tolerance, over all parts", example="90 mm"),
        _asked("length", "length", "along the spindle", example="40 mm"),
        _asked("gripped", "length in the jaws", "as much as they may cover", usual="a third and 4 mm"),
        _asked("beyond", "Ø out of the jaws", "of what stands out of them", usual="as gripped, smallest"),
        _asked("bore", "Ø of its bore", "through the part", usual="none"),
    ]


def _chuck() -> list[dict[str, Any]]:
    return [
        _asked("chuck", "size class", "the nearest to its diameter in mm", options=[str(c) for c in CLASSES]),
        *(
            _asked(name, label, "as its plate says; empty: not known, typical of the class", typical=True)
            for name, label, _ in PLATE
        ),
    ]


def _cut() -> list[dict[str, Any]]:
    return [
        _asked("cut", "kind", "the cut that loads the part most", options=list(KINDS)),
        _asked(
            "cut-diameter", "Ø at which it cuts", "of a drill its own", usual="as out of the jaws, if turned"
        ),
        _asked("depth-of-cut", "depth of cut", "of a drill half its diameter", example="2 mm"),
        _asked("feed", "feed", "a revolution", example="0.25 mm/rev"),
        _asked("cutting-speed", "cutting speed", "", example="160 m/min"),
    ]


def wrong(answers: Mapping[str, str]) -> dict[str, str]:
    """Return what is wrong with answers, by question; of those that fit each other ill, at the one that is named.

    An answer to no question is wrong, too: nothing that somebody has typed is dropped.
    """
    found = {}
    for key, text in answers.items():
        reader = READERS.get(f"--{key}")
        try:
            if reader is None:
                raise ValueError("is no question")
            reader(text)
        except ValueError as error:
            found[key] = str(error)
    needed = [*NEEDED]
    if answers.get("cut") == "drilling":
        needed.remove("depth-of-cut")
    if answers.get("cut") in {"boring", "drilling"}:
        needed.append("cut-diameter")
    found |= {key: "is missing" for key in needed if key not in answers}
    return found if found else _together(answers)


def _together(answers: Mapping[str, str]) -> dict[str, str]:
    try:
        asked(_options(answers), asks=False)
    except ScenarioError as error:
        words = str(error)
        told = {"gripped diameter": "largest", "the part's bore": "bore", "gripped length": "gripped"}
        return {next((key for begin, key in told.items() if begin in words), "smallest"): words}
    return {}


def _options(answers: Mapping[str, str]) -> dict[str, str | None]:
    return {option: answers.get(option.removeprefix("--")) for option in READERS}


def proposed(answers: Mapping[str, str]) -> str:
    """Return the text of a first scenario out of answers.

    Raises
    ------
    ScenarioError
        If a chuck of that class cannot take the part.
    """
    from sim.first_setup.settled import proposed_text

    try:
        known = asked(_options(answers), asks=False)
    except typer.BadParameter as error:
        raise ScenarioError(error.format_message()) from None
    with working_folder() as folder:
        return proposed_text(known, folder)
