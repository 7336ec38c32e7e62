"""The boring fixture under the jaws: its load at rest and at the boring speed, and what that strains.

Forces in N, lengths in mm, speeds in rev/min.
"""

from __future__ import annotations

from collections.abc import Iterable

from sim.assessment.figures.boring import FixtureFigures, FixtureStrain
from sim.assessment.turning_masses import turning_masses
from sim.base.errors import in_field
from sim.base.floats import Number, smaller
from sim.mechanics.fixtures import Bearing, Load, Strain, boring_ring, outer_ring, plug
from sim.mechanics.fixtures.outer_ring import OuterRingSize
from sim.mechanics.fixtures.plug import PlugSize
from sim.mechanics.fixtures.ring import RingSize
from sim.mechanics.grip import grip_at_rest
from sim.mechanics.spin import centrifugal_moment
from sim.scenario import NoFixture, OuterRing, Plug, Ring, Scenario
from sim.setup.drive import drive
from sim.setup.fixture import fixture_height, fixture_lever
from sim.setup.metal import fixture_pressed, fixture_seat
from sim.setup.parts import Parts
from sim.setup.sections import fixture_metal

AT_REST, AT_SPEED = "at rest", "at the highest speed"


def fixture_bearing(parts: Parts) -> Bearing | None:
    """Return how the fixture bears the jaws, by its dimensions alone; None without one.

    Raises
    ------
    ScenarioError
        If its dimensions leave nothing that could bear.
    """
    fixture = parts.scenario.boring.fixture
    if isinstance(fixture, NoFixture):
        return None
    with in_field("boring.fixture"):
        return _bearing(parts)


def _bearing(parts: Parts) -> Bearing:
    scenario, jaw = parts.scenario, parts.jaw_material
    fixture = scenario.boring.fixture
    own = fixture_metal(fixture, scenario.metal)
    if isinstance(fixture, Ring):
        inward = parts.direction == "outside"
        return boring_ring(ring_size(parts, fixture), own, jaw, inward=inward)
    if isinstance(fixture, Plug):
        across = _pressed(scenario) * 2.0 * parts.place.face_half_chord(0.5 * fixture.diameter)
        disc = PlugSize(fixture.diameter, fixture.bore_diameter, contact_height(scenario, fixture), across)
        return plug(disc, own, jaw)
    if isinstance(fixture, OuterRing):
        across = _pressed(scenario) * 2.0 * parts.place.face_half_chord(0.5 * fixture.inner_diameter)
        round_jaws = OuterRingSize(
            fixture.outer_diameter, fixture.inner_diameter, contact_height(scenario, fixture), across
        )
        return outer_ring(round_jaws, own, jaw)
    raise TypeError("without a fixture nothing bears")


def _pressed(scenario: Scenario) -> float:
    """Return the share of its seat that presses a fixture; all where so little is left that this fails by itself."""
    seat = fixture_seat(scenario)
    return seat.pressed if seat is not None and fixture_pressed(scenario) else 1.0


def contact_height(scenario: Scenario, fixture: Plug | OuterRing) -> float:
    """Return over which height the fixture stands on metal that the pockets leave, mm."""
    floor = scenario.soft_jaw.height - max(p.depth for p in scenario.pockets)
    return min(fixture.thickness, floor - fixture.height)


def ring_size(parts: Parts, fixture: Ring) -> RingSize:
    """Return a ring's dimensions with what its pins find in the jaws."""
    if parts.ring is None:
        raise TypeError("only a boring ring has pins")
    screws = parts.scenario.soft_jaw.screws
    return RingSize(
        fixture.outer_diameter,
        fixture.inner_diameter,
        fixture.thickness,
        fixture.pin_diameter,
        fixture.pin_length,
        parts.ring.pin_circle_diameter,
        screws.counterbore_diameter,
        screws.counterbore_depth,
        _wall(parts, screws.positions[fixture.screw]),
    )


def _wall(parts: Parts, position: float) -> float:
    """Return the metal (mm) behind the counterbore's wall that the pin bears on: to the next one, or the jaw's end."""
    jaw, half = parts.scenario.soft_jaw, 0.5 * parts.scenario.soft_jaw.screws.counterbore_diameter
    others = [p for p in jaw.screws.positions if p != position]
    if parts.direction == "outside":
        end = min([jaw.length, *(p - half for p in others if p > position)])
        return end - position - half
    end = max([0.0, *(p + half for p in others if p < position)])
    return position - half - end


def load_share(scenario: Scenario, load: Load[Number], speed: Number) -> Number:
    """Return the load on the fixture at a speed (rev/min) over that at rest; 0 where too little metal presses it.

    Jaws that have come off their fixture are under 0. An outer ring is loaded more than at rest, which counts against
    all that bears it and is no credit here: 1 at most.
    """
    return smaller(load.share_left(speed), 1.0) if fixture_pressed(scenario) else 0.0 * speed


def fixture_load(parts: Parts) -> Load:
    """Return the load on the fixture with the stated boring pressure, at the boring travel."""
    scenario = parts.scenario
    rest = grip_at_rest(scenario.boring.pressure, fixture_lever(scenario), drive(scenario.chuck)).total
    moment = centrifugal_moment(turning_masses(parts, scenario.boring.travel))
    return Load(rest, moment, parts.direction)


def fixture_figures(parts: Parts, speed: float) -> FixtureFigures | None:
    """Return the fixture's load and strains with the highest boring speed; None without a fixture.

    Raises
    ------
    ScenarioError
        If its dimensions leave nothing that could bear.
    """
    bearing, fixture = fixture_bearing(parts), parts.scenario.boring.fixture
    if bearing is None or isinstance(fixture, NoFixture):
        return None
    load = fixture_load(parts)
    fast = load.at(speed)
    states = ((AT_REST, load.rest / 3.0, 0.0), (AT_SPEED, fast / 3.0, speed))
    return FixtureFigures(
        material=fixture.material,
        height=fixture_height(parts.scenario),
        bearing=bearing,
        load=load,
        at_speed=fast,
        guide_moment=load.guide_moment(speed, fixture_lever(parts.scenario)),
        strength=tuple(_worst(bearing.strength, states)),
        seat=tuple(_worst(bearing.seat, states)),
        give=bearing.moved(load, speed),
    )


def _worst(
    strains: Iterable[Strain], states: tuple[tuple[str, float, float], ...]
) -> Iterable[FixtureStrain]:
    """Yield each strain in the state, (name, load of a jaw, speed), in which it is largest."""
    for strain in strains:
        state, load, speed = max(states, key=lambda s: strain.value(s[1], s[2]))
        yield FixtureStrain(
            strain.what,
            strain.value(load, speed),
            strain.allowed,
            strain.unit,
            state,
            strain.basis,
            strain.remedy,
        )
