"""Files that a scenario names: programs, models, drawings of tools, and those whose tables it takes."""

from __future__ import annotations

from collections.abc import Iterator

from pydantic import BaseModel

from sim.scenario.scenario import Scenario
from sim.scenario.shop_files import NAMING


def read_files(scenario: Scenario) -> Iterator[tuple[str, str]]:
    """Yield the field and the name of each program, model and drawing, from the scenario's folder."""
    yield from _in(scenario, "")


def table_files(scenario: Scenario) -> Iterator[tuple[str, str]]:
    """Yield the field and the name of each file whose tables the scenario takes."""
    yield from ((f"include[{number}]", name) for number, name in enumerate(scenario.include))
    yield from ((f"shop_files[{number}]", name) for number, name in enumerate(scenario.shop_files))


def _in(value: object, at: str) -> Iterator[tuple[str, str]]:
    if isinstance(value, tuple):
        for number, item in enumerate(value):
            yield from _in(item, f"{at}[{number}]")
    if not isinstance(value, BaseModel):
        return
    for name in type(value).model_fields:
        found, place = getattr(value, name), f"{at}.{name}".lstrip(".")
        if name == NAMING and isinstance(found, str):
            yield place, found
        else:
            yield from _in(found, place)
