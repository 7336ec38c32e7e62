"""What a setup rests on that nobody has read off: each such value moved to both ends of its range, and judged again.

A value counts as not read off if the scenario's list `typical` names it or its table, or if it is left out, so that a
default stands for it. The ranges stand in `sim/data/typical.toml`. Every move is judged whole, with elastic columns for
the contact: it may bring a fixture into the bar's way as well as take grip.
"""

from __future__ import annotations

import math
import tomllib
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from importlib import resources
from pathlib import Path
from typing import Any, Literal

from sim.assessment.results import Assessment
from sim.assessment.stages import assess
from sim.assessment.verdict import ORDER, Verdict
from sim.base.errors import ChuckSceneError
from sim.base.share import Tell
from sim.base.units import KINDS, factor
from sim.scenario import Scenario
from sim.scenario.changes import changed
from sim.scenario.fields import field_of
from sim.scenario.scenario import checked, full_tables
from sim.setup.loading import refuse_impossible

Basis = Literal["typical", "default"]
NOTICED = 0.99  # of a margin
_UNITS = {
    "angle": "deg",
    "force": "kN",
    "pressure": "bar",
    "stiffness": "kN/mm",
    "tilt stiffness": "kN*m/rad",
    "torque": "N*m",
}


@dataclass(frozen=True, slots=True)
class Fallen:
    """A verdict that loses margin.

    Attributes
    ----------
    verdict : Verdict
        As it is then.
    before : float
        The margin that it had, no unit.
    """

    verdict: Verdict
    before: float

    @property
    def share(self) -> float:
        """What is left of the margin, a share of what it was."""
        return self.verdict.margin / self.before


@dataclass(frozen=True, slots=True)
class End:
    """One end of a range: the value as a file states it, and what a check says of it.

    Attributes
    ----------
    worst : Verdict or None
        None where the setup is refused.
    fallen : Fallen or None
        What loses most there; None where nothing does.
    refused : str
        Why, one sentence; empty where it is judged.
    """

    value: str
    worst: Verdict | None
    fallen: Fallen | None = None
    refused: str = ""

    @property
    def rank(self) -> tuple[int, float, float]:
        """Sorts ends worst first, alike ones by what loses most."""
        left = 1.0 if self.fallen is None else self.fallen.share
        return (-1, 0.0, left) if self.worst is None else (*self.worst.rank, left)


@dataclass(frozen=True, slots=True)
class Rests:
    """A value that nobody has read off.

    Attributes
    ----------
    field : str
        As the scenario names it.
    value : str
        As it is taken, with its unit.
    basis : {'typical', 'default'}
        Whether the list `typical` names it, or it is left out.
    low, high : End
        At both ends of its range.
    """

    field: str
    value: str
    basis: Basis
    low: End
    high: End

    @property
    def worse(self) -> End:
        """The end that is worse for the setup."""
        return min(self.low, self.high, key=lambda end: end.rank)


@cache
def ranges() -> dict[str, tuple[float, float]]:
    """Return by how much each field may differ, factors of its value from least to most, no unit."""
    text = resources.files("sim").joinpath("data", "typical.toml").read_text(encoding="utf-8")
    return dict(_flat(tomllib.loads(text), ""))


def _flat(tables: dict[str, Any], at: str) -> Iterator[tuple[str, tuple[float, float]]]:
    for name, value in tables.items():
        if isinstance(value, dict):
            yield from _flat(value, f"{at}{name}.")
        else:
            yield f"{at}{name}", (float(value[0]), float(value[1]))


def not_read_off(scenario: Scenario) -> dict[str, Basis]:
    """Return the fields with a range that nobody has read off, in the order of the ranges, each with its basis."""
    found: dict[str, Basis] = {}
    for name in ranges():
        *steps, last = name.split(".")
        table: Any = scenario
        for step in steps:
            table = getattr(table, step, None)
        if table is None or getattr(table, last, None) is None:
            continue
        if any(name == one or name.startswith(f"{one}.") for one in scenario.typical):
            found[name] = "typical"
        elif last not in table.model_fields_set:
            found[name] = "default"
    return found


def rests_on(
    file: Path, scenario: Scenario, tell: Tell = lambda _: None
) -> tuple[Verdict | None, tuple[Rests, ...]]:
    """Return the worst verdict as it stands, and each value that was not read off, what matters most first.

    Parameters
    ----------
    file : Path
        Of the scenario.
    scenario : Scenario
        As it was read from there.
    tell : callable
        Gets each field before it is moved.

    Raises
    ------
    ScenarioError
        If the file cannot be read again.
    ContactNotConverged
        If the part at rest is not balanced between the jaws.
    """
    tables, found = full_tables(file), []
    before = assess(scenario, contact_model="foundation", advised=False)
    for name, basis in not_read_off(scenario).items():
        tell(f"moving {name}")
        field = field_of(scenario, name)
        taken, *ends = (_shown(share * field.stated, field.kind) for share in (1.0, *ranges()[name]))
        low, high = (
            _moved(before, file, tables, name, shown if field.kind else share * field.stated)
            for shown, share in zip(ends, ranges()[name], strict=True)
        )
        found.append(Rests(name, taken, basis, low, high))
    return _worst(before), tuple(sorted(found, key=lambda one: one.worse.rank))


def _moved(before: Assessment, file: Path, tables: dict[str, Any], name: str, value: Any) -> End:
    shown = value if isinstance(value, str) else _shown(value, "")
    try:
        scenario = checked(changed(tables, {name: value}), file)
        refuse_impossible(scenario)
        after = assess(scenario, contact_model="foundation", advised=False)
    except ChuckSceneError as error:
        return End(shown, None, refused=str(error).removeprefix(f"{file}: "))
    return End(shown, _worst(after), _fallen(before, after))


def _fallen(before: Assessment, after: Assessment) -> Fallen | None:
    """Return the verdict that loses most of its margin; None where none loses a hundredth."""
    margins = {(v.key, v.stage): v.margin for v in before.verdicts}
    lost = [
        Fallen(v, margins[v.key, v.stage])
        for v in after.verdicts
        if 0.0 < margins.get((v.key, v.stage), 0.0) < math.inf
    ]
    most = min(lost, key=lambda one: one.share, default=None)
    return most if most is not None and most.share < NOTICED else None


def _worst(found: Assessment) -> Verdict | None:
    """Return the verdict that is nearest to its limit, or farthest beyond it; a count of what may not be is none."""
    told = [v for v in found.verdicts if v.status != "pass" or math.isfinite(v.margin)]
    return min(told, key=lambda v: (ORDER.index(v.status), v.margin), default=None)


def _shown(value: float, kind: str) -> str:
    """Return an inside value as a file states it, to four digits, in the unit that plates and data sheets have."""
    if not kind:
        return f"{value:.4g}"
    unit = _UNITS.get(kind, KINDS[kind].inside)
    return f"{value / factor(kind, unit):.4g} {unit}"
