"""The layouts that a search may try: variables within ranges, and what each choice changes in the scenario's file."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from sim.base.errors import ScenarioError
from sim.scenario import Scenario, Search
from sim.setup.pressures import require_known_pressure

Changes = dict[str, Any]
Setting = tuple[float, ...]  # a number for each variable of a space


@dataclass(frozen=True, slots=True, eq=False)
class Variable:
    """One thing that may be chosen; numbers in `unit`.

    Attributes
    ----------
    name : str
    low, high : float
        Ends of the range; of a choice the first and the last number.
    step : float
        What a setter can tell apart; values are multiples of it.
    unit : str
    changes : callable
        Value to changed fields of the scenario's file.
    words : callable
        Value as it is shown.
    choice : bool
        The numbers have no order: any may follow any.
    """

    name: str
    low: float
    high: float
    step: float
    unit: str
    changes: Callable[[float], Changes]
    words: Callable[[float], str]
    choice: bool = False

    def nearest(self, value: float) -> float:
        """Return the value that can be set which is nearest, within the range."""
        steps = round((min(max(value, self.low), self.high) - self.low) / self.step)
        return min(self.low + steps * self.step, self.high)

    def at(self, share: float) -> float:
        """Return the value at a share of the range, 0 to 1; whole numbers have equal shares."""
        if self.step < 1.0:
            return self.nearest(self.low + share * (self.high - self.low))
        return self.nearest(self.low - 0.5 + share * (self.high - self.low + 1.0))


@dataclass(frozen=True, slots=True)
class Pressures:
    """Range of an operation's gripping pressure, MPa."""

    operation: int
    low: float
    high: float


@dataclass(frozen=True, slots=True, eq=False)
class Space:
    """All variables of the layout, and the pressures, which are found for each layout apart."""

    variables: tuple[Variable, ...]
    pressures: tuple[Pressures, ...]

    def changes(self, point: Setting) -> Changes:
        """Return the changed fields of a point."""
        found: Changes = {}
        for variable, value in zip(self.variables, point, strict=True):
            found |= variable.changes(value)
        return found

    def point(self, shares: Sequence[float]) -> Setting:
        """Return the point at shares of every range, each 0 to 1."""
        return tuple(v.at(share) for v, share in zip(self.variables, shares, strict=True))


def space(search: Search, scenario: Scenario) -> Space:
    """Return what a search may try for its scenario.

    Raises
    ------
    ScenarioError
        If a range names what the scenario has not, or goes beyond what chuck and machine allow; without the file.
    """
    return Space(tuple(_variables(search, scenario)), tuple(_pressures(search, scenario)))


def _variables(search: Search, scenario: Scenario) -> Iterator[Variable]:
    if search.serration_index is not None:
        low, high = search.serration_index
        yield Variable(
            "serration index",
            low,
            high,
            1.0,
            "",
            lambda v: {"soft_jaw.serration_index": round(v)},
            lambda v: f"{v:+.0f}",
        )
    if search.boring_travel is not None:
        low_travel, high_travel = search.boring_travel
        stroke = scenario.chuck.stroke
        if high_travel > stroke:
            raise ScenarioError(
                f"boring_travel must be at most chuck.stroke, {stroke:g} mm, found {high_travel:g} mm"
            )
        yield Variable(
            "boring travel",
            low_travel,
            high_travel,
            0.01,
            "mm",
            lambda v: {"boring.travel": _mm(v)},
            lambda v: f"{v:.2f}",
        )
    if search.jaw_heights:
        yield _heights(search, scenario)
    yield from _depths(search, scenario)
    if search.fixtures:
        yield _fixtures(search, scenario)
    if search.grooves:
        yield _grooves(search, scenario)


def _heights(search: Search, scenario: Scenario) -> Variable:
    heads = scenario.soft_jaw.height - scenario.soft_jaw.screws.counterbore_depth
    heights = search.jaw_heights
    lowest = min(heights)
    if lowest <= heads:
        raise ScenarioError(
            f"jaw_heights must be over {heads:g} mm, the face under the screw heads, found {lowest:g} mm"
        )

    def changes(value: float) -> Changes:
        height = heights[round(value)]
        return {"soft_jaw.height": _mm(height), "soft_jaw.screws.counterbore_depth": _mm(height - heads)}

    return _choice("jaw height", len(heights), "mm", changes, lambda v: f"{heights[round(v)]:g}")


def _depths(search: Search, scenario: Scenario) -> Iterator[Variable]:
    names = [p.name for p in scenario.pockets]
    for number, one in enumerate(search.pocket_depths):
        place = _place(f"pocket_depths[{number}].pocket", one.pocket, names)

        def changes(value: float, place: int = place) -> Changes:
            return {f"pockets.{place}.depth": _mm(value)}

        yield Variable(
            f"depth of '{one.pocket}'", one.low, one.high, 0.1, "mm", changes, lambda v: f"{v:.1f}"
        )


def _fixtures(search: Search, scenario: Scenario) -> Variable:
    texts = search.tables["fixtures"]
    kinds = [f"{f.fixture.kind} {k}" for k, f in enumerate(search.fixtures, start=1)]
    for number, one in enumerate(search.fixtures):
        if one.pressure is not None:
            require_known_pressure(f"fixtures[{number}].pressure", one.pressure, scenario)

    def changes(value: float) -> Changes:
        text = texts[round(value)]
        found: Changes = {"boring.fixture": text["fixture"]}
        found |= {f"boring.{key}": text[key] for key in ("pressure", "speed") if key in text}
        return found

    return _choice("fixture", len(kinds), "", changes, lambda v: kinds[round(v)])


def _grooves(search: Search, scenario: Scenario) -> Variable:
    grooves = search.grooves

    def changes(value: float) -> Changes:
        groove = grooves[round(value)]
        found: Changes = {}
        for place in range(len(scenario.pockets)):
            found[f"pockets.{place}.groove_width"] = _mm(groove.width)
            found[f"pockets.{place}.groove_depth"] = _mm(groove.depth)
        return found

    return _choice(
        "groove",
        len(grooves),
        "mm",
        changes,
        lambda v: f"{grooves[round(v)].width:g} x {grooves[round(v)].depth:g}",
    )


def _choice(
    name: str, count: int, unit: str, changes: Callable[[float], Changes], words: Callable[[float], str]
) -> Variable:
    return Variable(name, 0.0, count - 1.0, 1.0, unit, changes, words, choice=True)


def _pressures(search: Search, scenario: Scenario) -> Iterator[Pressures]:
    names = [o.name for o in scenario.operations]
    for number, one in enumerate(search.pressures):
        place = _place(f"pressures[{number}].operation", one.operation, names)
        require_known_pressure(f"pressures[{number}].high", one.high, scenario)
        require_known_pressure(f"pressures[{number}].low", one.low, scenario)
        yield Pressures(place, one.low, one.high)


def _place(field: str, name: str, names: list[str]) -> int:
    if name not in names:
        raise ScenarioError(f"{field} must be one of {', '.join(names)}, found '{name}'")
    return names.index(name)


def _mm(value: float) -> str:
    return f"{value:.4f}".rstrip("0").rstrip(".") + " mm"
