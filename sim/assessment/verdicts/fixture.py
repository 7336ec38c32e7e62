"""Verdicts on the boring fixture: whether there is one, its limits, its load, and how it bears that."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from sim.assessment.advice import lower_pressure, lower_speed, sentence
from sim.assessment.figures.boring import BoringFigures, FixtureFigures, FixtureStrain
from sim.assessment.fixture import AT_REST, load_share
from sim.assessment.verdict import Status, Verdict
from sim.assessment.verdicts.fixture_loads import (
    SLOWEST,
    WHAT,
    borne_rest,
    gained,
    less_load,
    lowest_pressures,
    more_load,
    pressure_for,
)
from sim.assessment.verdicts.grip import guideway_moment_and_limit, largest_grip_and_limit
from sim.assessment.verdicts.path import PRACTICE
from sim.assessment.verdicts.rule import Rule, over
from sim.base.floats import Number, larger
from sim.base.rounding import against, near
from sim.mechanics.fixtures import Load, Strain, largest_share
from sim.scenario import Ring
from sim.setup.fixture import fixture_lever
from sim.setup.metal import fixture_pressed
from sim.setup.parts import Parts

STAGE = "boring"
FAR_BEYOND = (
    1.5  # times the ring's limit of pressure or speed, from where it fails (common practice, no source)
)
PIN_SHARE = (
    2.0 / 3.0
)  # of a counterbore's diameter, that a pin must have at least (common practice, no source)
MOST_GIVE = 0.05  # mm that a fixture may yield under the jaws (common practice, no source)
AT_END = 0.01  # mm from the end of the stroke, where jaws stand on the piston's stop

BORING_FIXTURE = Rule(
    key="boring_fixture",
    name="boring fixture",
    unit="mm",
    at_least=False,
    basis=f"{PRACTICE}; without a fixture only the end of the stroke holds the jaws",
    background="without a fixture only the stop at the end of the stroke holds the jaws: anywhere else it fails",
    depends=frozenset({"geometry"}),
    view="",
    asks="is there anything that the jaws are loaded against?",
)
BORING_RING_PRESSURE = Rule(
    key="boring_ring_pressure",
    name="boring ring pressure",
    unit="bar",
    at_least=False,
    basis=f"{PRACTICE}, unless the ring's maker says otherwise; fails over {FAR_BEYOND:g} times it",
    background="common practice unless its maker says otherwise; beyond it warns, over half as much again it "
    "fails",
    depends=frozenset({"pressure"}),
    view="fixture",
    asks="is the ring kept within the pressure that it takes?",
)
BORING_RING_SPEED = Rule(
    key="boring_ring_speed",
    name="boring ring speed",
    unit="rpm",
    at_least=False,
    basis=f"{PRACTICE}, unless the ring's maker says otherwise; fails over {FAR_BEYOND:g} times it",
    background="common practice unless its maker says otherwise; beyond it warns, over half as much again it "
    "fails",
    depends=frozenset({"speed"}),
    view="",
    asks="is the ring kept within the speed that it takes?",
)
PIN_FIT = Rule(
    key="pin_fit",
    name="pin fit",
    unit="mm",
    at_least=True,
    basis=f"{PRACTICE}: pins of two thirds of their counterbores at least, so that the ring cannot wander far",
    depends=frozenset({"geometry"}),
    view="",
    asks="do the ring's pins fill their counterbores?",
)
FIXTURE_STRENGTH = Rule(
    key="fixture_strength",
    name="fixture strength",
    unit="of what it bears",
    at_least=False,
    basis=(
        "yield over 1.5 of a curved bar (ring), cantilevers (pins), disc or annulus (plug), with their "
        "own centrifugal stress; buckling (Timoshenko and Gere) over 3"
    ),
    background="ring as a curved bar, bent in its plane and turned out of it by loads below it, less its pins' "
    "holes; pins as cantilevers; plug as disc or annulus; their own centrifugal stress; yield over "
    "1.5; buckling (Timoshenko and Gere) over 3",
    depends=frozenset({"pressure", "speed", "friction", "geometry"}),
    view="",
    asks="do ring and pins, plug or outer ring bear the jaws' load, at rest and at the boring speed?",
)
FIXTURE_SEAT = Rule(
    key="fixture_seat",
    name="fixture seat",
    unit="of what it bears",
    at_least=False,
    basis=(
        "Hertz at most 2.5 times yield (EN 1993-1-8, 3.13); the jaw's metal behind pins in shear;"
        " yield over 1.5 on what the pockets leave"
    ),
    background="pins in counterbores by Hertz, at most 2.5 times yield (EN 1993-1-8, 3.13), and the "
    "jaw's metal behind them in shear; plug and outer ring over the height and width that the "
    "pockets leave; yield over 1.5",
    depends=frozenset({"pressure", "speed", "friction", "geometry"}),
    view="",
    asks="does what fixture and jaws press each other on bear it?",
)
FIXTURE_GIVES = Rule(
    key="fixture_gives",
    name="fixture gives",
    unit="mm",
    at_least=False,
    basis=f"{PRACTICE}: {MOST_GIVE:g} mm, since the jaws move with every change of their load",
    depends=frozenset({"pressure", "speed", "friction", "geometry"}),
    view="",
    asks="does the fixture yield so much that the jaws move?",
)
GUIDEWAY_MOMENT_WHILE_BORING = Rule(
    key="guideway_moment_while_boring",
    name="guideway moment while boring",
    unit="kN m",
    at_least=False,
    basis="chuck.moment_limit of the scenario",
    background="chuck data; jaws that press outward gain the whole centrifugal force",
    depends=frozenset({"pressure", "speed", "friction", "geometry"}),
    view="",
    asks="is the guideway kept within its moment while the jaws press the fixture?",
)
LARGEST_GRIP_WHILE_BORING = Rule(
    key="largest_grip_while_boring",
    name="largest grip while boring",
    unit="kN",
    at_least=False,
    basis="chuck.largest_grip of the scenario",
    background="chuck data; jaws that press outward gain the whole centrifugal force",
    depends=frozenset({"pressure", "speed", "friction", "geometry"}),
    view="",
    asks="is the chuck kept within its grip while the jaws press the fixture?",
)
LOAD_ON_THE_FIXTURE = Rule(
    key="load_on_the_fixture",
    name="load on the fixture",
    unit="of that at rest",
    at_least=True,
    basis="limits.boring_load_share of the scenario (common practice); whole centrifugal force of the jaws",
    depends=frozenset({"pressure", "speed", "friction", "geometry"}),
    view="fixture",
    asks="does enough of the boring load stay on the fixture at the boring speed?",
)


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
    yield _borne(parts, figures, boring.highest_speed, FIXTURE_STRENGTH)
    yield _borne(parts, figures, boring.highest_speed, FIXTURE_SEAT)
    yield _give(parts, figures, boring.highest_speed)
    yield from _chuck_limits(parts, figures, boring.highest_speed)


def boring_ring_pressure_and_limit(pressure: Number, most: Number) -> tuple[Number, Number]:
    """Return the pressure on a ring and the most that it takes (MPa) in bar."""
    return 10.0 * pressure, 10.0 * most


def boring_ring_speed_and_limit(speed: Number, most: Number) -> tuple[Number, Number]:
    """Return the speed of a ring and the most that it takes, rev/min."""
    return speed, most


def fixture_strength_and_limit(
    strains: Sequence[Strain], load: Load[Number], speed: Number
) -> tuple[Number, float]:
    """Return the largest share of what is allowed, at rest and at a speed (rev/min), and 1."""
    return largest_share(strains, load, speed), 1.0


fixture_seat_and_limit = fixture_strength_and_limit


def fixture_gives_and_limit(give: Number) -> tuple[Number, float]:
    """Return how far a fixture yields under the jaws and how far it may, mm."""
    return give, MOST_GIVE


guideway_moment_while_boring_and_limit = guideway_moment_and_limit
largest_grip_while_boring_and_limit = largest_grip_and_limit


def load_on_the_fixture_and_limit(share: Number, wanted: Number) -> tuple[Number, Number]:
    """Return which share of the load at rest is left, 0 of jaws that have come off, and what must be."""
    return larger(share, 0.0), wanted


def pin_fit_and_limit(pin: float, counterbore: float) -> tuple[float, float]:
    """Return a pin's diameter and the least that a counterbore's asks for, mm."""
    return pin, PIN_SHARE * counterbore


def boring_fixture_and_limit(stroke: float, travel: float) -> tuple[float, float]:
    """Return what is left of the stroke where jaws are bored without a fixture, and on the stop, mm."""
    return stroke - travel, AT_END


def far_beyond(limit: Number) -> Number:
    """Return the most of a ring's pressure or speed that only warns."""
    return FAR_BEYOND * limit


def _without(parts: Parts) -> Verdict:
    left, stop = boring_fixture_and_limit(parts.scenario.chuck.stroke, parts.scenario.boring.travel)
    ended = left <= stop
    found = (
        "the jaws are bored without load against a fixture, on the stop at the end of their stroke."
        if ended
        else f"nothing holds the jaws while they are bored: {near(left, stop, 2)} mm of their stroke are left, which "
        "they run through under pressure."
    )
    return BORING_FIXTURE.given(
        STAGE,
        "warn" if ended else "fail",
        left,
        stop,
        message=found,
        advice="Load the jaws against a ring, a plug or an outer ring, in the direction in which they will grip.",
    )


def _ring_limits(parts: Parts, load: Load, speed: float) -> Iterator[Verdict]:
    limits = parts.scenario.limits
    pressure, most = boring_ring_pressure_and_limit(parts.scenario.boring.pressure, limits.ring_pressure)

    def otherwise(value: float, limit: float) -> Status:
        return "fail" if over(value, far_beyond(limit)) else "warn"

    yield BORING_RING_PRESSURE.verdict(
        STAGE,
        pressure,
        most,
        message=f"the ring is loaded with {near(pressure, most, 1)} bar.",
        advice=sentence(
            [
                lower_pressure(
                    pressure, most, lowest_pressures(parts, load, min(speed, limits.ring_speed)), WHAT
                )
            ],
            "Bore against a plug.",
        ),
        otherwise=otherwise(pressure, most),
    )
    speed, fastest = boring_ring_speed_and_limit(speed, limits.ring_speed)
    yield BORING_RING_SPEED.verdict(
        STAGE,
        speed,
        fastest,
        message=f"the ring turns at {near(speed, fastest, 0)} rev/min.",
        advice=sentence([lower_speed(speed, fastest, SLOWEST, "bore")], "Bore against a plug."),
        otherwise=otherwise(speed, fastest),
    )


def _pin_fit(parts: Parts) -> Verdict:
    fixture, wide = parts.scenario.boring.fixture, parts.scenario.soft_jaw.screws.counterbore_diameter
    if not isinstance(fixture, Ring):
        raise TypeError("only a boring ring has pins")
    pin, least = pin_fit_and_limit(fixture.pin_diameter, wide)
    found, wanted = against(pin, least, (1, 1))
    return PIN_FIT.verdict(
        STAGE,
        pin,
        least,
        message=f"pins of {found} mm stand in counterbores of {wide:g} mm.",
        advice=f"Use pins of {wanted} mm or more.",
    )


def _load_left(parts: Parts, figures: FixtureFigures, speed: float) -> Verdict:
    """Return the verdict on the load that is left at the boring speed."""
    scenario, rest = parts.scenario, figures.rest
    share, pressed = load_share(scenario, figures.load, speed), fixture_pressed(scenario)
    return LOAD_ON_THE_FIXTURE.verdict(
        STAGE,
        *load_on_the_fixture_and_limit(share, scenario.limits.boring_load_share),
        message=(
            f"the jaws press the {scenario.boring.fixture.kind} with {rest / 1000.0:.1f} kN at rest and "
            f"{figures.at_speed / 1000.0:.1f} kN at {speed:.0f} rev/min."
            if pressed
            else f"too little metal is left to press the {scenario.boring.fixture.kind}, which carries no load."
        ),
        advice=more_load(parts, figures, speed)
        if pressed
        else "Take a fixture of another size or height, move the jaws by some serrations, or take other jaws.",
        otherwise="fail" if share <= 0.0 else "warn",
    )


def _borne(parts: Parts, figures: FixtureFigures, speed: float, rule: Rule) -> Verdict:
    load, bearing = figures.load, figures.bearing
    own = rule.key == FIXTURE_STRENGTH.key
    worst = max(figures.strength if own else figures.seat, key=lambda strain: strain.share)
    strains = bearing.strength if own else bearing.seat
    judge = fixture_strength_and_limit if own else fixture_seat_and_limit

    def share(slower: float) -> float:
        return largest_share(strains, load, slower)

    wanted = pressure_for(parts, borne_rest(load, strains, speed))
    return rule.verdict(
        STAGE,
        *judge(strains, load, speed),
        basis=worst.basis,
        message=_told(worst, figures, speed),
        advice=sentence(less_load(parts, load, speed, wanted, share), worst.remedy),
    )


def _told(worst: FixtureStrain, figures: FixtureFigures, speed: float) -> str:
    load, state = figures.rest, "at rest"
    if worst.state != AT_REST:
        load, state = figures.at_speed, f"at {speed:.0f} rev/min"
    scale, unit = (1.0, "MPa") if worst.unit == "MPa" else (1000.0, "kN")
    value, allowed = against(worst.value / scale, worst.allowed / scale)
    return (
        f"under {load / 3000.0:.1f} kN per jaw {state} {worst.what}: {value} {unit}, {allowed} {unit} are allowed "
        f"({figures.material})."
    )


def _give(parts: Parts, figures: FixtureFigures, speed: float) -> Verdict:
    give, most_give = fixture_gives_and_limit(figures.give)
    load, most = figures.load, most_give / give * figures.largest
    moved = near(give, most_give, 3) if give < 1.0 else "more than 1"
    wanted = pressure_for(parts, most - gained(load, speed))
    return FIXTURE_GIVES.verdict(
        STAGE,
        give,
        most_give,
        message=f"the {parts.scenario.boring.fixture.kind} lets each jaw move by {moved} mm "
        f"under {figures.largest / 3000.0:.1f} kN.",
        advice=sentence(
            less_load(parts, load, speed, wanted, lambda slower: load.largest(slower) / most),
            "Use a thicker and wider fixture.",
        ),
        otherwise="warn",
    )


def _chuck_limits(parts: Parts, figures: FixtureFigures, speed: float) -> Iterator[Verdict]:
    """Yield the verdicts on what the chuck may press with, at rest and with all that the jaws gain by speed."""
    chuck, lever, load = parts.scenario.chuck, fixture_lever(parts.scenario), figures.load
    faster = figures.at_speed > figures.rest
    state = f"at {speed:.0f} rev/min, the gain by speed counted" if faster else "at rest"

    def advice(most: float, others: str) -> str:
        wanted = pressure_for(parts, most - gained(load, speed))
        return sentence(
            less_load(parts, load, speed, wanted, lambda slower: load.largest(slower) / most), others
        )

    yield GUIDEWAY_MOMENT_WHILE_BORING.verdict(
        STAGE,
        *guideway_moment_while_boring_and_limit(figures.guide_moment, chuck.moment_limit),
        message=(
            f"{near(figures.largest / 3000.0, chuck.moment_limit / (1000.0 * lever), 1)} kN per jaw on the fixture "
            f"{state}, at {lever:.0f} mm above the guideway's middle."
        ),
        advice=advice(3.0 * chuck.moment_limit / lever, "Put the fixture lower, or use lower jaws."),
    )
    if chuck.largest_grip is not None:
        largest, most = largest_grip_while_boring_and_limit(figures.largest, chuck.largest_grip)
        yield LARGEST_GRIP_WHILE_BORING.verdict(
            STAGE,
            largest,
            most,
            message=f"{near(largest, most, 1)} kN in all on the fixture {state}.",
            advice=advice(chuck.largest_grip, "Use lighter jaws." if faster else "Use a larger chuck."),
        )
