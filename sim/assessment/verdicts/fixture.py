"""Verdicts on the boring fixture: whether there is one, its limits, its load, and how it bears that."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence

from sim.assessment.advice import Bound, Change, lower_pressure, lower_speed, raise_pressure, sentence
from sim.assessment.fixture import AT_REST, fixture_lever
from sim.assessment.operation import drive
from sim.assessment.results import BoringFigures, FixtureFigures, FixtureStrain, Status, Verdict
from sim.assessment.verdicts.path import PRACTICE
from sim.assessment.verdicts.rule import RELATIVE, at_least, at_most
from sim.base.rounding import against, near
from sim.mechanics.fixtures import Load, Strain, largest_share
from sim.mechanics.fixtures.strain import Number
from sim.mechanics.grip import pressure_for_grip
from sim.scenario import Ring
from sim.setup.metal import fixture_pressed
from sim.setup.parts import Parts

STAGE = "boring"
WHAT = "boring pressure"
SLOWEST = Bound(50.0, "the least that is advised")  # rev/min
FAR_BEYOND = (
    1.5  # times the ring's limit of pressure or speed, from where it fails (common practice, no source)
)
PIN_SHARE = (
    2.0 / 3.0
)  # of a counterbore's diameter, that a pin must have at least (common practice, no source)
MOST_GIVE = 0.05  # mm that a fixture may yield under the jaws (common practice, no source)
AT_END = 0.01  # mm from the end of the stroke, where jaws stand on the piston's stop
BISECTIONS = 40


def fixture_verdicts(parts: Parts, boring: BoringFigures) -> Iterator[Verdict]:
    """Yield the verdicts on the boring fixture."""
    figures = boring.bearing
    if figures is None:
        yield _without(parts)
        return
    if isinstance(parts.scenario.boring.fixture, Ring):
        yield from _ring_limits(parts, figures.load, boring.highest_speed)
        yield _pin_fit(parts)
    yield _load_left(parts, figures, boring.highest_speed)
    yield _borne(parts, figures, boring.highest_speed, "fixture strength")
    yield _borne(parts, figures, boring.highest_speed, "fixture seat")
    yield _give(parts, figures, boring.highest_speed)
    yield from _chuck_limits(parts, figures, boring.highest_speed)


def far_beyond(limit: Number) -> Number:
    """Return from where on a ring's pressure or speed fails."""
    found: Number = FAR_BEYOND * limit * (1.0 + RELATIVE)
    return found


def _without(parts: Parts) -> Verdict:
    stroke, travel = parts.scenario.chuck.stroke, parts.scenario.boring.travel
    left, ended = stroke - travel, stroke - travel <= AT_END
    found = (
        "the jaws are bored without load against a fixture, on the stop at the end of their stroke."
        if ended
        else f"nothing holds the jaws while they are bored: {near(left, AT_END, 2)} mm of their stroke are left, which "
        "they run through under pressure."
    )
    return Verdict(
        "boring fixture",
        STAGE,
        "warn" if ended else "fail",
        left,
        AT_END,
        "mm",
        f"{PRACTICE}; without a fixture only the end of the stroke holds the jaws",
        found,
        "Load the jaws against a ring, a plug or an outer ring, in the direction in which they will grip.",
        at_least=False,
    )


def _ring_limits(parts: Parts, load: Load, speed: float) -> Iterator[Verdict]:
    limits, pressure = parts.scenario.limits, 10.0 * parts.scenario.boring.pressure
    most = 10.0 * limits.ring_pressure
    basis = f"{PRACTICE}, unless the ring's maker says otherwise; fails over {FAR_BEYOND:g} times it"

    def otherwise(value: float, limit: float) -> Status:
        return "fail" if value > far_beyond(limit) else "warn"

    yield at_most(
        "boring ring pressure",
        STAGE,
        pressure,
        most,
        "bar",
        basis=basis,
        message=f"the ring is loaded with {near(pressure, most, 1)} bar.",
        advice=sentence(
            [
                lower_pressure(
                    pressure, most, _lowest_pressures(parts, load, min(speed, limits.ring_speed)), WHAT
                )
            ],
            "Bore against a plug.",
        ),
        otherwise=otherwise(pressure, most),
    )
    yield at_most(
        "boring ring speed",
        STAGE,
        speed,
        limits.ring_speed,
        "rpm",
        basis=basis,
        message=f"the ring turns at {near(speed, limits.ring_speed, 0)} rpm.",
        advice=sentence([lower_speed(speed, limits.ring_speed, SLOWEST, "bore")], "Bore against a plug."),
        otherwise=otherwise(speed, limits.ring_speed),
    )


def _pin_fit(parts: Parts) -> Verdict:
    fixture, wide = parts.scenario.boring.fixture, parts.scenario.soft_jaw.screws.counterbore_diameter
    if not isinstance(fixture, Ring):
        raise TypeError("only a boring ring has pins")
    found, wanted = against(fixture.pin_diameter, PIN_SHARE * wide, (1, 1))
    return at_least(
        "pin fit",
        STAGE,
        fixture.pin_diameter,
        PIN_SHARE * wide,
        "mm",
        basis=f"{PRACTICE}: pins of two thirds of their counterbores at least, so that the ring cannot wander far",
        message=f"pins of {found} mm stand in counterbores of {wide:g} mm.",
        advice=f"Use pins of {wanted} mm or more.",
    )


def _load_left(parts: Parts, figures: FixtureFigures, speed: float) -> Verdict:
    """Return the verdict on the load that is left at the boring speed; an outer ring is loaded more than at rest."""
    scenario, rest = parts.scenario, figures.rest
    pull = figures.load.pull(speed)
    share = 1.0 - pull / rest if parts.direction == "outside" else 1.0 + pull / rest
    pressed = fixture_pressed(scenario)
    share = share if pressed else 0.0
    return at_least(
        "load on the fixture",
        STAGE,
        max(share, 0.0),
        scenario.limits.boring_load_share,
        "of that at rest",
        basis="limits.boring_load_share of the scenario (common practice); whole centrifugal force of the jaws",
        message=(
            f"the jaws press the {scenario.boring.fixture.kind} with {rest / 1000.0:.1f} kN at rest and "
            f"{figures.at_speed / 1000.0:.1f} kN at {speed:.0f} rpm."
            if pressed
            else f"too little metal is left to press the {scenario.boring.fixture.kind}, which carries no load."
        ),
        advice=_more_load(parts, figures, speed)
        if pressed
        else "Take a fixture of another size or height, move the jaws by some serrations, or take other jaws.",
        otherwise="fail" if share <= 0.0 else "warn",
    )


def _more_load(parts: Parts, figures: FixtureFigures, speed: float) -> str:
    """Judge a lower speed and a higher pressure for more load on the fixture."""
    scenario = parts.scenario
    limits, chuck = scenario.limits, scenario.chuck
    highs = [
        Bound(10.0 * chuck.pressure_limit, "the chuck's pressure limit"),
        Bound(10.0 * scenario.machine.pressure_limit, "the machine's pressure limit"),
        Bound(_borne_pressure(parts, figures, speed), "what the fixture bears"),
    ]
    if isinstance(scenario.boring.fixture, Ring):
        highs.append(Bound(10.0 * limits.ring_pressure, "the ring's pressure limit"))
    now, wanted = 10.0 * scenario.boring.pressure, _loaded_pressure(parts, figures.load, speed)
    # The loss grows with the square of the speed, and the load at rest with the pressure.
    slower = speed * math.sqrt(now / wanted) if 0.0 < wanted < math.inf else 0.0
    changes = [lower_speed(speed, slower, SLOWEST, "bore"), raise_pressure(now, wanted, highs, WHAT)]
    return sentence(changes, "Use lighter jaws.")


def _loaded_pressure(parts: Parts, load: Load, speed: float) -> float:
    """Return the boring pressure (bar) at which as much load stays on the fixture as is wanted; 0 where it grows."""
    if load.direction == "inside":
        return 0.0
    lost = 1.0 - parts.scenario.limits.boring_load_share
    return _pressure_for(parts, load.pull(speed) / lost) if lost > 0.0 else math.inf


def _lowest_pressures(parts: Parts, load: Load, speed: float) -> list[Bound]:
    """Return below what the boring pressure may not go at a speed, bar."""
    return [
        Bound(10.0 * parts.scenario.machine.lowest_pressure, "the lowest that the hydraulics hold steadily"),
        Bound(_loaded_pressure(parts, load, speed), "what keeps the jaws loaded at the boring speed"),
    ]


def _pressure_for(parts: Parts, rest: float) -> float:
    """Return the boring pressure (bar) that loads the fixture so at rest (N in all); infinite where none does."""
    scenario = parts.scenario
    try:
        return 10.0 * pressure_for_grip(max(rest, 0.0), fixture_lever(scenario), drive(scenario.chuck))
    except ValueError:
        return math.inf


def _borne_rest(load: Load, strains: Sequence[Strain], speed: float) -> float:
    """Return the total load at rest (N) with which all is just borne, at rest and at a speed."""
    pull = load.pull(speed)
    still = min(3.0 * s.largest_load(0.0) for s in strains)
    fast = min(3.0 * s.largest_load(speed) for s in strains)
    if load.direction == "inside":
        return min(still, fast - pull)
    # What its own centrifugal force breaks is borne under no load.
    return min(still, fast + pull) if fast > 0.0 else 0.0


def _borne_pressure(parts: Parts, figures: FixtureFigures, speed: float) -> float:
    """Return the boring pressure (bar) that fixture and seat just bear."""
    strains = (*figures.bearing.strength, *figures.bearing.seat)
    return _pressure_for(parts, _borne_rest(figures.load, strains, speed))


def _borne(parts: Parts, figures: FixtureFigures, speed: float, name: str) -> Verdict:
    load, bearing = figures.load, figures.bearing
    own = name == "fixture strength"
    worst = max(figures.strength if own else figures.seat, key=lambda strain: strain.share)
    strains = bearing.strength if own else bearing.seat

    def share(slower: float) -> float:
        return float(largest_share(strains, load.rest, load.at(slower), slower))

    wanted = _pressure_for(parts, _borne_rest(load, strains, speed))
    return at_most(
        name,
        STAGE,
        worst.share,
        1.0,
        "of what it bears",
        basis=worst.basis,
        message=_told(worst, figures, speed),
        advice=sentence(_less_load(parts, load, speed, wanted, share), worst.remedy),
    )


def _told(worst: FixtureStrain, figures: FixtureFigures, speed: float) -> str:
    load, state = figures.rest, "at rest"
    if worst.state != AT_REST:
        load, state = figures.at_speed, f"at {speed:.0f} rpm"
    scale, unit = (1.0, "MPa") if worst.unit == "MPa" else (1000.0, "kN")
    value, allowed = against(worst.value / scale, worst.allowed / scale)
    return (
        f"under {load / 3000.0:.1f} kN per jaw {state} {worst.what}: {value} {unit}, {allowed} {unit} are allowed "
        f"({figures.material})."
    )


def _less_load(
    parts: Parts, load: Load, speed: float, wanted: float, share: Callable[[float], float]
) -> list[Change]:
    """Judge a lower pressure (bar), and a lower speed where speed loads the fixture; `share` at a speed may be 1."""
    now = 10.0 * parts.scenario.boring.pressure
    changes = [lower_pressure(now, wanted, _lowest_pressures(parts, load, speed), WHAT)]
    if share(0.0) <= 1.0 < share(speed):
        low, high = 0.0, speed
        for _ in range(BISECTIONS):
            middle = 0.5 * (low + high)
            low, high = (middle, high) if share(middle) <= 1.0 else (low, middle)
        changes.insert(0, lower_speed(speed, low, SLOWEST, "bore"))
    return changes


def _give(parts: Parts, figures: FixtureFigures, speed: float) -> Verdict:
    load, most = figures.load, MOST_GIVE / figures.give * figures.largest
    moved = near(figures.give, MOST_GIVE, 3) if figures.give < 1.0 else "more than 1"
    wanted = _pressure_for(parts, most - _gained(load, speed))
    return at_most(
        "fixture gives",
        STAGE,
        figures.give,
        MOST_GIVE,
        "mm",
        basis=f"{PRACTICE}: {MOST_GIVE:g} mm, since the jaws move with every change of their load",
        message=f"the {parts.scenario.boring.fixture.kind} lets each jaw move by {moved} mm "
        f"under {figures.largest / 3000.0:.1f} kN.",
        advice=sentence(
            _less_load(parts, load, speed, wanted, lambda slower: load.largest(slower) / most),
            "Use a thicker and wider fixture.",
        ),
        otherwise="warn",
    )


def _gained(load: Load, speed: float) -> float:
    """Return what the load grows by up to a speed, N."""
    return load.pull(speed) if load.direction == "inside" else 0.0


def _chuck_limits(parts: Parts, figures: FixtureFigures, speed: float) -> Iterator[Verdict]:
    """Yield the verdicts on what the chuck may press with, at rest and with all that the jaws gain by speed."""
    chuck, lever, load = parts.scenario.chuck, fixture_lever(parts.scenario), figures.load
    faster = figures.at_speed > figures.rest
    state = f"at {speed:.0f} rpm, the gain by speed counted" if faster else "at rest"

    def advice(most: float, others: str) -> str:
        wanted = _pressure_for(parts, most - _gained(load, speed))
        return sentence(
            _less_load(parts, load, speed, wanted, lambda slower: load.largest(slower) / most), others
        )

    yield at_most(
        "guideway moment while boring",
        STAGE,
        figures.guide_moment / 1e6,
        chuck.moment_limit / 1e6,
        "kN m",
        basis="chuck.moment_limit of the scenario",
        message=(
            f"{near(figures.largest / 3000.0, chuck.moment_limit / (1000.0 * lever), 1)} kN per jaw on the fixture "
            f"{state}, at {lever:.0f} mm above the guideway's middle."
        ),
        advice=advice(3.0 * chuck.moment_limit / lever, "Put the fixture lower, or use lower jaws."),
    )
    if chuck.largest_grip is not None:
        yield at_most(
            "largest grip while boring",
            STAGE,
            figures.largest / 1000.0,
            chuck.largest_grip / 1000.0,
            "kN",
            basis="chuck.largest_grip of the scenario",
            message=(
                f"{near(figures.largest / 1000.0, chuck.largest_grip / 1000.0, 1)} kN in all on the fixture {state}."
            ),
            advice=advice(chuck.largest_grip, "Use lighter jaws." if faster else "Use a larger chuck."),
        )
