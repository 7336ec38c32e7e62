"""The quantities of a study with their values: lists, ranges and distributions, in the inside units of a scenario."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from scipy import stats

from sim.base import units
from sim.base.arrays import Floats
from sim.base.errors import ScenarioError
from sim.base.limits import VALUES
from sim.scenario.fields import ScenarioField
from sim.scenario.study import Distribution, Normal, Study, Uniform, Varied

MOST_STEPS = VALUES.most
# Inside units as the columns' endings, as in the JSON report.
SUFFIX = {
    "N*mm": "Nmm",
    "mm/rev": "mm_per_rev",
    "m/min": "m_per_min",
    "N/mm": "N_per_mm",
    "N*mm/rad": "Nmm_per_rad",
}


@dataclass(frozen=True, slots=True)
class Marginal:
    """A distribution in inside units: 'uniform', 'normal' or 'triangular' with low, middle, high and deviation."""

    kind: str
    low: float
    middle: float
    high: float
    deviation: float

    def at(self, share: Floats) -> Floats:
        """Return the values below which shares of all values lie, (n,)."""
        if self.kind == "uniform":
            return np.asarray(self.low + share * (self.high - self.low))
        if self.kind == "triangular":
            width = self.high - self.low
            peak = (self.middle - self.low) / width
            return np.asarray(stats.triang.ppf(share, peak, loc=self.low, scale=width))
        ends = np.asarray(stats.norm.cdf([(v - self.middle) / self.deviation for v in (self.low, self.high)]))
        found = stats.norm.ppf(ends[0] + share * (ends[1] - ends[0]), loc=self.middle, scale=self.deviation)
        return np.asarray(np.clip(found, self.low, self.high))


@dataclass(frozen=True, slots=True)
class VariedQuantity:
    """What varies.

    Attributes
    ----------
    key : str
        Dotted path in the scenario.
    kind : str
        Of `sim.base.units.KINDS`; empty without a unit.
    numeric : bool
        Its values are numbers, in the inside unit; else whatever the scenario's file may state.
    choices : tuple
        Values of a list or a range; empty for a distribution.
    marginal : Marginal or None
    """

    key: str
    kind: str
    numeric: bool
    choices: tuple[Any, ...] = ()
    marginal: Marginal | None = None

    @property
    def column(self) -> str:
        """Name of its column, with the unit."""
        if not self.kind:
            return self.key
        inside = units.KINDS[self.kind].inside
        return f"{self.key}_{SUFFIX.get(inside, inside)}"

    def text(self, value: Any) -> Any:
        """Return a value as a scenario's file states it."""
        return f"{float(value)!r} {units.KINDS[self.kind].inside}" if self.kind and self.numeric else value


def quantities(study: Study, fields: dict[str, ScenarioField]) -> tuple[VariedQuantity, ...]:
    """Return what varies in a study; `fields` are those of its keys in a scenario.

    Raises
    ------
    ScenarioError
        If a value is not of its field's kind or has no unit of it.
    """
    found = []
    for number, varied in enumerate(study.vary):
        try:
            found.append(_quantity(varied, fields[varied.key]))
        except ValueError as error:
            raise ScenarioError(f"{study.file}: vary[{number}] {varied.key} {error}") from None
    return tuple(found)


def _quantity(varied: Varied, field: ScenarioField) -> VariedQuantity:
    numeric = field.number and all(_plain(v) or (field.kind and isinstance(v, str)) for v in varied.values)
    if varied.values and not numeric:
        if field.number and field.kind:
            units.read(next(v for v in varied.values if not isinstance(v, str)), field.kind)
        return VariedQuantity(varied.key, field.kind, numeric=False, choices=varied.values)
    if not field.number:
        raise ValueError("is no number, so it must have a list of values")
    if varied.values:
        choices = tuple(_read(v, field) for v in varied.values)
        return VariedQuantity(varied.key, field.kind, numeric=True, choices=choices)
    if varied.distribution is not None:
        if isinstance(field.stated, int):
            raise ValueError("takes whole numbers, so it must have a list or a range, found a distribution")
        return VariedQuantity(
            varied.key, field.kind, numeric=True, marginal=_marginal(varied.distribution, field)
        )
    return VariedQuantity(varied.key, field.kind, numeric=True, choices=_steps(varied, field))


def _plain(value: Any) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool)


def _read(value: Any, field: ScenarioField) -> float | int:
    if field.kind:
        return units.read(value, field.kind)
    if not _plain(value) or not np.isfinite(value):
        raise ValueError(f"must be a number without a unit, found '{value}'")
    whole = isinstance(field.stated, int)
    if whole and not isinstance(value, int):
        raise ValueError(f"must be a whole number, found {value}")
    return int(value) if whole else float(value)


def _steps(varied: Varied, field: ScenarioField) -> tuple[float | int, ...]:
    """Return the values of a range; the last is not passed, and met within a millionth of a step."""
    low, high, step = (_read(v, field) for v in (varied.low, varied.high, varied.step))
    if not (step > 0 and high >= low):
        raise ValueError(
            "must rise from low to high by a step above 0, "
            f"found {varied.low} to {varied.high} by {varied.step}"
        )
    count = int(np.floor((high - low) / step + 1e-6)) + 1
    if count > MOST_STEPS:
        raise ValueError(f"must have at most {MOST_STEPS} values, found {count}")
    if isinstance(low, int):
        return tuple(int(low + k * step) for k in range(count))
    return tuple(float(low + k * step) for k in range(count))


def _marginal(stated: Distribution, field: ScenarioField) -> Marginal:
    if isinstance(stated, Uniform):
        low, high = _read(stated.low, field), _read(stated.high, field)
        found = Marginal("uniform", low, 0.5 * (low + high), high, 0.0)
    elif isinstance(stated, Normal):
        low = -np.inf if stated.low is None else _read(stated.low, field)
        high = np.inf if stated.high is None else _read(stated.high, field)
        found = Marginal("normal", low, _read(stated.mean, field), high, _read(stated.deviation, field))
        if not found.deviation > 0.0:
            raise ValueError(f"must have a deviation above 0, found {stated.deviation}")
    else:
        low, mode, high = (_read(v, field) for v in (stated.low, stated.mode, stated.high))
        found = Marginal("triangular", low, mode, high, 0.0)
        if not low <= mode <= high:
            raise ValueError(
                f"must rise from low over mode to high, found {stated.low}, {stated.mode}, {stated.high}"
            )
    if not found.low < found.high:
        raise ValueError(f"must have low below high, found {stated.low} and {stated.high}")
    return found
