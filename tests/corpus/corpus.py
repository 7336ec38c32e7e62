"""The own programs of the corpus: their texts, and how each is to be read."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

from sim.programs.cycles.amounts import Amounts
from sim.programs.reading import Reading

HERE = Path(__file__).parent
TABLE: dict[str, dict[str, Any]] = tomllib.loads((HERE / "meaning.toml").read_text(encoding="utf-8"))


def _point(stated: list[float] | None) -> tuple[float, float] | None:
    """Return (radius, z) of a stated (diameter, z)."""
    return None if stated is None else (stated[0] / 2.0, stated[1])


def reading_of(case: dict[str, Any]) -> Reading:
    """Return how the program of a case is to be read."""
    stated = dict(case.get("reading", {}))
    said = stated.pop("without_point", None)
    options: dict[str, Any] = {
        "start": (200.0, 200.0),
        "point_required": said is None,
        "least_increment": 0.001 if said == "increments" else None,
        "diameter": stated.pop("x", "diameter") == "diameter",
        "inch": stated.pop("unit", "mm") == "inch",
        "bare_home": stated.pop("home_without_axes", None),
    }
    for place in ("home", "second_home", "machine_zero"):
        options[place] = _point(stated.pop(place, None))
    if "offsets" in stated:
        options["datums"] = {int(name[1:]): z for name, z in stated.pop("offsets").items()}
    if "chuck" in stated:
        options["chuck"] = tuple(stated.pop("chuck"))
    if "skipped" in stated:
        options["skipped"] = frozenset(stated.pop("skipped"))
    if "amounts" in stated:
        options["amounts"] = Amounts(**stated.pop("amounts"))
    if "tip_direction" in stated:
        options["tip_direction"] = tuple(stated.pop("tip_direction"))
    return Reading(**options, **stated)


def text_of(name: str) -> str:
    """Return the text of a program by its name."""
    return (HERE / "programs" / f"{name}.nc").read_bytes().decode("utf-8")
