"""What one verdict asks, apart from any setup: its key, its words, and on which side of the limit a value is good."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal, overload

import numpy as np

from sim.assessment.verdict import Status, Verdict
from sim.base.arrays import Flags, Floats
from sim.base.floats import larger

RELATIVE = 1e-9  # a value that meets its limit but for rounding passes
MET = 1.0 - RELATIVE  # and so does a margin

# What can change a verdict: 'pressure', 'speed' of gripping or boring, 'friction' of part, guideway or screws, 'size'
# of the part within its tolerance, 'cut' (depth, feed and forces), 'geometry' (what is drawn, bored or programmed);
# 'contact' means that columns (`--quick`) answer it by its order of magnitude only.
Cause = Literal["pressure", "speed", "friction", "size", "cut", "geometry", "contact"]


@dataclass(frozen=True, slots=True)
class Rule:
    """One question that a setup is asked.

    Attributes
    ----------
    key : str
        By which programs tell it from the others; it never changes.
    name : str
        What is judged, in the trade's words: for people only, nothing looks it up.
    unit : str
        Of value and limit; '' for a factor or a count.
    at_least : bool
        The value must be at least the limit; at most where False.
    basis : str
        Standard, handbook or 'common practice' that the limit comes from; a verdict may say it more exactly.
    depends : frozenset of Cause
        What can change value, limit or status.
    view : str
        What the page turns to (`sim.views.web.look`); '' for the stage as a whole.
    asks : str
        The question, one sentence in the words of the shop.
    background : str
        Where the limit comes from, at more length than `basis`, for the manual; '' where that says it all.
    """

    key: str
    name: str
    unit: str
    at_least: bool
    basis: str
    depends: frozenset[Cause]
    view: str
    asks: str
    background: str = ""

    @overload
    def met(self, value: float, limit: float) -> bool: ...
    @overload
    def met(self, value: Floats, limit: Floats | float) -> Flags: ...
    @overload
    def met(self, value: float, limit: Floats) -> Flags: ...
    def met(self, value: Floats | float, limit: Floats | float) -> Flags | bool:
        """Tell whether a value keeps its limit, but for rounding; nan does not."""
        slack = RELATIVE * larger(limit, -limit)
        return value >= limit - slack if self.at_least else value <= limit + slack

    def verdict(
        self,
        stage: str,
        value: float,
        limit: float,
        *,
        message: str,
        advice: str,
        basis: str | None = None,
        otherwise: Status = "fail",
    ) -> Verdict:
        """Return a pass if the value keeps its limit, else `otherwise` with the advice."""
        missed = self.given(stage, otherwise, value, limit, message=message, advice=advice, basis=basis)
        return replace(missed, status="pass", advice="") if self.met(value, limit) else missed

    def given(
        self,
        stage: str,
        status: Status,
        value: float,
        limit: float,
        *,
        message: str,
        advice: str = "",
        basis: str | None = None,
    ) -> Verdict:
        """Return a verdict whose status does not follow from value and limit alone."""
        return Verdict(
            key=self.key,
            name=self.name,
            stage=stage,
            status=status,
            value=value,
            limit=limit,
            unit=self.unit,
            basis=self.basis if basis is None else basis,
            message=message,
            advice=advice,
            at_least=self.at_least,
        )


@overload
def over(value: float, most: float) -> bool: ...
@overload
def over(value: Floats, most: Floats | float) -> Flags: ...
@overload
def over(value: float, most: Floats) -> Flags: ...
def over(value: Floats | float, most: Floats | float) -> Flags | bool:
    """Tell whether a value is more than the most that a warning bears, but for rounding."""
    return value > most * (1.0 + RELATIVE)


def met(value: Floats, limit: Floats, *, at_least: Flags) -> Flags:
    """Tell of many values, of rules of either direction, what `Rule.met` tells of those of one."""
    slack = RELATIVE * np.abs(limit)
    return np.where(at_least, value >= limit - slack, value <= limit + slack)


def margins(value: Floats | float, limit: Floats | float, *, at_least: bool | Flags) -> Floats:
    """Return many margins as `Verdict.margin` has one: value over limit, or the reverse for an upper limit."""
    high, low = np.where(at_least, value, limit), np.where(at_least, limit, value)
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.asarray(np.where(low > 0.0, high / low, np.where(np.isnan(low), np.nan, np.inf)))


def keys(*rules: Rule) -> frozenset[str]:
    """Return the keys of some rules, to ask whether a verdict is one of them."""
    return frozenset(rule.key for rule in rules)
