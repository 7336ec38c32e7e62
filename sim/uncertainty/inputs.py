"""The figures of a setup that may differ from what is stated, and what a value of theirs changes in a variant."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from sim.assessment.results import Assessment
from sim.base.arrays import Floats
from sim.base.errors import ScenarioError
from sim.mechanics.grip import jaw_force
from sim.scenario import Scenario, Spread
from sim.scenario.uncertainty import Lognormal, Normal, Triangular, Uniform
from sim.setup.drive import drive, wedge_with
from sim.uncertainty.distribution import Distribution, lognormal, normal, triangular, uniform
from sim.variants import is_quick
from sim.variants.keys import FORCE_SHARE, GRIP_SHARE, JAW_MODULUS_SHARE, MODULUS_SHARE

OF_CHUCK = ("guideway_friction", "grip_gauge", "jaw_modulus")
OF_OPERATION = ("pressure", "friction", "diameter", "out_of_round", "part_modulus", "cutting_force")
STATED = "stated in the scenario"


@dataclass(frozen=True, slots=True)
class InputQuantity:
    """How a figure is shown: words, unit, factor from the inside unit; and the ends that nature sets, inside units."""

    words: str
    unit: str
    factor: float = 1.0
    least: float = 0.0
    most: float = np.inf
    above: bool = True  # must be above `least`, not only at least it


QUANTITIES = {
    "guideway_friction": InputQuantity("guideway friction (grease)", "", most=1.5),
    "grip_gauge": InputQuantity("error of the grip gauge", "%", 100.0, -0.5, 0.5),
    "jaw_modulus": InputQuantity("modulus of the jaws", "GPa", 1e-3),
    "pressure": InputQuantity("pressure", "bar", 10.0),
    "friction": InputQuantity("friction part on jaws", "", most=1.5),
    "diameter": InputQuantity("gripped diameter", "mm"),
    "out_of_round": InputQuantity("out-of-round before", "um", 1e3, above=False),
    "part_modulus": InputQuantity("modulus of the part", "GPa", 1e-3),
    "cutting_force": InputQuantity("cutting force over computed", ""),
}


@dataclass(frozen=True, slots=True)
class Input:
    """One figure with its distribution.

    Attributes
    ----------
    name : str
        One of `OF_CHUCK` or `OF_OPERATION`.
    operation : int
        Its number from 0, -1 for figures of chuck and jaws.
    stage : str
        Name of the operation, empty for figures of chuck and jaws.
    distribution : Distribution
        Of the figure in its inside unit.
    basis : str
        Where the distribution comes from.
    """

    name: str
    operation: int
    stage: str
    distribution: Distribution
    basis: str

    @property
    def quantity(self) -> InputQuantity:
        """How the figure is shown."""
        return QUANTITIES[self.name]

    @property
    def field(self) -> str:
        """The field of the scenario file."""
        where = "" if self.operation < 0 else f"operations '{self.stage}'."
        return f"uncertainty.{where}{self.name}"


def stated_inputs(assessment: Assessment) -> tuple[Input, ...]:
    """Return the figures for which the scenario states a spread.

    Raises
    ------
    ScenarioError
        If a distribution reaches what cannot be, or a figure cannot vary in this setup.
    """
    stated = assessment.scenario.uncertainty
    if stated is None:
        return ()
    found = [_read(assessment, name, -1, getattr(stated, name)) for name in OF_CHUCK if getattr(stated, name)]
    names = [o.name for o in assessment.scenario.operations]
    for own in sorted(stated.operations, key=lambda o: names.index(o.name)):
        index = names.index(own.name)
        found += [
            _read(assessment, name, index, getattr(own, name)) for name in OF_OPERATION if getattr(own, name)
        ]
    return tuple(found)


def centre(assessment: Assessment, name: str, index: int) -> float:
    """Return what the scenario states for a figure, inside unit: the middle of a tolerance, no error of a gauge."""
    scenario = assessment.scenario
    if name in OF_CHUCK:
        of_chuck = {
            "guideway_friction": scenario.chuck.guideway_friction,
            "grip_gauge": 0.0,
            "jaw_modulus": assessment.parts.jaw_material.modulus,
        }
        return of_chuck[name]
    operation = scenario.operations[index]
    work = operation.workpiece
    of_operation = {
        "pressure": operation.gripping.pressure,
        "friction": assessment.operations[index].grip.friction,
        "diameter": 0.5 * (work.gripped_diameter_low + work.gripped_diameter_high),
        "out_of_round": work.out_of_round,
        "part_modulus": scenario.metal(work.material).modulus,
        "cutting_force": 1.0,
    }
    return of_operation[name]


def placed(assessment: Assessment, name: str, index: int, distribution: Distribution, basis: str) -> Input:
    """Return an input, if the distribution keeps to what can be and the figure can vary in this setup.

    Raises
    ------
    ScenarioError
        One sentence with the field.
    """
    stage = "" if index < 0 else assessment.scenario.operations[index].name
    made = Input(name, index, stage, distribution, basis)
    key = {"diameter": "workpiece.gripped_diameter_low", "out_of_round": "workpiece.out_of_round"}.get(name)
    if key is not None and not is_quick(assessment, f"operations.{index}.{key}"):
        raise ScenarioError(
            f"{made.field}: cannot vary in an operation whose program is checked; leave it out there"
        )
    quantity = made.quantity
    low, high = distribution.low, distribution.high
    under = low <= quantity.least if quantity.above else low < quantity.least
    if under or high >= quantity.most:
        ends = f"{'above' if quantity.above else 'at least'} {quantity.least * quantity.factor:g}"
        ends += f" and below {quantity.most * quantity.factor:g}" if np.isfinite(quantity.most) else ""
        raise ScenarioError(
            f"{made.field} must stay {ends} {quantity.unit}".rstrip()
            + f", but reaches from {low * quantity.factor:.4g} to {high * quantity.factor:.4g} "
            f"{quantity.unit}".rstrip()
        )
    return made


def _read(assessment: Assessment, name: str, index: int, spread: Spread) -> Input:
    stated = centre(assessment, name, index)
    stage = "" if index < 0 else f"operations '{assessment.scenario.operations[index].name}'."
    try:
        found = _distribution(spread, stated)
    except ValueError:
        raise ScenarioError(
            f"uncertainty.{stage}{name}: low, mode and high must rise, but the scenario states "
            f"{stated * QUANTITIES[name].factor:g} {QUANTITIES[name].unit}".rstrip()
        ) from None
    return placed(assessment, name, index, found, spread.basis or STATED)


def _distribution(spread: Spread, stated: float) -> Distribution:
    if isinstance(spread, Normal):
        return normal(stated if spread.mean is None else spread.mean, spread.standard_deviation)
    if isinstance(spread, Uniform):
        return uniform(spread.low, spread.high)
    if isinstance(spread, Triangular):
        return triangular(spread.low, stated if spread.mode is None else spread.mode, spread.high)
    assert isinstance(spread, Lognormal)  # noqa: S101 - the last of the union
    return lognormal(stated if spread.median is None else spread.median, spread.factor)


def batch(assessment: Assessment, inputs: Sequence[Input], values: Floats) -> Mapping[str, Floats]:
    """Return what `sim.variants.judged` takes for values (d, n) of the inputs, in inside units."""
    found: dict[str, Floats] = {}
    grip = np.ones(values.shape[1])
    for one, drawn in zip(inputs, values, strict=True):
        name = f"operations.{one.operation}"
        if one.name == "guideway_friction":
            found["chuck.guideway_friction"] = drawn
            grip = grip * _grease_share(assessment.scenario, drawn)
        elif one.name == "grip_gauge":
            grip = grip / (1.0 + drawn)  # the gauge read what the scenario states
        elif one.name == "diameter":
            found[f"{name}.workpiece.gripped_diameter_low"] = drawn
            found[f"{name}.workpiece.gripped_diameter_high"] = drawn
        elif one.name in {"jaw_modulus", "part_modulus"}:
            key = JAW_MODULUS_SHARE if one.name == "jaw_modulus" else f"{name}.{MODULUS_SHARE}"
            found[key] = drawn / centre(assessment, one.name, one.operation)
        elif one.name == "cutting_force":
            found[f"{name}.{FORCE_SHARE}"] = drawn
        else:
            table = "workpiece" if one.name == "out_of_round" else "gripping"
            found[f"{name}.{table}.{one.name}"] = drawn
    return {**found, GRIP_SHARE: grip}


def _grease_share(scenario: Scenario, friction: Floats) -> Floats:
    """Return the share by which a chuck's own grip points change with the grease, 1 for a chuck without points.

    The points are taken to hold at the stated friction; the free body of the jaw says how the grip then goes with
    the friction (a chuck without points is computed by it anyhow).
    """
    own = drive(scenario.chuck)
    if own.curve is None:
        return np.ones(friction.size)
    wedge = wedge_with(scenario.chuck, friction)
    return jaw_force(np.ones(friction.size), own.curve.height, wedge) / jaw_force(
        1.0, own.curve.height, own.wedge
    )
