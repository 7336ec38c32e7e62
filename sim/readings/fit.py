"""Least squares on gauge readings, with bounds from the profile of the sum of squares.

The model is linear in scale and loss share, so that for each friction both are found at once and one search over the
friction is left (variable projection). A parameter's bounds are where the sum of squares, all other parameters at
their best, has risen by the factor 1 + t^2 / (n - p): t of Student for n - p degrees of freedom. For a linear model
these are the usual bounds of regression; for a curved one the profile's cover better than those from the curvature at
the best fit. How often they cover is counted in `tests/sim/readings/test_fit.py`.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from scipy import optimize, stats

from sim.base.arrays import Floats
from sim.base.errors import ReadingsError
from sim.readings.gauged import Gauged

CONFIDENCE = 0.95
LEAST_SPAN = 5.0  # mm of height between readings below which they count as taken at one height
SPARE = 2  # readings needed beyond the number of parameters
EXACT = 1e-14  # sum of squares over the largest force squared that rounding leaves
PARALLEL = 1e-6  # of two directions, squared sine of the angle between them
MOST = 0.995  # of the friction that locks the jaws
NAMES = ("scale", "friction", "loss")
SCANNED = 25  # frictions looked at before the search, against a second valley


@dataclass(frozen=True, slots=True)
class Estimate:
    """A parameter with the bounds of `CONFIDENCE`; `held` where the readings cannot tell it and it is as stated.

    In the unit of the parameter. A bound that lies at the end of what is possible is that end.
    """

    value: float
    low: float
    high: float
    held: bool = False

    def times(self, factor: float) -> Estimate:
        """Return it in another unit."""
        return Estimate(factor * self.value, factor * self.low, factor * self.high, self.held)


@dataclass(frozen=True, slots=True, eq=False)
class Fitted:
    """The chuck that explains the readings best.

    Attributes
    ----------
    gauged : Gauged
    scale, friction, loss : Estimate
        Of what the scale is, see `Gauged.scaled`; of the guideway; share of the centrifugal force lost (or gained).
    predicted, residual : (n,) arrays
        Force per jaw of the fit, and reading less that, N.
    scatter : float
        Standard deviation of a reading about the fit, N.
    freedom : int
        Degrees of freedom, n - p.
    stated_predicted : (n,) array
        Force per jaw with the scenario's own scale and friction and the fitted loss, N.
    stated_probability : float
        Of readings that lie at least as far off the scenario's data if these are right (F test); 1 if it is not
        worse at all. A share, no unit.
    reasons : dict of str to str
        Of each parameter that the readings do not determine ('scale', 'friction', 'loss'): why. It is held.
    """

    gauged: Gauged
    scale: Estimate
    friction: Estimate
    loss: Estimate
    predicted: Floats
    residual: Floats
    scatter: float
    freedom: int
    stated_predicted: Floats
    stated_probability: float
    reasons: Mapping[str, str]


def fitted(setup: Gauged, held: Mapping[str, float] | None = None) -> Fitted:
    """Find scale, friction and loss share.

    What the readings cannot tell is held at what the scenario states: from one height either the scale or, where the
    chuck's own grip points stand for it, the friction; from one speed the loss share; and what bounds that cover all
    that is possible leave open.

    Parameters
    ----------
    setup : Gauged
    held : dict of str to float, optional
        Parameters to hold in any case, 'scale', 'friction' or 'loss', and where.

    Raises
    ------
    ReadingsError
        If there are too few readings.
    """
    given = dict(held or {})
    reasons = {name: why for name, why in _untold(setup).items() if name not in given}
    while True:
        found = _solved(setup, given | {name: _stated(setup, name) for name in reasons}, reasons)
        more = {name: why for name, why in _open(found).items() if name not in given}
        if not more:
            return found
        reasons = reasons | more


def usable(found: Fitted) -> Fitted:
    """Return a fit as a scenario can take it: with an efficiency of 1 at most, and the friction that goes with it."""
    if found.gauged.scaled == "efficiency" and found.scale.value > 1.0:
        return fitted(found.gauged, {"scale": 1.0})
    return found


def _solved(setup: Gauged, fixed: dict[str, float], reasons: dict[str, str]) -> Fitted:
    readings = setup.readings
    count = len(NAMES) - len(fixed)
    if readings.count < count + SPARE:
        unknowns = "1 unknown" if count == 1 else f"{count} unknowns"
        raise ReadingsError(
            f"{readings.count} readings are too few to find {unknowns}; take {count + SPARE} or more"
        )
    squares = _Squares(setup, fixed)
    best = squares.best({})
    freedom = readings.count - count
    rise = 1.0 + float(stats.t.ppf(0.5 + 0.5 * CONFIDENCE, freedom)) ** 2 / freedom
    predicted = setup.unit_force(best["friction"]) * best["scale"] + setup.centrifugal * best["loss"]
    residual = readings.force - predicted
    stated = squares.best({"scale": setup.stated_scale, "friction": setup.stated_friction})
    found = {name: squares.bounds(name, best, rise) for name in NAMES}
    compared = sum(name not in fixed for name in ("scale", "friction"))
    return Fitted(
        gauged=setup,
        scale=found["scale"],
        friction=found["friction"],
        loss=found["loss"],
        predicted=predicted,
        residual=residual,
        scatter=math.sqrt(float(residual @ residual) / freedom),
        freedom=freedom,
        stated_predicted=setup.unit_force(setup.stated_friction) * setup.stated_scale
        + setup.centrifugal * stated["loss"],
        stated_probability=_probability(stated["squares"], best["squares"], compared, freedom),
        reasons=reasons,
    )


def _stated(setup: Gauged, name: str) -> float:
    return {"scale": setup.stated_scale, "friction": setup.stated_friction, "loss": setup.stated_loss}[name]


def _less_known(setup: Gauged) -> str:
    """Return which of scale and friction is held where readings do not tell them apart.

    Beside the chuck's own grip points friction changes with the height only, so at one height it says nothing.
    """
    return "friction" if setup.points else "scale"


def _untold(setup: Gauged) -> dict[str, str]:
    """Return what the places of the readings cannot tell, whatever their forces."""
    readings, found = setup.readings, {}
    if float(np.ptp(readings.height)) < LEAST_SPAN:
        found[_less_known(setup)] = f"all readings are within {LEAST_SPAN:g} mm of one height"
    if float(np.ptp(readings.speed)) == 0.0:
        found["loss"] = "all readings are at one speed"
    elif _parallel(setup.unit_force(setup.stated_friction), setup.centrifugal):
        found["loss"] = "pressure rises with the speed in all readings"
    return found


def _parallel(one: Floats, other: Floats) -> bool:
    product = float(one @ other) ** 2
    return product > (1.0 - PARALLEL) * float(one @ one) * float(other @ other)


def _open(found: Fitted) -> dict[str, str]:
    """Return what a fit leaves open: bounds over all that is possible tell nothing."""
    loss, friction, setup = found.loss, found.friction, found.gauged
    if not loss.held and loss.low <= 0.0 and loss.high >= 1.0:
        return {"loss": "its bounds cover everything from none to the whole centrifugal force"}
    end = MOST * setup.largest_friction
    if not (friction.held or found.scale.held) and friction.low <= 0.0 and friction.high >= end:
        return {_less_known(setup): "the readings scatter too much for heights so close to each other"}
    return {}


def _probability(stated: float, best: float, fewer: int, freedom: int) -> float:
    """Return the probability of so much worse a fit with `fewer` parameters held, if they are right."""
    if fewer == 0:
        return 1.0
    if best <= 0.0:
        return 1.0 if stated <= 0.0 else 0.0
    return float(stats.f.sf((stated - best) / fewer / (best / freedom), fewer, freedom))


class _Squares:
    """The sum of squares over what is free, in units of the largest force; from sums over each height."""

    def __init__(self, setup: Gauged, fixed: Mapping[str, float]) -> None:
        self._setup, self._fixed = setup, dict(fixed)
        force, pull, lost = setup.readings.force, setup.pull, setup.centrifugal
        self._size = max(float(np.abs(force).max()), 1.0)
        force, pull, lost = force / self._size, pull / self._size, lost / self._size

        def at_height(product: Floats) -> Floats:
            return np.asarray(np.bincount(setup.place, weights=product), dtype=np.float64)

        self._pull_pull, self._pull_lost, self._pull_force = (
            at_height(pull * other) for other in (pull, lost, force)
        )
        self._lost_lost, self._lost_force, self._force_force = (
            float(a @ b) for a, b in ((lost, lost), (lost, force), (force, force))
        )

    def linear(self, friction: float, held: dict[str, float]) -> dict[str, float]:
        """Return scale, loss and sum of squares at a friction."""
        scale, loss, squares = self._at(self._sums(friction), held)
        return {
            "friction": friction,
            "scale": float(scale),
            "loss": float(loss),
            "squares": max(float(squares), 0.0),
        }

    def _sums(self, friction: float) -> tuple[float, float, float]:
        """Return what the sum of squares is made of that hangs on a friction, no unit."""
        share = self._setup.shares(friction)
        return (
            float(share**2 @ self._pull_pull),
            float(share @ self._pull_lost),
            float(share @ self._pull_force),
        )

    def _at(
        self, sums: tuple[float, float, float] | Floats, held: dict[str, float]
    ) -> tuple[float | Floats, float | Floats, float | Floats]:
        """Return scale, loss and sum of squares for these sums of one friction, or of many."""
        (uu, uc, uf), cc, cf = sums, self._lost_lost, self._lost_force
        scale: float | Floats | None = held.get("scale")
        loss: float | Floats | None = held.get("loss")
        if scale is None and loss is None:
            whole = uu * cc - uc * uc
            scale, loss = (uf * cc - cf * uc) / whole, (cf * uu - uf * uc) / whole
        elif scale is None and loss is not None:
            scale = (uf - loss * uc) / uu
        elif loss is None and scale is not None:
            loss = (cf - scale * uc) / cc
        if scale is None or loss is None:
            raise ValueError("scale and loss are both found")
        squares = self._force_force + scale * scale * uu + loss * loss * cc
        squares += 2.0 * (scale * loss * uc - scale * uf - loss * cf)
        return scale, loss, squares

    def best(self, held: dict[str, float]) -> dict[str, float]:
        """Return the parameters of least squares with some held."""
        held = self._fixed | held
        if "friction" in held:
            return self.linear(held["friction"], held)

        def squares(friction: float) -> float:
            return self.linear(friction, held)["squares"]

        scan, sums = self._scanned
        lowest = int(np.maximum(self._at(sums, held)[2], 0.0).argmin())
        around = (float(scan[max(lowest - 1, 0)]), float(scan[min(lowest + 1, SCANNED - 1)]))
        found = optimize.minimize_scalar(squares, bounds=around, method="bounded", options={"xatol": 1e-9})
        ends = [float(found.x), *around]
        return self.linear(min(ends, key=squares), held)

    @cached_property
    def _scanned(self) -> tuple[Floats, Floats]:
        """Frictions that are looked at before each search, and their `_sums`, a row each: the same for all of them."""
        scan = np.linspace(0.0, MOST * self._setup.largest_friction, SCANNED)
        return scan, np.array([self._sums(float(mu)) for mu in scan]).T

    def bounds(self, name: str, best: dict[str, float], rise: float) -> Estimate:
        """Return a parameter with its bounds."""
        if name in self._fixed:
            return Estimate(best[name], best[name], best[name], held=True)
        limit = rise * max(best["squares"], EXACT)

        def over(value: float) -> float:
            return self.best({name: value})["squares"] - limit

        least, most = {
            "friction": (0.0, MOST * self._setup.largest_friction),
            "scale": (0.0, math.inf),
            "loss": (-math.inf, math.inf),
        }[name]
        step = max(0.01 * abs(best[name]), 1e-3)
        return Estimate(
            best[name], _crossing(over, best[name], -step, least), _crossing(over, best[name], step, most)
        )


def _crossing(over: Callable[[float], float], start: float, step: float, end: float) -> float:
    """Return where a function that is negative at the start turns positive in the direction of the step."""
    inside = start
    for _ in range(60):
        outside = inside + step
        outside = min(outside, end) if step > 0.0 else max(outside, end)
        if over(outside) > 0.0:
            return float(optimize.brentq(over, inside, outside, xtol=1e-9, rtol=1e-9))
        if outside == end:
            return end
        inside, step = outside, 1.6 * step
    return math.copysign(math.inf, step)
