"""Verdict on the spindle: has it the power for each cut at that cut's speed."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Generic

from sim.assessment.figures.operation import OperationFigures
from sim.assessment.verdict import Verdict
from sim.assessment.verdicts.rule import Rule
from sim.base.floats import Number, choose, larger
from sim.base.rounding import near
from sim.mechanics.cutting import CutForces
from sim.mechanics.spindle import Chart, least_power_given, shaft_power
from sim.scenario import Cut, Machine
from sim.setup.parts import Parts

SPINDLE_POWER = Rule(
    key="spindle_power",
    name="spindle power",
    unit="kW",
    at_least=False,
    basis="machine.spindle_power of the scenario times drive_efficiency, at the speed of the cut; its worst edge",
    depends=frozenset({"speed", "cut"}),
    view="cut",
    asks="has the spindle the power and the torque for each cut at its speed?",
)


def chart_of(machine: Machine) -> Chart:
    """Return the machine's chart; empty where it states none."""
    return [(point.speed, point.power) for point in machine.spindle_power]


@dataclass(frozen=True, slots=True)
class SpindleLoad(Generic[Number]):
    """What one cut asks of the spindle.

    Attributes
    ----------
    power : float or array
        W.
    low, high : float or array
        Spindle speeds between which it asks for that, rev/min.
    """

    power: Number
    low: Number
    high: Number


def spindle_load(cut: Cut, forces: CutForces[Number], speed: Number, top: Number) -> SpindleLoad[Number]:
    """Return what a cut asks of the spindle at its speed, the highest of the operation being `top`, rev/min.

    Towards the axis at a cutting speed that is kept the spindle gets faster while the power stays.
    """
    steady = forces.tangential / forces.impact  # a blow is soon over: what turns takes it
    power = shaft_power(0.5 * forces.diameter * steady, speed)
    speeds_up = cut.feed_towards == "axis" and cut.speed is None
    return SpindleLoad(power, speed, larger(speed, top) if speeds_up else speed)


def spindle_loads(
    cuts: Sequence[Cut], asked: Iterable[tuple[CutForces[Number], Number]], top: Number
) -> list[SpindleLoad[Number]]:
    """Return what cuts ask of the spindle by their forces and speeds; one whose tool turns itself asks for nothing."""
    return [
        spindle_load(cut, forces, speed, top)
        for cut, (forces, speed) in zip(cuts, asked, strict=True)
        if not cut.rotating_tool
    ]


def spindle_power_and_limit(
    loads: Sequence[SpindleLoad[Number]], chart: Chart, efficiency: Number
) -> tuple[Number, Number]:
    """Return the power that the cut takes that asks for most of what it gets, and what reaches it there, kW.

    Parameters
    ----------
    loads : sequence of SpindleLoad, at least one
    chart : Chart
    efficiency : float or array
        Share of the chart's power that reaches the cut, no unit.
    """
    pairs = [
        (one.power / 1000.0, efficiency * least_power_given(one.low, one.high, chart) / 1000.0)
        for one in loads
    ]
    needed, given = pairs[0]
    for power, reaches in pairs[1:]:
        worse = power * given > needed * reaches
        needed, given = choose(worse, power, needed), choose(worse, reaches, given)
    return needed, given


def spindle_verdicts(parts: Parts, figures: OperationFigures) -> Iterator[Verdict]:
    """Yield the cut of an operation that asks most of the spindle, if the machine's chart is stated.

    Cuts of tools that turn themselves are no load of the spindle.
    """
    chart, efficiency = chart_of(parts.scenario.machine), parts.scenario.machine.drive_efficiency
    top = figures.operation.gripping.speed_high
    cuts, demands = figures.operation.cuts, figures.demands
    loads = spindle_loads(cuts, [(d.forces, d.speed) for d in demands], top)
    if not (chart and loads):
        return
    needed, given = spindle_power_and_limit(loads, chart, efficiency)
    turned = [pair for pair in zip(cuts, demands, strict=True) if not pair[0].rotating_tool]
    cut, demand = next(
        pair
        for pair, load in zip(turned, loads, strict=True)
        if spindle_power_and_limit([load], chart, efficiency) == (needed, given)
    )
    torque = 0.5 * demand.forces.diameter * demand.forces.tangential / 1e6
    yield SPINDLE_POWER.verdict(
        figures.operation.name,
        needed,
        given,
        message=f"'{cut.name}' takes {near(needed, given, 1)} kW ({torque:.2f} kN m at {demand.speed:.0f} "
        f"rev/min); of the machine's chart {given:.1f} kW reach the cut.",
        advice="Take a lighter cut, or cut at a speed at which the machine has more power.",
    )
