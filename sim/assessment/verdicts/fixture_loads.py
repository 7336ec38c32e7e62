"""At which boring pressure and speed a fixture is loaded enough, and at which it bears its load: what advice states."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

from sim.assessment.advice import Bound, Change, lower_pressure, lower_speed, raise_pressure, sentence
from sim.assessment.figures.boring import FixtureFigures
from sim.mechanics.fixtures import Load, Strain
from sim.mechanics.grip import pressure_for_grip
from sim.scenario import Ring
from sim.setup.drive import drive
from sim.setup.fixture import fixture_lever
from sim.setup.parts import Parts

WHAT = "boring pressure"
SLOWEST = Bound(50.0, "the least that is advised")  # rev/min
BISECTIONS = 40


def more_load(parts: Parts, figures: FixtureFigures, speed: float) -> str:
    """Judge a lower speed and a higher pressure for more load on the fixture."""
    scenario = parts.scenario
    limits, chuck = scenario.limits, scenario.chuck
    highs = [
        Bound(10.0 * chuck.pressure_limit, "the chuck's pressure limit"),
        Bound(10.0 * scenario.machine.pressure_limit, "the machine's pressure limit"),
        Bound(borne_pressure(parts, figures, speed), "what the fixture bears"),
    ]
    if isinstance(scenario.boring.fixture, Ring):
        highs.append(Bound(10.0 * limits.ring_pressure, "the ring's pressure limit"))
    now, wanted = 10.0 * scenario.boring.pressure, loaded_pressure(parts, figures.load, speed)
    # The loss grows with the square of the speed, and the load at rest with the pressure.
    slower = speed * math.sqrt(now / wanted) if 0.0 < wanted < math.inf else 0.0
    changes = [lower_speed(speed, slower, SLOWEST, "bore"), raise_pressure(now, wanted, highs, WHAT)]
    return sentence(changes, "Use lighter jaws.")


def loaded_pressure(parts: Parts, load: Load, speed: float) -> float:
    """Return the boring pressure (bar) at which as much load stays on the fixture as is wanted; 0 where it grows."""
    if load.direction == "inside":
        return 0.0
    lost = 1.0 - parts.scenario.limits.boring_load_share
    return pressure_for(parts, load.pull(speed) / lost) if lost > 0.0 else math.inf


def lowest_pressures(parts: Parts, load: Load, speed: float) -> list[Bound]:
    """Return below what the boring pressure may not go at a speed, bar."""
    return [
        Bound(10.0 * parts.scenario.machine.lowest_pressure, "the lowest that the hydraulics hold steadily"),
        Bound(loaded_pressure(parts, load, speed), "what keeps the jaws loaded at the boring speed"),
    ]


def pressure_for(parts: Parts, rest: float) -> float:
    """Return the boring pressure (bar) that loads the fixture so at rest (N in all); infinite where none does."""
    scenario = parts.scenario
    try:
        return 10.0 * pressure_for_grip(max(rest, 0.0), fixture_lever(scenario), drive(scenario.chuck))
    except ValueError:
        return math.inf


def borne_rest(load: Load, strains: Sequence[Strain], speed: float) -> float:
    """Return the total load at rest (N) with which all is just borne, at rest and at a speed."""
    pull = load.pull(speed)
    still = min(3.0 * s.largest_load(0.0) for s in strains)
    fast = min(3.0 * s.largest_load(speed) for s in strains)
    if load.direction == "inside":
        return min(still, fast - pull)
    # What its own centrifugal force breaks is borne under no load.
    return min(still, fast + pull) if fast > 0.0 else 0.0


def borne_pressure(parts: Parts, figures: FixtureFigures, speed: float) -> float:
    """Return the boring pressure (bar) that fixture and seat just bear."""
    strains = (*figures.bearing.strength, *figures.bearing.seat)
    return pressure_for(parts, borne_rest(figures.load, strains, speed))


def less_load(
    parts: Parts, load: Load, speed: float, wanted: float, share: Callable[[float], float]
) -> list[Change]:
    """Judge a lower pressure (bar), and a lower speed where speed loads the fixture; `share` at a speed may be 1."""
    now = 10.0 * parts.scenario.boring.pressure
    changes = [lower_pressure(now, wanted, lowest_pressures(parts, load, speed), WHAT)]
    if share(0.0) <= 1.0 < share(speed):
        low, high = 0.0, speed
        for _ in range(BISECTIONS):
            middle = 0.5 * (low + high)
            low, high = (middle, high) if share(middle) <= 1.0 else (low, middle)
        changes.insert(0, lower_speed(speed, low, SLOWEST, "bore"))
    return changes


def gained(load: Load, speed: float) -> float:
    """Return what the load grows by up to a speed, N."""
    return load.pull(speed) if load.direction == "inside" else 0.0
